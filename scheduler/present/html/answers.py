"""The short pages: what was recorded, what was refused and why, and the one that asks for the passphrase."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from scheduler.errors import Fault
from scheduler.measures import Units
from scheduler.present.entries import said
from scheduler.present.html.frame import Frame, Sheet, page
from scheduler.present.html.onward import fault_said
from scheduler.present.layout import Column
from scheduler.progress import Entry, Recorded
from scheduler.workdays import full

COLUMNS = (Column("entry", right=True), Column("day"), Column("recorded", soft=True))
ENTRANCE = {
    "": "",
    "wrong": "That is not the passphrase.",
    "wait": "There were too many wrong ones. Nothing is tried for a quarter of an hour.",
}
REFUSED = {
    "stale": (
        "This form is too old",
        "It was made by an earlier run of the server, or days ago. Nothing was recorded by it now; "
        "the Book says what was recorded before. Go back to a fresh page and do it again.",
    ),
    "large": ("That is too much for one form", "Nothing was recorded. A note holds 10,000 letters."),
    "moved": (
        "The season has changed meanwhile",
        "Something was recorded or planned since this page was made. Nothing was done. Look again first.",
    ),
    "busy": (
        "Too much is being worked out already",
        "Nothing was done. Wait until some of it is ready, then ask again; all else on this page goes on.",
    ),
    "bug": (
        "Something went wrong",
        "This is a bug of ours. The Book says whether anything was recorded. Please report what stands where "
        "the server was started.",
    ),
    "missing": ("There is no such page", "The address is not one of this season."),
}


def said_page(
    frame: Frame,
    numbered: Sequence[Recorded],
    unsaid: Collection[Entry],
    unusual: Sequence[str],
    means: Sequence[str],
    titles: Mapping[str, str],
    units: Units,
    again: bool,
) -> str:
    """What was recorded, with its numbers, and what follows; `again` where the form was sent once more."""
    rows = [
        (str(one.entry_no), full(one.entry.on), said(one.entry, titles, units) + _planned(one.entry, unsaid))
        for one in numbered
    ]
    return page(
        "said.html",
        frame,
        "Already recorded" if again else "Recorded",
        entries=Sheet(COLUMNS, rows),
        unusual=unusual,
        means=means,
        numbers=[one.entry_no for one in numbered[-1:] if one.entry.kind != "undo"],
        again=again,
    )


def _planned(entry: Entry, unsaid: Collection[Entry]) -> str:
    return " (as planned)" * (entry in unsaid)


def unusual_page(frame: Frame, fault: Fault, fields: Mapping[str, str]) -> str:
    """Asks whether it was really like that."""
    return page("unusual.html", frame, "Was it like that?", found=fault.found, fields=list(fields.items()))


def fault_page(frame: Frame, title: str, faults: Sequence[Fault], lead: str = "") -> str:
    """Why something was not done: where, what was found, what is allowed, what most likely mends it."""
    rows = [
        [
            (name, value)
            for name, value in (
                ("at", fault.where[:200]),
                ("found", fault.found),
                ("allowed", fault.allowed),
                ("likely fix", fault.hint),
            )
            if value
        ]
        for fault in faults
    ]
    return page("fault.html", frame, title, lead=lead, faults=rows)


def broken(fault: Fault) -> str:
    """A fault of the season file in a line, for the head of every page."""
    return f"{fault.where[-200:]}: {fault_said(fault)}"


def refused_page(frame: Frame, why: str) -> str:
    """Why nothing is done with what was asked, or sent."""
    title, lead = REFUSED[why]
    return page("fault.html", frame, title, lead=lead, faults=())


def entrance_page(frame: Frame, said: str) -> str:
    """Asks for the passphrase."""
    return page("enter.html", frame, "Passphrase", said=ENTRANCE[said])

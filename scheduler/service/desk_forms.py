"""What is sent from the local page: each form becomes the words of a record, or a replan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from scheduler.errors import Fault, UsageError
from scheduler.present.html import answers
from scheduler.service import recording
from scheduler.service.desk import Answer, Desk, Do, Missing
from scheduler.service.long_work import Asked
from scheduler.web.page import Shown, Went

TAPPED = ("done", "clean", "ready", "lost", "watch", "fridge", "bought", "undo")
"""Kinds of entry that have a button; all others are said in words."""
LONGEST_NOTE = 20_000


def record(desk: Desk, rest: Sequence[str], form: Mapping[str, str]) -> Went:
    """Records what happened, as the command does."""
    words, seen = _words(form)
    moment = desk.moment()
    try:
        numbered, noted = recording.record(
            desk.season,
            words,
            clock=moment.clock.today,
            today=moment.told,
            on=_day(form.get("on", "")),
            force=bool(form.get("force")),
            at=desk.now(),
            seen=seen,
        )
    except recording.Unusual as unusual:
        page = answers.unusual_page(desk.look().frame, unusual.fault, form)
        return Went(shown=Shown(page, 409))
    titles = {task.id: task.title for task in desk.look().state.plan.tasks}
    return Went(to=f"/said/{desk.remember(Answer(numbered, noted, titles))}")


def ask(desk: Desk, rest: Sequence[str], form: Mapping[str, str]) -> Went:
    """Begins to work out what it would mean if units of a batch were lost; nothing is recorded."""
    look = desk.look()
    if len(rest) != 1 or rest[0] not in look.batches:
        raise Missing
    words, seen = _words({**form, "about": rest[0]})
    if form.get("what") not in ("lost", "watch"):
        raise UsageError(Fault("the form", "it does not say what has happened", "lost, or in doubt"))
    noted = recording.read(look.state, words, on=None, force=True, seen=seen)
    # The very units that are shown are those that are recorded afterwards.
    numbers = ",".join(unit.rpartition("/")[2] for unit in noted.entries[-1].units)
    asked = desk.asked("what-if", (words[0], rest[0], f"/{numbers}"), seen=seen)
    return Went(to=f"/asked/{desk.apart.begin(asked)}")


def replan(desk: Desk, rest: Sequence[str], form: Mapping[str, str]) -> Went:
    """Plans onward, and keeps the plan."""
    asked = desk.asked("keep", stamp=form.get("stamp", ""))
    return _moved(desk, form) or Went(to=f"/asked/{desk.apart.begin(asked)}")


def take(desk: Desk, rest: Sequence[str], form: Mapping[str, str]) -> Went:
    """Adopts a remedy, by the number that it has as the season stands, and plans with it."""
    if len(rest) != 1 or not (rest[0].isdecimal() and len(rest[0]) < 3):
        raise Missing
    asked = desk.asked("take", number=int(rest[0]), stamp=form.get("stamp", ""))
    return _moved(desk, form) or Went(to=f"/asked/{desk.apart.begin(asked)}")


def fields_of(asked: Asked, is_unusual: bool) -> dict[str, str]:
    """The fields of the form that records what was asked about."""
    what, about, units = asked.words
    fields = {"what": what, "about": about, "unit": units.removeprefix("/"), "note": asked.seen}
    return fields | ({"force": "1"} if is_unusual else {})


def _moved(desk: Desk, form: Mapping[str, str]) -> Went | None:
    """The refusal of a form of a season that has changed since it was shown."""
    if form.get("stamp") == desk.look().frame.stamp:
        return None
    return Went(shown=desk.refuse("moved", 409))


def _words(form: Mapping[str, str]) -> tuple[list[str], str]:
    """The words that are recorded, and the note beside them. UsageError where they say too little."""
    what, about, seen = form.get("what", ""), form.get("about", ""), form.get("note", "")
    if len(seen) > LONGEST_NOTE:
        raise UsageError(Fault("the note", f"{len(seen)} letters", f"up to {LONGEST_NOTE} letters"))
    if what == "words":
        return about.split(), seen
    if what not in TAPPED or not about.strip():
        raise UsageError(Fault("the form", "it does not say what has happened", ", ".join(TAPPED)))
    units = form.get("unit", "").replace(" ", "")
    count = form.get("count", "").strip()
    more = [f"/{units}"] if units else [count] if count else []
    return [what, about, *more], seen


def _day(text: str) -> date | None:
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise UsageError(Fault("the day", text[:40], "a date as YYYY-MM-DD")) from None


FORMS: Mapping[str, Do] = {"record": record, "ask": ask, "replan": replan, "take": take}

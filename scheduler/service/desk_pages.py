"""What is looked at on the local page: which page lies at which path, and from what it is made."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING
from urllib.parse import quote

from scheduler.present.html import answers
from scheduler.present.html.batch import asked_page, batch_page
from scheduler.present.html.book import book_page
from scheduler.present.html.calendar import calendar_page
from scheduler.present.html.onward import Keep, Meaning, meaning, onward_page
from scheduler.present.html.outlook import outlook_page
from scheduler.present.html.season import season_page
from scheduler.present.html.shopping import shopping_page
from scheduler.present.html.today import today_page
from scheduler.service import recording, replanning, reports
from scheduler.service.apart import Piece
from scheduler.service.desk import AGAIN_S, Desk, Look, Missing, Show
from scheduler.service.desk_forms import fields_of
from scheduler.service.long_work import Asked, Failed, Onward, Outcome
from scheduler.web.page import Shown

if TYPE_CHECKING:
    from scheduler.chances import SeasonOutlook
    from scheduler.errors import Fault

KEEP = Keep("/replan", "Plan onward, and keep this plan")


def today(desk: Desk, look: Look, rest: Sequence[str], query: Mapping[str, str], base: str) -> Shown:
    """What to do today."""
    _require_end(rest)
    return desk.ready(look, "today", lambda: today_page(look.frame, reports.today_of(look.state), look.news))


def season(desk: Desk, look: Look, rest: Sequence[str], query: Mapping[str, str], base: str) -> Shown:
    """The whole season."""
    _require_end(rest)
    size = query.get("size", "")

    def make() -> str:
        return season_page(look.frame, look.state.plan, look.progress, look.pieces, size)

    return desk.ready(look, ("season", size), make)


def batch(desk: Desk, look: Look, rest: Sequence[str], query: Mapping[str, str], base: str) -> Shown:
    """One batch; only its whole id leads to it."""
    if len(rest) != 1 or rest[0] not in look.batches:
        raise Missing
    name = rest[0]

    def make() -> str:
        plan, address = look.batches[name], f"{base}/batch/{quote(name)}"
        told = next(one for one in plan.batches if one.id == name)
        return batch_page(look.frame, told, plan, look.state.recorded, look.progress, address)

    return desk.ready(look, ("batch", name, base), make)


def shopping(desk: Desk, look: Look, rest: Sequence[str], query: Mapping[str, str], base: str) -> Shown:
    """What has to be bought."""
    _require_end(rest)
    return desk.ready(look, "shopping", lambda: shopping_page(look.frame, look.state.plan, look.progress))


def calendar(desk: Desk, look: Look, rest: Sequence[str], query: Mapping[str, str], base: str) -> Shown:
    """Where the calendars are."""
    _require_end(rest)
    return Shown(calendar_page(look.frame, desk.feed.names(), base, desk.feed.key(), desk.is_open))


def book(desk: Desk, look: Look, rest: Sequence[str], query: Mapping[str, str], base: str) -> Shown:
    """Every entry."""
    _require_end(rest)
    every = "all" in query

    def make() -> str:
        return book_page(look.frame, look.state.plan, look.state.recorded, recording.examples(), every)

    return desk.ready(look, ("book", every), make)


def outlook(desk: Desk, look: Look, rest: Sequence[str], query: Mapping[str, str], base: str) -> Shown:
    """How sure it is."""
    _require_end(rest)
    found = desk.worked_out(look, "outlook")
    failed, played = _failed(found), _outlook(found)
    page = outlook_page(look.frame, played, failed, is_news=look.news > 0)
    return Shown(page, again_s=None if found else AGAIN_S)


def remedies(desk: Desk, look: Look, rest: Sequence[str], query: Mapping[str, str], base: str) -> Shown:
    """What a replan would say now, with its remedies where it does not fit; or one remedy with its plan."""
    if rest and (len(rest) > 1 or not (rest[0].isdecimal() and len(rest[0]) < 3)):
        raise Missing
    if rest:
        return _remedy(desk, look, int(rest[0]))
    found = desk.worked_out(look, "onward")
    onward = _meaning(found)
    late = replanning.to_tell(replanning.unrecorded(look.state, look.progress))
    fits = onward is not None and onward.fits
    lead = ""
    if fits:
        lead = "No remedy is needed: the season fits as it stands. This is what planning onward would change."
    page = onward_page(
        look.frame.at("/remedies"),
        "onward",
        onward,
        failed=_failed(found),
        late=late,
        keep=KEEP if fits else None,
        lead=lead,
    )
    return Shown(page, again_s=None if found else AGAIN_S)


def _remedy(desk: Desk, look: Look, number: int) -> Shown:
    found = desk.worked_out(look, "remedy", number)
    onward = _meaning(found)
    keep = Keep(f"/take/{number}", f"Adopt remedy {number}, and plan with it") if onward else None
    page = onward_page(
        look.frame,
        "remedy",
        onward,
        failed=_failed(found),
        keep=keep if onward and onward.fits else None,
        title=f"Remedy {number} and its plan",
        lead="Nothing is adopted yet." if onward else "",
        adopt=False,
        back=("/remedies", "Back to all remedies"),
    )
    return Shown(page, again_s=None if found else AGAIN_S)


def said(desk: Desk, look: Look, rest: Sequence[str], query: Mapping[str, str], base: str) -> Shown:
    """What a form has recorded."""
    found = desk.answer(rest[0]) if len(rest) == 1 else None
    if found is None:
        raise Missing
    noted = found.noted
    return Shown(
        answers.said_page(
            look.frame,
            found.numbered,
            noted.unsaid,
            noted.unusual,
            noted.means,
            found.titles,
            noted.units,
            "again" in query,
        )
    )


def asked(desk: Desk, look: Look, rest: Sequence[str], query: Mapping[str, str], base: str) -> Shown:
    """Something that was asked for and is worked out, or has been."""
    piece = desk.apart.find(rest[0]) if len(rest) == 1 else None
    if piece is None:
        raise Missing
    found = piece.outcome.result() if piece.outcome.done() else None
    again_s = None if found else AGAIN_S
    if piece.asked.kind == "what-if":
        return Shown(_asked(look, piece, found), again_s=again_s)
    kept = isinstance(found, Onward) and found.plan.status != "none"
    lead = ""
    if kept and isinstance(found, Onward):
        lead = f"Kept as plan {found.plan.plan_no}. The calendars follow by themselves."
    if "again" in query:
        lead = f"This form was sent before; it was done once. {lead}"
    page = onward_page(
        look.frame,
        piece.asked.kind,
        _meaning(found),
        failed=_failed(found),
        title="Planned onward" if kept else "Plan onward",
        lead=lead,
        adopt=False,
        back=("/", "Back to today") if kept else ("/remedies", "To the remedies"),
    )
    return Shown(page, again_s=again_s)


def _asked(look: Look, piece: Piece[Asked, Outcome], found: Outcome | None) -> str:
    """What it would mean if some units were lost or in doubt, read anew as the season stands now."""
    asked = piece.asked
    noted = recording.read(look.state, asked.words, on=None, force=True, seen=asked.seen)
    return asked_page(
        look.frame,
        asked.words[1],
        noted.entries,
        noted.unusual,
        noted.means,
        fields_of(asked, bool(noted.unusual)),
        _meaning(found),
        _failed(found),
    )


def _meaning(found: Outcome | None) -> Meaning | None:
    if not isinstance(found, Onward):
        return None
    remedy = found.remedy.text if found.remedy else ""
    return meaning(found.plan, found.before, found.news, found.way, found.unfrozen, remedy)


def _failed(found: Outcome | None) -> tuple[Fault, ...]:
    return found.faults if isinstance(found, Failed) else ()


def _outlook(found: Outcome | None) -> SeasonOutlook | None:
    return None if found is None or isinstance(found, Failed | Onward) else found


def _require_end(rest: Sequence[str]) -> None:
    if rest:
        raise Missing


PAGES: Mapping[str, Show] = {
    "": today,
    "season": season,
    "batch": batch,
    "shopping": shopping,
    "calendar": calendar,
    "book": book,
    "outlook": outlook,
    "remedies": remedies,
    "said": said,
    "asked": asked,
}

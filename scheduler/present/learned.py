"""What was learned, on the screen: the trade's figures, the grower's own data, and what both say together."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from scheduler.learned import Days, DaysLearned, How, Learned, Loss, LossLearned
from scheduler.present.layout import Column, Lines, fold, paragraph, section, table, write

WORDS: dict[How, str] = {
    "nothing": "",
    "too little": "too little to say",
    "some": "",
    "much": "mostly yours",
}
LOSS_COLUMNS = (
    Column("stage", whole=True),
    Column("the trade's", soft=True),
    Column("your books", soft=True),
    Column("both together", soft=True),
    Column("yours in it", soft=True),
)
DAYS_COLUMNS = (
    Column("species, stage", soft=True),
    Column("the trade's", soft=True),
    Column("your batches", soft=True),
    Column("times the trade's", soft=True),
    Column("both together", soft=True),
    Column("yours in it", soft=True),
)
BANDS = (
    "In brackets: nine times of ten it lies between these. Worth: so many units of experience the trade's "
    "figure counts for."
)
AT_REFERENCE = (
    "Days from inoculation to fully run, at the temperature that the trade's figure is for; in brackets, "
    "those that one batch may take."
)


def show_learned(found: Learned, path: str, console: Console) -> None:
    """Print what was learned; `path` is the season as it can be typed again."""
    width = console.width
    names = [f"{one.name} (plan {one.plan_no}, {_entries(one.entries)})" for one in found.seasons]
    lines: Lines = [*fold(f"Learned from {'; '.join(names)}.", width)]
    lines += section(f"Losses, {found.workspace}", losses(found.losses, width), width)
    lines += section("Days", days(found.days, width), width)
    lines += section("Good to know", notes(found, width), width)
    lines += ["", *fold(_end(found, path), width)]
    write(lines, console)


def losses(learned: Sequence[LossLearned], width: int) -> Lines:
    """A row for each stage, the last one for whole loads."""
    if not learned:
        return paragraph("No batch was begun here yet, as far as the books say.", width)
    rows = [
        (
            "whole loads" if one.stage == "load" else one.stage,
            f"{_share(one.prior)}, worth {one.prior.worth:.0f}",
            _units(one),
            _share(one.posterior) if one.made else "",
            _how(one),
        )
        for one in learned
    ]
    return [*table(LOSS_COLUMNS, rows, width), *paragraph(BANDS, width)]


def days(learned: Sequence[DaysLearned], width: int) -> Lines:
    """A row for each stage of each species."""
    rows = [
        (
            f"{one.species}, {one.stage}" + (f" from {one.made_from}" if one.made_from else ""),
            _days(one.prior),
            _batches(one),
            f"{one.factor:.2f} ({one.factor_low:.2f} to {one.factor_high:.2f})"
            if one.how != "nothing"
            else "",
            _days(one.posterior) if one.how != "nothing" else "",
            _how(one),
        )
        for one in learned
    ]
    return [*table(DAYS_COLUMNS, rows, width), *paragraph(AT_REFERENCE, width)] if rows else []


def notes(found: Learned, width: int) -> Lines:
    """What the figures rest on, and what was left out."""
    told = list(found.notes)
    together = [one for one in found.losses if one.with_others >= 0.5]
    if together:
        told.append(
            "Units that were lost with all of their load or of their parent say little of single ones: "
            + ", ".join(f"{one.with_others:.0f} of {one.lost} of {one.stage}" for one in together)
            + " are taken to have gone that way."
        )
    unknown = sum(one.unknown for one in found.losses if one.stage != "load")
    if unknown:
        told.append(
            f"Units of which nothing was recorded since they were begun, and that teach nothing: {unknown}. "
            "Record clean when you look, and ready when it is."
        )
    return [line for note in told for line in paragraph(note, width, mark="- ")]


def _end(found: Learned, path: str) -> str:
    if found.kept:
        return (
            f"Kept in {found.kept}: this season's plans, and those of a season that continues it, go by it."
        )
    return f"Nothing was written. budswell learn {path} --keep lets plans go by what both say together."


def _share(loss: Loss) -> str:
    return f"{_percent(loss.rate)} % ({_percent(loss.low)} to {_percent(loss.high)})"


def _percent(share: float) -> str:
    """In percent: tenths below ten."""
    percent = 100 * share
    return f"{percent:.1f}" if percent < 9.95 else f"{percent:.0f}"


def _how(one: LossLearned | DaysLearned) -> str:
    if one.how == "nothing":
        return "none"
    return ": ".join(filter(None, (f"{100 * one.own_share:.0f} %", WORDS[one.how])))


def _units(one: LossLearned) -> str:
    text = f"{one.made} made, {one.lost} lost"
    return f"{text}, {one.growing} still growing" if one.growing else text


def _batches(one: DaysLearned) -> str:
    parts = (
        (one.known, "to the day"),
        (one.between, "between looks"),
        (one.growing, "not run yet"),
        (one.unknown, "unknown"),
    )
    return ", ".join(f"{count} {what}" for count, what in parts if count)


def _days(days: Days) -> str:
    return f"{days.likely:.0f} d ({days.low:.0f} to {days.high:.0f})"


def _entries(count: int) -> str:
    return "1 entry" if count == 1 else f"{count} entries"

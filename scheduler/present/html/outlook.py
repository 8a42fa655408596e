"""The outlook as a page: chances first, then what they hang on, and the curve of later starts."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from scheduler.chances import SeasonOutlook
from scheduler.errors import Fault
from scheduler.present import outlook
from scheduler.present.html.curve import drawn
from scheduler.present.html.frame import Frame, Sheet, page
from scheduler.present.html.onward import faults_said

Part = tuple[str, Sheet, str, Markup | None]


def outlook_page(
    frame: Frame, found: SeasonOutlook | None, failed: Sequence[Fault] = (), *, is_news: bool = False
) -> str:
    """An outlook; None while it is played. With `is_news` a replan would take something in."""
    return page(
        "outlook.html",
        frame.at("/outlook"),
        "Outlook",
        sections=_parts(found) if found else [],
        failed=faults_said(failed),
        notes=found.notes if found else (),
        is_news=is_news,
    )


def _parts(found: SeasonOutlook) -> list[Part]:
    gains = outlook.gain_rows(found)
    parts: list[Part] = [
        ("Chance", Sheet(outlook.CHANCE_COLUMNS, outlook.chance_rows(found)), outlook.played(found), None),
        ("What it hangs on", _hangs(found), "", None),
    ]
    if found.gains:
        said = outlook.GAINS if gains else outlook.NO_GAIN
        parts.append(("What would raise it", Sheet(outlook.GAIN_COLUMNS, gains), said, None))
    if found.starts:
        curve = drawn(outlook.start_points(found), found.wished, found.today)
        said = outlook.starts_said(found)
        parts.append(("Later starts", Sheet(*outlook.start_rows(found)), said, curve))
    left = Sheet(outlook.LEFT_COLUMNS, outlook.left_rows(found))
    parts.append(("Spawn left over, in the seasons in which it is planted", left, "", None))
    return [part for part in parts if part[1].rows or part[2]]


def _hangs(found: SeasonOutlook) -> Sheet:
    """What it hangs on, the reason first, below the name of each planting."""
    _, share, why = outlook.HANG_COLUMNS
    rows: list[str | tuple[str, ...]] = []
    for name, of, reason in outlook.hang_rows(found):
        rows += [name] if name else []
        rows.append((reason, of))
    return Sheet((why, share), rows)

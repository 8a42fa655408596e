"""The answer of a check: the season file can be read, with what was warned about and what was assumed."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from scheduler.measures import counted
from scheduler.plan import Assumption
from scheduler.present.layout import fold, paragraph, section, write
from scheduler.present.trust import assumed_table


def show_check(
    season_name: str, warnings: Sequence[str], assumed: Sequence[Assumption], console: Console
) -> None:
    """Print that a season file is right, its warnings, and the defaults that were taken."""
    width = console.width
    verdict = f"with {counted(len(warnings), 'warning')}" if warnings else "without a warning"
    warned = [line for warning in warnings for line in paragraph(warning, width, mark="- ")]
    lines = [
        *fold(f"{season_name}: the season file can be planned, {verdict}.", width),
        *section("Warnings", warned, width),
        *section("Assumed", assumed_table(assumed, width), width),
    ]
    write(lines, console)

"""The command of the shopping lists."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from scheduler.cli.parts import SeasonPath, Today, clock, console, day, now, print_data


def shopping(
    season: SeasonPath,
    as_json: Annotated[bool, typer.Option("--json", help="Print the lists as JSON.")] = False,
    today: Today = None,
) -> None:
    """Print what to buy, one list for each kind of shop, rounded up to the packs that are sold.

    From the kept plan; where none is kept, the season has changed since, or work of it is late, it is planned
    first.
    """
    from scheduler.present.progress import progress
    from scheduler.present.shopping import shopping_data, show_shopping
    from scheduler.service import planning, seasons

    read, catalogue = seasons.read(season, clock(season), day(today))
    read = seasons.with_kept_id(read)
    with progress(console(sys.stderr)) as watch:
        plan = planning.plan_for_views(read, catalogue, kept_at=now(), watch=watch)
    if as_json:
        print_data(shopping_data(plan))
    else:
        show_shopping(plan, console(sys.stdout))

"""The command that looks after what stands in the yard."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from scheduler.cli.parts import SeasonPath, Today, clock, console, day, print_data


def moisture(
    season: SeasonPath,
    planting: Annotated[
        str | None, typer.Argument(metavar="[PLANTING]", help="One planting, whole or shortened.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print it as JSON.")] = False,
    today: Today = None,
) -> None:
    """Show how moist the logs are, whether to water them now, and when to weigh them next.

    By the weights that were recorded (budswell record SEASON weighed PLANTING log 1 14.2 kg), else by the
    days since the logs were felled and the time of the year.
    """
    from scheduler.present.moisture import show_moisture
    from scheduler.present.moisture_page import moisture_data
    from scheduler.service.moisture import moisture_page

    page = moisture_page(season, planting, clock(season), day(today))
    if as_json:
        print_data(moisture_data(page))
    else:
        show_moisture(page, console(sys.stdout))

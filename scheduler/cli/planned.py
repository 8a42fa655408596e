"""Commands that plan a season, look at its file, or at the catalogue."""

from __future__ import annotations

import math
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, cast

import typer

from scheduler.chances import LEAST_WISH, MOST_WISH
from scheduler.cli.parts import SeasonPath, Today, clock, console, day, now, print_json
from scheduler.errors import Fault, NoPlan, UsageError

if TYPE_CHECKING:
    from scheduler.plan import Plan
    from scheduler.season.season import Season
    from scheduler.trade.catalogue import Catalogue


def plan(
    season: SeasonPath,
    as_json: Annotated[bool, typer.Option("--json", help="Print the plan as JSON.")] = False,
    certainty: Annotated[
        str | None,
        typer.Option(
            "--certainty",
            metavar="CHANCE",
            help="Choose spares and margins so that this chance, played out, is met: 0.5 to 0.999.",
        ),
    ] = None,
    today: Today = None,
    keep: Annotated[bool, typer.Option(help="Keep the plan in the season's book.")] = True,
) -> None:
    """Plan a season, and keep the plan in the season's book.

    The plan says what to start when, how much of it, and with which spares; the answer comes first. A long
    one is best read in a pager: budswell plan SEASON | less
    """
    from scheduler.present.progress import progress

    wished = None if certainty is None else _chance(certainty, "--certainty")

    read, catalogue = season_to_plan(season, today)
    from scheduler.service import planning  # after the season: a faulty file never waits for the solver

    try:
        with progress(console(sys.stderr)) as watch:
            if keep:
                made = planning.plan_and_keep(read, catalogue, kept_at=now(), watch=watch, certainty=wished)
            else:
                made = planning.plan_season(read, catalogue, watch, certainty=wished)
    except NoPlan as refused:
        if as_json:
            print_json(cast("Plan", refused.refusal))
            raise typer.Exit(refused.exit_code) from None
        raise
    if as_json:
        print_json(made)
    else:
        from scheduler.present.terminal import show_plan

        show_plan(made, console(sys.stdout))


def check(
    season: SeasonPath,
    explain: Annotated[
        bool, typer.Option("--explain", help="Show where each default that was taken comes from.")
    ] = False,
    today: Today = None,
) -> None:
    """Check a season file and name every fault at once.

    Each with its line, what was found, what is allowed and a likely fix; then warnings and defaults taken.
    """
    from scheduler.present.checks import show_check
    from scheduler.service import seasons

    read = seasons.check(season, clock(season), day(today))
    explained = None
    if explain:
        from scheduler.service.explaining import explained_defaults

        explained = explained_defaults(read.assumed)
    show_check(read.name, read.warnings, read.assumed, console(sys.stdout), explained)


def profiles(
    name: Annotated[
        str | None, typer.Argument(metavar="NAME", help="A species, method, wood, container, or lab.")
    ] = None,
    unsourced: Annotated[
        bool, typer.Option("--unsourced", help="Only figures that no publication gives, and their count.")
    ] = False,
) -> None:
    """List the catalogue, or show one entry's figures.

    Every figure comes with its basis and source; then what suits what, and where sources disagree.
    """
    from scheduler.present.profiles import show_catalogue, show_entry, show_unsourced
    from scheduler.service import views

    page = console(sys.stdout)
    if unsourced:
        show_unsourced(*views.unsourced(name), page)
    elif name is None:
        show_catalogue(views.catalogue_rows(), page)
    else:
        show_entry(*views.entry(name), page)


def schema(
    document: Annotated[
        str,
        typer.Argument(
            metavar="DOCUMENT",
            help="Which document: plan, outlook, rehearsal or learned.",
            show_default=False,
        ),
    ] = "plan",
) -> None:
    """Print the JSON Schema of the JSON of a plan, an outlook, a rehearsal or what was learned."""
    import json

    from scheduler.document import DOCUMENTS
    from scheduler.document import schema as schema_of

    if document not in DOCUMENTS:
        allowed = " or ".join(DOCUMENTS)
        raise UsageError(
            Fault("budswell schema", f'no document called "{document}"', allowed, "budswell schema plan")
        )
    typer.echo(json.dumps(schema_of(document), indent=2))


def _chance(text: str, option: str) -> float:
    """A wished chance as it is typed, in the bounds of the season file. UsageError where it is none."""
    try:
        chance = float(text)
    except ValueError:
        chance = math.nan
    if not LEAST_WISH <= chance <= MOST_WISH:
        allowed = f"a number from {LEAST_WISH} to {MOST_WISH}"
        raise UsageError(Fault(option, f'"{text}"', allowed, f"{option} 0.95, if 95 % is meant"))
    return chance


def season_to_plan(path: Path, today: str | None) -> tuple[Season, Catalogue]:
    """The season at `path`, under the id its book has for it, with the catalogue."""
    from scheduler.service import seasons

    season, catalogue = seasons.read(path, clock(path), day(today))
    return seasons.with_kept_id(season), catalogue

"""Commands of a season under way: what happened, what it means, what is next, and the book itself."""

from __future__ import annotations

import shlex
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli import drawing
from scheduler.cli.parts import SeasonPath, Today, clock, console, day, now, print_json
from scheduler.errors import Fault, UsageError

if TYPE_CHECKING:
    pass


def record(
    words: Annotated[
        list[str],
        typer.Argument(
            metavar="[SEASON] WORDS...",
            help="What happened: lost NAM-G1a 6, clean NAM-G1a, done 2. In its folder leave SEASON out.",
        ),
    ],
    on: Annotated[
        str | None,
        typer.Option("--on", metavar="DATE", help="The day it happened, if not today (YYYY-MM-DD)."),
    ] = None,
    force: Annotated[
        bool, typer.Option("--force", help="Record it although it is unusual: that is how it was.")
    ] = False,
    today: Today = None,
) -> None:
    """Record what happened in the season's book; nothing recorded is ever changed, only corrected.

    The words that may be used are listed by: budswell record SEASON words
    """
    from scheduler.service import recording

    season, said = _season_and_words(words)
    if said in (["words"], ["help"]):
        from scheduler.present.recorded import show_words

        show_words(recording.examples(), console(sys.stdout))
        return
    take_down = partial(
        recording.record,
        season,
        said,
        clock=clock(season).today,
        today=day(today),
        on=day(on, "--on"),
        at=now(),
    )
    try:
        numbered, noted = take_down(force=force)
    except recording.Unusual as unusual:
        if not (sys.stdin.isatty() and sys.stdout.isatty()):
            raise
        typer.echo(f"Unusual: {unusual.fault.found}")
        if not typer.confirm("Was it like that?"):
            raise
        numbered, noted = take_down(force=True)
    from scheduler.present.recorded import show_recorded

    said_in = console(sys.stdout)
    show_recorded(numbered, noted.unsaid, noted.unusual, noted.means, _typed(season), said_in, noted.units)


def replan(
    season: SeasonPath,
    what_if: Annotated[
        str | None,
        typer.Option("--what-if", metavar="WORDS", help="What if this happened? Nothing is recorded."),
    ] = None,
    take: Annotated[
        int | None,
        typer.Option("--take", metavar="N", min=1, max=99, help="Adopt remedy N and plan with it."),
    ] = None,
    undone: Annotated[
        bool, typer.Option("--undone", help="Work of days gone by that nobody recorded is still to be done.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print the plan as JSON.")] = False,
    today: Today = None,
) -> None:
    """Plan onward from what was recorded, and move as little as possible of what was promised."""
    from scheduler.present.progress import progress
    from scheduler.service import replanning

    if what_if is not None and take is not None:
        raise UsageError(Fault("budswell replan", "--what-if and --take together", "one of them"))
    with progress(console(sys.stderr)) as watch:
        found: replanning.Replan | replanning.Impossible
        asked = replanning.Asked(clock(season), day(today), watch, undone)
        try:
            if what_if is not None:
                found = replanning.what_if(season, what_if.split(), asked)
            elif take is not None:
                found = replanning.take(season, take, asked, kept_at=now())[1]
            else:
                found = replanning.replan(season, asked, kept_at=now())
        except replanning.Impossible as impossible:
            found = impossible
    if as_json:
        print_json(found.plan)
    else:
        from scheduler.present.replanned import meaning, show_replanned, summed_up

        made = found if isinstance(found, replanning.Replan) else None
        show_replanned(
            found.plan,
            found.before,
            summed_up(found.news, found.before),
            meaning(made.way, found.news) if made else "",
            console(sys.stdout),
            what_if=what_if or "",
            unfrozen=bool(made and made.unfrozen),
            unrecorded=made.unrecorded if made and undone else (),
            path=_typed(season),
        )
    if isinstance(found, replanning.Impossible):
        raise typer.Exit(found.exit_code)


def today(season: SeasonPath, today: Today = None) -> None:
    """What to do today and this week, what is overdue, and what waits for a check."""
    from scheduler.present.today import show_today
    from scheduler.service import reports

    show_today(reports.today_page(season, clock(season).today, day(today)), console(sys.stdout))


def show(
    season: SeasonPath,
    words: Annotated[
        list[str] | None,
        typer.Argument(metavar="PLANTING|DATE", help="For --running-order.", show_default=False),
    ] = None,
    batch: Annotated[
        str | None, typer.Option("--batch", metavar="ID", help="One batch's whole story.")
    ] = None,
    order: Annotated[
        bool,
        typer.Option(
            "--running-order",
            help="A planting day: people, stations, spawn, tools, rain day. The next, if left out.",
        ),
    ] = False,
    changes: Annotated[bool, typer.Option("--changes", help="What the last replan changed.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print the kept plan as JSON.")] = False,
    svg: Annotated[
        Path | None, typer.Option("--svg", metavar="FILE", help="Draw the timeline into an SVG file.")
    ] = None,
    png: Annotated[
        Path | None, typer.Option("--png", metavar="FILE", help="Draw the timeline into a PNG file.")
    ] = None,
    today: Today = None,
) -> None:
    """Show where a season stands: its batches, its plantings, its next tasks; or draw its timeline."""
    from scheduler.service import reports
    from scheduler.service.under_way import under_way

    if words and not order:
        allowed = "nothing after the season, or a planting or a day with --running-order"
        raise UsageError(Fault("budswell show", f'"{" ".join(words)}"', allowed))
    if png:
        from scheduler.present.raster import require_library

        require_library("--png")
    pictures = drawing.places(season, svg, png)
    state = under_way(season, clock(season).today, day(today))
    if pictures:
        drawing.timeline(state, pictures)
    if as_json:
        print_json(state.plan)
    elif order:
        from scheduler.present.running_order import show_running_order

        show_running_order(
            state.plan, reports.running_order(state, words or ()), state.today, console(sys.stdout)
        )
    elif batch is not None:
        from scheduler.present.story import show_story

        told = reports.story(season, batch, clock(season).today, day(today))
        show_story(told.batch, told.plan, told.recorded, told.progress, console(sys.stdout), told.day)
    elif changes:
        from scheduler.present.replanned import show_changes

        show_changes(state.plan, reports.before(state), console(sys.stdout))
    elif pictures:
        for path, _ in pictures:
            typer.echo(f"{path}: the timeline of plan {state.plan.plan_no}.")
    else:
        from scheduler.present.overview import show_overview

        pieces = reports.pieces_wished(state)
        over = reports.left_over(state)
        show_overview(state.plan, state.progress, state.today, console(sys.stdout), pieces, over)


def learn(
    paths: Annotated[
        list[Path],
        typer.Argument(metavar="SEASON", help="Season folders, or their .toml files, of one lab."),
    ],
    keep: Annotated[
        bool, typer.Option("--keep", help="Keep it beside the first season; its plans go by it from then on.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print what was learned as JSON.")] = False,
    today: Today = None,
) -> None:
    """What your own books say of losses and days, beside what the trade says; several seasons count together.

    Nothing is written without --keep. It is always learned anew from the trade's figures and all the books
    that are named, so that nothing counts twice.
    """
    from scheduler.service import learning

    found = learning.learn(paths, clock, day(today), keep=keep)
    if as_json:
        print_json(found)
    else:
        from scheduler.present.learned import show_learned

        show_learned(found, " ".join(map(_typed, paths)), console(sys.stdout))


book = typer.Typer(
    help="The season's book: list its entries, copy all of it out, or read a copy in.",
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


@book.command("show")
def book_show(season: SeasonPath) -> None:
    """List every entry of the book."""
    from scheduler.present.entries import show_entries
    from scheduler.service import bookkeeping

    show_entries(bookkeeping.show(season), console(sys.stdout))


@book.command("export")
def book_export(
    season: SeasonPath,
    file: Annotated[
        Path | None, typer.Argument(metavar="FILE", help="Where to; the screen if left out.")
    ] = None,
) -> None:
    """Copy the whole book out as JSON Lines, so that nobody is locked in."""
    from scheduler.service import bookkeeping

    text = bookkeeping.export(season, file)
    if file is None:
        typer.echo(text.encode(), nl=False)
    else:
        typer.echo(f"{file}: the whole book.")


@book.command("import")
def book_import(
    season: SeasonPath, file: Annotated[Path, typer.Argument(metavar="FILE", help="An exported book.")]
) -> None:
    """Read an exported book into a season that has none yet."""
    from scheduler.service import bookkeeping

    typer.echo(f"{file}: {bookkeeping.import_(season, file)} read.")


def _season_and_words(words: list[str]) -> tuple[Path, list[str]]:
    """The season that a record is for, and its words: the season of this folder where none is named."""
    from scheduler.season.place import season_file

    named = Path(words[0])
    if season_file(named).is_file() or (len(words) == 1 and named.exists()):
        return named, words[1:]
    return Path(), words


def _typed(season: Path) -> str:
    """A season as it can be typed again; nothing where it is that of this folder."""
    return shlex.quote(str(season))

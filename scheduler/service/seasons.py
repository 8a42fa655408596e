"""Reads a season file with the catalogue it is measured against."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from scheduler.book.store import Book, book_path
from scheduler.lines.own_record import with_own
from scheduler.lines.sizing import size
from scheduler.plan import Rewrite, id_of
from scheduler.season.load import load_season
from scheduler.season.notation import Document
from scheduler.season.place import continued, figures_file, season_file
from scheduler.season.season import Season, Standing
from scheduler.season.wrong import Wrong, shown
from scheduler.service import continuing
from scheduler.trade import catalogue as trade
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.own import OwnRecord, read_own
from scheduler.weather import norms


@dataclass(frozen=True)
class Clock:
    """What the machine says: today's date and the name of its time zone."""

    today: date
    timezone: str


def read(
    path: Path,
    clock: Clock,
    today: date | None,
    adopted: Callable[[Document], tuple[Rewrite, ...]] = lambda document: (),
    keep_over: bool = False,
    began: Callable[[], date | None] | None = None,
    catalogue: Catalogue | None = None,
) -> tuple[Season, Catalogue]:
    """The season at `path`, and the catalogue with the grower's own record laid over it.

    SeasonError with every fault of the file at once, ProfileError with those of the record.

    `adopted` says what remedies and the like change in what the file says; with `keep_over` plantings whose
    window is over are there too. `began` is the first day of which something is recorded, where that is not
    what the book says. Who reads many seasons gives the `catalogue`, so that it is read once.
    """
    catalogue = catalogue or trade.load()
    own = own_record(path, catalogue)
    catalogue = with_own(catalogue, own)
    season = _load(path, catalogue, clock, today, adopted, keep_over, frozenset(), began)
    return replace(season, own=own), catalogue


def own_record(path: Path, catalogue: Catalogue) -> OwnRecord | None:
    """The grower's own record for the season at `path`; None where none was kept."""
    file = own_file(path)
    return None if file is None else read_own(file, catalogue)


def own_file(path: Path) -> Path | None:
    """The file of the grower's own record for the season at `path`; None where none was kept.

    It lies beside the season file, else beside that of the season which this one continues, and so on.
    """
    at: Path | None = path
    passed: set[Path] = set()
    while at is not None and (file := season_file(at)).is_file() and file.resolve() not in passed:
        passed.add(file.resolve())
        own = figures_file(at)
        if own != file and own.exists():
            return own
        at = continued(at)
    return None


def _load(
    path: Path,
    catalogue: Catalogue,
    clock: Clock,
    today: date | None,
    adopted: Callable[[Document], tuple[Rewrite, ...]],
    keep_over: bool,
    later: frozenset[Path],
    began: Callable[[], date | None] | None = None,
) -> Season:
    """The season at `path`; `later` are the files of those that continue it, so that none goes on forever."""
    later |= {season_file(path).resolve()}

    def read_last(last: Path) -> tuple[Standing, ...]:
        if season_file(last).resolve() in later:
            raise Wrong(f"{shown(last.name)}, which is this season or continues it", "the season before this")
        return continuing.standing(
            last, lambda file, day: _load(file, catalogue, clock, day, lambda document: (), True, later)
        )

    return load_season(
        path,
        catalogue,
        clock=clock.today,
        system_timezone=clock.timezone,
        today=today,
        under_way=_has_book(path),
        keep_over=keep_over,
        adopted=adopted,
        weather=norms.reader(catalogue),
        began=began or (lambda: _began(path)),
        last_season=read_last,
    )


def _began(path: Path) -> date | None:
    """The first day of which something was recorded; None where nothing was."""
    book = book_path(season_file(path))
    if not book.exists():
        return None
    with Book.open(book, create=False) as opened:
        return min((recorded.entry.on for recorded in opened.entries()), default=None)


def _has_book(path: Path) -> bool:
    """Whether the season at `path` has a book, which is made with the first plan that is kept."""
    try:
        return book_path(season_file(path)).exists()
    except OSError:
        return False  # what keeps the book from being seen is said of the season file beside it


def check(path: Path, clock: Clock, today: date | None) -> Season:
    """The season at `path`, found fit to be sized with the lab it describes; no solver is loaded.

    Raises SeasonError as `read`, and where something cannot be made at all.
    """
    season, catalogue = read(path, clock, today)
    buying = replace(season, plantings=tuple(replace(p, spawn="buy") for p in season.plantings))
    makes = any(p.spawn == "make" for p in season.plantings)
    size(season if makes else buying, catalogue, "bare", {})
    return season


def with_kept_id(season: Season) -> Season:
    """The season under the id its book froze at the first kept plan, so that a new name changes nothing."""
    path = book_path(season.path)
    given = season.id != id_of(season.name)
    if given or not path.exists():
        return season
    with Book.open(path, create=False) as book:
        kept = book.season_id(season.name)
    return replace(season, id=kept) if kept else season

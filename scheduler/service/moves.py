"""Ways from one plan towards a wished chance, looked for on paper: what to add, and what to leave out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations_with_replacement
from typing import TypeVar

from scheduler.chances import USUAL_SEASONS, USUAL_SEED
from scheduler.lines.shapes import Sizing
from scheduler.lines.shares import is_finished
from scheduler.lines.sizing import size
from scheduler.lines.spares import Chosen, Level
from scheduler.outlook.course import Course
from scheduler.outlook.on_paper import Move, OnPaper
from scheduler.problem.aims import DAY_WITH_WORK
from scheduler.season.season import Season
from scheduler.trade.catalogue import Catalogue

WEEK = 7
SURE = 2.0
"""A gain counts where it is more than so many of its standard errors."""
BUNDLES = 60
"""Bundles, at most, from one plan to the next."""
AT_ONCE = 3
"""Things that are added at once, at most, where fewer of them show no gain."""
FEW = 12
"""Of so many, those that bring most by themselves, several are added at once."""
REPAIRS = 6
"""Bundles, at most, that make good a move that goes below the wish."""
TURNS = 4
"""Such moves that are made, at most, on one way."""

Bundle = tuple[Move, ...]
"""Moves that are made together or not at all."""
Rated = TypeVar("Rated")


@dataclass(frozen=True)
class Stand:
    """Where a way begins: what was chosen, how that was sized, and how it plays."""

    chosen: Chosen
    sizing: Sizing
    course: Course


def after(chosen: Chosen, moves: Iterable[Move]) -> Chosen:
    """What is chosen once moves are made."""
    spares, margin = dict(chosen.spares), dict(chosen.margin)
    for move in moves:
        if move.stage:
            spares[move.line, move.stage] += move.by
        else:
            margin[move.line] = margin.get(move.line, 0) + move.by
    return Chosen(spares, {line: days for line, days in margin.items() if days})


@dataclass
class _Draft:
    """A way on paper, as far as it goes."""

    stand: Stand
    paper: OnPaper
    chosen: Chosen
    bundles: list[Bundle]

    def take(self, bundle: Bundle) -> None:
        for move in bundle:
            self.paper.take(move)
        self.chosen = after(self.chosen, bundle)
        self.bundles.append(bundle)

    def copy(self) -> _Draft:
        return _Draft(self.stand, self.paper.copy(), self.chosen, list(self.bundles))


class Ways:
    """Ways in one season; `barred` are bundles that came to nothing in a plan (`ways_of`), and why."""

    def __init__(self, season: Season, catalogue: Catalogue, *, wished: float) -> None:
        self.barred: dict[tuple[tuple[str, str, bool], ...], str] = {}
        self._season, self._catalogue, self._wished = season, catalogue, wished
        self._sized: dict[tuple[object, ...], int] = {}

    def up(self, stand: Stand) -> list[Bundle]:
        """What to add, always what brings most chance for its work, until the wish is met.

        Where no single thing can be told to help, two or three of them are added at once. It ends before the
        wish is met where these do not help either.
        """
        draft = self._draft(stand)
        self._add(draft, BUNDLES, AT_ONCE)
        return draft.bundles

    def down(self, stand: Stand) -> list[Bundle]:
        """What to leave out, always what saves most work for the chance it costs, while the wish is met.

        Then one thing more, where what makes that good takes less work.
        """
        draft = self._draft(stand)
        self._leave_out(draft)
        for _ in range(TURNS):
            others = [self._turned(draft, move) for move in self._omissions(draft)]
            least = min((other for other in others if self._meets(other)), key=self._all_work, default=draft)
            if self._all_work(least) >= self._all_work(draft):
                break
            draft = least
        return draft.bundles

    def work(self, stand: Stand, chosen: Chosen, move: Move) -> int:
        """Minutes of lab work that a move adds, about: as if each batch were cooked on a day of its own."""
        level = stand.sizing.level
        before, now = (self._minutes(move.line, level, one) for one in (chosen, after(chosen, [move])))
        return now - before

    @staticmethod
    def _draft(stand: Stand) -> _Draft:
        return _Draft(stand, OnPaper(stand.course, USUAL_SEASONS, USUAL_SEED), stand.chosen, [])

    def _meets(self, draft: _Draft) -> bool:
        return draft.paper.chance()[0] >= self._wished

    # --- up -------------------------------------------------------------------------------------------

    def _add(self, draft: _Draft, most: int, at_once: int = 1, spared: tuple[str, str] | None = None) -> None:
        """Adds until the wish is met, but nothing of the line and stage that are `spared`."""
        for _ in range(most):
            if self._meets(draft):
                return
            moves = [move for move in self._additions(draft) if (move.line, move.stage) != spared]
            bundle = self._best_addition(draft, moves, at_once)
            if bundle is None:
                return
            draft.take(bundle)

    def _best_addition(self, draft: _Draft, moves: Sequence[Move], at_once: int) -> Bundle | None:
        """The bundle that brings most chance for its work, of as few moves as show a gain."""
        for count in range(1, at_once + 1):
            rated, sure = [], []
            for bundle in combinations_with_replacement(moves, count):
                if ways_of(bundle) in self.barred or _doubles_a_margin(bundle):
                    continue
                gain, stderr = draft.paper.gain(*bundle)
                rate = gain / max(1, sum(self._worth(draft, move) for move in bundle))
                rated.append((rate, bundle))
                if gain > SURE * stderr:
                    sure.append((rate, bundle))
            if sure:
                return _first(sure)
            if count == 1:
                best = sorted(rated, key=lambda one: -one[0])[:FEW]
                moves = [move for _, (move,) in best]
        return None

    def _additions(self, draft: _Draft) -> Iterator[Move]:
        moves = [Move(*key, 1) for key in draft.paper.stages() if key in draft.chosen.spares]
        moves += [Move(line, "", self._margin_left(draft, line)) for line in draft.paper.lines()]
        yield from (move for move in moves if move.by > 0)

    def _margin_left(self, draft: _Draft, line: str) -> int:
        """Days, up to a week, that spawn of a line could be ready earlier and still be fresh when planted."""
        sized = next(one for one in draft.stand.sizing.lines if one.code == line)
        added = draft.chosen.margin.get(line, 0) - draft.stand.chosen.margin.get(line, 0)
        made = [b for b in sized.batches if b.is_to_make and is_finished(b, self._season.plantings)]
        fresh = max((batch.fresh_days for batch in made), default=0)
        return min(WEEK, fresh - sized.buffer_days - added)

    # --- down -----------------------------------------------------------------------------------------

    def _leave_out(self, draft: _Draft) -> None:
        for _ in range(BUNDLES):
            chance, rated = draft.paper.chance()[0], []
            for move in self._omissions(draft):
                saved, lost = -self._worth(draft, move), -draft.paper.gain(move)[0]
                if saved > 0 and chance - lost >= self._wished:
                    rated.append((saved / max(lost, 1 / USUAL_SEASONS), (move,)))
            if not rated:
                return
            draft.take(_first(rated))

    def _omissions(self, draft: _Draft) -> Iterator[Move]:
        spares, margin = draft.chosen.spares, draft.chosen.margin
        moves = [Move(*key, -1) for key in draft.paper.stages() if spares.get(key, 0) > 0]
        moves += [Move(line, "", -min(WEEK, days)) for line, days in margin.items()]
        yield from (move for move in moves if ways_of((move,)) not in self.barred)

    def _turned(self, draft: _Draft, move: Move) -> _Draft:
        """The draft without one thing more, the wish met by what brings most chance for its work instead."""
        other = draft.copy()
        other.take((move,))
        self._add(other, REPAIRS, spared=(move.line, move.stage))
        if self._meets(other):
            self._leave_out(other)
        return other

    # --- what it takes --------------------------------------------------------------------------------

    def _worth(self, draft: _Draft, move: Move) -> int:
        """Minutes that a move counts for: a margin takes no work, but spawn is the less fresh for it."""
        if not move.stage:
            return 1 if move.by > 0 else -1
        return self.work(draft.stand, draft.chosen, move)

    def _all_work(self, draft: _Draft) -> float:
        level, chosen = draft.stand.sizing.level, draft.chosen
        lines = sum(self._minutes(line, level, chosen) for line in draft.paper.lines())
        return lines + sum(chosen.margin.values()) / WEEK

    def _minutes(self, line: str, level: Level, chosen: Chosen) -> int:
        """Lab work of one line; what the others have chosen changes nothing in it."""
        key = (line, level, *sorted(chosen.of(line).items()), chosen.margin.get(line, 0))
        if key not in self._sized:
            mine = tuple(planting for planting in self._season.plantings if planting.code == line)
            sizing = size(replace(self._season, plantings=mine), self._catalogue, level, {}, chosen)
            made = [batch for batch in sizing.batches() if batch.is_to_make]
            cooked = sum(batch.load_class is not None for batch in made)
            self._sized[key] = sum(batch.minutes for batch in made) + DAY_WITH_WORK * cooked
        return self._sized[key]


def ways_of(bundle: Bundle) -> tuple[tuple[str, str, bool], ...]:
    """What a bundle changes, by which it is known again."""
    return tuple(move.way for move in bundle)


def _doubles_a_margin(bundle: Bundle) -> bool:
    """Whether a line is to begin earlier twice: how much earlier it can, depends on what it does already."""
    lines = [move.line for move in bundle if not move.stage]
    return len(lines) > len(set(lines))


def _first(rated: Sequence[tuple[float, Rated]]) -> Rated:
    """The best rated one; of equals the one named first."""
    return max(rated, key=lambda one: one[0])[1]

"""Ways from one plan towards a wished chance, looked for on paper: what to add, and what to leave out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

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
MOVES = 60
"""Moves, at most, from one plan to the next."""
REPAIRS = 6
"""Moves, at most, that make good one that goes below the wish."""
TURNS = 4
"""Such moves that are made, at most, on one way."""


@dataclass(frozen=True)
class Stand:
    """Where a way begins: what was chosen, how that was sized, and how it plays."""

    chosen: Chosen
    sizing: Sizing
    course: Course


def after(chosen: Chosen, moves: Sequence[Move]) -> Chosen:
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
    moves: list[Move]

    def take(self, move: Move) -> None:
        self.paper.take(move)
        self.chosen = after(self.chosen, [move])
        self.moves.append(move)

    def copy(self) -> _Draft:
        return _Draft(self.stand, self.paper.copy(), self.chosen, list(self.moves))


class Ways:
    """Ways in one season; `barred` are those that came to nothing in a plan (`Move.way`), and why."""

    def __init__(self, season: Season, catalogue: Catalogue, *, wished: float) -> None:
        self.barred: dict[tuple[str, str, bool], str] = {}
        self._season, self._catalogue, self._wished = season, catalogue, wished
        self._sized: dict[tuple[object, ...], int] = {}

    def up(self, stand: Stand) -> list[Move]:
        """What to add, always what brings most chance for its work, until the wish is met.

        It ends before that where nothing more can be told to help.
        """
        draft = self._draft(stand)
        self._add(draft, MOVES)
        return draft.moves

    def down(self, stand: Stand) -> list[Move]:
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
        return draft.moves

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

    def _add(self, draft: _Draft, most: int, spared: tuple[str, str] | None = None) -> None:
        """Adds until the wish is met, but nothing of the line and stage that are `spared`."""
        for _ in range(most):
            if self._meets(draft):
                return
            rated = []
            for move in self._additions(draft):
                gain, stderr = draft.paper.gain(move)
                if gain > SURE * stderr and (move.line, move.stage) != spared:
                    rated.append((gain / max(1, self._worth(draft, move)), move))
            if not rated:
                return
            draft.take(_first(rated))

    def _additions(self, draft: _Draft) -> Iterator[Move]:
        moves = [Move(*key, 1) for key in draft.paper.stages() if key in draft.chosen.spares]
        moves += [Move(line, "", self._margin_left(draft, line)) for line in draft.paper.lines()]
        yield from (move for move in moves if move.by > 0 and move.way not in self.barred)

    def _margin_left(self, draft: _Draft, line: str) -> int:
        """Days, up to a week, that spawn of a line could be ready earlier and still be fresh when planted."""
        sized = next(one for one in draft.stand.sizing.lines if one.code == line)
        added = draft.chosen.margin.get(line, 0) - draft.stand.chosen.margin.get(line, 0)
        made = [b for b in sized.batches if b.is_to_make and is_finished(b, self._season.plantings)]
        fresh = max((batch.fresh_days for batch in made), default=0)
        return min(WEEK, fresh - sized.buffer_days - added)

    # --- down -----------------------------------------------------------------------------------------

    def _leave_out(self, draft: _Draft) -> None:
        for _ in range(MOVES):
            chance, rated = draft.paper.chance()[0], []
            for move in self._omissions(draft):
                saved, lost = -self._worth(draft, move), -draft.paper.gain(move)[0]
                if saved > 0 and chance - lost >= self._wished:
                    rated.append((saved / max(lost, 1 / USUAL_SEASONS), move))
            if not rated:
                return
            draft.take(_first(rated))

    def _omissions(self, draft: _Draft) -> Iterator[Move]:
        spares, margin = draft.chosen.spares, draft.chosen.margin
        moves = [Move(*key, -1) for key in draft.paper.stages() if spares.get(key, 0) > 0]
        moves += [Move(line, "", -min(WEEK, days)) for line, days in margin.items()]
        yield from (move for move in moves if move.way not in self.barred)

    def _turned(self, draft: _Draft, move: Move) -> _Draft:
        """The draft without one thing more, the wish met by what brings most chance for its work instead."""
        other = draft.copy()
        other.take(move)
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


def _first(rated: Sequence[tuple[float, Move]]) -> Move:
    """The best rated move; of equals the one named first."""
    return max(rated, key=lambda one: one[0])[1]

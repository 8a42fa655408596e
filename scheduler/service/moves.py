"""Ways from one plan towards a wished chance, looked for on paper: what to add, and what to leave out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
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
    return replace(chosen, spares=spares, margin=margin)


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
        return list(self._way(stand, self._addition))

    def down(self, stand: Stand) -> list[Move]:
        """What to leave out, always what saves most work for the chance it costs, while the wish is met."""
        return list(self._way(stand, self._omission))

    def work(self, stand: Stand, chosen: Chosen, move: Move) -> int:
        """Minutes of lab work that a move adds, about: as if each batch were cooked on a day of its own."""
        level = stand.sizing.level
        return self._minutes(move.line, level, after(chosen, [move])) - self._minutes(
            move.line, level, chosen
        )

    @staticmethod
    def _way(stand: Stand, best: Callable[[Stand, Chosen, OnPaper], Move | None]) -> Iterator[Move]:
        paper, chosen = OnPaper(stand.course, USUAL_SEASONS, USUAL_SEED), stand.chosen
        for _ in range(MOVES):
            move = best(stand, chosen, paper)
            if move is None:
                return
            yield move
            paper.take(move)
            chosen = after(chosen, [move])

    def _addition(self, stand: Stand, chosen: Chosen, paper: OnPaper) -> Move | None:
        if paper.chance()[0] >= self._wished:
            return None
        rated = []
        for move in self._additions(stand, chosen, paper):
            gain, stderr = paper.gain(move)
            if gain > SURE * stderr:
                rated.append((gain / max(1, _worth(self.work(stand, chosen, move), move)), move))
        return _first(rated)

    def _additions(self, stand: Stand, chosen: Chosen, paper: OnPaper) -> Iterator[Move]:
        moves = [Move(line, stage, 1) for line, stage in paper.stages() if (line, stage) in chosen.spares]
        for line in paper.lines():
            days = self._margin_left(stand, chosen, line)
            if days > 0:
                moves.append(Move(line, "", days))
        yield from (move for move in moves if move.way not in self.barred)

    def _margin_left(self, stand: Stand, chosen: Chosen, line: str) -> int:
        """Days, up to a week, that spawn of a line could be ready earlier and still be fresh when planted."""
        sized = next(one for one in stand.sizing.lines if one.code == line)
        added = chosen.margin.get(line, 0) - stand.chosen.margin.get(line, 0)
        fresh = (
            b.fresh_days for b in sized.batches if b.is_to_make and is_finished(b, self._season.plantings)
        )
        return min(WEEK, max(fresh, default=0) - sized.buffer_days - added)

    def _omission(self, stand: Stand, chosen: Chosen, paper: OnPaper) -> Move | None:
        chance, rated = paper.chance()[0], []
        moves = [Move(*key, -1) for key in paper.stages() if chosen.spares.get(key, 0) > 0]
        moves += [Move(line, "", -min(WEEK, days)) for line, days in chosen.margin.items() if days > 0]
        for move in moves:
            if move.way in self.barred:
                continue
            saved, lost = _worth(-self.work(stand, chosen, move), move), -paper.gain(move)[0]
            if saved > 0 and chance - lost >= self._wished:
                rated.append((saved / max(lost, 1 / USUAL_SEASONS), move))
        return _first(rated)

    def _minutes(self, line: str, level: Level, chosen: Chosen) -> int:
        """Lab work of one line; what the others have chosen changes nothing in it."""
        key = (line, level, *sorted(chosen.of(line).items()), chosen.margin.get(line, 0))
        if key not in self._sized:
            alone = replace(
                self._season, plantings=tuple(p for p in self._season.plantings if p.code == line)
            )
            made = [b for b in size(alone, self._catalogue, level, {}, chosen).batches() if b.is_to_make]
            cooked = sum(batch.load_class is not None for batch in made)
            self._sized[key] = sum(batch.minutes for batch in made) + DAY_WITH_WORK * cooked
        return self._sized[key]


def _worth(minutes: int, move: Move) -> int:
    """Minutes that a move counts for: a margin takes no work, but spawn is the less fresh for it."""
    return minutes if move.stage else 1


def _first(rated: Sequence[tuple[float, Move]]) -> Move | None:
    """The best rated move; of equals the one named first."""
    return max(rated, key=lambda one: one[0])[1] if rated else None

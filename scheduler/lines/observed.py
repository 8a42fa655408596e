"""What a season's book tells of its batches, before anything is concluded from it: fates and runs."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Fate:
    """What became of one unit that was made in this lab."""

    species: str
    stage: str
    batch: str
    extra: float
    """The chance of a loss that its heat treatment adds."""
    load: str | None
    """What tells its load from others; None where nothing was heat-treated here."""
    parent: str | None
    """What tells the unit it was made from from others; None where nobody knows."""
    lost: bool
    seen: float
    """Of all losses of such a unit, the share that shows by the time it was last looked at: 1 where it was
    ready, 0 where it was never looked at."""


@dataclass(frozen=True)
class RunSeen:
    """When a batch ran through, in days at the reference temperature: after `after` and at most at `by`."""

    species: str
    stage: str
    parent_stage: str
    after: float
    by: float
    """Infinite where it had not run through yet."""
    to_the_day: bool = False


@dataclass(frozen=True)
class Observed:
    """All of one season, or of several together."""

    fates: tuple[Fate, ...] = ()
    runs: tuple[RunSeen, ...] = ()
    unknown_runs: tuple[RunSeen, ...] = ()
    """Batches that were begun and of which nobody said anything since."""

    def __add__(self, other: Observed) -> Observed:
        return Observed(
            self.fates + other.fates, self.runs + other.runs, self.unknown_runs + other.unknown_runs
        )

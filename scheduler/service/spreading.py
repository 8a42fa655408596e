"""Spreads work over whoever does it, a few things at a time, and gives what comes of each once it is there.

Who does it is a crew: processes of this machine, or workers of a cluster. What comes of a thing does not
depend on it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, CancelledError, Future, wait
from dataclasses import dataclass
from itertools import islice
from typing import Any, Protocol, TypeVar

Tag = TypeVar("Tag")
One = TypeVar("One")
Outcome = TypeVar("Outcome")

LOOK_SECONDS = 2.0
"""So often it is looked whether the crew is still there."""


@dataclass(frozen=True)
class Lost:
    """Nothing came of a thing: whoever worked at it was ended."""

    why: str


class Crew(Protocol):
    """Whoever does the work."""

    def hands(self) -> int:
        """How many things are handed out at a time. UsageError where nobody is left to do them."""

    def submit(self, work: Callable[[Any], Any], thing: Any, alone: bool) -> Future[Any]:
        """Hands a thing out; `alone` to somebody who has nothing else in hand."""

    def explain(self, error: BaseException, alone: bool) -> Lost | None:
        """What is said of a thing that ended in an error; None where it is to be tried again, `alone`.

        Raises the error where it is the work's own.
        """


def spread(
    work: Callable[[One], Outcome], things: Iterable[tuple[Tag, One]], crew: Crew
) -> Iterator[tuple[Tag, Outcome | Lost]]:
    """What `work`, a function of a module, makes of each thing, as it comes, with the tag of the thing.

    Things are taken as they are handed out, never more than the crew has hands, so that thousands need no
    more room than a few. Raises what the work raises, and as the crew does.
    """
    left = iter(things)
    flying: dict[Future[Outcome], tuple[Tag, One, bool]] = {}
    while True:
        for tag, thing in islice(left, max(0, crew.hands() - len(flying))):
            flying[crew.submit(work, thing, alone=False)] = tag, thing, False
        if not flying:
            return
        for future in wait(flying, LOOK_SECONDS, FIRST_COMPLETED).done:
            tag, thing, alone = flying.pop(future)
            error = CancelledError() if future.cancelled() else future.exception()
            if error is None:
                yield tag, future.result()
                continue
            lost = crew.explain(error, alone)
            if lost:
                yield tag, lost
            else:
                flying[crew.submit(work, thing, alone=True)] = tag, thing, True

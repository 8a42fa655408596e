"""Things handed out to a crew: each comes back once, whatever the order in which they are done."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import Future
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.service import spreading
from scheduler.service.spreading import Lost, spread

BROKEN = Lost("broken")


@pytest.fixture(autouse=True, scope="module")
def at_once() -> Iterator[None]:
    """This crew gets on when it is looked at, so nobody waits before looking again."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(spreading, "LOOK_SECONDS", 0.0)
        yield


class Slow:
    """A crew that does what it has in hand in an order that is drawn, and breaks down at some things."""

    def __init__(self, hands: int, draw: Callable[[int], int], once: set[int], always: set[int]) -> None:
        self._hands, self._draw, self._once, self._always = hands, draw, once, always
        self.waiting: list[tuple[Future[int], int]] = []
        self.most = 0
        self._over = False

    def hands(self) -> int:
        """As many things as it may have; something of what it has is done meanwhile."""
        if self._over:
            self.last()
        elif len(self.waiting) >= self._hands:
            self._finish()
        return self._hands

    def submit(self, work: Callable[[Any], Any], thing: int, alone: bool) -> Future[int]:
        """Takes a thing; with the last one it has room for, or one to be done alone, it does something."""
        future: Future[int] = Future()
        self.waiting.append((future, thing))
        self.most = max(self.most, len(self.waiting))
        if thing in self._always or (thing in self._once and not alone):
            future.set_exception(OSError(thing))
            self.waiting.pop()
        elif alone:
            self._finish()
        return future

    def last(self) -> None:
        """Does what is left, and from now on everything at once: nothing more is coming."""
        self._over = True
        while self.waiting:
            self._finish()

    def explain(self, error: BaseException, alone: bool) -> Lost | None:
        """Tried twice."""
        return BROKEN if alone else None

    def _finish(self) -> None:
        future, thing = self.waiting.pop(self._draw(len(self.waiting)))
        future.set_result(2 * thing)


@settings(deadline=None)
@given(
    st.integers(0, 30),
    st.integers(1, 5),
    st.sets(st.integers(0, 30)),
    st.sets(st.integers(0, 30)),
    st.randoms(),
)
def test_each_thing_comes_back_once(
    things: int, hands: int, once: set[int], always: set[int], dice: Any
) -> None:
    """With its own tag, though it broke down once; and no more are in hand than the crew has hands."""
    crew = Slow(hands, dice.randrange, once - always, always)

    def handed_out() -> Iterator[tuple[str, int]]:
        for thing in range(things):
            yield str(thing), thing
        crew.last()

    found = list(spread(int, handed_out(), crew))
    assert sorted(found, key=lambda one: int(one[0])) == [
        (str(thing), BROKEN if thing in always else 2 * thing) for thing in range(things)
    ]
    assert crew.most <= hands + 1


def test_nothing_is_taken_before_there_is_a_hand_for_it() -> None:
    """Thousands of things need no more room than a few."""
    taken: list[int] = []

    def handed_out() -> Iterator[tuple[int, int]]:
        for thing in range(1000):
            taken.append(thing)
            yield thing, thing
        crew.last()

    crew = Slow(3, lambda _: 0, set(), set())
    for done, _ in enumerate(spread(int, handed_out(), crew), start=1):
        assert len(taken) <= done + 3
    assert len(taken) == 1000

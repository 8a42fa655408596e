"""A line of progress for a search that takes longer than a second; nothing where nobody looks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console

AFTER_SECONDS = 1.0

WORDS = {
    "plantings": "looking for days that fit",
    "ideal": "trying for everything at its best",
    "margin": "keeping the margins",
    "risk": "weighing freshness and best spans",
    "days": "saving days with work",
    "polish": "polishing",
}


@contextmanager
def progress(console: Console) -> Iterator[Callable[[str, float, int | None], None] | None]:
    """A watcher that draws what the search is at; None where the console is not a terminal."""
    if not console.is_terminal:
        yield None
        return
    from rich.status import Status

    status = Status("", console=console, spinner="line")
    shown = False

    def watch(tier: str, seconds: float, best: int | None) -> None:
        nonlocal shown
        if seconds < AFTER_SECONDS:
            return
        value = "" if best is None else f", best so far {best}"
        status.update(f"{WORDS.get(tier, tier)}, {seconds:.0f} s{value}  (Ctrl-C takes the best so far)")
        if not shown:
            shown = True
            status.start()

    try:
        yield watch
    finally:
        status.stop()

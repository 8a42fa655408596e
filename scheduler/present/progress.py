"""A line of progress for what takes longer than a second; nothing where nobody looks."""

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


@contextmanager
def counting(console: Console, what: str) -> Iterator[Callable[[int, int], None]]:
    """A bar for things that are done one by one: told how many are done, of how many."""
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        TextColumn,
        TimeElapsedColumn,
        TimeRemainingColumn,
    )

    done, left = (MofNCompleteColumn(), TimeElapsedColumn()), (TextColumn("left"), TimeRemainingColumn())
    columns = (TextColumn(what), BarColumn(), *done, *left)
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
        shown = bar.add_task(what, total=None, visible=False)

        def told(done: int, total: int) -> None:
            bar.update(shown, completed=done, total=total, visible=True)

        yield told

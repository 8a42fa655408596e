"""Plays rehearsals on several processors; where they are stopped, no process is left behind."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import active_children, get_context, parent_process
from typing import TypeVar

from scheduler.errors import Fault, UsageError

One = TypeVar("One")
Outcome = TypeVar("Outcome")


def cores() -> int:
    """Processors that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def each(
    work: Callable[[One], Outcome], things: tuple[One, ...], jobs: int, told: Callable[[int, int], None]
) -> list[Outcome]:
    """What `work`, a function of a module, gives for each thing, in their order, by up to `jobs` processes.

    Each process is started afresh, so that it holds nothing of this one. `told` hears how many are done. On
    any way out the processes end: also on Ctrl-C, of which they hear nothing. Raises UsageError where one of
    them was ended from outside.
    """
    others = set(active_children())
    pool = ProcessPoolExecutor(min(jobs, len(things)), get_context("spawn"), initializer=end_with_parent)
    told(0, len(things))
    try:
        heard = signal.signal(signal.SIGINT, signal.SIG_IGN)  # a process inherits what it ignores
        try:
            futures = [pool.submit(work, thing) for thing in things]
        finally:
            signal.signal(signal.SIGINT, heard)
        for done, future in enumerate(as_completed(futures), start=1):
            future.result()
            told(done, len(things))
        return [future.result() for future in futures]
    except BrokenProcessPool:
        raise UsageError(
            Fault(
                "--jobs",
                "a process that rehearsed was ended from outside",
                "memory for a solver in each of them",
                "--jobs 1",
            )
        ) from None
    finally:
        for child in set(active_children()) - others:
            child.terminate()
        pool.shutdown(cancel_futures=True)


def end_with_parent() -> None:
    """A process that rehearses ends with the one that started it, however that one ends."""
    parent = parent_process()

    def watch() -> None:
        if parent is not None:
            parent.join()
            os._exit(1)

    threading.Thread(target=watch, daemon=True).start()

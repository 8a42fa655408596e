"""A crew of processes on this machine; where their work is stopped, none of them is left behind."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing import active_children, get_context, parent_process
from multiprocessing.process import BaseProcess
from types import TracebackType
from typing import Any, TypeVar

from scheduler.errors import Fault, UsageError
from scheduler.pipes import broken_pipe_is_an_error
from scheduler.service.spreading import Lost, spread

One = TypeVar("One")
Outcome = TypeVar("Outcome")

ENDED = Lost("the process that worked at it was ended from outside, twice; had it memory enough?")


def cores() -> int:
    """Processors that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def each(
    work: Callable[[One], Outcome], things: tuple[One, ...], jobs: int, told: Callable[[int, int], None]
) -> list[Outcome]:
    """What `work`, a function of a module, gives for each thing, in their order, by up to `jobs` processes.

    `told` hears how many are done. Raises what the work raises, and UsageError where a process was ended
    from outside.
    """
    found: dict[int, Outcome] = {}
    told(0, len(things))
    with Processes(min(jobs, len(things))) as crew:
        for place, outcome in spread(work, enumerate(things), crew):
            if isinstance(outcome, Lost):
                raise UsageError(
                    Fault("--jobs", outcome.why, "memory for a solver in each process", "--jobs 1")
                )
            found[place] = outcome
            told(len(found), len(things))
    return [found[place] for place in range(len(things))]


class Processes:
    """So many processes of this machine; a context, at whose end they end.

    Each is started afresh, so that it holds nothing of this one. On any way out they end: also on Ctrl-C, of
    which they hear nothing. Where one is ended from outside, all that was in hand is tried again, each thing
    in a process of its own: so it shows which of them it was.
    """

    def __init__(self, jobs: int) -> None:
        self._jobs = jobs
        self._others: set[BaseProcess] = set()
        self._pools: list[ProcessPoolExecutor] = []
        self._pipes = broken_pipe_is_an_error()  # what is handed to one that has ended

    def __enter__(self) -> Processes:
        self._pipes.__enter__()
        self._others = set(active_children())
        self._pools = [_pool(self._jobs)]
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        started = set(active_children()) - self._others
        for child in started:
            child.terminate()
        for pool in self._pools:
            pool.shutdown(cancel_futures=True)
        for child in started:
            child.join()
        self._pipes.__exit__(kind, error, trace)

    def hands(self) -> int:
        """One thing more than there are processes, so that none has to wait for the next."""
        return self._jobs + 1

    def submit(self, work: Callable[[Any], Any], thing: Any, alone: bool) -> Future[Any]:
        """Hands a thing to the next process that is free, or to one of its own."""
        if alone:
            return self._submit_alone(work, thing)
        with _unheard():
            try:
                return self._pools[0].submit(work, thing)
            except BrokenProcessPool:
                self._pools[0].shutdown()
                self._pools[0] = _pool(self._jobs)
                return self._pools[0].submit(work, thing)

    def explain(self, error: BaseException, alone: bool) -> Lost | None:
        """A thing is tried once more, and lost where its own process is ended, too. Else raises the error."""
        if not isinstance(error, BrokenProcessPool):
            raise error
        return ENDED if alone else None

    def _submit_alone(self, work: Callable[[Any], Any], thing: Any) -> Future[Any]:
        pool = _pool(1)
        self._pools.append(pool)
        with _unheard():
            future = pool.submit(work, thing)
        future.add_done_callback(lambda _: pool.shutdown(wait=False))
        return future


def _pool(size: int) -> ProcessPoolExecutor:
    return ProcessPoolExecutor(size, get_context("spawn"), initializer=end_with_parent)


@contextmanager
def _unheard() -> Iterator[None]:
    """A process that is started meanwhile hears nothing of Ctrl-C, ever; this one hears of it afterwards.

    A mask is inherited, and so is what is ignored; but what is ignored here would be lost.
    """
    if not hasattr(signal, "pthread_sigmask"):  # on Windows
        heard = signal.signal(signal.SIGINT, signal.SIG_IGN)
        try:
            yield
        finally:
            signal.signal(signal.SIGINT, heard)
        return
    mask = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, mask)


def end_with_parent() -> None:
    """A process that works here ends with the one that started it, however that one ends."""
    parent = parent_process()

    def watch() -> None:
        if parent is not None:
            parent.join()
            os._exit(1)

    threading.Thread(target=watch, daemon=True).start()

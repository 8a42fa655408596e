"""Work that takes its time is done in a process of its own, so that pages go on meanwhile.

One piece of work after the other: a grower has one season. What it comes to is plain data, its errors too.
"""

from __future__ import annotations

import secrets
import signal
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing import get_context
from threading import Lock
from typing import Generic, TypeVar

from scheduler.service.processes import end_with_parent

MOST_KEPT = 60
"""So many pieces of work are known after they are done."""
MOST_WAITING = 20
"""So many pieces may be under way or wait for it at a time."""

Asked = TypeVar("Asked")
Outcome = TypeVar("Outcome")


class Busy(Exception):
    """Too many pieces of work wait already; nothing was begun."""


@dataclass(frozen=True)
class Piece(Generic[Asked, Outcome]):
    """A piece of work under way, or done."""

    name: str
    asked: Asked
    outcome: Future[Outcome]


class Apart(Generic[Asked, Outcome]):
    """Does pieces of work, each known by a name; `work` is a function of a module.

    What is asked for the same reason is worked out once. `ended` is the outcome of a piece whose process was
    ended from outside.
    """

    def __init__(self, work: Callable[[Asked], Outcome], ended: Outcome) -> None:
        self._work, self._ended = work, ended
        self._pool: ProcessPoolExecutor | None = None
        self._pieces: dict[str, Piece[Asked, Outcome]] = {}
        self._names: dict[object, str] = {}
        self._lock = Lock()

    def begin(self, asked: Asked, reason: object = None) -> str:
        """The name of a piece of work; that of an earlier one, where one was begun for this reason.

        Raises `Busy` where too many of them wait already.
        """
        with self._lock:
            if reason is not None and self._names.get(reason) in self._pieces:
                return self._names[reason]
            if sum(not piece.outcome.done() for piece in self._pieces.values()) >= MOST_WAITING:
                raise Busy
            name = secrets.token_urlsafe(9)
            self._pieces[name] = Piece(name, asked, self._submit(asked))
            if reason is not None:
                self._names[reason] = name
            self._forget()
            return name

    def find(self, name: str) -> Piece[Asked, Outcome] | None:
        """A piece of work by its name."""
        return self._pieces.get(name)

    def close(self) -> None:
        """Ends what is under way; a book is written whole or not at all."""
        if self._pool is not None:
            processes = list((self._pool._processes or {}).values())
            for process in processes:
                process.terminate()
            self._pool.shutdown(cancel_futures=True)

    def _submit(self, asked: Asked) -> Future[Outcome]:
        told: Future[Outcome] = Future()
        try:
            self._start(asked).add_done_callback(lambda done: self._tell(done, told))
        except BrokenProcessPool:  # the one before was ended from outside
            self._pool = None
            self._start(asked).add_done_callback(lambda done: self._tell(done, told))
        return told

    def _start(self, asked: Asked) -> Future[Outcome]:
        if self._pool is None:
            self._pool = ProcessPoolExecutor(1, get_context("spawn"), initializer=_begin)
        return self._pool.submit(self._work, asked)

    def _tell(self, done: Future[Outcome], told: Future[Outcome]) -> None:
        broken = done.cancelled() or done.exception() is not None
        told.set_result(self._ended if broken else done.result())

    def _forget(self) -> None:
        """The oldest that are done; the page of one that is not has been promised to somebody."""
        done = [name for name, piece in self._pieces.items() if piece.outcome.done()]
        for name in done[: max(0, len(done) - MOST_KEPT)]:
            del self._pieces[name]
        self._names = {reason: name for reason, name in self._names.items() if name in self._pieces}


def _begin() -> None:
    """Ctrl-C is for the server, which ends this process when it ends."""
    with suppress(ValueError):
        signal.signal(signal.SIGINT, signal.SIG_IGN)
    end_with_parent()

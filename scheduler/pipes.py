"""What becomes of this process where nobody reads any more what it writes."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager

CAN_END = hasattr(signal, "SIGPIPE")
"""Whether a system ends whoever writes into a broken pipe, as all but Windows do."""


def broken_pipe_ends() -> None:
    """From now on: a reader that has seen enough (a pager, `head`) ends this process without a word."""
    if CAN_END:
        signal.signal(signal.SIGPIPE, signal.SIG_DFL)


@contextmanager
def broken_pipe_is_an_error() -> Iterator[None]:
    """Meanwhile: others that end, and servers that hang up, raise an OSError where they are written to.

    Only the main thread can see to that; in any other one nothing changes.
    """
    if not CAN_END or threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGPIPE, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGPIPE, before)

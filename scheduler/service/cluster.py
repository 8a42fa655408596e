"""A crew of workers on a Dask cluster; the only place that knows Dask, which is an extra."""

from __future__ import annotations

import importlib.util
import logging
import re
import time
import warnings
from collections.abc import Callable, Iterator
from concurrent.futures import CancelledError, Future
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from scheduler.errors import Fault, UsageError
from scheduler.pipes import broken_pipe_is_an_error
from scheduler.service.one_of_many import installed
from scheduler.service.spreading import Lost

if TYPE_CHECKING:
    from distributed import Client

ANSWERS_SECONDS = 10.0
"""So long a scheduler may take to answer, and to find its first worker."""
GONE_SECONDS = 60.0
"""So long it is waited for workers, once there are none any more."""

EXAMPLE = "--cluster tcp://192.0.2.7:8786"
_ADDRESS = re.compile(r"(tcp|tls)://([\w.-]+|\[[0-9a-fA-F:.]+\]):\d{1,5}")
_ALLOWED = "the address of a Dask scheduler, which `dask scheduler` prints"
_GO_ON = "run the same again: what was planned with -o is not planned anew"


@contextmanager
def workers(address: str) -> Iterator[Workers]:
    """The workers of the Dask scheduler at an address, each found to have what is installed here.

    Raises UsageError where Dask is not installed, nobody answers there, no worker is there, or one has
    another budswell, other figures, or another solver. At the end what is still planned is given up.
    """
    if importlib.util.find_spec("distributed") is None:
        raise UsageError(
            Fault(
                "--cluster",
                "a cluster is reached with Dask (distributed), which is not installed",
                "an installation with the extra `cluster`",
                "pip install 'budswell[cluster]'; or leave --cluster out",
            )
        )
    if not _ADDRESS.fullmatch(address):
        raise UsageError(Fault("--cluster", f'"{address}"', _ALLOWED, EXAMPLE))
    with broken_pipe_is_an_error():
        client = _connected(address)
        try:
            _require_same(client, address)
            yield Workers(client, address)
        finally:
            client.close(timeout=ANSWERS_SECONDS)


def _connected(address: str) -> Client:
    from distributed import Client

    # What it has to say of lost connections and workers is said by us, in words of ours. Each of its parts
    # has a level of its own.
    for name in list(logging.root.manager.loggerDict):
        if name.partition(".")[0] == "distributed":
            logging.getLogger(name).setLevel(logging.CRITICAL + 1)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of versions: those that matter are compared below
            return Client(address, timeout=ANSWERS_SECONDS, set_as_default=False)
    except (OSError, ValueError) as error:
        why = f"nobody answers there within {ANSWERS_SECONDS:g} s" if _is_late(error) else str(error)
        raise UsageError(
            Fault(f"--cluster {address}", why, _ALLOWED, "is it running, and does a firewall lie between?")
        ) from None


def _is_late(error: Exception) -> bool:
    return isinstance(error, TimeoutError | ConnectionError) or "imed out" in str(error)


def _require_same(client: Client, address: str) -> None:
    """UsageError where no worker is there, or one would plan with something else than we would."""
    where = f"--cluster {address}"
    try:
        client.wait_for_workers(1, timeout=ANSWERS_SECONDS)
    except TimeoutError:
        hint = f"start some: dask worker {address} --nthreads 1 --nworkers auto"
        raise UsageError(Fault(where, "no worker has joined it", "one or more workers", hint)) from None
    for worker, there in sorted(client.run(installed, on_error="return").items()):
        if there != installed():
            found = f"worker {worker} has {there}"
            if isinstance(there, BaseException):
                found = f"worker {worker} cannot run budswell: {there}"
            hint = f"install budswell from the same source on every worker; here is {installed()}"
            raise UsageError(Fault(where, found, "the same as here on every worker", hint))


class Workers:
    """The workers of a cluster, as they come and go."""

    def __init__(self, client: Client, address: str) -> None:
        self._client = client
        self._address = address
        self._executor = client.get_executor(pure=False)
        self._seen = time.monotonic()

    def hands(self) -> int:
        """Twice as many things as there are threads of workers, so that none waits for the next.

        Raises UsageError where the scheduler is gone, or there were no workers for a while.
        """
        threads = self._threads()
        now = time.monotonic()
        if threads:
            self._seen = now
        elif now - self._seen > GONE_SECONDS:
            found = f"no worker is left since {GONE_SECONDS:g} s"
            raise UsageError(Fault(f"--cluster {self._address}", found, "one or more workers", _GO_ON))
        return max(1, 2 * threads)

    def _threads(self) -> int:
        try:
            if self._client.status == "running":
                return sum(self._client.nthreads().values())
        except (OSError, TimeoutError):
            pass
        raise self._lost_scheduler()

    def submit(self, work: Callable[[Any], Any], thing: Any, alone: bool) -> Future[Any]:
        """Hands a thing to the scheduler, which gives it to another worker where one is lost."""
        future: Future[Any] = self._executor.submit(work, thing)
        return future

    def explain(self, error: BaseException, alone: bool) -> Lost | None:
        """A thing is lost where workers were lost with it again and again, or it cannot be read there."""
        from distributed.scheduler import KilledWorker

        if isinstance(error, KilledWorker):
            return Lost("worker after worker that worked at it was ended; had they memory enough?")
        if self._client.status != "running" or isinstance(error, CancelledError):
            raise self._lost_scheduler() from None
        return Lost(f"a worker could not take it up: {type(error).__name__}: {error}")

    def _lost_scheduler(self) -> UsageError:
        return UsageError(
            Fault(f"--cluster {self._address}", "the connection is lost", "a scheduler that runs on", _GO_ON)
        )

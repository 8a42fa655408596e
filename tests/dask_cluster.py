"""A real Dask cluster on this machine: a scheduler and workers, processes of their own that speak TCP."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from tests.command import environment

LONG = 120
"""Seconds after which a cluster that is not there makes a test fail."""


@dataclass
class Cluster:
    """A scheduler that runs in a folder, and its workers."""

    folder: Path
    address: str = ""
    workers: list[subprocess.Popen[bytes]] = field(default_factory=list)

    def begin(self) -> subprocess.Popen[bytes]:
        """Starts the scheduler and waits for its address."""
        file = self.folder / "scheduler.json"
        process = self._dask(
            "scheduler", "--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--scheduler-file", str(file)
        )
        until = time.monotonic() + LONG
        while not self.address:
            assert process.poll() is None
            assert time.monotonic() < until
            try:
                self.address = json.loads(file.read_text(encoding="utf-8"))["address"]
            except (OSError, ValueError):
                time.sleep(0.05)
        return process

    def add_worker(self, *options: str, **variables: str) -> subprocess.Popen[bytes]:
        """Starts a worker with one thread; it is not waited for."""
        process = self._dask(
            "worker", self.address, "--nthreads", "1", "--no-dashboard",
            "--local-directory", str(self.folder), *(options or ("--no-nanny",)), **variables,
        )  # fmt: skip
        self.workers.append(process)
        return process

    def _dask(self, *arguments: str, **variables: str) -> subprocess.Popen[bytes]:
        return subprocess.Popen(
            [sys.executable, "-m", "distributed.cli.dask_" + arguments[0], *arguments[1:]],
            cwd=self.folder,
            env=environment(**variables),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )


@contextmanager
def cluster(folder: Path, workers: int) -> Iterator[Cluster]:
    """A cluster with so many workers in a folder of its own, where no season lies."""
    folder.mkdir()
    found = Cluster(folder)
    scheduler = found.begin()
    try:
        for _ in range(workers):
            found.add_worker()
        yield found
    finally:
        for process in (*found.workers, scheduler):
            process.kill()
            process.wait()

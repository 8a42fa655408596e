"""A season that is served by a process of its own, asked as a calendar program asks."""

from __future__ import annotations

import http.client
import re
import signal
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

from tests.command import COMMAND, environment

PATIENCE_S = 60
"""After so long a process that does not answer or end is a fault."""


class Answer(NamedTuple):
    """What came back."""

    code: int
    headers: dict[str, str]
    data: bytes


class Served(NamedTuple):
    """A server, and the season that it serves."""

    process: subprocess.Popen[str]
    season: Path
    port: int
    said: str
    """What it has printed first: the plan and the addresses."""

    @property
    def key(self) -> str:
        """The secret in its addresses."""
        return (self.season / "season.feed").read_text().strip()

    def address(self, name: str = "events.ics") -> str:
        """The address of a file."""
        return f"http://127.0.0.1:{self.port}/feed/{self.key}/{name}"

    def ask(self, name: str = "events.ics", method: str = "GET", path: str = "", **headers: str) -> Answer:
        """What it answers; names of headers are written with underscores."""
        caller = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)
        try:
            named = {key.replace("_", "-"): value for key, value in headers.items()}
            caller.request(method, path or f"/feed/{self.key}/{name}", headers=named)
            found = caller.getresponse()
            told = {key.lower(): value for key, value in found.getheaders()}
            return Answer(found.status, told, found.read())
        finally:
            caller.close()

    def stopped(self) -> tuple[int, str, str]:
        """Ends it with Ctrl-C: its exit code, what it printed last, and on the other stream."""
        self.process.send_signal(signal.SIGINT)
        out, err = self.process.communicate(timeout=PATIENCE_S)
        return self.process.returncode, out, err


@contextmanager
def started(
    season: Path, *arguments: str, until: str, **variables: str
) -> Iterator[tuple[subprocess.Popen[str], str, int]]:
    """A server for a season folder until the end of the block, on a port of its own.

    With all that it has printed up to words that match `until`: what is read after that stands elsewhere.
    """
    process = subprocess.Popen(
        [*COMMAND, "serve", season.name, "--port", "0", *arguments],
        cwd=season.parent,
        env=environment(**variables),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
    )
    try:
        assert process.stdout
        said = ""
        while not re.search(until, said) and (line := process.stdout.readline()):
            said += line
        port = re.search(r"^  http://\S+?:(\d+)/", said, re.MULTILINE)
        assert port, process.communicate(timeout=PATIENCE_S)[1]
        yield process, said, int(port[1])
    finally:
        if process.poll() is None:
            process.kill()
            process.communicate()
        for stream in (process.stdout, process.stderr):
            if stream:
                stream.close()


@contextmanager
def served(season: Path, *arguments: str) -> Iterator[Served]:
    """A server of the calendars of a season folder."""
    with started(season, "--feed", *arguments, until=r"  http://[^/]+:\d+/.*\n") as (process, said, port):
        yield Served(process, season, port, said.partition("\n")[0] + "\n")

"""`serve` as it is started from a shell: where it listens, what it says, and how it ends."""

from __future__ import annotations

import http.client
import signal
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.command import example, inside, is_one_block, listing
from tests.february import DAY, begun, planned
from tests.served import PATIENCE_S, started


class Running(NamedTuple):
    """A server, its port, and what it has said."""

    process: subprocess.Popen[str]
    port: int
    said: str

    def get(self, path: str, **headers: str) -> tuple[int, str]:
        """What it answers."""
        caller = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)
        try:
            caller.request("GET", path, headers=headers)
            got = caller.getresponse()
            return got.status, got.read().decode()
        finally:
            caller.close()


@contextmanager
def running(season: Path, *arguments: str, **variables: str) -> Iterator[Running]:
    """A server of the page, once it has said all that it says."""
    until = r"with\s+a\s+passphrase\.\n|of\s+ssh\.\n|to\s+your\s+network\.\n"
    with started(season, "--today", DAY, *arguments, until=until, **variables) as (process, said, port):
        yield Running(process, port, said)


@pytest.mark.parametrize(("end", "code"), [(signal.SIGINT, 0), (signal.SIGTERM, 143)])
def test_the_page_is_served_here_until_it_is_stopped(end: signal.Signals, code: int, tmp_path: Path) -> None:
    """Also in the middle of long work, whose process ends with it; it says who can reach it."""
    with running(begun(tmp_path)) as one:
        assert one.said.startswith(
            "The page of Fern Hollow, spring 2027, plan 1, until Ctrl-C\n  http://127.0.0.1:"
        )
        status, text = one.get("/")
        assert status == 200 and "Fern Hollow" in text
        assert one.get("/", Host="evil.example")[0] == 421
        assert one.get("/outlook")[0] == 200
        one.process.send_signal(end)
        _, err = one.process.communicate(timeout=PATIENCE_S)
        assert one.process.returncode == code
        assert "Only programs on this machine reach it." in " ".join(one.said.split())
        assert err == ""


def test_from_the_network_it_asks_for_the_passphrase(tmp_path: Path) -> None:
    """And says plainly what plain http is."""
    with running(begun(tmp_path), "--lan", BUDSWELL_PASSPHRASE="three dry logs") as one:
        status, text = one.get("/")
        assert status == 401 and "Fern Hollow" not in text
        one.process.send_signal(signal.SIGINT)
        out, err = one.process.communicate(timeout=PATIENCE_S)
        told = " ".join(one.said.split())
        assert "plain http: whoever shares the network can read what is sent, the passphrase" in told
        assert "three dry logs" not in one.said + out + err


def test_lan_asks_for_the_passphrase_wherever_it_listens(tmp_path: Path) -> None:
    """Behind a tunnel or a web server too, which call from this machine."""
    lan = ("--lan", "--host", "127.0.0.1")
    with running(begun(tmp_path), *lan, BUDSWELL_PASSPHRASE="three dry logs") as one:
        status, text = one.get("/")
        assert status == 401 and "Fern Hollow" not in text
        told = " ".join(one.said.split())
        assert "Only programs on this machine reach it. It asks for the passphrase." in told


@pytest.mark.parametrize(
    ("arguments", "variables", "words"),
    [
        (["--lan"], {}, "nobody is there to type a passphrase"),
        (["--lan"], {"BUDSWELL_PASSPHRASE": "short"}, "8 letters or more"),
        (["--lan"], {"BUDSWELL_PASSPHRASE": ""}, "8 letters or more"),
        (["--host", "0.0.0.0"], {}, "--lan"),
        (["--host", "no such host", "--lan"], {"BUDSWELL_PASSPHRASE": "three dry logs"}, "is no address"),
        (["--today", "soon"], {}, "YYYY-MM-DD"),
        (["--alarm", "evning"], {}, 'did you mean "evening before"?'),
    ],
    ids=str,
)
def test_a_call_that_cannot_work_changes_nothing(
    arguments: list[str], variables: dict[str, str], words: str, tmp_path: Path
) -> None:
    """Exit code 2 and one block; no passphrase is repeated."""
    planned(tmp_path)
    before = listing(tmp_path)
    ended = inside("serve", "backyard", "--port", "0", *arguments, cwd=tmp_path, **variables)
    assert ended.code == 2
    is_one_block(ended)
    assert words in " ".join(ended.err.split())
    assert "short" not in ended.err
    assert listing(tmp_path) == before


def test_a_season_without_a_plan_has_no_page(tmp_path: Path) -> None:
    """The block says how it is planned."""
    example("backyard", tmp_path)
    ended = inside("serve", "backyard", "--port", "0", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "budswell plan backyard" in ended.err

"""Whole `record` commands that are killed, or that run at the same time: what was acknowledged is there."""

from __future__ import annotations

import random
import signal
import subprocess
import time
from datetime import date
from pathlib import Path

from scheduler.progress import Entry
from tests.command import COMMAND, environment
from tests.february import DAY, TODAY, begun, entries

KILLS = 25
"""Whole processes are slow; the thousand kills of a writing stand in `tests/book`."""
SEEN = "long enough to be seen to be cut short " * 50


def recording(number: int, season: Path) -> subprocess.Popen[bytes]:
    """A process that records one entry of its own."""
    return subprocess.Popen(
        [*COMMAND, "record", "backyard", "watered", "Oak", "stack", "for", str(number), SEEN, *TODAY],
        cwd=season.parent,
        env=environment(),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )


def ended(process: subprocess.Popen[bytes]) -> int:
    """The exit code of a process that has nothing to complain of."""
    _, complaint = process.communicate()
    assert complaint == b""
    return process.returncode


def entry(number: int) -> Entry:
    """The entry that it records."""
    return Entry("watered", date.fromisoformat(DAY), "Oak stack", seen=f"for {number} {SEEN}".strip())


def test_a_killed_command_has_recorded_all_or_nothing(tmp_path: Path) -> None:
    """After each kill at a random point the book opens, with every acknowledged entry and no half one."""
    season = begun(tmp_path)
    before = entries(season)
    began = time.perf_counter()
    assert ended(recording(0, season)) == 0
    whole = time.perf_counter() - began
    acknowledged, chance = [0], random.Random(20270204)
    for number in range(1, KILLS + 1):
        process = recording(number, season)
        # Most of a command is loading: its last part is where something can go wrong.
        time.sleep(whole * chance.uniform(0.5, 1.1))
        process.kill()
        code = ended(process)
        assert code in (0, -signal.SIGKILL)
        acknowledged += [number] if code == 0 else []
        found = entries(season)
        assert found[: len(before)] == before
        assert [one.entry_no for one in found] == list(range(1, len(found) + 1))
        added = [one.entry for one in found[len(before) :]]
        there = [one for one in range(number + 1) if entry(one) in added]
        assert added == [entry(one) for one in there]
        assert set(acknowledged) <= set(there)
    assert ended(recording(KILLS + 1, season)) == 0
    assert entries(season)[-1].entry == entry(KILLS + 1)


def test_two_commands_at_once_both_record(tmp_path: Path) -> None:
    """Neither loses what the other writes, and their numbers follow one another."""
    season = begun(tmp_path)
    before = len(entries(season))
    processes = [recording(number, season) for number in (1, 2)]
    assert [ended(process) for process in processes] == [0, 0]
    new = entries(season)[before:]
    assert [one.entry_no for one in new] == [before + 1, before + 2]
    assert sorted(one.entry.seen for one in new) == sorted(entry(number).seen for number in (1, 2))

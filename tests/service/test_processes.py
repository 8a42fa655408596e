"""Work on several processors: in order whatever their number, and no process is left where it is stopped."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import active_children
from pathlib import Path

import pytest

from scheduler.errors import UsageError
from scheduler.service import processes
from scheduler.service.spreading import Lost, spread
from tests.command import ROOT, environment

LONG = 60
"""Seconds after which a process that should have ended makes the test fail; it sleeps for 600."""


def double(number: int) -> int:
    """Something to do."""
    return 2 * number


def fail(number: int) -> int:
    """Something that goes wrong for one of them."""
    if number == 2:
        raise LookupError(number)
    return number


def die(number: int) -> int:
    """A process that is ended from outside."""
    os._exit(number)


@pytest.mark.parametrize("jobs", [1, 3])
def test_what_comes_of_each_stands_in_their_order(jobs: int) -> None:
    """Whatever the number of processes; each is told when it is done."""
    told: list[tuple[int, int]] = []
    found = processes.each(double, (5, 3, 8), jobs, lambda done, total: told.append((done, total)))
    assert found == [10, 6, 16]
    assert told == [(0, 3), (1, 3), (2, 3), (3, 3)]
    assert not active_children()


def test_what_goes_wrong_in_a_process_goes_wrong_here() -> None:
    """The same error, and nothing goes on."""
    with pytest.raises(LookupError):
        processes.each(fail, (1, 2, 3), 2, lambda done, total: None)
    assert not active_children()


def test_a_process_that_is_ended_is_no_answer() -> None:
    """It is said so, with what to do about it; nothing waits forever."""
    with pytest.raises(UsageError) as error:
        processes.each(die, (1, 2), 2, lambda done, total: None)
    assert "--jobs 1" in error.value.fault.hint
    assert not active_children()


def die_of_two(number: int) -> int:
    """A process that is ended from outside for one of them."""
    return number if number != 2 else die(number)


def test_a_process_that_is_ended_costs_only_what_ended_it() -> None:
    """What others had in hand is done all the same; the thing itself is lost, and it is said why."""
    with processes.Processes(2) as crew:
        found = dict(spread(die_of_two, ((n, n) for n in range(8)), crew))
    assert {n: n for n in range(8)} == {**found, 2: 2}
    assert isinstance(found[2], Lost)
    assert "memory" in found[2].why
    assert not active_children()


INTERRUPTED = """
import os, signal
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import active_children

from scheduler.service import processes
from tests.service.test_processes import double

if __name__ == "__main__":
    hand_out = ProcessPoolExecutor.submit

    def interrupted(pool, *work):
        os.kill(os.getpid(), signal.SIGINT)
        return hand_out(pool, *work)

    ProcessPoolExecutor.submit = interrupted
    try:
        with processes.Processes(1) as crew:
            crew.submit(double, 1, alone=False)
            print("not heard")
    except KeyboardInterrupt:
        print("heard", active_children())
"""


def test_a_ctrl_c_while_something_is_handed_out_is_heard(tmp_path: Path) -> None:
    """Just then, too, though the processes that are started hear nothing of it.

    In a program of its own: another thread of this one might take the signal in its place.
    """
    program = tmp_path / "interrupted.py"
    program.write_text(INTERRUPTED)
    command = [sys.executable, str(program)]
    ended = subprocess.run(command, cwd=ROOT, env=environment(), capture_output=True, text=True)
    assert (ended.stdout, ended.stderr) == ("heard []\n", "")


def sleep(thing: tuple[float, bytes]) -> None:
    """Takes so long, with something that no pipe takes in at once."""
    time.sleep(thing[0])


@pytest.mark.skipif(not hasattr(signal, "SIGPIPE"), reason="no broken pipe ends a process on this system")
def test_a_process_that_ends_before_it_was_told_all_does_not_end_the_command() -> None:
    """The command ends by a broken pipe where its reader has gone, and not where one of its processes has."""
    ends = signal.signal(signal.SIGPIPE, signal.SIG_DFL)
    try:
        with processes.Processes(1) as crew:
            futures = [crew.submit(sleep, (LONG, bytes(5_000_000)), alone=False) for _ in range(3)]
            for child in active_children():
                child.kill()
            for future in futures:
                assert isinstance(future.exception(timeout=LONG), BrokenProcessPool)
        assert signal.getsignal(signal.SIGPIPE) == signal.SIG_DFL
    finally:
        signal.signal(signal.SIGPIPE, ends)


@pytest.mark.parametrize("whom", ["the command", "all of them", "the command, for good"])
def test_no_process_outlives_the_command(whom: str) -> None:
    """Ctrl-C, a signal to the command alone, and its sudden end: all processes end, without a word.

    The output has an end only when the last of them has gone.
    """
    command = [sys.executable, "-m", "tests.service.waiting"]
    with subprocess.Popen(
        command,
        cwd=ROOT,
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    ) as running:
        assert running.stdout is not None
        while not running.stdout.readline().startswith("1"):
            assert running.poll() is None
        if whom == "all of them":
            os.killpg(running.pid, signal.SIGINT)
        else:
            os.kill(running.pid, signal.SIGINT if whom == "the command" else signal.SIGKILL)
        out, err = running.communicate(timeout=LONG)
    assert running.returncode == (-signal.SIGKILL if whom.endswith("good") else 130)
    assert "Traceback" not in err
    assert out == ""


def test_there_is_a_processor() -> None:
    """At least the one that asks."""
    assert processes.cores() >= 1

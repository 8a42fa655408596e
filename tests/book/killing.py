"""Kills processes in the middle of their work on a book, many times, and looks at what is left.

Run as ``python -m tests.book.killing FOLDER KILLS SEED``: a process of its own with a single thread, so that it
can fork. Prints what it has seen as JSON; ends with an error at the first thing that is not as it should be.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import time
import traceback
from pathlib import Path
from typing import NoReturn

from scheduler.book.store import Book
from scheduler.progress import Entry
from tests.book.written import AT, DAY, record, recorded

KILLS_A_BOOK = 40
"""After so many kills a new book is begun, so that its making, too, is cut short."""

LONGEST = 8.0
"""A process lives at most that many times as long as one entry takes."""


def entry(number: int) -> Entry:
    """The entry that belongs under a number: long enough for several pages, and no half of it looks whole."""
    return Entry(
        "lost", DAY, f"NAM-G{number}a", units=(f"NAM-G{number}a/1",), seen=f"{number} " * 2000 + "end"
    )


def record_for_ever(path: Path, told: int) -> NoReturn:
    """Records one entry a command, and acknowledges each number once its command has ended."""
    try:
        number = len(recorded(path))
        while True:
            number += 1
            assert record(path, entry(number)) == [number]
            os.write(told, number.to_bytes(4, "big"))
    except BaseException:
        traceback.print_exc()
    finally:
        os._exit(1)


def kill_one(path: Path, seconds: float) -> tuple[list[int], bool]:
    """Lets a process record for a while and kills it: what it acknowledged, and whether it was writing."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        record_for_ever(path, writing)
    os.close(writing)
    time.sleep(seconds)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status), "the process ended by itself"
    with os.fdopen(reading, "rb") as told:
        words = told.read()
    numbers = [int.from_bytes(words[at : at + 4], "big") for at in range(0, len(words), 4)]
    return numbers, path.with_name(path.name + "-journal").exists()


def seconds_an_entry(folder: Path) -> float:
    """How long one command takes that records an entry, on this machine and disk."""
    began = time.perf_counter()
    record(folder / "measured.book", *map(entry, range(1, 21)))
    return (time.perf_counter() - began) / 20


def kill_many(folder: Path, kills: int, chance: random.Random) -> dict[str, int]:
    """Kills so many processes; after each, the book has to hold all it acknowledged and nothing by halves."""
    longest = LONGEST * seconds_an_entry(folder)
    seen = {"kills": 0, "acknowledged": 0, "unacknowledged": 0, "in_the_middle": 0, "books": 0}
    while seen["kills"] < kills:
        seen["books"] += 1
        path, there = folder / f"{seen['books']}.book", 0
        for _ in range(min(KILLS_A_BOOK, kills - seen["kills"])):
            numbers, in_the_middle = kill_one(path, chance.uniform(0, longest))
            found = recorded(path)
            assert numbers == list(range(there + 1, there + 1 + len(numbers)))
            # At most one more than acknowledged: the process died between the two.
            assert len(found) - there - len(numbers) in (0, 1), (there, numbers, len(found))
            for number, one in enumerate(found, start=1):
                assert (one.entry_no, one.at, one.entry) == (number, AT, entry(number))
            seen["kills"] += 1
            seen["acknowledged"] += len(numbers)
            seen["unacknowledged"] += len(found) - there - len(numbers)
            seen["in_the_middle"] += in_the_middle
            there = len(found)
        with Book.open(path, create=True) as book:
            assert book.record(entry(there + 1), AT) == there + 1
    return seen


if __name__ == "__main__":
    print(json.dumps(kill_many(Path(sys.argv[1]), int(sys.argv[2]), random.Random(int(sys.argv[3])))))

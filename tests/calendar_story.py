"""What a replan changes in a calendar file, as a table: ``python -m tests.calendar_story``.

The backyard is planned and exported; jars are lost; it is planned onward and exported again. Each entry of
both files is compared by its bytes.
"""

from __future__ import annotations

import re
import tempfile
from collections import Counter
from pathlib import Path

from tests.command import example, inside

DAY = ("--today", "2027-02-03")
_ENTRY = re.compile(rb"BEGIN:VEVENT\r\n.*?END:VEVENT\r\n", re.DOTALL)


def exported(folder: Path, *options: str) -> dict[str, bytes]:
    """The events of the file that is written now, by UID."""
    assert inside("calendar", "backyard", "-o", "x.ics", *options, cwd=folder).code == 0
    found = _ENTRY.findall((folder / "x.ics").read_bytes())
    return {value(entry, "UID"): entry for entry in found}


def value(entry: bytes, name: str) -> str:
    """The value of a short property."""
    match = re.search(rf"\r\n{name}[^:\r\n]*:([^\r\n]*)".encode(), entry)
    assert match, name
    return match[1].decode()


def told() -> str:
    """The table, from a season that is played in a folder of its own."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        example("backyard", folder)
        assert inside("plan", "backyard", cwd=folder).code == 0
        before = exported(folder)
        for words in (["done", "all"], ["lost", "SHI-G1a", "3", "green"]):
            assert inside("record", "backyard", *words, *DAY, cwd=folder).code == 0
        assert inside("replan", "backyard", *DAY, cwd=folder).code == 0
        after = exported(folder, *DAY)
        again = exported(folder, *DAY)
    return table(before, after, again)


def table(before: dict[str, bytes], after: dict[str, bytes], again: dict[str, bytes]) -> str:
    """How many entries are kept, changed, new and gone, and what of each differs between two exports."""
    kept = sorted(before.keys() & after.keys())
    same = [uid for uid in kept if before[uid] == after[uid]]
    rows = [("entries", "", "UID", "SEQUENCE", "bytes")]
    rows.append(("as before", str(len(same)), "kept", _numbers(before, after, same), "the same"))
    changed = [uid for uid in kept if before[uid] != after[uid]]
    rows.append(("changed", str(len(changed)), "kept", _numbers(before, after, changed), "new"))
    new = sorted(after.keys() - before.keys())
    rows.append(("new", str(len(new)), "new", _numbers({}, after, new), "new"))
    gone = before.keys() - after.keys()
    rows.append(("done or dropped", str(len(gone)), "kept for it", "", "left out"))
    twice = [uid for uid in after if again.get(uid) == after[uid]]
    rows.append(("written once more", str(len(twice)), "kept", _numbers(after, again, twice), "the same"))
    widths = [max(len(row[column]) for row in rows) for column in range(5)]
    lines = ("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) for row in rows)
    return "".join(f"{line.rstrip()}\n" for line in lines)


def _numbers(before: dict[str, bytes], after: dict[str, bytes], uids: list[str]) -> str:
    """The number before and after, where it is the same of all."""
    pairs = Counter(
        (value(before[uid], "SEQUENCE") if uid in before else "", value(after[uid], "SEQUENCE"))
        for uid in uids
    )
    return ", ".join(last if first in ("", last) else f"{first}, now {last}" for first, last in sorted(pairs))


if __name__ == "__main__":
    print(told(), end="")

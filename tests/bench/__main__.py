"""One table of how long things take, how good plans are, and how steady: ``python -m tests.bench``.

``python -m tests.bench stability`` prints that part only. Nothing here is a test: no time is asserted.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

from tests.bench import calendars, outlook, page, processes, stability, tiers
from tests.command import EXAMPLES

TABLES: Mapping[str, Callable[[Path], None]] = {
    "processes": processes.table,
    "calendars": calendars.table,
    "tiers": tiers.table,
    "stability": stability.table,
    "outlook": outlook.table,
    "page": page.table,
}


def main(wanted: list[str]) -> None:
    """Print the tables that are named, or all."""
    unknown = set(wanted) - set(TABLES)
    if unknown:
        raise SystemExit(f"no table {', '.join(sorted(unknown))}; there are: {', '.join(TABLES)}")
    with tempfile.TemporaryDirectory() as place:
        ignored = shutil.ignore_patterns("*.book", "*.ics")
        folder = Path(shutil.copytree(EXAMPLES, Path(place) / "examples", ignore=ignored))
        for name in wanted or TABLES:
            TABLES[name](folder)
            print(flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])

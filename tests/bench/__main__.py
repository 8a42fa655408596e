"""One table of how long things take, how good plans are, and how steady: ``python -m tests.bench``.

``python -m tests.bench tiers`` measures that part only. Nothing here is a test: no time is asserted. What has
changed against the run that was kept last is printed below the tables; ``--keep`` keeps this one instead, in
``tests/bench/last.json``, and shows it in README.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path

from tests.bench import (
    calendars,
    instances,
    kept,
    many,
    outlook,
    page,
    processes,
    rivals,
    scaling,
    stability,
    tiers,
)
from tests.bench.table import Rows, Run, Table
from tests.command import EXAMPLES
from tests.published.progen import FOLDER

TABLES: Mapping[str, Table] = {
    "processes": processes.TABLE,
    "tiers": tiers.TABLE,
    "scaling": scaling.TABLE,
    "comfortable": scaling.MANY,
    "rivals": rivals.TABLE,
    "instances": instances.TABLE,
    "stability": stability.TABLE,
    "outlook": outlook.TABLE,
    "calendars": calendars.TABLE,
    "many": many.TABLE,
    "page": page.TABLE,
}


def text(run: kept.Measured) -> str:
    """The machine and the tables as they are printed, in their order."""
    tables = [table.text(run.tables[name]) for name, table in TABLES.items() if name in run.tables]
    return "\n".join([f"{run.machine()}\n", *tables])


def main(arguments: list[str]) -> None:
    """Measures and prints the tables that are named, or all, and what has changed."""
    parser = argparse.ArgumentParser("tests.bench", description=__doc__)
    parser.add_argument("tables", nargs="*", help=f"of {', '.join(TABLES)}; all by default")
    parser.add_argument("--quick", action="store_true", help="small sizes, few rounds")
    parser.add_argument(
        "--keep", action="store_true", help="keep this run as the last one, and show it in README"
    )
    parser.add_argument("--instances", type=Path, default=FOLDER, help="folder of published instances")
    asked = parser.parse_args(arguments)
    unknown = set(asked.tables) - set(TABLES)
    if unknown:
        parser.error(f"no table {', '.join(sorted(unknown))}; there are: {', '.join(TABLES)}")
    last = kept.read(kept.FILE.read_text(encoding="utf-8")) if kept.FILE.is_file() else None
    tables: dict[str, Rows] = {}
    with tempfile.TemporaryDirectory() as place:
        ignored = shutil.ignore_patterns("*.book", "*.ics", "*.feed")
        folder = Path(shutil.copytree(EXAMPLES, Path(place) / "examples", ignore=ignored))
        import_s = round(processes.bare_import(), 4)
        run = Run(folder, asked.instances, asked.quick)
        for name in asked.tables or TABLES:
            start = time.perf_counter()
            tables[name] = kept.rounded(TABLES[name].measure(run))
            print(TABLES[name].text(tables[name]), flush=True)
            print(f"{name} took {time.perf_counter() - start:.0f} s", file=sys.stderr, flush=True)
    new = kept.Measured(tables, import_s, asked.quick)
    print(new.machine())
    if last is not None:
        print("Changed against the run that was kept last:")
        print("\n".join(f"  {line}" for line in kept.changes(last, new)) or "  nothing")
    if asked.keep:
        now = kept.merged(last, new)
        kept.FILE.write_text(now.to_json(), encoding="utf-8")
        readme = kept.shown(kept.README.read_text(encoding="utf-8"), text(now))
        kept.README.write_text(readme, encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])

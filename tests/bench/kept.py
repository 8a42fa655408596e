"""What a run of the bench measured, as JSON: the last one is kept beside this module, and README shows it."""

from __future__ import annotations

import json
import os
import platform
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from tests.bench.table import Cell, Rows

FILE = Path(__file__).with_name("last.json")
README = Path(__file__).parents[2] / "README.md"
SENTENCE = "`.venv/bin/python -m tests.bench` prints this table"
"""What stands in README before the block of the table."""
SCHEMA = "budswell.bench/1"
SHAPE: Mapping[str, Any] = {
    "type": "object",
    "additionalProperties": False,
    "required": ["schema", "import_s", "cores", "python", "quick", "tables"],
    "properties": {
        "schema": {"const": SCHEMA},
        "import_s": {"type": "number", "exclusiveMinimum": 0},
        "cores": {"type": "integer", "minimum": 1},
        "python": {"type": "string"},
        "quick": {"type": "boolean"},
        "tables": {
            "type": "object",
            "additionalProperties": {
                "type": "object",
                "additionalProperties": {
                    "type": "object",
                    "additionalProperties": {"type": ["number", "string", "boolean", "null"]},
                },
            },
        },
    },
}
"""A run in the words of JSON Schema."""
NOTABLE = 1.25
"""A figure that is no whole number has changed when it grew or shrank by more than this; less is noise,"""
NOISE_S = 0.05
"""and so is what changed by less than this."""


@dataclass(frozen=True)
class Measured:
    """All tables of a run, and what they were measured with."""

    tables: Mapping[str, Rows]
    import_s: float
    """The bare import of the solver: what seconds of different machines are compared by."""
    quick: bool
    cores: int = os.cpu_count() or 1
    python: str = platform.python_version()

    def machine(self) -> str:
        """What kind of machine it was, and whether it was a full run."""
        how = "small sizes and few rounds" if self.quick else "all sizes"
        return f"{self.cores} cores, Python {self.python}, {how}"

    def to_json(self) -> str:
        """The run as it is kept."""
        return json.dumps({"schema": SCHEMA, **asdict(self)}, indent=1, ensure_ascii=False) + "\n"


def rounded(rows: Rows) -> Rows:
    """The figures with as many digits as mean something."""
    return {
        row: {key: round(cell, 4) if isinstance(cell, float) else cell for key, cell in cells.items()}
        for row, cells in rows.items()
    }


def read(text: str) -> Measured:
    """A kept run. Raises ValueError where it is of another schema."""
    found = json.loads(text)
    if found.pop("schema", None) != SCHEMA:
        raise ValueError(f"not of the schema {SCHEMA}")
    return Measured(**found)


def merged(last: Measured | None, new: Measured) -> Measured:
    """The new run, with the tables of the last one that were not measured again.

    Seconds of the last one are turned into those of this machine by the import of the solver.
    """
    if last is None:
        return new
    pace = new.import_s / last.import_s
    old = {
        name: {row: {key: _at(pace, key, cell) for key, cell in cells.items()} for row, cells in rows.items()}
        for name, rows in last.tables.items()
    }
    return Measured({**old, **new.tables}, new.import_s, new.quick)


def shown(readme: str, tables: str) -> str:
    """README with the tables in their block. Raises ValueError where its sentence or its block is missing."""
    head, sentence, rest = readme.partition(SENTENCE)
    before, fence, block = rest.partition("```text\n")
    _, end, after = block.partition("```\n")
    if not (fence and end):
        raise ValueError(f"nothing to write into after: {SENTENCE}")
    return "".join([head, sentence, before, fence, tables, end, after])


def changes(last: Measured, new: Measured) -> Iterator[str]:
    """A line for each figure that is in both runs and has changed: seconds at the pace of this machine."""
    pace = new.import_s / last.import_s
    for name, rows in new.tables.items():
        for row, cells in rows.items():
            before = last.tables.get(name, {}).get(row, {})
            for key, now in cells.items():
                if key in before and _differs(then := _at(pace, key, before[key]), now):
                    yield f"{name}: {row}: {key}: {_shown(then)} -> {_shown(now)}"


def _at(pace: float, key: str, cell: Cell) -> Cell:
    return round(cell * pace, 4) if key.endswith("_s") and isinstance(cell, float) else cell


def _differs(then: Cell, now: Cell) -> bool:
    if isinstance(then, float) and isinstance(now, float):
        low, high = sorted((then, now))
        return high > low * NOTABLE and high - low > NOISE_S
    return then != now


def _shown(cell: Cell) -> str:
    return f"{cell:.2f}" if isinstance(cell, float) else str(cell)

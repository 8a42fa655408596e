"""Rows as a file for spreadsheets and data tools: CSV, or Parquet with pyarrow, which is an extra.

The same rows give the same bytes, whatever the order in which they came to be.
"""

from __future__ import annotations

import csv
import importlib.util
from collections.abc import Sequence
from datetime import date
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

from scheduler.errors import Fault, UsageError
from scheduler.many import Column, Row, Value, columns

SUFFIXES = (".csv", ".parquet")


def require_kind(path: Path) -> None:
    """Raises UsageError where a file of this name is no table that can be written here."""
    kind = path.suffix.casefold()
    if kind not in SUFFIXES:
        allowed = "a file that ends in .csv or .parquet"
        raise UsageError(Fault("-o", f'"{path}"', allowed, f"-o {path.with_suffix('.csv')}"))
    if kind == ".parquet" and importlib.util.find_spec("pyarrow") is None:
        raise UsageError(
            Fault(
                f"-o {path}",
                "Parquet is written with pyarrow, which is not installed",
                "an installation with the extra `parquet`, or a table in CSV",
                f"pip install 'budswell[parquet]'; or -o {path.with_suffix('.csv')}",
            )
        )


def table_file(rows: Sequence[Row], path: Path) -> bytes:
    """The rows as the file that the suffix of `path` says."""
    return _parquet(columns(rows)) if path.suffix.casefold() == ".parquet" else _csv(columns(rows))


def _csv(table: Sequence[Column]) -> bytes:
    """RFC 4180: a header line, fields quoted where they have to be, lines that end in CR LF, in UTF-8."""
    text = StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow([column.name for column in table])
    writer.writerows(zip(*([_cell(value) for value in column.values] for column in table), strict=True))
    return text.getvalue().encode()


def _cell(value: Value) -> str:
    """ISO 8601 for days, a point in numbers, nothing for None."""
    match value:
        case None:
            return ""
        case bool():
            return "true" if value else "false"
        case float():
            return f"{value:.10g}"
        case date():
            return value.isoformat()
        case _:
            return str(value)


def _parquet(table: Sequence[Column]) -> bytes:
    import pyarrow
    from pyarrow import parquet

    kinds: dict[str, Any] = {
        "text": pyarrow.string(),
        "yes or no": pyarrow.bool_(),
        "whole": pyarrow.int64(),
        "number": pyarrow.float64(),
        "day": pyarrow.date32(),
    }
    arrays = [pyarrow.array(column.values, kinds[column.kind]) for column in table]
    data = BytesIO()
    parquet.write_table(pyarrow.table(arrays, names=[column.name for column in table]), data)
    return data.getvalue()

"""The table of many seasons as a file: every value comes back, and the order of the rows is told, not found."""

from __future__ import annotations

import csv
from dataclasses import fields
from datetime import date
from io import BytesIO, StringIO
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from pyarrow import csv as arrow_csv
from pyarrow import parquet

from scheduler.many import VERDICTS, Result, Row, columns
from scheduler.present.table_files import table_file

TEXT = st.text(st.characters(codec="utf-8", exclude_characters="\x00"), max_size=12)
SHARE = st.none() | st.floats(0, 1).map(lambda share: round(share, 4))
DAY = st.none() | st.dates(date(2000, 1, 1), date(2100, 1, 1))
RESULTS = st.builds(
    Result,
    verdict=st.sampled_from(VERDICTS),
    reason=TEXT,
    way_out=TEXT,
    wished=SHARE,
    chance=SHARE,
    first_task=DAY,
    last_safe_start=DAY,
    plantings=TEXT,
    bought=TEXT,
    loads=st.none() | st.integers(0, 10**6),
    bench_hours=SHARE,
    yard_hours=SHARE,
    aims=TEXT,
    proved=st.none() | st.booleans(),
    seconds=SHARE,
)
ROWS = st.lists(
    st.builds(
        Row,
        folder=TEXT,
        season=TEXT,
        tried=st.tuples(st.tuples(st.just("season.certainty"), st.sampled_from(["0.8", "0.9"]))),
        inputs=TEXT,
        result=RESULTS,
    ),
    min_size=1,
    max_size=6,
)


@settings(deadline=None)
@given(ROWS)
def test_csv_gives_every_text_back(rows: list[Row]) -> None:
    """Commas, quotes, line breaks and letters of all scripts, read by the standard library."""
    data = table_file(rows, Path("table.csv"))
    found = list(csv.DictReader(StringIO(data.decode(), newline="")))
    assert [one["folder"] for one in found] == [row.folder for row in rows]
    for one, row in zip(found, rows, strict=True):
        assert one["reason"] == row.result.reason
        assert one["season.certainty"] == row.tried[0][1]
        assert one["first_task"] == (
            "" if row.result.first_task is None else row.result.first_task.isoformat()
        )
        assert one["proved"] == {None: "", True: "true", False: "false"}[row.result.proved]
        assert row.result.chance is None or float(one["chance"]) == row.result.chance


@settings(deadline=None)
@given(ROWS)
def test_parquet_gives_every_value_back(rows: list[Row]) -> None:
    """With their kinds, None for what is not known; and the same rows are the same bytes."""
    data = table_file(rows, Path("table.parquet"))
    assert table_file(rows, Path("TABLE.PARQUET")) == data
    table = parquet.read_table(BytesIO(data))
    assert table.column_names == [column.name for column in columns(rows)]
    for found, row in zip(table.to_pylist(), rows, strict=True):
        assert {name: found[name] for name in vars(row.result)} == vars(row.result)
        assert (found["folder"], found["season"], found["inputs"]) == (row.folder, row.season, row.inputs)


@settings(deadline=None)
@given(ROWS)
def test_both_are_one_table(rows: list[Row]) -> None:
    """As pyarrow reads them."""
    table = parquet.read_table(BytesIO(table_file(rows, Path("table.parquet"))))
    kinds = {field.name: field.type for field in table.schema}
    read = arrow_csv.read_csv(
        BytesIO(table_file(rows, Path("table.csv"))),
        parse_options=arrow_csv.ParseOptions(newlines_in_values=True),
        convert_options=arrow_csv.ConvertOptions(column_types=kinds, strings_can_be_null=False),
    )
    assert read.equals(table)


def test_every_value_of_a_result_is_a_column() -> None:
    """None is forgotten, and each has a name of its own."""
    names = [column.name for column in columns([Row("a", "A", (), "", Result("planned"))])]
    assert names == ["folder", "season", *(field.name for field in fields(Result)), "inputs"]
    assert len(set(names)) == len(names)

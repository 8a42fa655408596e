"""Whatever stands in a file, it is read or refused: nothing else is ever raised."""

from __future__ import annotations

import re
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scheduler.errors import SeasonError
from scheduler.season.season import Season

GOOD = (Path(__file__).parent / "good" / "full.toml").read_text(encoding="utf-8")
LINES = GOOD.splitlines()
VALUED = [number for number, line in enumerate(LINES) if re.match(r"\w+\s*=", line)]

VALUES = st.sampled_from(
    [
        "0", "-1", "1e400", "nan", "-inf", "true", '""', '" "', '"\\u0000"', '"x"', "[]", "{}", "[[]]", "[{}]", "{ a = 1 }",
        "2027-02-28", "2027-02-28T01:00:00Z", "01:00:00", "0x" + "f" * 5000, "1" * 400, '"12"', '"12 cm"', '"1e9 kg"',
        '"' + "9" * 400 + ' cm"', '"-3 C"', '"/"', '"2027-01-01/2027-01-01"', '"9999-12-31/9999-12-31"', '"0001-01-01"',
        "0001-01-01", "9999-12-31", '["grain"]', '["grain", 3]', '"shiitake"', '"chip bed"', '"stump"', '"totem"', '"walnut"',
        '{ "quart jar" = 1 }', "{ sat = 3 }", "{ dec = \"3 C\" }", '{ count = 1, diameter = "10 cm" }', "[1979-05-27]",
    ]
)  # fmt: skip


def _is_read_or_clearly_refused(read, text):
    """Whether a season comes of a text, or faults of which each says where, what and what is allowed."""
    try:
        return isinstance(read(text), Season)
    except SeasonError as error:
        return bool(error.faults) and all(map(_is_clear, error.faults))


def _is_clear(fault):
    told = (fault.where, fault.found, fault.allowed)
    return all(told) and "\n" not in "".join(told) + fault.hint


COMMON = {
    "max_examples": 150,
    "deadline": None,
    "suppress_health_check": [HealthCheck.function_scoped_fixture],
}


@settings(**COMMON)
@given(st.lists(st.tuples(st.sampled_from(VALUED), VALUES), min_size=1, max_size=4))
def test_any_value_at_any_key(read, changes):
    """Values of every kind of TOML in the place of good ones."""
    lines = list(LINES)
    for number, value in changes:
        lines[number] = lines[number].split("=")[0] + "= " + value
    assert _is_read_or_clearly_refused(read, "\n".join(lines))


@settings(**COMMON)
@given(
    st.lists(
        st.tuples(st.integers(0, len(LINES) - 1), st.integers(0, len(LINES) - 1)), min_size=1, max_size=5
    )
)
def test_lines_dropped_doubled_and_moved(read, moves):
    """Keys in other tables, tables without keys, keys twice."""
    lines = list(LINES)
    for source, target in moves:
        line = lines.pop(source % len(lines))
        if source % 3:
            lines.insert(target, line)
        if source % 2:
            lines.insert(target // 2, line)
    assert _is_read_or_clearly_refused(read, "\n".join(lines))


@settings(**COMMON)
@given(
    st.integers(0, len(GOOD)),
    st.integers(0, 40),
    st.text(alphabet=st.characters(exclude_categories=("Cs",)), max_size=8)
    | st.sampled_from(['"', "'''", "[[", "]", "{", ".", "=", "#", "\r"]),
)
def test_text_cut_and_filled_in_anywhere(read, start, length, filling):
    """Any letters in the place of any stretch of the file."""
    assert _is_read_or_clearly_refused(read, GOOD[:start] + filling + GOOD[start + length :])

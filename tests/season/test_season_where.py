"""Lines and paths of keys."""

from __future__ import annotations

import pytest

from scheduler.season.where import Lines, path, written

TEXT = '''title = """
[not.a.table]
name = 1
"""  # "
[season] # comment with [brackets
name = "a # b"
"quoted key" = 1
dotted.key.path = 2
[lab.containers."3 ] jar"]
volume = "3 L"
[[planting]]
logs = [ # one
  { count = 1 }, # "]
  { count = 2 },
]
window = 'x'
[[planting]]
name = "second"
[planting.logs]
count = 3
[[lab.cooker]]
kind = "a"
[[lab.cooker]]
holds = { a = 1, "b" = [
 2 ] }
gauge = 1
'''


@pytest.mark.parametrize(
    ("loc", "line"),
    [
        (("title",), 1),
        (("not", "a"), None),
        (("season",), 5),
        (("season", "name"), 6),
        (("season", "quoted key"), 7),
        (("season", "dotted", "key", "path"), 8),
        (("season", "missing"), 5),
        (("lab", "containers", "3 ] jar", "volume"), 10),
        (("planting", 0), 11),
        (("planting", 0, "logs", 1, "count"), 12),
        (("planting", 0, "window"), 16),
        (("planting", 1, "name"), 18),
        (("planting", 1, "logs", "count"), 20),
        (("lab", "cooker", 1), 23),
        (("lab", "cooker", 1, "holds", "b"), 24),
        (("lab", "cooker", 1, "gauge"), 26),
        (("lab", "shelf"), 9),
        (("help",), None),
    ],
)
def test_keys_are_found_or_their_parents_are(loc, line):
    """Tables, arrays of tables, quoted and dotted keys; what stands inside a value has the value's line."""
    assert Lines(TEXT).of(loc) == line


@pytest.mark.parametrize(
    ("loc", "text"),
    [
        (("planting", 2, "species"), "planting[2].species"),
        (("lab", "containers", "3 L jar"), 'lab.containers."3 L jar"'),
        (("a\x1bb",), "\"'a\\x1bb'\""),
        ((), ""),
    ],
)
def test_paths_are_written_as_in_the_file(loc, text):
    """Keys with spaces are quoted and positions bracketed."""
    assert path(loc) == text


def test_a_path_has_only_what_the_file_has():
    """Positions of what is no list, and keys below plain values, are left out."""
    data = {"planting": {"logs": {"count": 1}}, "shelf": {"temperature": "68 C"}, "list": [1]}
    assert written(("planting", 0, "logs", 0, "count"), data) == ("planting", "logs", "count")
    assert written(("shelf", "temperature", 0), data) == ("shelf", "temperature")
    assert written(("shelf", "temperature", "dec"), data) == ("shelf", "temperature")
    assert written(("list", 0), data) == ("list", 0)
    assert written(("list", 5, "name"), data) == ("list", 5, "name")
    assert written(("site", "leaf_turn"), data) == ("site", "leaf_turn")

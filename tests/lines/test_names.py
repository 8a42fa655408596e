"""Ids that are written on jars."""

import re
import string

import pytest

from scheduler.lines.names import Namer, letter


def test_letters_run_without_those_that_look_like_digits() -> None:
    """a to z without i, l, o, then aa, ab; never the same twice."""
    letters = [letter(index) for index in range(800)]
    plain = [c for c in string.ascii_lowercase if c not in "ilo"]
    assert letters[:23] == plain
    assert letters[23:26] == ["aa", "ab", "ac"]
    assert letters[22 + 23 : 22 + 25] == ["az", "ba"]
    assert len(set(letters)) == 800
    assert not set("".join(letters)) & set("ilo")


@pytest.mark.parametrize(
    ("stage", "generation", "expected"),
    [
        ("plate", None, "NAM-Aa"),
        ("slant", None, "NAM-Ta"),
        ("liquid culture", None, "NAM-La"),
        ("grain", 1, "NAM-G1a"),
        ("grain", 2, "NAM-G2a"),
        ("sawdust", None, "NAM-Sa"),
        ("pellet", None, "NAM-Sa"),
        ("dowels", None, "NAM-Da"),
        ("chips", None, "NAM-Ca"),
    ],
)
def test_stage_letters(stage: str, generation: int | None, expected: str) -> None:
    """Strain code, stage letter, batch letter; G2 is the second generation, never the second batch."""
    assert Namer("NAM").batch(stage, generation) == expected


def test_no_id_twice_even_without_regard_to_case() -> None:
    """Sawdust and pellets share a letter and so a row; generations have rows of their own."""
    namer = Namer("SHI")
    asked = [("sawdust", None), ("pellet", None), ("grain", 1), ("grain", 2), ("grain", 1)] * 40
    given = [namer.batch(stage, generation) for stage, generation in asked]
    assert given[:5] == ["SHI-Sa", "SHI-Sb", "SHI-G1a", "SHI-G2a", "SHI-G1b"]
    assert len({name.casefold() for name in given}) == len(given)
    assert all(re.fullmatch(r"SHI-(S|G[12])[a-z]+", name) for name in given)

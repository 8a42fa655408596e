"""The solver's library, loaded without the data frames that it would bring along.

`cp_model` imports pandas for the few methods that take and give whole series. No model here has one, and
loading pandas takes longer than planning a backyard.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from types import ModuleType


@contextmanager
def _without_pandas() -> Iterator[None]:
    """Inside, pandas is two empty classes that stand in annotations, unless it is loaded already."""
    if "pandas" in sys.modules:
        yield
        return
    stand_in = ModuleType("pandas")
    stand_in.Index = stand_in.Series = type("Series", (), {})  # type: ignore[attr-defined]
    sys.modules["pandas"] = stand_in
    try:
        yield
    finally:
        del sys.modules["pandas"]


with _without_pandas():
    from ortools.sat.python import cp_model

__all__ = ["cp_model"]

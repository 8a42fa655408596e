"""Rows of published tables, each named by its source, so that a run of the tests shows what was compared with what."""

from __future__ import annotations

from typing import Any

import pytest

from scheduler.trade.catalogue import load

SOURCES = load().sources


def cited(source: str, what: str, *values: object) -> Any:
    """One row, shown as ``nrs-38: black oak, 5 x 40 in``; its source is a key of ``shared/sources.toml``.

    Growers' sheets and rules that no publication gives are ``common practice``.
    """
    if source not in SOURCES and source != "common practice":
        raise ValueError(f"{source}: no such source")
    return pytest.param(*values, id=f"{source}: {what}")

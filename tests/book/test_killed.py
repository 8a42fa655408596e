"""A process that is killed in the middle of its work costs at most what it had not yet acknowledged."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.command import ROOT

KILLS = 1000


@pytest.mark.skipif(not hasattr(os, "fork"), reason="THIS TEST DID NOT RUN: processes cannot be forked here")
def test_no_kill_loses_or_halves_an_entry(tmp_path: Path) -> None:
    """After each of many kills at random points the book opens, with every acknowledged entry and no half one.

    The checks stand in `killing`, beside the kills; here it is seen that kills fell into the middle of a
    writing, and that entries were acknowledged at all.
    """
    command = [sys.executable, "-m", "tests.book.killing", str(tmp_path), str(KILLS), "20270214"]
    ended = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert ended.returncode == 0, ended.stderr
    seen = json.loads(ended.stdout)
    assert seen["kills"] == KILLS
    assert seen["acknowledged"] > KILLS / 10
    assert seen["in_the_middle"] > KILLS / 10

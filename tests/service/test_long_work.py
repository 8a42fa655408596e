"""Work apart from the page: what breaks in it is told as what it is."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from scheduler.service import long_work
from scheduler.service.long_work import ENDED, Asked, Failed
from scheduler.service.seasons import Clock


def test_an_error_of_ours_is_not_called_the_end_of_a_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """It says that it is one, and which; nothing of memory or of somebody outside."""

    def broken(asked: Asked) -> None:
        raise ValueError("kth(=5) out of bounds (5)")

    monkeypatch.setattr(long_work, "_worked_out", broken)
    found = long_work.work_out(Asked("outlook", Path(), Clock(date(2027, 2, 15), "UTC"), None, ""))
    assert isinstance(found, Failed)
    assert found != ENDED
    (fault,) = found.faults
    assert "a bug of ours" in fault.found
    assert "ValueError: kth(=5) out of bounds (5)" in fault.found
    assert "report" in fault.hint

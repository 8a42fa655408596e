"""Folders in which nothing may be written, also where the tests run as the administrator."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

NOBODY = 65534


@contextmanager
def locked_folder(**files: bytes) -> Iterator[Path]:
    """A folder with these files (names without a suffix) in it, where the running process may write nothing."""
    if os.name != "posix":
        pytest.skip("THIS TEST DID NOT RUN: folders cannot be locked for their owner on this system")
    is_root = os.geteuid() == 0
    with tempfile.TemporaryDirectory() as folder:
        for name, data in files.items():
            Path(folder, name).write_bytes(data)
        Path(folder).chmod(0o555)
        if is_root:  # permissions do not bind the administrator
            os.seteuid(NOBODY)
        try:
            yield Path(folder)
        finally:
            if is_root:
                os.seteuid(0)
            Path(folder).chmod(0o755)

"""A file is replaced as a whole or not at all."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from scheduler.errors import Fault, UsageError
from scheduler.present.files import write_atomically
from tests.folders import locked_folder


def refused(path: Path) -> Fault:
    """The fault with which the writing ends; it names the file as it was asked for."""
    with pytest.raises(UsageError) as caught:
        write_atomically(path, b"new")
    assert caught.value.fault.where == str(path)
    return caught.value.fault


def test_a_new_file_is_written_and_nothing_else(tmp_path: Path) -> None:
    """The bytes are there as they were given, without a temporary file beside them."""
    path = tmp_path / "season.ics"
    write_atomically(path, b"one\r\n\x00")
    assert path.read_bytes() == b"one\r\n\x00"
    assert list(tmp_path.iterdir()) == [path]


def test_a_new_file_has_the_rights_of_any_new_file(tmp_path: Path) -> None:
    """A feed can be read by the program that serves it: the usual rights hold, not those of a secret."""
    (tmp_path / "usual").touch()
    write_atomically(tmp_path / "season.ics", b"new")
    assert (tmp_path / "season.ics").stat().st_mode == (tmp_path / "usual").stat().st_mode


def test_an_old_file_is_replaced_and_keeps_its_rights(tmp_path: Path) -> None:
    """Whoever has the old file open still reads it whole; the new one may be read by the same people."""
    path = tmp_path / "season.ics"
    path.write_bytes(b"old")
    path.chmod(0o640)
    with path.open("rb") as reader:
        write_atomically(path, b"new")
        assert reader.read() == b"old"
    assert path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o640


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    """Where the name is a link, the file behind it is replaced."""
    (tmp_path / "feeds").mkdir()
    (tmp_path / "season.ics").symlink_to(tmp_path / "feeds" / "real.ics")
    write_atomically(tmp_path / "season.ics", b"new")
    assert (tmp_path / "season.ics").is_symlink()
    assert (tmp_path / "feeds" / "real.ics").read_bytes() == b"new"


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    """No folder is made on the way."""
    fault = refused(tmp_path / "gone" / "season.ics")
    assert fault.found == "the folder is not there"
    assert str(tmp_path / "gone") in fault.hint
    assert list(tmp_path.iterdir()) == []


def test_a_file_in_place_of_the_folder(tmp_path: Path) -> None:
    """A file cannot be written into a file."""
    (tmp_path / "plan").touch()
    assert refused(tmp_path / "plan" / "season.ics").found == "the folder is not there"


def test_a_folder_is_not_replaced(tmp_path: Path) -> None:
    """A folder of that name stays, with what is in it."""
    (tmp_path / "season.ics" / "inside").mkdir(parents=True)
    assert refused(tmp_path / "season.ics").found == "this is a folder"
    assert (tmp_path / "season.ics" / "inside").is_dir()


def test_a_read_only_folder_is_refused() -> None:
    """The old file stays as it is."""
    with locked_folder(ics=b"old") as folder:
        assert refused(folder / "ics").found == "nothing may be written here"
        assert (folder / "ics").read_bytes() == b"old"
        assert [path.name for path in folder.iterdir()] == ["ics"]


def test_a_full_disk_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the new bytes do not reach the disk, the old ones stay and the temporary file goes."""

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    path = tmp_path / "season.ics"
    path.write_bytes(b"old")
    monkeypatch.setattr(os, "fsync", full)
    assert "No space left" in refused(path).found
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]

"""A file is replaced as a whole or not at all."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from scheduler.errors import Fault, UsageError
from scheduler.present.files import require_new, write_atomically, write_new
from tests.command import listing
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


def test_a_new_file_never_takes_the_place_of_another(tmp_path: Path) -> None:
    """A name that is taken stays as it is, also where only a dead link has it; folders are made on the way."""
    path = tmp_path / "a" / "b" / "season.toml"
    write_new(path, b"first")
    assert path.read_bytes() == b"first"
    assert list(path.parent.iterdir()) == [path]
    (tmp_path / "dead").symlink_to("nowhere")
    for taken in (path, tmp_path / "dead", tmp_path / "a"):
        with pytest.raises(UsageError) as caught:
            write_new(taken, b"second")
        assert caught.value.fault.where == str(taken)
        with pytest.raises(UsageError):
            require_new(taken)
    assert path.read_bytes() == b"first"
    assert {found.name for found in tmp_path.iterdir()} == {"a", "dead"}


def test_a_disk_without_links_takes_a_new_file_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no name can be linked to a file it is renamed, still over nothing that is there."""

    def no_links(self: Path, target: Path) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(Path, "hardlink_to", no_links)
    write_new(tmp_path / "season.toml", b"first")
    with pytest.raises(UsageError):
        write_new(tmp_path / "season.toml", b"second")
    assert listing(tmp_path) == {"season.toml": b"first"}


def test_folders_made_for_a_file_that_fails_are_gone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A disk that is full leaves neither a part of the file nor an empty folder."""

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(UsageError) as caught:
        write_new(tmp_path / "a" / "b" / "season.toml", b"first")
    assert "No space left" in caught.value.fault.found
    assert listing(tmp_path) == {}

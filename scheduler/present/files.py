"""Writing a file so that whoever reads it sees the old one or the new one, and never half of either."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from scheduler.errors import Fault, UsageError


def require_place(path: Path, keep: Iterable[Path] = (), suffix: str = ".ics") -> None:
    """Raises, before there is anything to write, the UsageError with which `write_atomically` would end.

    Also where `path` is one of the files to `keep`, under whatever name; files of this kind end in `suffix`.
    """
    target, part = _places(path)
    if any(target == Path(os.path.realpath(kept)) for kept in keep):
        found = "this is the season itself, which would be lost"
        raise UsageError(Fault(str(path), found, "a file of its own", f"{path.with_suffix(suffix)}"))
    try:
        part.open("xb").close()
    except OSError as error:
        raise UsageError(_fault(path, error)) from error
    finally:
        with suppress(OSError):
            part.unlink()


class Staging:
    """Files that lie whole on the disk beside their places, and take them once all is ready.

    A context: at its end nothing is left of what did not get its name.
    """

    def __init__(self) -> None:
        self._parts: list[tuple[Path, Path, Path]] = []

    def __enter__(self) -> Staging:
        return self

    def __exit__(self, *error: object) -> None:
        for _place, _target, part in self._parts:
            with suppress(OSError):
                part.unlink()

    def add(self, path: Path, data: bytes, private: bool = False) -> Path:
        """Writes the data for the file at `path`, and says where it lies until then. UsageError as below.

        A `private` one only its owner may read and write, from its first byte on.
        """
        target, part = _places(path)
        self._parts.append((path, target, part))
        try:
            _write(part, data, target, private)
        except OSError as error:
            raise UsageError(_fault(path, error)) from error
        return part

    def publish(self) -> None:
        """Gives each file its name, in the order in which they were added. UsageError as below."""
        for path, target, part in self._parts:
            try:
                part.replace(target)
            except OSError as error:
                raise UsageError(_fault(path, error)) from error
        for folder in dict.fromkeys(target.parent for _, target, _ in self._parts):
            _keep_names(folder)


def write_atomically(path: Path, data: bytes) -> None:
    """Puts `data` into the file at `path`, also through a power cut; a file that was there keeps its rights.

    Raises UsageError where the folder is missing, a folder, a device or a pipe has that name, or nothing may
    be written; the old file is then untouched and nothing is left beside it.
    """
    with Staging() as staging:
        staging.add(path, data)
        staging.publish()


def write_private(path: Path, data: bytes) -> None:
    """Puts `data` into the file at `path` as `write_atomically`, for nobody to read but its owner."""
    with Staging() as staging:
        staging.add(path, data, private=True)
        staging.publish()


def require_new(path: Path) -> None:
    """Raises, before there is anything to write, the UsageError of `write_new` for a name that is taken."""
    if path.exists() or path.is_symlink():
        raise UsageError(_taken(path))


def write_new(path: Path, data: bytes) -> None:
    """Puts `data` into a file that is not there yet, whole or not at all, and makes the folders it lies in.

    Raises UsageError where the name is taken, were it since a moment, or nothing may be written; then
    nothing is left behind, and nothing that was there is touched.
    """
    made = [folder for folder in path.parents if not folder.exists()]
    part = path.parent / f".{secrets.token_hex(6)}.part"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with part.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        _name(part, path)
        made = []
    except OSError as error:
        raise UsageError(
            _taken(path) if isinstance(error, FileExistsError) else _fault(path, error)
        ) from error
    finally:
        with suppress(OSError):
            part.unlink()
        for folder in made:
            with suppress(OSError):
                folder.rmdir()


def _name(part: Path, path: Path) -> None:
    """Gives a finished file its name, which must be free: a link to it fails where it is not."""
    try:
        path.hardlink_to(part)
    except FileExistsError:
        raise
    except OSError:  # a disk without such links
        require_new(path)
        part.rename(path)


def _taken(path: Path) -> Fault:
    return Fault(str(path), "there is something of this name already", "a new name: nothing is overwritten")


def _places(path: Path) -> tuple[Path, Path]:
    """The file itself, so that a link stays a link, and a new one beside it to write to."""
    target = Path(os.path.realpath(path))
    if target.is_dir():
        raise UsageError(Fault(str(path), "this is a folder", "the name of a file", "add a file name to it"))
    if path.exists() and not path.is_file():  # a device or a pipe, which a file would take the place of
        raise UsageError(Fault(str(path), "this is no plain file", "the name of a file"))
    return target, target.parent / f".{secrets.token_hex(6)}.part"


def _write(part: Path, data: bytes, target: Path, private: bool) -> None:
    opened = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600 if private else 0o666)
    with os.fdopen(opened, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    if target.exists() and not private:
        part.chmod(target.stat().st_mode)


def _keep_names(folder: Path) -> None:
    """The new names, too, have to reach the disk; systems that cannot open a folder do without."""
    with suppress(OSError):
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


def _fault(path: Path, error: OSError) -> Fault:
    if isinstance(error, FileNotFoundError | NotADirectoryError):
        return Fault(
            str(path), "the folder is not there", "a folder that exists", f"make {path.parent} first"
        )
    if isinstance(error, PermissionError):
        return Fault(str(path), "nothing may be written here", "a folder that may be written")
    return Fault(str(path), f"the file cannot be written: {error.strerror}", "a disk that takes the file")

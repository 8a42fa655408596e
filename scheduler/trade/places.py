"""Finds the data that travels with the package: ``profiles``, ``shared`` and ``examples``."""

from __future__ import annotations

from pathlib import Path

from scheduler.errors import Fault, ProfileError

_PACKAGE = Path(__file__).resolve().parent.parent


def data_folder(name: str) -> Path:
    """Folder of that name inside the installed package, or beside it in a checkout.

    Raises `ProfileError` when it is in neither place: the installation is then incomplete.
    """
    for folder in (_PACKAGE / "data" / name, _PACKAGE.parent / name):
        if folder.is_dir():
            return folder
    raise ProfileError(
        [Fault(name, "no such data folder", "it is installed with the package", "install again")]
    )

"""Reads the catalogue's TOML files into their shapes; whatever is wrong is said with file and key."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from scheduler.errors import Fault, ProfileError

S = TypeVar("S", bound=BaseModel)


@dataclass(frozen=True)
class Document:
    """The tables of one file, or of several put together, and what a fault calls them."""

    where: str
    data: Mapping[str, Any]
    homes: Mapping[str, str] = field(default_factory=dict)
    """The file of a top key, where that is not `where`."""

    def shaped(self, shape: type[S]) -> S:
        """All of it as one shape; `ProfileError` with every fault where it does not fit."""
        try:
            return shape.model_validate(self.data)
        except ValidationError as error:
            raise ProfileError([self._fault(detail) for detail in error.errors()]) from None

    def _fault(self, detail: ErrorDetails) -> Fault:
        keys = [str(step) for step in detail["loc"]]
        where = self.homes.get(keys[0], self.where) if keys else self.where
        allowed = detail["msg"].removeprefix("Value error, ")
        absent = {"missing": "nothing", "extra_forbidden": "a key that is not known"}
        found = absent.get(detail["type"]) or f"{detail['input']!r}"[:100]
        return Fault(f"{where} {'.'.join(keys)}".rstrip(), found, allowed)


@dataclass(frozen=True)
class Folder:
    """A profile folder and, laid over it, a grower's own: a file there takes the place of ours."""

    base: Path
    extra: Path | None = None

    def __post_init__(self) -> None:
        if self.extra is not None and not self.extra.is_dir():
            raise ProfileError([Fault(str(self.extra), "no such folder", "a folder with profile files")])

    def file(self, name: str) -> Document:
        """The file of that name, the grower's own first."""
        if self.extra is not None and (self.extra / name).is_file():
            return read(self.extra / name, str(self.extra / name))
        return read(self.base / name, f"{self.base.name}/{name}")

    def files(self, folder: str) -> Iterator[Document]:
        """Every TOML file of a sub-folder of either, in the order of the file names."""
        roots = [self.base] if self.extra is None else [self.base, self.extra]
        names = {path.name for root in roots for path in (root / folder).glob("*.toml")}
        return (self.file(f"{folder}/{name}") for name in sorted(names))

    def merged(self, folder: str) -> Document:
        """All files of a sub-folder as one document, to which each file gives some of the top keys."""
        homes: dict[str, str] = {}
        data: dict[str, Any] = {}
        for document in self.files(folder):
            for key, value in document.data.items():
                if key in homes:
                    where, found = f"{document.where} {key}", f"also in {homes[key]}"
                    raise ProfileError([Fault(where, found, "in one of the two files")])
                homes[key] = document.where
                data[key] = value
        return Document(f"{self.base.name}/{folder}", data, homes)


def read(path: Path, where: str) -> Document:
    """One TOML file, not yet checked against a shape; `ProfileError` where it is missing or no TOML."""
    try:
        return Document(where, tomllib.loads(path.read_text(encoding="utf-8")))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise ProfileError([Fault(where, f"no valid TOML: {error}", "a TOML file in UTF-8")]) from None
    except OSError as error:
        raise ProfileError([Fault(where, f"cannot be read: {error.strerror}", "a readable file")]) from None

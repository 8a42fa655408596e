"""Loads a season file: reads it, reports every fault at once, and fills in the defaults."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from scheduler.errors import Fault, SeasonError
from scheduler.plan import Rewrite
from scheduler.season import derived
from scheduler.season.climate import Climate, ReadClimate
from scheduler.season.days import day
from scheduler.season.findings import Findings
from scheduler.season.names import Names
from scheduler.season.notation import Document, apply
from scheduler.season.place import FILE, season_file
from scheduler.season.resolve import Asked, judge_timezone, resolve
from scheduler.season.season import Season, Standing
from scheduler.season.tables import read_tables
from scheduler.season.wrong import Wrong, shown
from scheduler.trade.catalogue import Catalogue

LARGEST = 1_000_000
"""Bytes; a season file is a few thousand."""

_POSITION = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_CURLED = "\u2018\u2019\u201a\u201c\u201d\u201e\u00ab\u00bb"
"""Quotes that writing programs put in the place of straight ones, and TOML does not read."""
_EXAMPLE = "a season file in TOML, such as examples/backyard/season.toml"


def load_season(
    path: Path,
    catalogue: Catalogue,
    *,
    clock: date,
    system_timezone: str,
    today: date | None = None,
    under_way: bool = False,
    keep_over: bool = False,
    adopted: Callable[[Document], tuple[Rewrite, ...]] = lambda document: (),
    weather: ReadClimate | None = None,
    began: Callable[[], date | None] = lambda: None,
    last_season: Callable[[Path], tuple[Standing, ...]] = lambda path: (),
) -> Season:
    """Reads the season at `path`, a file or a folder with a season.toml in it.

    `today` goes before the file's own, which goes before `clock`. Where the season is `under_way` (it has a
    book), a planting whose window is over is left out with a warning; before, it is a fault, as a year is
    easily mistyped. With `keep_over` it is kept: what was planted is looked after. `adopted` says what
    else is to be changed in what the file says. `weather` reads the weather file that the season names; the
    dates it fills in are those of the season that is not over when the work `began`, else today.
    `last_season` reads what stands of the one that this one continues. Raises SeasonError with every fault;
    those of the weather file come first.
    """
    file = season_file(path)
    text = _read(file)
    data = _parse(file, text)
    climate = _climate(file, text, data, weather)
    if climate:
        climate = replace(climate, since=began() or today or _told_today(data) or clock)
    written = derived.fill(data, climate, catalogue, Findings(str(file))) if climate else data
    changes = adopted(written)
    data = _changed(file, data, changes)
    findings = Findings(str(file), text, data)
    if climate:
        data = derived.fill(data, climate, catalogue, findings)
    names = Names(catalogue, _own_containers(data))
    tables = read_tables(data, names, findings)
    found = resolve(
        file,
        text,
        tables,
        names,
        findings,
        Asked(
            clock,
            system_timezone,
            today,
            under_way,
            climate,
            keep_over,
            lambda name: last_season(file.parent / name),
        ),
    )
    return replace(found, adopted=changes)


def require_day(path: Path) -> None:
    """Raises SeasonError where the season at `path` cannot be read so far as to say its day and its zone."""
    file = season_file(path)
    text = _read(file)
    data = _parse(file, text)
    findings = Findings(str(file), text, data)
    head = data.get("season")
    if not isinstance(head, dict):
        raise _fault(str(file), "no table [season]", _EXAMPLE)
    if "today" in head:
        try:
            day(head["today"])
        except Wrong as wrong:
            findings.wrong(("season", "today"), wrong)
    if "timezone" in head:
        judge_timezone(str(head["timezone"]), findings)
    findings.stop_if_faulty()


def _climate(file: Path, text: str, data: Document, read: ReadClimate | None) -> Climate | None:
    """What the weather file says that lies beside the season file, where it names one."""
    site = data.get("site")
    name = site.get("weather") if isinstance(site, dict) else None
    if not isinstance(name, str) or not name.strip():
        return None
    path = file.parent / name.strip()
    if read is None or not _is_file(path):
        findings = Findings(str(file), text, data)
        findings.fault(
            ("site", "weather"),
            f"{shown(name)}, and there is no such file" if read else f"{shown(name)}, which is not read here",
            "a file of daily weather beside the season file",
            "without it, leave weather out and write the dates under [site]",
        )
        findings.stop_if_faulty()
    latitude = site.get("latitude") if isinstance(site, dict) else None
    if isinstance(latitude, bool) or not isinstance(latitude, int | float) or not abs(latitude) <= 90:
        latitude = None  # what is wrong with it is said where it is read
    return read(path, latitude) if read else None


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def _told_today(data: Document) -> date | None:
    head = data.get("season")
    try:
        return day(head.get("today")) if isinstance(head, dict) else None
    except Wrong:
        return None


def _changed(file: Path, data: Document, changes: tuple[Rewrite, ...]) -> Document:
    """What the file says with the changes that were adopted written into it."""
    try:
        return apply(data, changes)
    except (LookupError, ValueError, TypeError, AttributeError):
        keys = ", ".join(change.key for change in changes)
        raise _fault(
            str(file),
            f"what was adopted no longer fits the file: {keys}",
            "a file with the tables and plantings that were changed",
            "`budswell book show SEASON` lists it; `budswell record SEASON undo NUMBER` takes it back",
        ) from None


def _read(file: Path) -> str:
    where = str(file)
    try:
        with file.open("rb") as stream:
            content = stream.read(LARGEST + 1)
    except FileNotFoundError:
        is_folder = file.name == FILE and file.parent.is_dir()
        raise _fault(
            where,
            f"a folder without a {FILE}" if is_folder else "no such file",
            f"a season file, or a folder with a {FILE} in it",
            "examples/backyard/season.toml is one to start from",
        ) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _fault(where, f"a file that cannot be read ({reason})", "a season file") from None
    if len(content) > LARGEST:
        raise _fault(
            where, "more than 1 MB", "a season file of a few thousand letters", "is it another file?"
        )
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise _fault(
            f"{where}:{line}",
            "a letter that is not UTF-8",
            "text in UTF-8",
            "save it again with the encoding UTF-8",
        ) from None
    if not text.strip():
        raise _fault(where, "an empty file", _EXAMPLE)
    return text


def _parse(file: Path, text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise _fault(str(file), "lists or tables nested too deeply", _EXAMPLE) from None
    except ValueError as error:
        if not isinstance(error, tomllib.TOMLDecodeError):
            raise _fault(str(file), "a number of thousands of digits", _EXAMPLE) from None
        position = _POSITION.search(str(error))
        message = _POSITION.sub("", str(error))
        if not position or not position[1]:
            ending = " at the end of the file" if position else ""
            raise _fault(str(file), message + ending, "TOML", "is a quote or a bracket left open?") from None
        line, column = int(position[1]), int(position[2])
        written = text.split("\n")[line - 1].strip()
        raise _fault(
            f"{file}:{line}",
            f"{message} at column {column}: {shown(written)}",
            'TOML: key = "text", key = 12, key = 2027-04-24, key = true',
            _unquoted(written),
        ) from None


def _unquoted(line: str) -> str:
    key, sign, value = line.partition("=" if "=" in line else ":")
    value = value.strip()
    bare = value.strip(_CURLED if sign == "=" else _CURLED + "\"'")
    if bare and re.fullmatch(r"\s*[\w-]+\s*", key) and not set(bare) & set("\"'[]{}="):
        return f'did you mean {key.strip()} = "{bare}"?'
    return ""


def _own_containers(data: dict[str, Any]) -> tuple[str, ...]:
    """Names of the grower's own containers, which the rest of the file may use."""
    lab = data.get("lab")
    own = lab.get("containers") if isinstance(lab, dict) else None
    return tuple(name.strip() for name in own) if isinstance(own, dict) else ()


def _fault(where: str, found: str, allowed: str, hint: str = "") -> SeasonError:
    return SeasonError([Fault(where, found, allowed, hint)])

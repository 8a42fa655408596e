"""The use case of `new`: a first season file, from answers or from a season that is copied.

What is written has been checked as `check` does it, so that it can be planned; nothing is ever overwritten.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from scheduler.book.store import book_path
from scheduler.errors import Fault, SeasonError, UsageError
from scheduler.present.files import require_new, write_new
from scheduler.season.answers import Sofar
from scheduler.season.copying import copied
from scheduler.season.place import FILE, season_file, weather_file
from scheduler.season.questions import QUESTIONS, Question
from scheduler.season.starter import written
from scheduler.season.wrong import Wrong
from scheduler.service import seasons
from scheduler.service.seasons import Clock
from scheduler.trade import catalogue as trade
from scheduler.trade.places import data_folder

KEYS = tuple(question.key for question in QUESTIONS)
"""What may be answered, in the order in which it is asked."""
LARGEST = 1_000_000
"""Bytes of a season file that is copied."""

Ask = Callable[[str, str, Wrong | None], str]
"""Puts a question with its default, and what was wrong with the last answer; an empty one is the default."""

_FLAG = {
    "logs": "amount",
    "stumps": "amount",
    "area": "amount",
    "cooker": "jars",
    "holds": "jars",
    "spawn_in": "bags",
    "volume": "shelf",
    "temperature": "shelf",
    "latitude": "where",
}
"""The question behind a key of the season file, where it is not named like it."""


@dataclass(frozen=True)
class Begun:
    """A season file that was written, what of it nobody said, and the years by which copied days moved."""

    path: Path
    name: str
    unsaid: tuple[tuple[str, str], ...] = ()
    years: int = 0
    along: tuple[str, ...] = ()
    """Names of files that were copied with it: daily weather, the grower's own record."""


def place_for(path: Path) -> Path:
    """The file to be written for a folder, or for a named .toml file. UsageError where it is taken."""
    file = path if path.suffix == ".toml" and not path.is_dir() else path / FILE
    require_new(file)
    if book_path(file).exists():
        found = "the book of another season lies here"
        raise UsageError(Fault(str(book_path(file)), found, "a folder without a book", "take another folder"))
    return file


def begin(
    file: Path, given: Mapping[str, str], ask: Ask | None, *, clock: Clock, today: date, season_id: str
) -> Begun:
    """A season file from what is given and from the answers of whoever is asked; else from the defaults.

    Raises UsageError, naming the flag, for what is given and cannot be; a wrong answer is asked for again.
    """
    catalogue = trade.load()
    said: dict[str, str] = {}
    unsaid: list[str] = []
    for question in QUESTIONS:
        sofar = Sofar(catalogue, today, said)
        if question.key in given:
            answer = _or_fault(question, given[question.key], sofar)
        else:
            answer, is_default = _asked(question, sofar, ask)
            unsaid += [question.key] * is_default
        said[question.key] = answer
    text = written(said, unsaid, catalogue, season_id, today)
    try:
        name = _checked(text, {}, clock, today)
    except SeasonError as error:
        raise UsageError(_of_answers(error.faults[0])) from None
    write_new(file, text.encode())
    return Begun(file, name, tuple((key, said[key]) for key in unsaid))


def begin_from(file: Path, source: str, *, clock: Clock, today: date, season_id: str) -> Begun:
    """A season file like an example (by its name) or any other season (by its path).

    Daily weather and the grower's own record are copied with it. Raises UsageError where there is none,
    SeasonError where its copy cannot be planned, ProfileError where the record cannot be used.
    """
    original = _source(source)
    seasons.own_record(original, trade.load())  # what is wrong with it is said of the original
    try:
        with original.open("rb") as stream:
            text, years = copied(stream.read(LARGEST).decode("utf-8-sig"), season_id, today)
        along = filter(None, (weather_file(original), seasons.own_file(original)))
        beside = {other.name: other.read_bytes() for other in along}
    except Wrong as wrong:
        raise UsageError(Fault(f"--from {source}", wrong.found, wrong.allowed, wrong.hint)) from None
    except (OSError, UnicodeDecodeError) as error:
        found = f"it cannot be read: {getattr(error, 'strerror', '') or 'it is no text in UTF-8'}"
        raise UsageError(Fault(f"--from {source}", found, "a season file or its folder")) from None
    try:
        name = _checked(text, beside, clock, today)
    except SeasonError as error:
        faults = [
            Fault(fault.where.replace(_HERE, str(original)), fault.found, fault.allowed, fault.hint)
            for fault in error.faults
        ]
        raise SeasonError(faults) from None
    for other in beside:
        require_new(file.parent / other)
    for other, content in beside.items():
        write_new(file.parent / other, content)
    write_new(file, text.encode())
    return Begun(file, name, years=years, along=tuple(beside))


def _or_fault(question: Question, text: str, sofar: Sofar) -> str:
    try:
        return question.read(text, sofar)
    except Wrong as wrong:
        raise UsageError(Fault(_flag(question.key), wrong.found, wrong.allowed, wrong.hint)) from None


def _asked(question: Question, sofar: Sofar, ask: Ask | None) -> tuple[str, bool]:
    """The answer, and whether it is the default that nobody named."""
    default = question.default(sofar)
    if ask is None:
        return _or_fault(question, default, sofar), True
    wrong: Wrong | None = None
    while True:
        text = ask(question.words, default, wrong).strip()
        try:
            return question.read(text or default, sofar), not text
        except Wrong as again:
            wrong = again


def _source(source: str) -> Path:
    """The season file of an example by its name, else of a path."""
    examples = data_folder("examples")
    names = sorted(path.parent.name for path in examples.glob(f"*/{FILE}"))
    if source in names:
        return examples / source / FILE
    file = season_file(Path(source))
    if file.is_file():
        return file
    raise UsageError(
        Fault(f"--from {source}", "no such example or file", f"a path, or an example: {', '.join(names)}")
    )


_HERE = "<copy>"


def _checked(text: str, beside: Mapping[str, bytes], clock: Clock, today: date) -> str:
    """The name of the season a text says, which can be planned; SeasonError where it cannot."""
    with TemporaryDirectory() as folder:
        file = Path(folder, FILE)
        file.write_text(text, encoding="utf-8")
        for name, content in beside.items():
            Path(folder, name).write_bytes(content)
        try:
            return seasons.check(file, clock, today).name
        except SeasonError as error:
            raise SeasonError(
                [
                    Fault(fault.where.replace(str(file), _HERE), fault.found, fault.allowed, fault.hint)
                    for fault in error.faults
                ]
            ) from None


def _of_answers(fault: Fault) -> Fault:
    """A fault of the file that was to be written, laid at the flag that would mend it."""
    keys = re.findall(r"[a-z_]+", fault.where.rpartition(" ")[2])
    named = [_FLAG.get(key, key) for key in reversed(keys)]
    key = next((key for key in named if key in KEYS), None)
    return Fault(_flag(key) if key else "budswell new", fault.found, fault.allowed, fault.hint)


def _flag(key: str) -> str:
    return f"--{key.replace('_', '-')}"

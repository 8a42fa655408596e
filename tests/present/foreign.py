"""Two parsers that are no Python packages: ical.js in node, and the C library libical.

ical.js is behind Thunderbird and Nextcloud, libical behind Evolution and GNOME Calendar. Where one is not
there, the tests with it are skipped, and say so: `--no-skips` makes a failure of that.
"""

from __future__ import annotations

import atexit
import ctypes
import ctypes.util
import json
import os
import shutil
import subprocess
from collections.abc import Callable
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from tests.command import ROOT
from tests.present.readers import Read, ReadToDos

SCRIPT = Path(__file__).with_name("ical_js.cjs")


class Refused(Exception):
    """What a parser says against a file."""


# -- ical.js -------------------------------------------------------------------------------------------------


@cache
def _node() -> subprocess.Popen[str]:
    """One node for all files, with ical.js from NODE_PATH or the checkout's own `node_modules`."""
    node = shutil.which("node")
    if node is None:
        pytest.skip("THIS TEST DID NOT RUN: there is no node; pip install '.[parsers]' brings one")
    paths = [os.environ.get("NODE_PATH", ""), str(ROOT / "node_modules")]
    surroundings = {**os.environ, "NODE_PATH": os.pathsep.join(filter(None, paths))}
    there = subprocess.run(
        [node, "-e", "require('ical.js')"], env=surroundings, capture_output=True, check=False
    )
    if there.returncode:
        pytest.skip("THIS TEST DID NOT RUN: node has no ical.js; npm install --no-save ical.js")
    found = subprocess.Popen(
        [node, SCRIPT],
        env=surroundings,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        encoding="utf-8",
    )
    atexit.register(_end, found)
    return found


def _end(process: subprocess.Popen[str]) -> None:
    process.communicate()


def _by_ical_js(data: bytes, kind: str) -> list[list[str]]:
    node = _node()
    assert node.stdin
    assert node.stdout
    node.stdin.write(json.dumps(data.decode()) + "\n")
    node.stdin.flush()
    answer = json.loads(node.stdout.readline())
    if "error" in answer:
        raise Refused(answer["error"])
    found: list[list[str]] = answer[kind]
    if len({uid for uid, *_ in found}) < len(found):
        raise Refused("one UID for two")
    return found


def by_ical_js(data: bytes) -> Read:
    """The events; hours come in UTC."""
    return {
        uid: (_when(first), _when(end), summary, text)
        for uid, first, end, summary, text in _by_ical_js(data, "VEVENT")
    }


def to_dos_by_ical_js(data: bytes) -> ReadToDos:
    """The to-dos."""
    return {
        uid: (_when(due), status, summary, text)
        for uid, due, status, summary, text in _by_ical_js(data, "VTODO")
    }


def _when(text: str) -> date:
    return datetime.fromisoformat(text) if "T" in text else date.fromisoformat(text)


# -- libical -------------------------------------------------------------------------------------------------


class _Time(ctypes.Structure):
    """`struct icaltimetype` of libical 3."""

    _fields_ = (
        *((name, ctypes.c_int) for name in ("year", "month", "day", "hour", "minute", "second")),
        ("is_date", ctypes.c_int),
        ("is_daylight", ctypes.c_int),
        ("zone", ctypes.c_void_p),
    )


_FUNCTIONS: dict[str, tuple[Any, tuple[Any, ...]]] = {
    "icalparser_parse_string": (ctypes.c_void_p, (ctypes.c_char_p,)),
    "icalcomponent_free": (None, (ctypes.c_void_p,)),
    "icalcomponent_count_errors": (ctypes.c_int, (ctypes.c_void_p,)),
    "icalrestriction_check": (ctypes.c_int, (ctypes.c_void_p,)),
    "icalcomponent_string_to_kind": (ctypes.c_int, (ctypes.c_char_p,)),
    "icalcomponent_get_first_component": (ctypes.c_void_p, (ctypes.c_void_p, ctypes.c_int)),
    "icalcomponent_get_next_component": (ctypes.c_void_p, (ctypes.c_void_p, ctypes.c_int)),
    "icalcomponent_get_uid": (ctypes.c_char_p, (ctypes.c_void_p,)),
    "icalcomponent_get_summary": (ctypes.c_char_p, (ctypes.c_void_p,)),
    "icalcomponent_get_description": (ctypes.c_char_p, (ctypes.c_void_p,)),
    "icalcomponent_get_dtstart": (_Time, (ctypes.c_void_p,)),
    "icalcomponent_get_dtend": (_Time, (ctypes.c_void_p,)),
    "icalcomponent_get_due": (_Time, (ctypes.c_void_p,)),
    "icalcomponent_get_status": (ctypes.c_int, (ctypes.c_void_p,)),
    "icalproperty_status_to_string": (ctypes.c_char_p, (ctypes.c_int,)),
    "icaltime_as_timet_with_zone": (ctypes.c_int64, (_Time, ctypes.c_void_p)),
}
"""What is called of the library: the type of its answer, and of its arguments."""


@cache
def _libical() -> ctypes.CDLL:
    name = ctypes.util.find_library("ical")
    if name is None:
        pytest.skip("THIS TEST DID NOT RUN: libical is not installed; on Debian: apt-get install libical3")
    library = ctypes.CDLL(name)
    for function, (answer, arguments) in _FUNCTIONS.items():
        called = getattr(library, function)
        called.restype, called.argtypes = answer, arguments
    return library


def _by_libical(data: bytes, kind: str, one: Callable[[ctypes.CDLL, int], tuple[Any, ...]]) -> dict[str, Any]:
    """What a function makes of each component of a kind, by its UID."""
    library = _libical()
    _checked(library, _as_invitation(data))
    calendar = library.icalparser_parse_string(data)
    try:
        if not calendar or library.icalcomponent_count_errors(calendar):
            raise Refused("errors")
        of_kind = library.icalcomponent_string_to_kind(kind.encode())
        found: dict[str, Any] = {}
        part = library.icalcomponent_get_first_component(calendar, of_kind)
        while part:
            uid = _text(library.icalcomponent_get_uid(part))
            if uid in found:
                raise Refused(f"two of {uid}")
            found[uid] = one(library, part)
            part = library.icalcomponent_get_next_component(calendar, of_kind)
        return found
    finally:
        library.icalcomponent_free(calendar)


def _as_invitation(data: bytes) -> bytes:
    """The file with a METHOD and what that asks for: the library's rules of what has to be there begin there."""
    data = data.replace(b"CALSCALE:", b"METHOD:PUBLISH\r\nCALSCALE:", 1)
    data = data.replace(b"BEGIN:VEVENT\r\n", b"BEGIN:VEVENT\r\nORGANIZER:mailto:a@example.org\r\n")
    organised = b"BEGIN:VTODO\r\nORGANIZER:mailto:a@example.org\r\n"
    begun = organised + b"DTSTART;VALUE=DATE:20200101\r\n"
    return b"".join(
        part if b"\r\nDTSTART" in part else part.replace(organised, begun)
        for part in _entries(data.replace(b"BEGIN:VTODO\r\n", organised))
    )


def _entries(data: bytes) -> list[bytes]:
    first, *others = data.split(b"BEGIN:VTODO\r\n")
    return [first, *(b"BEGIN:VTODO\r\n" + other for other in others)]


def _checked(library: ctypes.CDLL, data: bytes) -> None:
    calendar = library.icalparser_parse_string(data)
    try:
        if not calendar or library.icalrestriction_check(calendar) != 1:
            raise Refused("something is missing, or there too often")
    finally:
        library.icalcomponent_free(calendar)


def _text(found: bytes | None) -> str:
    if found is None:
        raise Refused("a text is missing")
    return found.decode()


def _texts(library: ctypes.CDLL, part: int) -> tuple[str, str]:
    """Summary and description."""
    return _text(library.icalcomponent_get_summary(part)), _text(library.icalcomponent_get_description(part))


def _moment(library: ctypes.CDLL, found: _Time) -> date:
    if found.is_date:
        return date(found.year, found.month, found.day)
    return datetime.fromtimestamp(library.icaltime_as_timet_with_zone(found, found.zone), UTC)


def by_libical(data: bytes) -> Read:
    """The events; hours come in UTC."""
    return _by_libical(
        data,
        "VEVENT",
        lambda library, part: (
            _moment(library, library.icalcomponent_get_dtstart(part)),
            _moment(library, library.icalcomponent_get_dtend(part)),
            *_texts(library, part),
        ),
    )


def to_dos_by_libical(data: bytes) -> ReadToDos:
    """The to-dos."""
    return _by_libical(
        data,
        "VTODO",
        lambda library, part: (
            _moment(library, library.icalcomponent_get_due(part)),
            _text(library.icalproperty_status_to_string(library.icalcomponent_get_status(part))),
            *_texts(library, part),
        ),
    )


FOREIGN: dict[str, Callable[[bytes], Read]] = {"ical.js": by_ical_js, "libical": by_libical}
FOREIGN_TO_DOS: dict[str, Callable[[bytes], ReadToDos]] = {
    "ical.js": to_dos_by_ical_js,
    "libical": to_dos_by_libical,
}

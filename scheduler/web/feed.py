"""Calendar files for programs that subscribe: one secret address each, and the same bytes sent only once.

Programs that follow a calendar ask again and again, with the ETag or the date of what they have (RFC 9110
sections 8.8 and 13); what they have already is not sent again.
"""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import UTC, datetime
from email.utils import format_datetime, parsedate_to_datetime
from functools import cached_property
from typing import Protocol

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import ASGIApp

TYPE = "text/calendar; charset=utf-8"
PATH = "/feed/{key}/{name}"
_KEPT = {"Cache-Control": "private, no-cache"}
"""A proxy keeps nothing of what only the holder of an address may read."""


@dataclass(frozen=True)
class Served:
    """A file as it is served, and the moment, in UTC, at which something in it was changed last."""

    data: bytes
    modified: datetime

    @cached_property
    def etag(self) -> str:
        """The strong validator of RFC 9110 section 8.8.3: other bytes, another tag."""
        return f'"{hashlib.sha256(self.data).hexdigest()[:32]}"'


class Source(Protocol):
    """Where the files come from."""

    def key(self) -> str:
        """The secret that stands in every address now."""

    def file(self, name: str) -> Served | None:
        """The file of that name as it is now; None where there is none."""


def app(source: Source) -> ASGIApp:
    """Answers GET and HEAD for the files of a source; whoever has not its key learns nothing."""

    def answer(request: Request) -> Response:
        told = request.path_params["key"]
        # In constant time, so that the time of an answer does not tell how much of a guess was right.
        if not secrets.compare_digest(told.encode(), source.key().encode()):
            return _nothing_here()
        found = source.file(request.path_params["name"])
        return _nothing_here() if found is None else sent(request, found, TYPE)

    found = Starlette(routes=[Route(PATH, answer, methods=["GET"])])
    found.router.redirect_slashes = False  # it would repeat an address in an answer
    return found


def _nothing_here() -> Response:
    return Response("There is nothing here.\n", 404, _KEPT, "text/plain")


def sent(request: Request, file: Served, kind: str) -> Response:
    """A file of a kind, or word that the asker has it already."""
    headers = {**_KEPT, "ETag": file.etag}
    if file.modified <= datetime.now(UTC):  # one that lies ahead must not be told (section 8.8.2.1)
        headers["Last-Modified"] = format_datetime(file.modified, usegmt=True)
    if _has_it(request, file):
        return Response(None, 304, headers)
    return Response(file.data, 200, headers, kind)


def _has_it(request: Request, file: Served) -> bool:
    """Whether the asker has these bytes; the date counts only where no tag is named (section 13.2.2)."""
    tags = ",".join(request.headers.getlist("if-none-match"))
    if tags:
        return any(tag.strip().removeprefix("W/") in ("*", file.etag) for tag in tags.split(","))
    try:
        since = parsedate_to_datetime(request.headers.get("if-modified-since", ""))
        return file.modified <= since.replace(tzinfo=since.tzinfo or UTC)
    except (ValueError, OverflowError):
        return False

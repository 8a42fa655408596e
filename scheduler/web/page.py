"""The local page over http: sessions, forms, and answers. What is on a page is asked of a `Desk`.

`guard` stands before it, `once` keeps a form from being done twice, `door` asks for the passphrase.
"""

from __future__ import annotations

import socket
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol
from urllib.parse import parse_qsl

from anyio import CapacityLimiter
from anyio.to_thread import run_sync
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Receive, Scope, Send

from scheduler.web import feed
from scheduler.web.door import Door, Later
from scheduler.web.guard import Guard, Names
from scheduler.web.once import FIELD, Once, Stale

MOST_BYTES = 256 * 1024
"""A form with a note of 10,000 letters of any script is half as long."""
MOST_FIELDS = 600
ENTER, LEAVE = "/enter", "/leave"
WRITERS = 4
"""So many writes wait for one another at a time; pages that are only read never wait for them."""
_COOKIE_S = 30 * 24 * 3600


@dataclass(frozen=True)
class Shown:
    """A page as it is sent; `mark` in it stands where the token of its forms goes."""

    html: str
    status: int = 200
    again_s: int | None = None
    """After so many seconds it is asked for again, while something is worked out."""


@dataclass(frozen=True)
class Went:
    """What came of a form: another page to go to, or the page to show where nothing was done."""

    to: str = ""
    shown: Shown | None = None


class Desk(Protocol):
    """Where pages come from and forms go. It is called from several threads."""

    mark: str
    """Stands in a page where the token of its forms goes."""

    def file(self, name: str) -> tuple[feed.Served, str] | None:
        """A file that pages need, and its type; None where there is none of that name."""

    def show(self, path: str, query: Mapping[str, str], base: str) -> Shown:
        """The page at a path; `base` is the address of the server as it was called."""

    def do(self, path: str, form: Mapping[str, str]) -> Went:
        """Does what a form says, in one piece or not at all."""

    def refuse(self, why: str, status: int) -> Shown:
        """The page that says why something is not done: ``stale``, ``large`` or ``missing``."""

    def entrance(self, said: str, status: int) -> Shown:
        """The page that asks for the passphrase: `said` is empty, ``wrong`` or ``wait``."""


def app(desk: Desk, source: feed.Source, door: Door, names: Names, cookie: str) -> ASGIApp:
    """The page with the calendars at their secret addresses; `cookie` is the name of its one cookie."""
    return Guard(_Page(desk, feed.app(source), door, cookie), names)


def machine_names(host: str, more: Iterable[str], is_open: bool) -> Names:
    """Under which names a server is called that listens at a host; more of them may be told.

    One that others reach answers to every plain address, and to its own name.
    """
    named = {"localhost", "127.0.0.1", "::1", host, *more}
    if is_open:
        own = socket.gethostname()
        named |= {own, f"{own}.local", f"{own.partition('.')[0]}.local"}
    return Names(frozenset(name.casefold().rstrip(".") for name in named), any_address=is_open)


class _Page:
    def __init__(self, desk: Desk, calendars: ASGIApp, door: Door, cookie: str) -> None:
        self._desk, self._calendars, self._door, self._cookie = desk, calendars, door, cookie
        self._once: Once[Went] = Once()
        self._writers = CapacityLimiter(WRITERS)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["path"].startswith("/feed/"):
            await self._calendars(scope, receive, send)
            return
        request = Request(scope, receive)
        await (await self._answer(request))(scope, receive, send)

    async def _answer(self, request: Request) -> Response:
        path = request.scope["path"]
        held = request.cookies.get(self._cookie, "")
        if request.method != "POST":
            found = self._desk.file(path)
            if found is not None:
                return feed.sent(request, *found)
            if self._door.session(held) is None or (path == ENTER and self._door.is_locked):
                return self._sent(self._desk.entrance("", 200 if path == ENTER else 401), "")
            query = {name: value[:1000] for name, value in request.query_params.items()}
            return self._sent(await run_sync(self._desk.show, path, query, _base(request)), held)
        fields = await _form(request)
        if fields is None:
            return self._sent(self._desk.refuse("large", 413), held)
        if path in (ENTER, LEAVE) and not self._door.is_locked:
            return self._sent(self._desk.refuse("missing", 404), held)
        if path == ENTER:
            return await run_sync(self._enter, fields, _who(request))
        if not self._door.holds(held):
            return self._sent(self._desk.refuse("stale", 409), held)
        if path == LEAVE:
            self._door.leave(held)
            return RedirectResponse(ENTER, 303)
        return await run_sync(self._done, path, fields, held, limiter=self._writers)

    def _done(self, path: str, fields: Mapping[str, str], held: str) -> Response:
        form = {name: value for name, value in fields.items() if name != FIELD}
        try:
            went, again = self._once.do(
                path, fields, held, lambda: self._desk.do(path, form), lambda went: bool(went.to)
            )
        except Stale:
            return self._sent(self._desk.refuse("stale", 409), held)
        if went.shown is not None:
            return self._sent(went.shown, held)
        return RedirectResponse(went.to + "?again=1" * again, 303)

    def _enter(self, fields: Mapping[str, str], who: str) -> Response:
        try:
            key = self._door.enter(fields.get("passphrase", ""), who)
        except Later as later:
            waits = self._sent(self._desk.entrance("wait", 429), "")
            waits.headers["Retry-After"] = str(later.seconds)
            return waits
        if key is None:
            return self._sent(self._desk.entrance("wrong", 403), "")
        answer = RedirectResponse("/", 303)
        self._keep(answer, key)
        return answer

    def _sent(self, shown: Shown, held: str) -> Response:
        session = self._door.session(held)
        token = self._once.token(session) if session else ""
        headers = {} if shown.again_s is None else {"Refresh": str(shown.again_s)}
        answer = Response(
            shown.html.replace(self._desk.mark, token), shown.status, headers, "text/html; charset=utf-8"
        )
        if session and session != held:
            self._keep(answer, session)
        return answer

    def _keep(self, answer: Response, session: str) -> None:
        answer.set_cookie(self._cookie, session, max_age=_COOKIE_S, httponly=True, samesite="strict")


def _base(request: Request) -> str:
    return f"{request.url.scheme}://{request.headers['host']}"


def _who(request: Request) -> str:
    return request.client.host if request.client else ""


async def _form(request: Request) -> dict[str, str] | None:
    """The fields of a form, those of one name joined by commas; None where it is too large."""
    data = b""
    async for part in request.stream():
        data += part
        if len(data) > MOST_BYTES:
            return None
    try:
        pairs = parse_qsl(data.decode("utf-8", "replace"), max_num_fields=MOST_FIELDS, errors="replace")
    except ValueError:
        return None
    fields: dict[str, str] = {}
    for name, value in pairs:
        fields[name] = f"{fields[name]},{value}" if name in fields else value
    return fields

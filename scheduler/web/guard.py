"""Stands before every page: who is asked for, where a write comes from, and what a browser may do with it.

A page on another site can make a browser call this machine. So only the machine's own names are answered
(a foreign name may lead here by DNS), a write has to come from a page of ours, and the headers forbid
everything that our pages do not need (Content Security Policy Level 3, W3C; RFC 6454 for Origin).
"""

from __future__ import annotations

import ipaddress
import re
from dataclasses import dataclass
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

HEADERS = {
    "Content-Security-Policy": (
        "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; object-src 'none'"
    ),
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    # Without a referrer a browser would hide the origin of its own writes as well.
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
}
CACHE = "private, no-cache"
"""Of pages that are not kept by anybody but the browser that asked, which asks again."""


MOST_PORT = 65535
_HOST = re.compile(
    r"(?:\[(?P<six>[0-9a-f.]*:[0-9a-f:.]*)\]|(?P<name>[^\s\[\]:/?#@\\%]{1,253}))(?::(?P<port>[0-9]{1,5}))?",
    re.ASCII | re.IGNORECASE,
)
"""RFC 9110 section 7.2: ``name``, ``name:port``, ``[address]:port``; no zone of a network card."""


@dataclass(frozen=True)
class Names:
    """Under which names the machine answers; `any_address` also under every plain address of it."""

    names: frozenset[str]
    """In small letters, a plain address as it is: ``::1``."""
    any_address: bool = False

    def allow(self, host: str) -> bool:
        """Whether a Host header names this machine. A plain address cannot lead here by a foreign DNS."""
        name = _name(host)
        if name in self.names:
            return True
        try:
            ipaddress.ip_address(name)
        except ValueError:
            return False
        return self.any_address


def _name(host: str) -> str:
    """The name in a Host header; empty where it is anything but a name, or an address, and perhaps a port.

    All of it is matched: it goes into the addresses that pages show.
    """
    found = _HOST.fullmatch(host)
    if found is None or int(found["port"] or 0) > MOST_PORT:
        return ""
    return (found["six"] or found["name"]).lower().removesuffix(".")


class Guard:
    """Lets through what may come in, and puts the headers on every answer."""

    def __init__(self, app: ASGIApp, names: Names) -> None:
        self._app, self._names = app, names

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return
        headers = Headers(scope=scope)

        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                answer = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    answer[name] = value
                answer.setdefault("Cache-Control", CACHE)
            await send(message)

        refused = _refused(scope["method"], headers, self._names)
        await (refused or self._app)(scope, receive, sent)


def _refused(method: str, headers: Headers, names: Names) -> PlainTextResponse | None:
    if len(headers.getlist("host")) != 1 or not names.allow(headers["host"]):
        return PlainTextResponse("This machine is not called that here.\n", 421)
    if method not in ("GET", "HEAD", "POST"):
        return PlainTextResponse("There is nothing to do so.\n", 405, {"Allow": "GET, HEAD, POST"})
    if method == "POST" and not _is_own(headers):
        return PlainTextResponse("This did not come from a page of Budswell. Nothing was recorded.\n", 403)
    return None


def _is_own(headers: Headers) -> bool:
    """Whether a write comes from a page of the same origin, by what the browser itself says of it."""
    if headers.get("sec-fetch-site", "same-origin") != "same-origin":
        return False
    told = headers.get("origin") or headers.get("referer", "")
    try:
        return urlsplit(told).netloc.lower() == headers["host"].lower()
    except ValueError:
        return False

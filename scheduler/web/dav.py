"""A calendar on a CalDAV server (RFC 4791): its entries, and changes that overwrite nobody else's.

Small on purpose: one report, and PUT and DELETE that name the version they are for. Libraries for CalDAV hide
exactly that. Only this module knows httpx, an extra.
"""

from __future__ import annotations

import importlib.util
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING
from urllib.parse import urljoin, urlsplit
from xml.etree import ElementTree

from scheduler.errors import Fault, UsageError
from scheduler.web.server import reaches_others

if TYPE_CHECKING:
    import httpx

TIMEOUT_S = 30
_DAV, _CAL = "{DAV:}", "{urn:ietf:params:xml:ns:caldav}"
_QUERY = """<?xml version="1.0" encoding="utf-8"?>
<C:calendar-query xmlns:D="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav">
<D:prop><D:getetag/><C:calendar-data/></D:prop>
<C:filter><C:comp-filter name="VCALENDAR"><C:comp-filter name="{kind}"/></C:comp-filter></C:filter>
</C:calendar-query>"""
_MEANS = {
    401: ("the server wants another name or password", "--user NAME, and its password as README says"),
    403: ("the server does not allow it", "a calendar that you may write to"),
    404: ("there is no calendar at this address", "the address of one calendar, not of the server"),
    405: ("what is at this address is no calendar", "the address of one calendar, not of the server"),
    409: ("an entry of the same identity lies elsewhere on the server", "take it out there"),
    507: ("the server is full", "make room there"),
}


@dataclass(frozen=True)
class Resource:
    """One entry as it lies on the server: its address, its version and its bytes."""

    href: str
    etag: str
    data: bytes


def require_usable(option: str, url: str, plain_http: bool) -> None:
    """Raises UsageError for what is no address, for one with a password in it, or that is asked openly."""
    parts = urlsplit(url)
    allowed = "https://host/path/of/the/calendar/"
    if parts.scheme not in ("https", "http") or not parts.hostname:
        raise UsageError(Fault(option, f'"{url}" is no address of a calendar', allowed))
    if parts.username is not None or parts.password is not None:
        # Not repeated: it may hold a password.
        raise UsageError(Fault(option, "a name or a password stands in the address", allowed, "--user NAME"))
    if parts.scheme == "http" and reaches_others(parts.hostname) and not plain_http:
        found = "http without s: the password could be read on the way"
        raise UsageError(Fault(option, found, allowed, "--plain-http where you trust the network"))
    if importlib.util.find_spec("httpx") is None:
        found = "servers are spoken to with httpx, which is not installed"
        hint = "pip install 'budswell[caldav]'"
        raise UsageError(Fault(option, found, "an installation with the extra `caldav`", hint))


class Collection:
    """One calendar on a server; each method raises UsageError where the server refuses or is not reached."""

    def __init__(self, url: str, client: httpx.Client) -> None:
        self.url = url if url.endswith("/") else f"{url}/"
        self._client = client

    @classmethod
    @contextmanager
    def open(cls, url: str, user: str, password: str) -> Iterator[Collection]:
        """The calendar at an address, for one command; redirections are told, not followed."""
        import httpx

        with httpx.Client(auth=(user, password) if user else None, timeout=TIMEOUT_S) as client:
            yield cls(url, client)

    def read(self, kind: str) -> list[Resource]:
        """Everything of a kind that lies in the calendar."""
        headers = {"Depth": "1", "Content-Type": "application/xml; charset=utf-8"}
        answer = self._ask("REPORT", self.url, headers, _QUERY.format(kind=kind).encode())
        try:
            found = ElementTree.fromstring(answer.content)
        except ElementTree.ParseError as error:
            raise UsageError(
                Fault(self.url, "the answer is none of a calendar server", *_MEANS[404][1:])
            ) from error
        return [*_resources(found, self.url)]

    def get(self, href: str) -> Resource | None:
        """An entry as it is now; None where it is gone."""
        answer = self._ask("GET", href, {}, b"", (404, 410))
        if answer.status_code != 200:
            return None
        return Resource(href, answer.headers.get("etag", ""), answer.content)

    def put(self, href: str, data: bytes, etag: str | None) -> bool:
        """Writes an entry over the version `etag`, or a new one; False where it is another version by now."""
        match = {"If-None-Match": "*"} if etag is None else {"If-Match": etag}
        headers = {"Content-Type": "text/calendar; charset=utf-8", **match}
        return self._ask("PUT", href, headers, data, (412,)).status_code != 412

    def delete(self, href: str, etag: str) -> bool:
        """Takes away the version `etag` of an entry; False where another has changed it meanwhile."""
        return self._ask("DELETE", href, {"If-Match": etag}, b"", (404, 412)).status_code != 412

    def address(self, uid: str) -> str:
        """Where a new entry is put."""
        return f"{self.url}{uid}.ics"

    def _ask(
        self, method: str, href: str, headers: dict[str, str], data: bytes, known: tuple[int, ...] = ()
    ) -> httpx.Response:
        import httpx

        try:
            answer = self._client.request(method, href, headers=headers, content=data or None)
        except (httpx.HTTPError, httpx.InvalidURL) as error:
            found = f"the server cannot be reached: {error}"
            raise UsageError(Fault(self.url, found, "a server that answers", "try again later")) from error
        code = answer.status_code
        if code // 100 == 2 or code in known:
            return answer
        found, hint = _MEANS.get(code, (f"the server answers {code} {answer.reason_phrase}", ""))
        if code // 100 == 3:
            found, hint = "the calendar lies elsewhere", urljoin(href, answer.headers.get("location", ""))
        raise UsageError(Fault(self.url, found, "a calendar that you may read and write", hint))


def _resources(found: ElementTree.Element, base: str) -> Iterator[Resource]:
    for response in found.iter(f"{_DAV}response"):
        href, etag = response.findtext(f"{_DAV}href"), response.findtext(f".//{_DAV}getetag")
        data = response.findtext(f".//{_CAL}calendar-data")
        address = urljoin(base, href or "")
        # An address on another machine is not spoken to: it would be told the password.
        if href and etag and data and urlsplit(address).netloc == urlsplit(base).netloc:
            yield Resource(address, etag, data.encode())

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
_NAMESPACE = _CAL.strip("{}").encode()
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


_OF_ALL = (401, 403, 404, 405, 429, 502, 503, 504, 507)
"""Answers that say something of the server or of the calendar, whichever entry was sent."""


class Refused(UsageError):
    """The server does not take one entry; it may take others."""


@dataclass(frozen=True)
class Resource:
    """One entry as it lies on the server: its address, its version and its bytes."""

    href: str
    etag: str
    data: bytes


def require_usable(option: str, url: str, plain_http: bool) -> None:
    """Raises UsageError for what is no address, for one with a password in it, or that is asked openly."""
    allowed = "https://host/path/of/the/calendar/"
    try:
        parts = urlsplit(url)
        host, port = parts.hostname or "", parts.port
        host.encode("idna")  # as the name is asked for
    except ValueError:
        host, port = "", None
    if not host or port == 0 or parts.scheme not in ("https", "http"):
        told = "what stands there" if "@" in url else f'"{url}"'  # it may hold a password
        raise UsageError(Fault(option, f"{told} is no address of a calendar", allowed))
    if parts.username is not None or parts.password is not None:
        # Not repeated: it may hold a password.
        raise UsageError(Fault(option, "a name or a password stands in the address", allowed, "--user NAME"))
    if parts.scheme == "http" and reaches_others(host) and not plain_http:
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
        """The calendar at an address, for one command; redirections are told, not followed.

        Raises UsageError where the environment names a proxy or certificates that cannot be used.
        """
        import httpx

        # A proxy passes on what goes over https without reading it; over http it would read the password.
        by_proxy = urlsplit(url).scheme == "https"
        auth = (user, password) if user else None
        try:
            client = httpx.Client(auth=auth, timeout=TIMEOUT_S, trust_env=by_proxy)
        except (ValueError, ImportError, OSError, httpx.InvalidURL) as error:
            found = f"what the environment says of proxies and certificates cannot be used: {error}"
            allowed = "an http proxy and a file of certificates, or neither"
            raise UsageError(Fault(url, found, allowed, "look at HTTPS_PROXY and SSL_CERT_FILE")) from error
        with client:
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
        """An entry as it is now; None where it is gone. Refused as `put`."""
        answer = self._ask("GET", href, {}, b"", (404, 410))
        if answer.status_code != 200:
            return None
        return Resource(href, answer.headers.get("etag", ""), answer.content)

    def put(self, href: str, data: bytes, etag: str | None) -> bool:
        """Writes an entry over the version `etag`, or a new one; False where it is another version by now.

        Raises Refused where the server takes others, but not this one.
        """
        match = {"If-None-Match": "*"} if etag is None else {"If-Match": etag}
        headers = {"Content-Type": "text/calendar; charset=utf-8", **match}
        return self._ask("PUT", href, headers, data, (412,)).status_code != 412

    def delete(self, href: str, etag: str) -> bool:
        """Takes away the version `etag` of an entry; False where another has changed it. Refused as `put`."""
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
        except (httpx.HTTPError, httpx.InvalidURL, UnicodeError) as error:
            found = f"the server cannot be reached: {error}"
            raise UsageError(Fault(self.url, found, "a server that answers", "try again later")) from error
        code = answer.status_code
        if code // 100 == 2 or code in known:
            return answer
        found, hint = _MEANS.get(code, (f"the server answers {code} {answer.reason_phrase}", ""))
        if code // 100 == 3:
            found, hint = "the calendar lies elsewhere", _joined(href, answer.headers.get("location", ""))
        # Of what an entry has to be, too, a server may say that it is forbidden (RFC 4791 section 5.3.2.1).
        is_of_one = code == 403 and _NAMESPACE in answer.content
        is_of_all = code // 100 == 3 or (code in _OF_ALL and not is_of_one)
        kind = UsageError if is_of_all or method == "REPORT" else Refused
        raise kind(Fault(self.url, found, "a calendar that you may read and write", hint))


def _resources(found: ElementTree.Element, base: str) -> Iterator[Resource]:
    for response in found.iter(f"{_DAV}response"):
        href, etag = response.findtext(f"{_DAV}href"), response.findtext(f".//{_DAV}getetag")
        data = response.findtext(f".//{_CAL}calendar-data")
        address = _joined(base, href or "")
        # An address on another machine, or without its s, is not spoken to: it would be told the password.
        if href and etag and data and urlsplit(address)[:2] == urlsplit(base)[:2]:
            yield Resource(address, etag, data.encode())


def _joined(base: str, href: str) -> str:
    """An address that a server tells; empty where it is none."""
    try:
        return urljoin(base, href)
    except ValueError:
        return ""

"""What is said to a calendar server and what of its answers is believed, request by request."""

from __future__ import annotations

import httpx
import pytest

from scheduler.errors import UsageError
from scheduler.web.dav import Collection, Refused

URL = "https://calendar.example:8443/grower/todos/"
ENTRY = """<response><href>{href}</href><propstat><prop><getetag>"1"</getetag>
<C:calendar-data xmlns:C="urn:ietf:params:xml:ns:caldav">BEGIN:VCALENDAR</C:calendar-data></prop></propstat></response>"""
CONDITION = '<error xmlns="DAV:"><valid-calendar-data xmlns="urn:ietf:params:xml:ns:caldav"/></error>'


def answering(code: int, text: str = "") -> tuple[Collection, list[httpx.Request]]:
    """A calendar on a server that always says the same, with all that it is asked."""
    asked = list[httpx.Request]()

    def answer(request: httpx.Request) -> httpx.Response:
        asked.append(request)
        return httpx.Response(code, text=text)

    return Collection(URL, httpx.Client(transport=httpx.MockTransport(answer))), asked


@pytest.mark.parametrize(
    ("href", "is_ours"),
    [
        ("/grower/todos/a.ics", True),
        (f"{URL}a.ics", True),
        ("https://elsewhere.example/a.ics", False),
        ("https://calendar.example/grower/todos/a.ics", False),
        ("//elsewhere.example:8443/a.ics", False),
        ("http://calendar.example:8443/grower/todos/a.ics", False),
        ("http://[::1/a.ics", False),
    ],
)
def test_no_other_server_is_told_a_password(href: str, is_ours: bool) -> None:
    """An entry that is said to lie on another one, or is to be asked for without its s, is passed over."""
    found, _ = answering(207, f'<multistatus xmlns="DAV:">{ENTRY.format(href=href)}</multistatus>')
    assert [one.href.rpartition("/")[2] for one in found.read("VTODO")] == ["a.ics"] * is_ours


def test_every_write_names_the_version_it_is_for() -> None:
    """A new entry is for none (RFC 9110 section 13.1)."""
    found, asked = answering(204)
    found.put(f"{URL}a.ics", b"x", None)
    found.put(f"{URL}a.ics", b"x", '"1"')
    found.delete(f"{URL}a.ics", '"2"')
    named = [(one.method, one.headers.get("if-none-match"), one.headers.get("if-match")) for one in asked]
    assert named == [("PUT", "*", None), ("PUT", None, '"1"'), ("DELETE", None, '"2"')]


@pytest.mark.parametrize(
    ("code", "text", "kind"),
    [
        *((code, "", Refused) for code in (400, 409, 413, 415, 422, 500)),
        (403, CONDITION, Refused),
        *((code, "", UsageError) for code in (301, 401, 403, 404, 405, 429, 502, 503, 504, 507)),
    ],
)
def test_an_answer_is_of_one_entry_or_of_all(code: int, text: str, kind: type[UsageError]) -> None:
    """What is not of one entry alone ends the call; whoever reads, reads all."""
    found, _ = answering(code, text)
    with pytest.raises(UsageError) as caught:
        found.put(f"{URL}a.ics", b"x", None)
    assert type(caught.value) is kind
    if code != 404:  # it is gone, which is no trouble
        with pytest.raises(UsageError) as caught:
            found.get(f"{URL}a.ics")
        assert type(caught.value) is kind
    with pytest.raises(UsageError) as caught:
        found.read("VTODO")
    assert type(caught.value) is UsageError

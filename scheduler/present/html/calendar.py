"""The addresses of the calendars, with a code for whoever types them into a phone."""

from __future__ import annotations

from collections.abc import Sequence

from scheduler.present.html.codes import code
from scheduler.present.html.frame import Frame, page

SAID = {
    "events": "All work and orders, as events",
    "to-dos": "All of it as to-dos",
    "lab": "Work in the lab",
    "yard": "Work outdoors",
    "other": "Other work",
    "orders": "Orders",
}
HERE = (
    "These addresses lead to this machine only; a phone does not reach them. budswell serve --lan, without "
    "--host, opens them to your network."
)
ABROAD = "Other machines of your network reach them, over plain http, which whoever shares it can read."


def calendar_page(frame: Frame, names: Sequence[str], base: str, key: str, is_open: bool) -> str:
    """The files of these names, below the address `base`, behind their secret key."""
    feeds = []
    for name in names:
        what, address = name.removesuffix(".ics"), f"{base}/feed/{key}/{name}"
        feeds.append((what, SAID[what], address, code(address, f"Address of the calendar: {SAID[what]}")))
    return page(
        "calendar.html", frame.at("/calendar"), "Calendar", feeds=feeds, reach=ABROAD if is_open else HERE
    )

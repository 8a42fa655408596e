"""What is said when calendars are served: their addresses, and who can read them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.console import Console

from scheduler.plan import Plan
from scheduler.present.layout import Lines, fold, paragraph, section, write

HERE = (
    "Only programs on this machine reach it: not a phone, nor a calendar on the web. "
    "--host opens it to others."
)
ABROAD = (
    "Other machines reach it. It is plain http: whoever shares the network can read what is sent, the "
    "addresses too. Where that matters, put a web server with https before it."
)


OPEN = (
    "It asks for the passphrase. But it is plain http: whoever shares the network can read what is sent, the "
    "passphrase and the whole page too. Use it on a network you trust; elsewhere start it without --lan "
    "and reach it by an encrypted tunnel, such as that of ssh."
)
ALONE = "Only programs on this machine reach it."
SHARED = "Everybody who works on this machine can open it. --lan opens it to your network, with a passphrase."
LOCKED = "It asks for the passphrase. --lan without --host opens it to your network."


def show_page(plan: Plan, base: str, is_open: bool, is_locked: bool, console: Console) -> None:
    """Print where the page is, and who can open it."""
    width = console.width
    write([*fold(f"The page of {plan.season.name}, plan {plan.plan_no}, until Ctrl-C", width)], console)
    console.out(f"  {base}/", highlight=False)
    said = [OPEN] if is_open else [ALONE, LOCKED if is_locked else SHARED]
    lines = [line for words in said for line in paragraph(words, width)]
    write(section("Good to know", lines, width), console)


def show_served(
    plan: Plan,
    names: Sequence[str],
    base: str,
    secret: str | None,
    kept: Path,
    is_open: bool,
    call: str,
    console: Console,
) -> None:
    """Print the addresses of some files, each on one line, and what they mean.

    Without a `secret` a stand-in is printed, and where the secret is `kept`.
    """
    width = console.width
    write([*fold(f"Calendars of {plan.season.name}, plan {plan.plan_no}, until Ctrl-C", width)], console)
    for name in names:  # an address that is folded cannot be copied
        console.out(f"  {base}/feed/{secret or 'TOKEN'}/{name}", highlight=False)
    said: Lines = []
    if secret is None:
        said += paragraph(f"TOKEN stands in {kept}: this is no terminal, and might be kept.", width)
    said += paragraph(f"Whoever has an address can read it. For new ones: {call} --new-token", width)
    said += paragraph(ABROAD if is_open else HERE, width)
    write(section("Good to know", said, width), console)

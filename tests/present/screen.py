"""A screen made of text: whatever a function prints, at a width, as a terminal or piped into a file."""

from __future__ import annotations

from collections.abc import Callable
from io import StringIO
from typing import Any

from rich.console import Console


def shown(show: Callable[..., None], *args: Any, width: int = 80, terminal: bool = False) -> str:
    """What `show` prints when it is given its arguments and a console."""
    file = StringIO()
    console = Console(file=file, width=width, force_terminal=terminal, legacy_windows=False)
    show(*args, console)
    return file.getvalue()


def section(text: str, heading: str) -> str:
    """The lines under a heading, up to the next heading."""
    lines = text.splitlines()
    start = lines.index(heading) + 1
    length = next((n for n, line in enumerate(lines[start:]) if line and not line.startswith(" ")), None)
    return "\n".join(lines[start:] if length is None else lines[start : start + length]).rstrip()

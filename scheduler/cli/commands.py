"""The list of commands: of most of them a call needs no more than a name and a sentence."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from typing import Any

import typer
from typer.core import TyperCommand, TyperGroup
from typer.main import get_command


def group(commands: Mapping[str, Callable[..., None] | typer.Typer]) -> type[TyperGroup]:
    """A group of commands by their names; what one of them takes is read only when it is called."""

    class Commands(TyperGroup):
        def __init__(self, **attributes: Any) -> None:
            super().__init__(**attributes)
            for name, what in commands.items():
                self.add_command(TyperCommand(name, help=_help(what), rich_markup_mode=None))

        def resolve_command(self, ctx: Any, args: list[str]) -> tuple[str | None, Any, list[str]]:
            name, found, rest = super().resolve_command(ctx, args)
            return name, found and _whole(commands[args[0]]), rest

    return Commands


def _help(what: Callable[..., None] | typer.Typer) -> str | None:
    return what.info.help if isinstance(what, typer.Typer) else inspect.getdoc(what)


def _whole(what: Callable[..., None] | typer.Typer) -> Any:
    """A command with all that it takes."""
    if isinstance(what, typer.Typer):
        return get_command(what)
    alone = typer.Typer(add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None)
    alone.command()(what)
    return get_command(alone)

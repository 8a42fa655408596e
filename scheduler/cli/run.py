"""Runs the command line: every error is one clear block and an exit code."""

from __future__ import annotations

import gc
import os
import sys
from io import TextIOWrapper
from typing import NoReturn

import typer

from scheduler.cli.app import app
from scheduler.cli.parts import console
from scheduler.errors import BudswellError, Fault, NoPlan, UsageError
from scheduler.pipes import broken_pipe_ends

INTERRUPTED = 130
"""Exit code after Ctrl-C, as typer gives it."""


def main() -> NoReturn:
    """Run the command line; every error is one clear block on stderr and an exit code."""
    gc.disable()  # a command lives for seconds: looking for cycles costs it a quarter of that
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # nor does it look for what it has none of
    broken_pipe_ends()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    try:
        code: int = app(prog_name="budswell", standalone_mode=False) or 0
        sys.stdout.flush()
    except BudswellError as error:
        code = _failed(error)
    except typer.TyperException as wrong:
        code = _failed(_wrong_call(wrong))
    except typer.Abort:  # a question that was left without an answer
        code = INTERRUPTED
    except OSError as error:
        # Nothing can be written any more, also not what Python would still write at its end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        fault = Fault("the output", f"it cannot be written: {error.strerror}", "a place that takes it")
        code = _failed(UsageError(fault))
    if code == INTERRUPTED:
        typer.echo("Stopped before it was done.", err=True)
    sys.exit(code)


def _failed(error: BudswellError) -> int:
    """Shows an error; a refusal is an answer, so it goes where the plan would have gone."""
    from scheduler.present.faults import show_error

    show_error(error, console(sys.stdout if isinstance(error, NoPlan) else sys.stderr))
    return error.exit_code


def _wrong_call(wrong: typer.TyperException) -> UsageError:
    """What typer has found wrong with a call, as a fault like all others."""
    context: typer.Context | None = getattr(wrong, "ctx", None)
    command, usage = "budswell", "budswell COMMAND"
    if context is not None:
        command, usage = context.command_path, context.get_usage().removeprefix("Usage: ")
    return UsageError(Fault(command, wrong.format_message(), usage, f"{command} --help"))

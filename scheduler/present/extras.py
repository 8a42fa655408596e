"""Libraries that only some views need, and that are installed with an extra."""

from __future__ import annotations

import importlib.util

from scheduler.errors import Fault, UsageError


def require(option: str, what: str, extra: str, *modules: str, instead: str = "") -> None:
    """Raises UsageError where a library for `option` is missing; `what` says what is done with it.

    The hint ends with what else can be done: `instead`, or to leave the option out.
    """
    missing = [name for name in modules if importlib.util.find_spec(name) is None]
    if missing:
        are = "are" if len(missing) > 1 else "is"
        raise UsageError(
            Fault(
                option,
                f"{what} with {' and '.join(missing)}, which {are} not installed",
                f"an installation with the extra `{extra}`",
                f"pip install 'budswell[{extra}]'; or {instead or f'leave {option} out'}",
            )
        )

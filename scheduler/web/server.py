"""Listens at an address and answers until it is stopped; the only place that knows uvicorn, an extra."""

from __future__ import annotations

import errno
import importlib.util
import ipaddress
import signal
import socket
from typing import TYPE_CHECKING

from scheduler.errors import Fault, UsageError

if TYPE_CHECKING:
    from starlette.types import ASGIApp

GRACE_S = 3
"""So long an answer that has begun may still take when the server is stopped."""


def require_library(call: str, is_feed: bool) -> None:
    """Raises UsageError where nothing can be served."""
    needed = ("starlette", "uvicorn") if is_feed else ("jinja2", "segno", "starlette", "uvicorn")
    missing = [name for name in needed if importlib.util.find_spec(name) is None]
    if missing:
        what = "calendars are" if is_feed else "pages are"
        raise UsageError(
            Fault(
                call,
                f"{what} served with {' and '.join(missing)}, not installed here",
                "an installation with the extra `serve`",
                "pip install 'budswell[serve]'",
            )
        )


def listening(host: str, port: int) -> socket.socket:
    """A socket that takes calls at an address of this machine; port 0 is any that is free.

    Raises UsageError where that is no address of this machine, or the port is taken or not for everybody.
    """
    where = f"--host {host} --port {port}"
    try:
        family, kind, protocol, _, address = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        found = socket.socket(family, kind, protocol)
    except (OSError, UnicodeError) as error:
        raise UsageError(
            Fault(where, f'"{host}" is no address', "an address of this machine", "--host 127.0.0.1")
        ) from error
    try:
        # A server that was stopped a moment ago does not keep its port from the next one.
        found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        found.bind(address)
        found.listen(64)
    except OSError as error:
        found.close()
        why = (error.strerror or str(error)).lower()
        is_taken = error.errno == errno.EADDRINUSE
        hint = "--port 0 takes any that is free" if is_taken else "--host 127.0.0.1"
        allowed = "an address of this machine and a free port"
        raise UsageError(Fault(where, f"nobody can listen there: {why}", allowed, hint)) from error
    return found


def reaches_others(host: str) -> bool:
    """Whether what listens at a host can be reached from other machines."""
    try:
        return not ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host.casefold() != "localhost"


def _end(number: int, frame: object) -> None:
    raise SystemExit(128 + number)


def run(app: ASGIApp, listener: socket.socket) -> None:
    """Answers until Ctrl-C or a signal to end. No request is logged: its address is a secret."""
    import uvicorn

    # Asked to end, it ends like after Ctrl-C, so that whoever called can put things away.
    signal.signal(signal.SIGTERM, _end)
    config = uvicorn.Config(
        app,
        log_config=None,
        access_log=False,
        lifespan="off",
        proxy_headers=False,
        server_header=False,
        timeout_graceful_shutdown=GRACE_S,
    )
    uvicorn.Server(config).run(sockets=[listener])

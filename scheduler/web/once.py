"""A form is sent once: what was done is remembered by the form it came from, and a replay is told so.

The token of a page is signed for the session it was made for. What one form of it does is known by the token
together with all that was filled in, so that two forms of one page are two things.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import secrets
import time
from collections import OrderedDict
from collections.abc import Callable, Mapping
from threading import Lock
from typing import Generic, TypeVar

FIELD = "form"
"""The name of the hidden field."""
LASTS_S = 3 * 24 * 3600
"""So long after it was made a form may be sent; as long it is known what it has done."""

Done = TypeVar("Done")


class Stale(Exception):
    """The form was made for another session, by another run of the server, or too long ago."""


class Once(Generic[Done]):
    """The forms that were sent, and what came of them; one write after the other."""

    def __init__(self, now: Callable[[], float] = time.monotonic) -> None:
        self._secret = secrets.token_bytes(32)
        self._now = now
        self._lock = Lock()
        self._done: OrderedDict[str, tuple[float, Done]] = OrderedDict()

    def token(self, session: str) -> str:
        """A new token for the forms of one page."""
        told = f"{int(self._now())}.{secrets.token_hex(12)}"
        return f"{told}.{self._sign(told, session)}"

    def do(
        self,
        path: str,
        fields: Mapping[str, str],
        session: str,
        act: Callable[[], Done],
        counts: Callable[[Done], bool],
    ) -> tuple[Done, bool]:
        """What comes of a form, and whether it was done before; what does not count may be tried again.

        Raises `Stale` where the form cannot be trusted, and what `act` does.
        """
        self._require_fresh(fields.get(FIELD, ""), session)
        name = hashlib.sha256(json.dumps([path, sorted(fields.items())]).encode()).hexdigest()
        with self._lock:
            while self._done and next(iter(self._done.values()))[0] < self._now() - LASTS_S:
                self._done.popitem(last=False)
            if name in self._done:
                return self._done[name][1], True
            found = act()
            if counts(found):
                self._done[name] = self._now(), found
            return found, False

    def _require_fresh(self, token: str, session: str) -> None:
        told, _, signed = token.rpartition(".")
        made = told.partition(".")[0]
        if not hmac.compare_digest(signed.encode(), self._sign(told, session).encode()):
            raise Stale
        if int(made) < self._now() - LASTS_S:
            raise Stale

    def _sign(self, told: str, session: str) -> str:
        return hmac.new(self._secret, f"{told}.{session}".encode(), hashlib.sha256).hexdigest()[:40]

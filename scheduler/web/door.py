"""Who may come in: whoever sits at this machine, or, from the network, whoever knows the passphrase."""

from __future__ import annotations

import hashlib
import hmac
import secrets
import time
from collections import defaultdict, deque
from collections.abc import Callable
from threading import Lock

SHORTEST = 8
"""Letters of a passphrase."""
TRIES, TRIES_OF_ALL = 5, 30
"""Wrong passphrases of one address, and of all together, until the door stays shut for a while."""
WHILE_S = 15 * 60
STAYS_S = 30 * 24 * 3600
"""So long somebody who came in is known."""


class Later(Exception):
    """Too many wrong passphrases; `seconds` says for how long nothing is tried."""

    def __init__(self, seconds: int) -> None:
        super().__init__(f"{seconds} s")
        self.seconds = seconds


class Door:
    """Sessions, by the key that a browser keeps as a cookie."""

    def __init__(self, passphrase: str | None, now: Callable[[], float] = time.monotonic) -> None:
        self._now = now
        self._salt = secrets.token_bytes(16)
        self._proof = None if passphrase is None else self._proof_of(passphrase)
        self._own = secrets.token_urlsafe(24)
        self._known: dict[str, float] = {}
        self._wrong: defaultdict[str, deque[float]] = defaultdict(deque)
        self._lock = Lock()

    @property
    def is_locked(self) -> bool:
        """Whether a passphrase is asked for."""
        return self._proof is not None

    def session(self, cookie: str) -> str | None:
        """The session that a cookie belongs to; without a lock there is one for everybody."""
        if not self.is_locked:
            return self._own
        return cookie if self._known.get(cookie, 0.0) > self._now() else None

    def holds(self, cookie: str) -> bool:
        """Whether a browser shows the key of a session, as all of its own calls do."""
        session = self.session(cookie)
        return session is not None and hmac.compare_digest(cookie.encode(), session.encode())

    def enter(self, passphrase: str, who: str) -> str | None:
        """The key of a new session; None for a wrong passphrase, which counts against the address.

        Raises `Later` where there were too many of those, right or wrong as this one may be.
        """
        with self._lock:
            self._forget()
            own = list(self._wrong.get(who, []))
            every = sorted(moment for moments in self._wrong.values() for moment in moments)
            if len(own) >= TRIES or len(every) >= TRIES_OF_ALL:
                first = own[0] if len(own) >= TRIES else every[0]
                raise Later(int(first + WHILE_S - self._now()) + 1)
            # Counted before it is looked at: tries at the same moment do not all slip through.
            self._wrong[who].append(self._now())
        if self._proof is None or not hmac.compare_digest(self._proof_of(passphrase), self._proof):
            return None
        with self._lock:
            self._wrong.pop(who, None)
            self._known = {key: until for key, until in self._known.items() if until > self._now()}
            key = secrets.token_urlsafe(24)
            self._known[key] = self._now() + STAYS_S
        return key

    def leave(self, cookie: str) -> None:
        """Ends a session."""
        with self._lock:
            self._known.pop(cookie, None)

    def _forget(self) -> None:
        for who, times in list(self._wrong.items()):
            while times and times[0] <= self._now() - WHILE_S:
                times.popleft()
            if not times:
                del self._wrong[who]

    def _proof_of(self, passphrase: str) -> bytes:
        """Slow on purpose (RFC 7914), so that the lock is worth something where memory was read."""
        return hashlib.scrypt(passphrase.encode(errors="replace"), salt=self._salt, n=2**14, r=8, p=1)

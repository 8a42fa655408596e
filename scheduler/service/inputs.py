"""What a plan is made from and by, so that a kept plan that still holds is known again."""

from __future__ import annotations

import hashlib
from dataclasses import replace

from scheduler import __version__
from scheduler.season.season import Season


def made_with() -> str:
    """Name and version, as plans carry it."""
    return f"budswell {__version__}"


def inputs_sha(season: Season) -> str:
    """Fingerprint of what a plan is made from: text, weather, today and zone of the season,
    what stands already, what was learned, our version."""
    # What is done of its care changes nothing that is planned from.
    standing = [replace(one, cared=frozenset()) for one in season.standing]
    adopted = "".join(f"\n{change}" for change in season.adopted)
    text = f"{season.text}\n{season.today}\n{season.timezone}\n{made_with()}{adopted}"
    text += f"{season.climate or ''}{standing or ''}{season.own or ''}"
    return hashlib.sha256(text.encode()).hexdigest()

"""Where the defaults of a season come from: each with its basis, source and reason from the catalogue."""

from __future__ import annotations

from collections.abc import Iterable

from scheduler.plan import Assumption
from scheduler.present.checks import Explained
from scheduler.trade import catalogue as trade

UNKNOWN = "not on record"
FOLLOWS = "follows from the season"
"""The basis of a default that is no figure but a rule."""


def explained_defaults(assumed: Iterable[Assumption]) -> list[Explained]:
    """Every default that was taken, in the order of the season file, with where it comes from."""
    catalogue = trade.load()
    found = []
    for taken in assumed:
        row = catalogue.defaults.basis_of(taken.key)
        if row is None:
            found.append(Explained(taken, UNKNOWN, "", ""))
            continue
        source = catalogue.sources[row.source].title if row.source else ""
        found.append(Explained(taken, FOLLOWS if row.basis == "rule" else row.basis, source, row.note))
    return found

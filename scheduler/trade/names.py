"""Knows things by all their names: common, botanical, singular or plural, metric or imperial."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from scheduler.errors import Fault, ProfileError

_SAME = {
    "litre": "l",
    "liter": "l",
    "millilitre": "ml",
    "milliliter": "ml",
    "kilogram": "kg",
    "kilo": "kg",
    "pound": "lb",
    "ounce": "oz",
    "qt": "quart",
    "gal": "gallon",
    "grey": "gray",
}
_SILENT = {"spp.", "sp."}
_MUSHROOM = " mushroom"
"""May be said after the name of a species; an alias keeps it, as an oak mushroom is no oak."""


def normal(text: str) -> str:
    """The form in which two spellings of one name are equal: ``5lb Bags`` and ``5-pound bag`` are."""
    text = unicodedata.normalize("NFKC", text).casefold().replace("\u2044", "/")
    text = re.sub(r"(?<=\d)(?=[a-z])", " ", re.sub(r"['\u2019`]", "", text))
    words = (_singular(word) for word in re.split(r"[\s_,()-]+", text) if word)
    return " ".join(_SAME.get(word, word) for word in words if word not in _SILENT)


def _singular(word: str) -> str:
    # A name and what the grower typed are treated alike, so the rare wrong stem ("populu") does no harm.
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if re.search(r"(ch|sh|x|ss)es$", word):
        return word[:-2]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 2 else word


class Names:
    """An index from every name to the canonical one; `ProfileError` if two things share a name."""

    def __init__(self, kind: str, named: Iterable[tuple[str, Iterable[str]]]) -> None:
        self._canonical: dict[str, str] = {}
        for canonical, aliases in named:
            for alias in (canonical, *aliases):
                taken = self._canonical.setdefault(normal(alias), canonical)
                if taken != canonical:
                    found = f"{alias!r} also means {taken!r}"
                    raise ProfileError(
                        [Fault(f"{kind} {canonical} aliases", found, "a name for one thing only")]
                    )

    def find(self, text: str) -> str | None:
        """The canonical name of what the text means, or None."""
        plain = normal(text)
        return self._canonical.get(plain) or self._canonical.get(plain.removesuffix(_MUSHROOM))

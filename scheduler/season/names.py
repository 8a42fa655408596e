"""Turns what the grower calls a species, method, wood or container into the catalogue's name for it."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass

from scheduler.season.wrong import Wrong, listed, meant, nearest, shown
from scheduler.trade.catalogue import Catalogue


@dataclass(frozen=True)
class Names:
    """The catalogue's words together with the grower's own containers."""

    catalogue: Catalogue
    own_containers: tuple[str, ...] = ()

    def species(self, text: str) -> str:
        """Canonical name of a species. Raises `Wrong` for one that the catalogue does not have."""
        known = self.catalogue.species
        aliases = [word for name, one in known.items() for word in (name, one.botanical, *one.aliases)]
        return _known(text, self.catalogue.find_species, "a species", known, aliases)

    def method(self, text: str) -> str:
        """Canonical name of a method. Raises `Wrong` for one that the catalogue does not have."""
        known = self.catalogue.methods
        aliases = [word for name, one in known.items() for word in (name, *one.aliases)]
        return _known(text, self.catalogue.find_method, "a method", known, aliases)

    def wood(self, text: str) -> str:
        """Canonical name of a wood; one that the catalogue does not have keeps the grower's words."""
        return self.catalogue.find_wood(text) or text

    def near_wood(self, text: str) -> str:
        """The hint for a wood that the catalogue does not have."""
        known = self.catalogue.woods
        return meant(text, (word for name, one in known.items() for word in (name, *one.aliases)))

    def container(self, text: str) -> str:
        """Name of one of the grower's own containers, else of the catalogue's. Raises `Wrong` for neither."""
        for own in self.own_containers:
            if own.casefold() == text.casefold():
                return own
        known = self.catalogue.lab.container
        aliases = [word for name, one in known.items() for word in (name, *one.aliases)]
        return _known(
            text,
            self.catalogue.find_container,
            "a container",
            [*self.own_containers, *known],
            [*self.own_containers, *aliases],
        )


def _known(
    text: str,
    find: Callable[[str], str | None],
    kind: str,
    names: Collection[str],
    aliases: Collection[str],
) -> str:
    name = find(text)
    if name is None:
        near = nearest(text, names, likeness=0.7) or nearest(text, aliases)
        hint = f'did you mean "{near}"?' if near else ""
        raise Wrong(shown(text), f"{kind} of the catalogue: {listed(names)}", hint)
    return name

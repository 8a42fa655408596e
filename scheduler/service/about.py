"""What an entry of the catalogue says beside its figures: what suits what, look-alikes, disagreements."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping

from scheduler.present.profiles import About, FigureRow, spread
from scheduler.service.patterns import side_by_side
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.shapes import Figure, Permission, Source
from scheduler.trade.species import Fruiting, Species

_VERDICTS = ("fine", "warned", "refused")
_TRIGGERS = {"cooling": "when it cools", "rain": "after rain", "warmth": "in the warmth"}


def of_species(species: Species, catalogue: Catalogue) -> list[About]:
    """Of a species: when it fruits, what it suits, what is taken for it, and where sources disagree."""
    return [
        About("Fruiting", list(_fruiting(species))),
        About("Methods", _permissions(species.methods.items(), catalogue)),
        About("Woods", _permissions(species.wood.items(), catalogue)),
        About(
            "Look-alikes",
            [(name, f"{alike.danger}: {alike.tell}") for name, alike in species.look_alikes.items()],
        ),
        About("Conflicts", list(_conflicts(species, catalogue))),
    ]


def of_method(method: str, catalogue: Catalogue) -> list[About]:
    """Of a method: the species that it suits, and its notes."""
    suits = ((name, one.methods[method]) for name, one in catalogue.species.items() if method in one.methods)
    notes = [("", cited(note, catalogue.sources)) for note in catalogue.methods[method].notes]
    return [
        About("Species", _permissions(suits, catalogue)),
        *side_by_side(catalogue.methods[method], catalogue),
        About("Good to know", notes),
    ]


def of_wood(wood: str, catalogue: Catalogue) -> list[About]:
    """Of a wood: the species that it suits."""
    suits = ((name, one.wood[wood]) for name, one in catalogue.species.items() if wood in one.wood)
    return [About("Species", _permissions(suits, catalogue))]


def notes(figures: Iterable[tuple[str, Figure]], catalogue: Catalogue) -> About:
    """What figures say of themselves."""
    return About(
        "Notes", [(name, cited(figure.note, catalogue.sources)) for name, figure in figures if figure.note]
    )


def row(name: str, figure: Figure, catalogue: Catalogue) -> FigureRow:
    """A figure as it is shown, with the title of its source."""
    source = catalogue.sources[figure.source].title if figure.source else ""
    return FigureRow(name, figure.low, figure.likely, figure.high, figure.unit, figure.basis, source)


def cited(text: str, sources: Mapping[str, Source]) -> str:
    """A text with the author and year in the place of each source key in square brackets."""
    return re.sub(r"\[([a-z0-9-]+)\]", lambda found: f"({_short(sources[found[1]])})", text)


def _short(source: Source) -> str:
    return f"{source.author or source.title} {source.year or ''}".strip()


def _permissions(
    permissions: Iterable[tuple[str, Permission]], catalogue: Catalogue
) -> list[tuple[str, str]]:
    """By verdict: what is fine without a remark in one row, then one row each."""
    found = sorted(permissions, key=lambda pair: _VERDICTS.index(pair[1].verdict))
    plain = [name for name, permission in found if not permission.why]
    rows = [("fine", ", ".join(plain))] if plain else []
    return rows + [
        (permission.verdict, f"{name}: {cited(permission.why, catalogue.sources)}")
        for name, permission in found
        if permission.why
    ]


def _fruiting(species: Species) -> Iterator[tuple[str, str]]:
    yield "usual", _when(species.fruiting)
    for name, group in species.strains.items():
        yield f"{name} strains", _when(group.fruiting)


def _when(fruiting: Fruiting) -> str:
    soaking = "; a soak forces a flush" if fruiting.soaking else ""
    at = spread(FigureRow("", *_band(fruiting.temperature), "C", "", ""))
    return (
        f"{', '.join(fruiting.seasons)}; {_TRIGGERS[fruiting.trigger]}; at {at}{soaking} ({fruiting.basis})"
    )


def _band(figure: Figure) -> tuple[float | None, float, float | None]:
    return figure.low, figure.likely, figure.high


def _conflicts(species: Species, catalogue: Catalogue) -> Iterator[tuple[str, str]]:
    figures = dict(catalogue.figures())
    for about, conflict in species.conflicts.items():
        planned = figures.get(f"species.{species.name}.{about}") or figures[about]
        voices = [("planned", planned), *conflict.says.items()]
        said = "; ".join(f"{who}: {_said(figure, catalogue)}" for who, figure in voices)
        yield about, f"{said}. {conflict.why}"


def _said(figure: Figure, catalogue: Catalogue) -> str:
    published = figure.basis == "published"
    return (
        f"{spread(row('', figure, catalogue))}, "
        f"{_short(catalogue.sources[figure.source]) if published else figure.basis}"
    )

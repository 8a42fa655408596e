"""The catalogue: everything the trade knows, read from the profile files when it is first asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Generic, TypeVar

from pydantic import RootModel

from scheduler.errors import Fault, ProfileError
from scheduler.trade.care import Care
from scheduler.trade.lab import Lab
from scheduler.trade.names import Names
from scheduler.trade.places import data_folder
from scheduler.trade.preseason import Preseason
from scheduler.trade.reading import Document, Folder, read
from scheduler.trade.shapes import Caution, Defaults, Figure, Method, Shape, Source
from scheduler.trade.species import Species
from scheduler.trade.starting import Starting
from scheduler.trade.supplies import Supplies
from scheduler.trade.walk import walk
from scheduler.trade.weather import Conditions, Weather, conditions
from scheduler.trade.woods import Run, Wood, WoodRules

T = TypeVar("T")
Named = TypeVar("Named", Species, Method)

UNKNOWN_WOOD_KG_M3 = 950.0
"""Green density taken for a wood the catalogue does not know (common practice: a heavy hardwood)."""


class OnDemand(Mapping[str, T], Generic[T]):
    """A mapping that reads its files the first time somebody looks into it."""

    def __init__(self, fill: Callable[[], Mapping[str, T]]) -> None:
        self._fill = fill

    @cached_property
    def _items(self) -> Mapping[str, T]:
        return self._fill()

    def __getitem__(self, key: str) -> T:
        return self._items[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._items)

    def __len__(self) -> int:
        return len(self._items)


@dataclass(frozen=True, eq=False)
class Catalogue:
    """The trade's figures, by canonical name. Looking into a part may raise `ProfileError`."""

    species: Mapping[str, Species]
    methods: Mapping[str, Method]
    woods: Mapping[str, Wood]
    wood_rules: WoodRules
    run: Run
    lab: Lab
    weather: Weather
    supplies: Supplies
    read_care: Callable[[], Care]
    preseason: Preseason
    starting: Starting
    cautions: Mapping[str, Caution]
    defaults: Defaults
    sources: Mapping[str, Source]

    def find_species(self, text: str) -> str | None:
        """Canonical name of a species from any of its names, or None."""
        return self._species_names.find(text)

    def find_method(self, text: str) -> str | None:
        """Canonical name of a method from any of its names, or None."""
        return self._method_names.find(text)

    def find_wood(self, text: str) -> str | None:
        """Canonical name of a wood from any of its names, or None."""
        return self._wood_names.find(text)

    def find_container(self, text: str) -> str | None:
        """Canonical name of a container from any of its names in either unit system, or None."""
        return self._container_names.find(text)

    @cached_property
    def care(self) -> Care:
        """Care and picking of what stands; read when it is first asked for."""
        return self.read_care()

    def green_density(self, wood: str | None) -> float:
        """kg per m3 of green wood with bark; of a wood that is not known, as of a heavy hardwood."""
        known = self.woods.get(wood or "")
        return known.green_density.likely if known else UNKNOWN_WOOD_KG_M3

    def conditions(self, species: str, method: str) -> Conditions:
        """The weather that a species planted by a method waits for, both by their canonical names."""
        return conditions(self.species[species], self.methods[method])

    @property
    def chips_g_per_l(self) -> float:
        """Mass of a litre of loose chips."""
        return self.methods["chip bed"].figures["chips_density_kg_m3"].likely

    def figures(self) -> Iterator[tuple[str, Figure]]:
        """Every figure with its dotted name: ``species.nameko.days.sawdust``, ``lab.culture.enlarge``."""
        for name, shape in self.shapes():
            if isinstance(shape, Figure):
                yield name, shape

    def shapes(self) -> Iterator[tuple[str, Shape]]:
        """Everything in the catalogue with its dotted name, parents before their parts."""
        for name in (
            "species",
            "methods",
            "woods",
            "wood_rules",
            "run",
            "lab",
            "weather",
            "supplies",
            "care",
            "preseason",
            "starting",
            "cautions",
            "defaults",
            "sources",
        ):
            yield from walk(name, getattr(self, name))

    @cached_property
    def _species_names(self) -> Names:
        return Names("species", ((name, [s.botanical, *s.aliases]) for name, s in self.species.items()))

    @cached_property
    def _method_names(self) -> Names:
        return Names("method", ((name, method.aliases) for name, method in self.methods.items()))

    @cached_property
    def _wood_names(self) -> Names:
        return Names("wood", ((name, [w.botanical, *w.aliases]) for name, w in self.woods.items()))

    @cached_property
    def _container_names(self) -> Names:
        return Names("container", ((name, box.aliases) for name, box in self.lab.container.items()))


class _WoodFile(Shape):
    wood: dict[str, Wood]
    rules: WoodRules


class _CautionFile(Shape):
    caution: dict[str, Caution]


class _SourceFile(RootModel[dict[str, Source]]):
    """The whole file is one table a source."""


def load(extra: Path | None = None) -> Catalogue:
    """The catalogue that comes with the package, with a grower's own profile folder laid over it.

    A file in `extra` takes the place of ours of the same name (``species/nameko.toml``) or adds to them;
    its ``sources.toml`` adds sources. Species, methods, cautions and sources are read when first looked
    into. Raises `ProfileError`, now or then, for a file that does not have its shape.
    """
    folder = Folder(data_folder("profiles"), extra)
    wood = folder.file("wood.toml").shaped(_WoodFile)
    return Catalogue(
        species=OnDemand(lambda: _by_name(folder.files("species"), Species)),
        methods=OnDemand(lambda: _by_name(folder.files("methods"), Method)),
        woods=wood.wood,
        wood_rules=wood.rules,
        run=folder.file("run.toml").shaped(Run),
        lab=folder.merged("lab").shaped(Lab),
        weather=folder.file("weather.toml").shaped(Weather),
        supplies=folder.file("supplies.toml").shaped(Supplies),
        read_care=lambda: folder.file("care.toml").shaped(Care),
        preseason=folder.file("preseason.toml").shaped(Preseason),
        starting=folder.file("starting.toml").shaped(Starting),
        cautions=OnDemand(lambda: folder.file("cautions.toml").shaped(_CautionFile).caution),
        defaults=folder.file("defaults.toml").shaped(Defaults),
        sources=OnDemand(lambda: _sources(extra)),
    )


def _by_name(documents: Iterable[Document], shape: type[Named]) -> dict[str, Named]:
    found: dict[str, Named] = {}
    for document in documents:
        item = document.shaped(shape)
        if item.name in found:
            taken = f"{item.name!r} has a file already"
            raise ProfileError([Fault(f"{document.where} name", taken, "a name that no other file has")])
        found[item.name] = item
    return found


def _sources(extra: Path | None) -> dict[str, Source]:
    documents = [read(data_folder("shared") / "sources.toml", "shared/sources.toml")]
    if extra is not None and (extra / "sources.toml").is_file():
        documents.append(read(extra / "sources.toml", str(extra / "sources.toml")))
    return {key: source for file in documents for key, source in file.shaped(_SourceFile).root.items()}

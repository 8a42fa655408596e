"""Plain rows for listings of the catalogue."""

from __future__ import annotations

from scheduler.errors import Fault, UsageError
from scheduler.present.profiles import CatalogueRow, FigureRow
from scheduler.trade import catalogue as trade
from scheduler.trade.catalogue import Catalogue


def catalogue_rows() -> list[CatalogueRow]:
    """Everything the catalogue holds, kind by kind."""
    catalogue = trade.load()
    rows = [CatalogueRow("species", name, s.botanical) for name, s in catalogue.species.items()]
    rows += [CatalogueRow("methods", name, f"on {m.wood}") for name, m in catalogue.methods.items()]
    rows += [CatalogueRow("woods", name, w.botanical) for name, w in catalogue.woods.items()]
    rows += [
        CatalogueRow("containers", name, f"{c.volume.likely:g} L of room")
        for name, c in catalogue.lab.container.items()
    ]
    return rows


def figure_rows(name: str) -> tuple[str, list[FigureRow]]:
    """(title, figures) of one species, method, wood, or `lab`. UsageError for a name that is not known."""
    catalogue = trade.load()
    title, prefix = _found(catalogue, name)
    rows = [
        FigureRow(
            dotted.removeprefix(prefix),
            figure.low,
            figure.likely,
            figure.high,
            figure.unit,
            figure.basis,
            catalogue.sources[figure.source].title if figure.source else "",
        )
        for dotted, figure in catalogue.figures()
        if dotted.startswith(prefix)
    ]
    return title, rows


def _found(catalogue: Catalogue, name: str) -> tuple[str, str]:
    if name == "lab":
        return "Lab", "lab."
    for kind, found in (
        ("species", catalogue.find_species(name)),
        ("methods", catalogue.find_method(name)),
        ("woods", catalogue.find_wood(name)),
        ("lab.container", catalogue.find_container(name)),
    ):
        if found:
            return found.capitalize(), f"{kind}.{found}."
    from difflib import get_close_matches

    known = [*catalogue.species, *catalogue.methods, *catalogue.woods, *catalogue.lab.container, "lab"]
    near = get_close_matches(name, known, n=1)
    raise UsageError(
        Fault(
            "budswell profiles",
            f'"{name}" is not in the catalogue',
            "a species, a method, a wood, a container, or lab; `budswell profiles` lists them",
            f"budswell profiles {near[0]!r}" if near else "",
        )
    )

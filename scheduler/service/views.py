"""Plain rows for listings of the catalogue."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace

from scheduler.errors import Fault, UsageError
from scheduler.present.profiles import About, CatalogueRow, FigureRow
from scheduler.service import about
from scheduler.trade import catalogue as trade
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.shapes import Permission
from scheduler.trade.species import Fruiting, LookAlike

UNSOURCED = ("common practice", "memory")
"""Bases of a figure that no publication gives."""


RUN, PATTERNS = "run.", "run.pattern."
"""Figures that the methods on logs share; patterns have a table of their own."""


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


def entry(name: str) -> tuple[str, list[FigureRow], list[About]]:
    """(title, figures, what else is known) of one species, method, wood, container, or `lab`.

    UsageError for a name that is not known.
    """
    catalogue = trade.load()
    kind, found = _found(catalogue, name)
    prefix = f"{kind}.{found}." if found else f"{kind}."
    shared = RUN if kind == "methods" and catalogue.methods[found].wood == "logs" else prefix
    figures = [
        (dotted.removeprefix(prefix), figure)
        for dotted, figure in catalogue.figures()
        if dotted.startswith((prefix, shared)) and not dotted.startswith((f"{prefix}conflicts.", PATTERNS))
    ]
    more = [about.notes(figures, catalogue)]
    if kind == "species":
        more += about.of_species(catalogue.species[found], catalogue)
    elif kind == "methods":
        more += about.of_method(found, catalogue)
    elif kind == "woods":
        more += about.of_wood(found, catalogue)
    rows = [about.row(dotted, figure, catalogue) for dotted, figure in figures]
    return (found or kind).capitalize(), rows, more


def unsourced(name: str | None = None) -> tuple[list[FigureRow], Mapping[str, int], Mapping[str, int]]:
    """Figures of memory or common practice; how many figures have which basis, and how many judgements.

    Of the whole catalogue, or of one entry. UsageError for a name that is not known.
    """
    catalogue = trade.load()
    kind, found = _found(catalogue, name) if name else ("", "")
    prefix = f"{kind}.{found}." if found else f"{kind}." if kind else ""
    figures = [(dotted, figure) for dotted, figure in catalogue.figures() if dotted.startswith(prefix)]
    judgements = Counter[str](
        shape.basis
        for dotted, shape in catalogue.shapes()
        if isinstance(shape, Permission | LookAlike | Fruiting) and dotted.startswith(prefix)
    )
    rows = [
        replace(about.row(short, figure, catalogue), entry=whose)
        for dotted, figure in figures
        for whose, short in [_split(dotted)]
        if figure.basis in UNSOURCED
    ]
    return rows, Counter[str](figure.basis for _, figure in figures), judgements


def _split(dotted: str) -> tuple[str, str]:
    """The entry that a dotted name belongs to, and what is left of the name."""
    kind, _, rest = dotted.partition(".")
    if kind not in ("species", "methods", "woods"):
        return kind.replace("_", " "), rest
    found, _, short = rest.partition(".")
    return found, short


def _found(catalogue: Catalogue, name: str) -> tuple[str, str]:
    """The kind and the canonical name of an entry."""
    if name == "lab":
        return name, ""
    for kind, found in (
        ("species", catalogue.find_species(name)),
        ("methods", catalogue.find_method(name)),
        ("woods", catalogue.find_wood(name)),
        ("lab.container", catalogue.find_container(name)),
    ):
        if found:
            return kind, found
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

"""What ways to put spawn into a log come to, side by side: spawn, and months until it is run through."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from scheduler import measures
from scheduler.lines import layouts, run
from scheduler.lines.demand import hole_grams
from scheduler.present.profiles import About
from scheduler.science.run import Inoculation
from scheduler.season.season import LogGroup, Pattern
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.shapes import Method

USUAL_LOG = LogGroup(1, 12.5, 100)
"""The log that yields are given for too."""


def side_by_side(method: Method, catalogue: Catalogue) -> list[About]:
    """The hole patterns, or the cuts, on the usual log; nothing for other methods."""
    kinds = {"drilled logs": (_patterns, "pattern", "holes"), "wedge-cut logs": (_cuts, "cut", "cuts")}
    if method.name not in kinds:
        return []
    rows, what, pieces = kinds[method.name]
    title = (
        f"On a log of {USUAL_LOG.diameter_cm:g} cm x {layouts.length_cm(USUAL_LOG) / 100:g} m, shiitake, "
        "planted as the growing season begins (uncertain)"
    )
    heads = (what, pieces, "spawn", "days of growth", "run through in")
    return [About(title, list(rows(method, catalogue)), heads)]


def _patterns(method: Method, catalogue: Catalogue) -> Iterator[Sequence[str]]:
    grams = hole_grams(method, method.spawn_stages[0])
    for pattern in catalogue.run.pattern:
        spacing = Pattern(pattern.along.likely, pattern.around.likely)
        rows, each = layouts.holes(USUAL_LOG, spacing)
        log = run.drilled(USUAL_LOG, spacing, method)
        if log:
            yield _row(f"{pattern.metric} ({pattern.imperial})", rows * each, grams, log, catalogue)


def _cuts(method: Method, catalogue: Catalogue) -> Iterator[Sequence[str]]:
    spacing = method.figures["cuts_spacing_cm"]
    for kind in ("wedge", "kerf"):
        for every in (spacing.lowest, spacing.likely, spacing.highest):
            cut = layouts.sawn(USUAL_LOG, kind, method, every)
            log = run.sawn(USUAL_LOG, cut)
            yield _row(f"{kind} every {every:g} cm", len(cut.places), cut.cut_g, log, catalogue)


def _row(name: str, pieces: int, grams: float, log: Inoculation, catalogue: Catalogue) -> Sequence[str]:
    growth = run.growth_in([log], 1.0, catalogue)
    figures = catalogue.run
    begins = figures.warmest_day.likely - figures.growing_days.likely / 2
    months = run.months(growth, catalogue, begins)
    spawn = pieces * grams * (1 + catalogue.lab.handling.likely)
    return (
        name,
        str(pieces),
        measures.mass(spawn, "metric"),
        f"{growth.likely:.0f} ({growth.low:.0f} to {growth.high:.0f})",
        f"{months.likely:.0f} months ({months.low:.0f} to {months.high:.0f})",
    )

"""What is wished of a plan: margins, best spans, freshness, few days with work; and the order of polish."""

from __future__ import annotations

from scheduler.lines.shapes import BatchSpec, Line, Sizing
from scheduler.lines.shares import is_finished
from scheduler.problem import bench, yard
from scheduler.problem.draft import Draft
from scheduler.problem.shapes import DayCost, Point, Push, Term
from scheduler.season.season import Planting

DAY_WITH_WORK = 60
OUTSIDE_BEST = 7
MARGIN = 3
SOAK = 10
NO_FALLBACK = 10
"""A soak, or a planting without a rain day, costs about as much as a day and a half outside the best span."""
KILL_WITHIN = 7
"""Days within which lost units are heat-killed at no cost (common practice)."""


def margin_days(line: Line, batch: BatchSpec) -> int:
    """Days wished between ready and planting: the chain's buffer, not more than *fresh for*."""
    return 0 if batch.growth is None else min(line.buffer_days, batch.fresh_days)


def stakes(sizing: Sizing, plantings: tuple[Planting, ...]) -> dict[str, int]:
    """What is at stake in each planting, 1 to 9: its spawn against the largest, divided by its priority."""
    largest = max(d.spawn_g for d in sizing.demands) or 1.0
    return {
        p.name: max(1, min(9, round(9 * sizing.demand(p.name).spawn_g / largest / p.priority)))
        for p in plantings
    }


def write(draft: Draft, sizing: Sizing) -> None:
    """Write the terms of tiers 3 and 4."""
    season, count = draft.season, draft.calendar.count
    stake = stakes(sizing, season.plantings)
    by_name = {p.name: p for p in season.plantings}
    for planting in season.plantings:
        name = yard.plant(planting.name)
        best = (count.number(planting.best[0]), count.number(planting.best[1]))
        draft.terms.append(
            Term(f"before the best span: {planting.name}", 4, OUTSIDE_BEST, best[0], minus=Point(name))
        )
        draft.terms.append(
            Term(f"after the best span: {planting.name}", 4, OUTSIDE_BEST, -best[1], plus=Point(name, "last"))
        )
        inside = draft.calendar.with_hands(*planting.window)
        if len(inside) > 1:
            # Planted by the last day but one of its window, it has a fallback day.
            draft.terms.append(
                Term(
                    f"no fallback: {planting.name}",
                    4,
                    NO_FALLBACK,
                    -inside[-2],
                    plus=Point(name, "last"),
                    flat=True,
                )
            )
        if draft.catalogue.methods[planting.method].wood == "logs":
            draft.terms.append(
                Term(
                    f"soak: {planting.name}",
                    4,
                    SOAK,
                    plus=Point(name, "last"),
                    minus=Point(yard.fell(planting.name), "moist"),
                    flat=True,
                )
            )
    soon = count.number(season.today) + KILL_WITHIN
    for lost in sizing.lost:
        if lost.load_class is not None:
            draft.terms.append(Term(f"kill late: {lost.batch}", 4, 1, -soon, plus=Point(bench.kill(lost))))
    made = bench.children(sizing)
    for line in sizing.lines:
        for batch in line.batches:
            if made.get(batch.id):
                _fresh_for_children(draft, batch, made[batch.id])
            elif is_finished(batch, season.plantings):
                _margin(draft, line, batch, by_name[batch.plantings[0]], stake)


def _margin(draft: Draft, line: Line, batch: BatchSpec, planting: Planting, stake: dict[str, int]) -> None:
    """Finished spawn: margin before planting, and freshness on the last planting day."""
    plant, ready = yard.plant(planting.name), bench.ready(batch)
    margin = margin_days(line, batch)
    if margin:
        weight = stake[planting.name]
        half = margin - margin // 2
        draft.terms.append(Term(f"half margin: {batch.id}", 3, weight, half, plus=ready, minus=Point(plant)))
        draft.terms.append(
            Term(f"margin: {batch.id}", 4, MARGIN * weight, margin, plus=ready, minus=Point(plant))
        )
    _stale(draft, batch, Point(plant, "last"))


def _fresh_for_children(draft: Draft, batch: BatchSpec, children: tuple[BatchSpec, ...]) -> None:
    for child in children:
        if not child.is_test:
            _stale(draft, batch, Point(bench.inoculate(child)), f" for {child.id}")


def _stale(draft: Draft, batch: BatchSpec, use: Point, label: str = "") -> None:
    if batch.fresh_days < batch.keeps_days:
        draft.terms.append(
            Term(
                f"stale: {batch.id}{label}",
                4,
                1,
                -(batch.fresh_days - batch.aged_days),
                plus=use,
                minus=bench.ready(batch),
            )
        )


def day_cost(draft: Draft, loads: dict[tuple[str, str], tuple[int, int]]) -> DayCost:
    """Days with work cost an hour each, and every minute on a day that is not preferred."""
    calendar = draft.calendar
    return DayCost(
        DAY_WITH_WORK,
        frozenset(d for d in range(calendar.horizon + 1) if d not in calendar.preferred),
        {**draft.lab_minutes, **{w: m for w, m in draft.yard_minutes.items() if m}},
        {key: hands for key, (hands, _) in loads.items()},
    )


def pushes(draft: Draft, sizing: Sizing) -> tuple[tuple[Push, ...], ...]:
    """Plantings early, then line by line grain and spawn late, last stage first; felling early, at once.

    Care of what stands comes last, and early.
    """
    names = {work.name for work in draft.works}
    plantings = [planting.name for planting in draft.season.plantings]
    groups = [tuple(Push(Point(yard.plant(name)), False) for name in plantings)]
    for line in sizing.lines:
        works = [
            name
            for batch in reversed(line.batches)
            for name in (bench.inoculate(batch), bench.cook(batch), bench.there(batch))
            if name in names
        ]
        ends = [f"{line.code}:kept", *(f"{batch.id}:emptied" for batch in line.batches)]
        groups.append(
            (
                *(Push(Point(name), True) for name in works),
                *(Push(Point(name), False) for name in ends if name in names),
            )
        )
    for name in plantings:
        fell = yard.fell(name)
        outdoors = (
            Push(Point(yard.prepare_chips(name)), True),
            # Done with early, and then on as few days as will do.
            Push(Point(fell, "last"), False),
            Push(Point(fell), True),
        )
        groups.append(tuple(push for push in outdoors if push.point.work in names))
    groups.append(tuple(Push(Point(work), False) for work in sorted(draft.care)))
    return tuple(group for group in groups if group)

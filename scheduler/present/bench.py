"""The spawn side of a plan: batches, the family tree of units, spares, and what buying would save."""

from __future__ import annotations

import math
from collections import defaultdict
from itertools import groupby

from scheduler import measures
from scheduler.measures import counted
from scheduler.plan import Batch, Plan
from scheduler.present.dates import Dates, dates_of
from scheduler.present.layout import INDENT, Column, Lines, grid, paragraph, table
from scheduler.present.words import stage
from scheduler.progress import in_short

ROOM_FOR_READY = 96
"""Page width from which the batch table shows the ready day beside *use from*."""
BATCH_COLUMNS = (
    Column("batch"),
    Column("units", right=True),
    Column("cook"),
    Column("inoculate"),
    Column("use from"),
    Column("ready"),
    Column("use"),
    Column("redo by"),
)
WARNED_AT, MOST = "lab.culture.transfers_warned", "lab.culture.transfers_most"
"""Names of the figures that say how many transfers are many."""
SPARES_COLUMNS = (
    Column("line", soft=True),
    Column("stage", soft=True),
    Column("need", right=True),
    Column("start", right=True),
    Column("chance"),
    Column("counts", soft=True),
    Column("why", soft=True),
)


def batches(plan: Plan, width: int) -> Lines:
    """Every batch with its days, under one line for each stage of a strain."""
    words = dates_of(plan)
    rows: list[tuple[str, ...] | str] = []
    limits = _limits(plan)
    for kind, same in groupby(plan.batches, lambda batch: _kind(batch) + _often(batch, limits)):
        rows.append(kind)
        rows += [_batch_row(batch, words, width >= ROOM_FOR_READY) for batch in same]
    return table(BATCH_COLUMNS, rows, width, indent=2 * INDENT)


def _kind(batch: Batch) -> str:
    generation = "" if batch.generation is None else f" G{batch.generation}"
    return (
        f"{batch.species} ({batch.strain}), {stage(batch.stage)}{generation}, {batch.container}: "
        f"waits in the {batch.waits_in}, fresh for {batch.fresh_days} days, keeps for {batch.keeps_days}"
    )


def _limits(plan: Plan) -> tuple[float, float]:
    """Transfers from which on a batch is marked, lightly and strongly; no end where the plan names none."""
    named = {figure.name: figure.likely for figure in plan.figures}
    return named.get(WARNED_AT, math.inf), named.get(MOST, math.inf)


def _often(batch: Batch, limits: tuple[float, float]) -> str:
    """How often it was moved on since the master, where that is often."""
    warned, most = limits
    if batch.transfers is None or batch.transfers < warned:
        return ""
    told = f"; {batch.transfers} transfers since the master"
    return f"{told}, TOO MANY" if batch.transfers >= most else told


def _batch_row(batch: Batch, words: Dates, with_ready: bool) -> tuple[str, ...]:
    return (
        batch.id,
        str(batch.started),
        words.maybe(batch.cook_on, "" if batch.state == "planned" else batch.state),
        words.maybe(batch.inoculate_on, ""),
        words.day(batch.use_from),
        words.day(batch.ready_on) if with_ready else "",
        words.stacked(batch.use_on),
        words.maybe(batch.redo_by, ""),
    )


def family_tree(plan: Plan, width: int) -> Lines:
    """Which unit feeds which units, what is kept back, and what is there as a spare."""
    children: dict[str, list[str]] = defaultdict(list)
    for batch in plan.batches:
        for unit in batch.units:
            if unit.parent is not None:
                children[unit.parent].append(unit.id)
    lines: Lines = []
    kept_back: list[str] = []
    spare: list[str] = []
    for _, alike in groupby(plan.batches, lambda batch: (batch.line, batch.stage, batch.generation)):
        feeds: list[str] = []
        for batch in alike:
            ids = [unit.id for unit in batch.units]
            kept = ids[len(ids) - batch.keep_back :]
            parents = [unit for unit in ids if unit in children]
            others = [unit for unit in ids if unit not in children and unit not in kept]
            kept_back += kept
            feeds += [f"{unit} -> {in_short(children[unit])}" for unit in parents]
            if parents:
                spare += others
            elif others and batch.use_on:
                feeds.append(f"{in_short(others)} -> {'; '.join(batch.plantings)}")
        lines += grid(feeds, width)
    for what, units in (("kept back for a redo", kept_back), ("spare", spare)):
        if units:
            lines += paragraph(f"{what}: {in_short(units)}", width)
    return lines


def spares(plan: Plan, width: int) -> Lines:
    """What each stage needs and starts, the chance that buys, and what the chance counts."""
    rows = [
        (
            spare.line,
            stage(spare.stage),
            str(spare.needed),
            str(spare.started),
            measures.chance(spare.chance),
            spare.covers,
            spare.why,
        )
        for spare in plan.spares
    ]
    return table(SPARES_COLUMNS, rows, width)


def make_or_buy(plan: Plan, width: int) -> Lines:
    """The plain alternative beside each strain line: buy the finished spawn."""
    lines: Lines = []
    for offer in plan.make_or_buy:
        days = f" and {counted(offer.saves_days, 'bench day')}" if offer.saves_days else ""
        reason = f": {offer.why}" if offer.why else ""
        saved = f"saves {measures.duration(offer.saves_minutes)}{days}"
        lines += paragraph(
            f"{offer.line} for {'; '.join(offer.plantings)}: buy {offer.quantity} x {offer.item} by "
            f"{dates_of(plan).day(offer.order_by)}, {saved}. This plan {offer.chosen}s it{reason}.",
            width,
            mark="- ",
        )
    return lines

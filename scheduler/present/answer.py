"""The head of a plan: what to do first, when it has to start, when each planting happens, and the gates."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date

from rich.text import Text

from scheduler import measures
from scheduler.plan import Order, Outlook, Plan, PlantingPlan
from scheduler.present import dates
from scheduler.present.aftercare import picking
from scheduler.present.cautions import minded
from scheduler.present.chances import sure, whole
from scheduler.present.dates import Dates, dates_of
from scheduler.present.layout import Column, Lines, fold, paragraph, table
from scheduler.present.words import stage
from scheduler.workdays import full

LABEL, VALUE = Column(), Column(soft=True)
STOPPED = (
    "The search was interrupted: this is the best plan it had found by then. It keeps every rule, but a "
    "better one may exist. Plan again to let the search finish."
)


def first_things(plan: Plan, width: int) -> Lines:
    """The first task from today on and the order that is due first, the more urgent on top."""
    today = plan.season.today
    things: list[tuple[date, str, str]] = []
    orders = sorted((o for o in plan.orders if o.late or o.order_by >= today), key=lambda o: o.order_by)
    if orders:
        label, text = _order(orders[0], [order for order in orders if order.late], plan.season.units)
        things.append((orders[0].order_by, label, text))
    tasks = [task for task in plan.tasks if task.on >= today]
    if tasks:
        task = min(tasks, key=lambda task: task.on)
        label = "Do today" if task.on == today else f"Do on {full(task.on)}"
        things.append((task.on, label, minded(task.title, task)))
    if not things:
        return [*fold("Nothing is left to do or to order.", width)]
    lines = table((LABEL, VALUE), [thing[1:] for thing in sorted(things)], width, indent=0)
    return [Text(str(line), style="bold") for line in lines]


def _order(order: Order, late: Sequence[Order], units: measures.Units) -> tuple[str, str]:
    due = full(order.order_by)
    what = f"{order.item}, {measures.quantity(order.quantity, order.unit, units)}"
    if not order.late:
        return f"Order by {due}", what
    others = f"; {measures.counted(len(late) - 1, 'more order')} late as well" if len(late) > 1 else ""
    return (
        "Order at once",
        f"{what} (was due {due}: buy over the counter or ask for a faster delivery{others})",
    )


def season_facts(plan: Plan, width: int) -> Lines:
    """Which plan this is, its start, its chance, its cook days and what is made."""
    season = plan.season
    number = "" if plan.plan_no is None else f", plan {plan.plan_no}"
    facts = [("cook days", _cook_days(plan)), ("make", _made(plan)), *_assumed(plan)]
    if plan.outlook is not None:
        facts.insert(0, ("chance", _chance(plan, plan.outlook)))
        facts.insert(0, ("start", _start(plan.outlook, season.today)))
    stopped = paragraph(STOPPED, width) if plan.status == "stopped" else []
    title = f"{season.name}{number}, as of {full(season.today)}"
    return ["", *fold(title, width), *stopped, *table((LABEL, VALUE), facts, width)]


def _assumed(plan: Plan) -> list[tuple[str, str]]:
    """That defaults were taken is said at the top; which ones, at the end."""
    count = len(plan.season.assumed)
    return [("assumes", f"{measures.counted(count, 'default')}, listed at the end")] if count else []


def _chance(plan: Plan, outlook: Outlook) -> str:
    """The chance of all plantings beside the wish: as played, where it was asked for, else by losses."""
    if plan.sought is None:
        return f"{measures.chance(outlook.all)} for all plantings (wished: {whole(plan.season.certainty)})"
    asked = f"asked for: {whole(plan.sought.wished)}" + ", not reached" * bool(plan.sought.fails)
    played = sure(plan.sought.reached, plan.sought.stderr, plan.sought.seasons)
    alone = f"{measures.chance(outlook.all)} if nothing lost is made again"
    return f"{played} for all plantings, played out ({asked}); {alone}"


def _start(outlook: Outlook, today: date) -> str:
    recommended, last = outlook.recommended_start, outlook.last_safe_start
    texts = []
    if recommended is not None:
        texts.append(f"recommended {full(recommended)}")
    if last is not None:
        texts.append(f"last safe {full(last)}" + " (this day has passed)" * (last < today))
    return ", ".join(texts) or "no start day is known"


def _cook_days(plan: Plan) -> str:
    loads = Counter(load.class_ for load in plan.loads)
    if not loads:
        return "none"
    days = len({load.on for load in plan.loads})
    kinds = [f"{measures.counted(count, 'load')} of {kind}" for kind, count in loads.items()]
    return f"{days} ({', '.join(kinds)})"


def _made(plan: Plan) -> str:
    made: Counter[str] = Counter()
    for batch in plan.batches:
        if batch.state == "planned":
            named = batch.stage in batch.container
            made[batch.container if named else f"{batch.container} of {stage(batch.stage)}"] += batch.started
    return (
        ", ".join(f"{count} x {what}" for what, count in made.items())
        or "nothing, all spawn is there or bought"
    )


def plantings(plan: Plan, width: int) -> Lines:
    """When each planting's wood is felled and when it is planted."""
    words = dates_of(plan)
    columns = (Column("planting", soft=True), Column("fell between"), Column("plant on"), Column("fallback"))
    rows = [
        (
            f"{planting.name}\n{planting.size}, {planting.species}",
            _felling(planting, words),
            words.stacked(planting.plant_on) or "not planted",
            words.maybe(planting.fallback_on, "no fallback day"),
        )
        for planting in plan.plantings
    ]
    lines = table(columns, rows, width)
    return ["", *lines] if lines else []


def _felling(planting: PlantingPlan, words: Dates) -> str:
    planned = words.stacked(planting.fell_on)
    if planting.fell_between is None:
        return planned or "nothing to fell"
    first, last = planting.fell_between
    if first == last:
        return words.day(first)
    between = f"{words.day(first)} and {words.day(last)}"
    return f"{between}\nplanned: {planned}" if planned else between


def gates(plan: Plan, width: int) -> Lines:
    """Up to when lost spawn can be made again or bought, and the chance, one line a planting."""
    words = dates_of(plan)
    columns = (Column("planting", soft=True), Column("redo by"), Column("buy by"), Column("chance"))
    rows = [
        (
            planting.name,
            words.maybe(planting.redo_by, "no redo"),
            words.maybe(planting.buy_by, "too late"),
            measures.chance(planting.chance)
            + f" (below {whole(plan.season.certainty)})"
            * (plan.sought is None and planting.chance < plan.season.certainty),
        )
        for planting in plan.plantings
    ]
    if not rows:
        return []
    covers = sorted({spares.covers for spares in plan.spares}) or ["losses"]
    note = (
        "Redo by: last day to start lost spawn again. Buy by: last day to order finished spawn instead. "
        f"Chance: that enough spawn is there, counting {' or '.join(covers)}."
    )
    return [*table(columns, rows, width), *paragraph(note + _weakest(plan), width)]


def _weakest(plan: Plan) -> str:
    """What holds the chance by losses down most, where it lies below the wish and that counts."""
    if plan.outlook is None or plan.outlook.all >= plan.season.certainty or not plan.spares or plan.sought:
        return ""
    weakest = min(plan.spares, key=lambda spares: spares.chance)
    reached = weakest.chance >= plan.season.certainty
    why = "" if reached or not weakest.why else f": {weakest.why}"
    cure = "more units there, or spawn bought instead, would" if reached else "spawn bought instead would"
    return (
        f" What holds it down most: {weakest.line}, {stage(weakest.stage)} "
        f"({measures.chance(weakest.chance)}{why}); {cure} raise it."
    )


def planting_details(plan: Plan, width: int) -> Lines:
    """What each planting takes and gives: spawn, pattern, wood, window, flushes, and its notes."""
    words, units = dates_of(plan), plan.season.units
    lines: Lines = []
    for planting in plan.plantings:
        needed = measures.mass(planting.spawn_needed_g, units)
        planned = measures.mass(planting.spawn_planned_g, units)
        first_flush = dates.months(planting.first_flush)
        facts = [
            ("spawn", f"{needed} needed, {planned} planned"),
            ("pattern", planting.pattern),
            ("run", _run(planting, units)),
            ("wood", _wood(planting)),
            ("weight", _weight(planting, units)),
            ("work", _work(plan, planting, words)),
            ("soak", "" if planting.soak_on is None else f"the logs on {words.day(planting.soak_on)}"),
            ("window", _window(planting, words)),
            ("flushes", f"the first in {first_flush}, then for {_years(planting.years)}"),
            ("picking", picking(planting.picking, units)),
            *[("note", note) for note in planting.notes],
        ]
        what = f"{planting.size}, {planting.method}, {planting.species} ({planting.strain})"
        lines += paragraph(f"{planting.name}: {what}", width)
        lines += table((LABEL, VALUE), [fact for fact in facts if fact[1]], width, indent=4)
    return lines


def _run(planting: PlantingPlan, units: measures.Units) -> str:
    """When the logs are run through, and what another hole pattern would change."""
    months = planting.run_months
    if months is None:
        return ""
    low, high = f"{months.low:.0f}", f"{months.high:.0f}"
    band = high if low == high else f"{low} to {high}"
    text = f"through the wood in about {band} months, an uncertain figure"
    other = planting.other_pattern
    if other is None:
        return text
    grams, later = measures.mass(abs(other.spawn_g), units), round(other.months)
    spawn = f"saves {grams} a log" if other.spawn_g < 0 else f"takes {grams} a log more"
    return f"{text}; {other.pattern} {spawn} and {_later(later)}"


def _later(months: int) -> str:
    """How much later the wood is run through."""
    if not months:
        return "takes about as long"
    time = measures.counted(abs(months), "month")
    return f"takes {time} more" if months > 0 else f"is through {time} sooner"


def _window(planting: PlantingPlan, words: Dates) -> str:
    """The window, and the best span where the grower has said which days those are."""
    best = "" if planting.best == planting.window else f", best {words.span(planting.best)}"
    return words.span(planting.window) + best


def _wood(planting: PlantingPlan) -> str:
    moisture = planting.wood_moisture
    if moisture is None:
        return ""
    return f"{moisture.likely:.0f} % water when planted ({moisture.low:.0f} to {moisture.high:.0f} %)"


def _weight(planting: PlantingPlan, units: measures.Units) -> str:
    """All the wood, its heaviest piece, and how often a cart goes for it."""
    if not planting.wood_kg:
        return ""
    piece = planting.size.partition(" ")[2].removesuffix("s")
    spares = measures.counted(planting.spare_pieces, "spare")
    trips = measures.counted(planting.haul_trips, "trip")
    return (
        f"{measures.mass(1000 * planting.wood_kg, units)} of green wood"
        + f", {spares} included" * bool(planting.spare_pieces)
        + f"; the heaviest {piece} {measures.mass(1000 * planting.heaviest_piece_kg, units)}"
        + f"; {trips} with a cart" * bool(planting.haul_trips)
    )


def _work(plan: Plan, planting: PlantingPlan, words: Dates) -> str:
    """How long planting takes on each of its days, from the fewest minutes to the most."""
    told = []
    for task in plan.tasks:
        if task.kind == "plant" and task.planting == planting.name and task.spread:
            likely, spread = measures.duration(task.minutes), measures.between(*task.spread)
            told.append(f"{likely} of hands on {words.day(task.on)}, {spread}")
    return "; ".join(told)


def _years(years: tuple[float, float]) -> str:
    low, high = (measures.number(value) for value in years)
    return f"{high} years" if low == high else f"{low} to {high} years"

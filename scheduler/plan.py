"""The words everybody shares: a Plan and its parts, as frozen plain data.

A Plan is what is shown, kept in the book and exported; any view can be built from it alone. The field
names are the keys of the public JSON document (a trailing underscore, as in ``for_``, is dropped there).
It is long because it is one table: every view and every script reads these words in one place.
Dates are `datetime.date`, masses grams, times minutes, volumes litres, moistures percent of wet mass.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal
from uuid import NAMESPACE_URL, uuid5

SCHEMA = "budswell.plan/1"

CARE = ":care:"
"""Stands in the ids of tasks of care, after the name of what is cared for."""

Period = tuple[date, date]
"""First and last day; both belong to it."""


def _key(name: str) -> str:
    return name.rstrip("_")


_KEYWORDS: dict[str, Any] = {"alias_generator": _key}


@dataclass(frozen=True)
class Assumption:
    """A default that was taken because the season file says nothing."""

    key: str
    value: str
    why: str


@dataclass(frozen=True)
class DayStart:
    """When work begins on a weekday, for whoever wants a time of day in the calendar."""

    weekday: str
    at: str
    """Hours and minutes of the season's time zone: ``09:00``."""


def id_of(name: str) -> str:
    """The id of a season whose file states none."""
    return str(uuid5(NAMESPACE_URL, name))


@dataclass(frozen=True)
class SeasonHead:
    """Which season a plan is for, and under which assumptions it was made."""

    id: str
    name: str
    timezone: str
    today: date
    made_with: str
    units: Literal["metric", "imperial"]
    certainty: float
    """The wished chance, 0 to 1."""
    assumed: tuple[Assumption, ...] = ()
    at: tuple[DayStart, ...] = ()
    """Work of the other weekdays, and of plans of earlier versions, has a day but no time."""


@dataclass(frozen=True)
class Moisture:
    """Percent water of the wet mass."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True)
class Picking:
    """One year of picking: between which days, and the fresh mass to expect."""

    year: int
    """The first year of picking is 1."""
    between: tuple[Period, ...]
    low_g: float
    likely_g: float
    high_g: float


@dataclass(frozen=True)
class Months:
    """Months from the last planting day."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True)
class OtherPattern:
    """Another hole pattern in use, against the planned one."""

    pattern: str
    """In words: ``15 x 7.6 cm``."""
    spawn_g: float
    """Grams that it takes more for one log; negative where it saves them."""
    months: float
    """Months that the wood is run through later, on the average of the band; negative where sooner."""


@dataclass(frozen=True)
class PlantingPlan:
    """One outdoor project, dated."""

    name: str
    species: str
    strain: str
    method: str
    size: str
    """What is planted, in words: ``12 logs``, ``6 m2``."""
    window: Period
    best: Period
    plant_on: tuple[date, ...]
    fallback_on: date | None
    """A later day on which wood and spawn are still good; hours are not reserved for it."""
    fell_on: tuple[date, ...]
    fell_between: Period | None
    """The days between which the wood may be felled for these planting days."""
    soak_on: date | None
    spawn_needed_g: float
    spawn_planned_g: float
    wood_moisture: Moisture | None
    first_flush: Period
    years: tuple[float, float]
    chance: float
    """Chance that enough spawn survives; what it covers is said in `Plan.spares`."""
    redo_by: date | None
    """Last day from which the finished spawn can be made again from what was kept back."""
    buy_by: date | None
    """Last day on which finished spawn can be ordered and still be planted in time."""
    pattern: str = ""
    """How the spawn goes in: ``6 rows x 6 holes`` and the like."""
    notes: tuple[str, ...] = ()
    picking: tuple[Picking, ...] = ()
    """Year by year; empty in plans of earlier versions."""
    ends: Period | None = None
    """Between which days it is used up."""
    run_months: Months | None = None
    """Until the logs are run through: a band of uncertain figures. None for stumps and beds, and in plans of
    earlier versions."""
    other_pattern: OtherPattern | None = None
    """What another hole pattern would change; None where no holes are drilled."""
    spare_pieces: int = 0
    """Logs that are felled beyond the need."""
    wood_kg: float = 0.0
    """Green mass of all the wood, spare logs included; 0 where there is none to move."""
    heaviest_piece_kg: float = 0.0
    haul_trips: int = 0
    """Trips of a cart that bring the wood; 0 where it is down already or delivered."""
    spawn_until: date | None = None
    """Last day on which all its finished spawn is still usable."""
    wood_until: date | None = None
    """Last day on which its wood is still moist enough; None where it has none that dries."""
    fallback_minutes: int = 0
    """Hands-on minutes that are there on the fallback day, with whatever help is named for it."""


@dataclass(frozen=True)
class StandingPlan:
    """What stands outdoors already and is looked after and picked beside this season's plantings."""

    name: str
    species: str
    strain: str
    method: str
    size: str
    planted_on: date
    picking: tuple[Picking, ...]
    ends: Period


@dataclass(frozen=True)
class Unit:
    """One jar, bag, plate or bottle, and the unit it was made from."""

    id: str
    parent: str | None


@dataclass(frozen=True)
class Batch:
    """Units of one stage and strain that are inoculated together, or that are already there."""

    id: str
    line: str
    species: str
    strain: str
    stage: str
    generation: int | None
    container: str
    needed: int
    started: int
    units: tuple[Unit, ...]
    waits_in: Literal["fridge", "shelf"]
    cook_on: date | None
    inoculate_on: date | None
    check_on: tuple[date, ...]
    ready_on: date
    use_from: date
    """The day from which it may be used if it looks fully run."""
    use_on: tuple[date, ...]
    plantings: tuple[str, ...]
    minutes: int
    attended_minutes: int
    volume_l: float
    grows_days: int
    keeps_days: int
    fresh_days: int
    margin_days: int
    redo_by: date | None
    keep_back: int
    state: Literal["planned", "in hand", "bought"]
    unit_mass_g: float
    """Mass of one full unit (millilitres for liquids)."""
    transfers: int | None = None
    """Moves onto fresh medium or grain since the master culture, or since the culture as it was bought; the
    last one, into finished spawn, is not counted. None where nobody knows."""


@dataclass(frozen=True)
class LoadShare:
    """How many units of a batch are in a load."""

    batch: str
    units: int


@dataclass(frozen=True)
class Load:
    """One filling of a cooker."""

    __pydantic_config__ = _KEYWORDS

    on: date
    cooker: str
    class_: Literal["media", "grain", "bags"]
    minutes: int
    attended_minutes: int
    holds: tuple[LoadShare, ...]
    hold_minutes: int = 0
    """Minutes at full heat, for the altitude of the place; 0 in plans of earlier versions."""
    gauge_psi: float | None = None
    """What the gauge shows meanwhile, pounds per square inch; None for steam without pressure."""


@dataclass(frozen=True)
class Supply:
    """So much of something."""

    item: str
    quantity: float
    unit: str


@dataclass(frozen=True)
class Tool:
    """Something that has to be at hand and is not used up."""

    item: str
    use: str
    """What for."""


@dataclass(frozen=True)
class Task:
    """One piece of work on one day."""

    id: str
    kind: str
    title: str
    on: date
    slip_to: date | None
    minutes: int
    attended_minutes: int
    small: bool
    place: Literal["lab", "yard", "other"]
    batch: str | None
    planting: str | None
    after: tuple[str, ...]
    why: str
    cautions: tuple[str, ...]
    supplies: tuple[Supply, ...]
    steps: tuple[str, ...] = ()
    until: date | None = None
    """Last day of the span in which care of what stands is due; no hours of a day are reserved for it.
    None for work that has its day."""
    ongoing: bool = False
    """Whether care goes on for its whole span instead of being done once in it."""
    spread: tuple[int, int] | None = None
    """Fewest and most hands-on minutes, where they are known."""
    tools: tuple[Tool, ...] = ()

    @property
    def is_care(self) -> bool:
        """Whether it is care of what stands, on its day or in its span."""
        return CARE in self.id

    def is_overdue(self, day: date) -> bool:
        """Whether its day has passed; care is due for its whole span."""
        return (self.until or self.on) < day

    @property
    def is_check_ahead(self) -> bool:
        """Whether it looks after something weeks before it is needed; what prepares a load does not."""
        return self.kind == "prepare" and self.batch is None


@dataclass(frozen=True)
class Station:
    """One station of a planting day, and who stands there when. Minutes count from the start of the work."""

    name: str
    what: str
    minutes: int
    """Hands-on minutes, likely."""
    spread: tuple[int, int]
    """Fewest and most of them."""
    people: int
    """Persons of its team."""
    team: int
    """Number of the team, from 1; stations of one number share their people. 0 for setting up."""
    starts: int
    ends: int
    limit: int = 0
    """How many can work here at once; 0 for any number."""
    limited_by: str = ""
    """What there is no more of: ``drill``."""
    ahead: str = ""
    """What has to be begun before, at `ahead_at`."""
    ahead_at: int | None = None


@dataclass(frozen=True)
class Fed:
    """A unit of finished spawn, and what it is for: pieces from first to last, or so much of a bed."""

    unit: str
    first: int | None
    last: int | None
    area_m2: float | None = None


@dataclass(frozen=True)
class PlantingWork:
    """What is planted of one planting on a day."""

    task: str
    """Id of its task, which has title, supplies, tools and cautions."""
    planting: str
    pieces: int
    piece: str
    """What a piece is called: ``log``, ``totem``, ``stump``, ``m2``."""
    stations: tuple[Station, ...]
    spawn: tuple[Fed, ...]
    """Which unit goes where."""
    reserve: tuple[str, ...] = ()
    """Units that stay closed as long as the others are enough."""


@dataclass(frozen=True)
class Helpers:
    """More hands on a day: so many persons for so many minutes each."""

    people: int
    minutes: int


@dataclass(frozen=True)
class PlantingDay:
    """One day of planting: who is there, and what is done in which order. Breaks are not reckoned with."""

    on: date
    own_minutes: int
    """The grower's own hands-on minutes of the day."""
    help: tuple[Helpers, ...]
    minutes: int
    """From the beginning to the end, likely, with everybody at their stations."""
    spread: tuple[int, int]
    """The same at the fewest and at the most."""
    works: tuple[PlantingWork, ...]
    """In the order in which they follow one another."""

    @property
    def people(self) -> int:
        """Persons who are there."""
        return max(1, (1 if self.own_minutes else 0) + sum(one.people for one in self.help))


@dataclass(frozen=True)
class Pack:
    """So many packs of one size, as they are sold."""

    name: str
    """What the size is called: ``15 kg bag``."""
    count: int
    holds: float
    """What one pack holds, in the unit of its order."""


@dataclass(frozen=True)
class Order:
    """Something to buy, with the last day on which to order it."""

    __pydantic_config__ = _KEYWORDS

    item: str
    quantity: float
    unit: str
    order_by: date
    needed_on: date
    for_: tuple[str, ...]
    late: bool = False
    """True where the order day lies before today: buy it over the counter or ask for a faster delivery."""
    supplier: str = ""
    """The kind of shop that has it; empty in plans of earlier versions."""
    packs: tuple[Pack, ...] = ()
    """What is bought, rounded up to what is sold; empty where the pieces of `quantity` are bought as such,
    or where an earlier order leaves enough over."""
    left_over: float = 0.0
    """How much of `quantity` earlier orders of the same thing leave over."""
    work: str = ""
    """The first work that it is needed for: with `item` a name that holds no day. Empty in plans of earlier
    versions."""


@dataclass(frozen=True)
class Spares:
    """How many units a stage of a line needs, how many are started, and the chance that buys."""

    line: str
    stage: str
    needed: int
    started: int
    chance: float
    covers: Literal["losses", "losses and days"]
    why: str = ""
    plantings: tuple[str, ...] = ()


@dataclass(frozen=True)
class WouldPlant:
    """One way of planting all finished spawn of a strain that is left over."""

    method: str
    piece: Literal["log", "totem", "stump", "m2"]
    size: str
    """Size of a piece in words: ``12 cm x 1 m``; empty for a bed."""
    takes_g: float
    """Spawn that one piece (or m2) takes, handling waste counted in."""
    amount: float
    """Whole pieces, or tenths of a m2, for which all of it does."""
    plant_by: date
    until: Literal["keeps", "window", "opened"]
    """Why not later: it keeps no longer, the window for it ends, or it is open already."""
    fell_by: date | None
    """Last day before the buds swell, where wood has to be felled for it."""
    own: bool
    """Whether the season itself plants the species so."""
    mind: str = ""
    """What speaks against it, though it may be done."""


@dataclass(frozen=True)
class Leftover:
    """Finished spawn of one strain beyond what its plantings take."""

    line: str
    species: str
    strain: str
    stage: str
    plantings: tuple[str, ...]
    batches: tuple[str, ...]
    """Every batch that these plantings are served from; what is left is left of them."""
    usable: float
    """Share of a unit's mass that is planted."""
    grams: float
    """Left over where nothing is lost."""
    likely_g: float
    """Left over on average, with the usual losses: spares are there to be lost."""
    closed: int
    """Whole units among it, where nothing is lost; what is beside them is in an opened one."""
    since: date
    """Last planting day of its plantings."""
    keeps_until: date
    """Last day on which what stays closed is of use."""
    opened_until: date
    """Last day on which what was opened on `since` is of use."""
    would_plant: tuple[WouldPlant, ...] = ()
    """Ways of planting all of it, each for itself; the season's own first."""


@dataclass(frozen=True)
class MakeOrBuy:
    """The plain alternative beside a strain line: buy the finished spawn."""

    line: str
    plantings: tuple[str, ...]
    item: str
    quantity: int
    order_by: date
    saves_minutes: int
    saves_days: int
    """Bench days that would fall away."""
    chosen: Literal["make", "buy"]
    why: str = ""
    """Why it is bought where the season left it open; empty where the season says it, or it is made."""


@dataclass(frozen=True)
class Tier:
    """One aim of the search: its value, its proved bound, and whether they meet."""

    name: str
    value: int
    bound: int
    proved: bool


@dataclass(frozen=True)
class FigureUsed:
    """A figure of the catalogue, or the grower's own, that this plan rests on."""

    name: str
    low: float | None
    likely: float
    high: float | None
    unit: str
    basis: Literal["published", "common practice", "memory", "own record"]
    source: str


@dataclass(frozen=True)
class PlantingChance:
    """The chance of one planting."""

    name: str
    chance: float
    stderr: float | None


@dataclass(frozen=True)
class Outlook:
    """How sure the season is, and when it has to start."""

    plantings: tuple[PlantingChance, ...]
    all: float
    recommended_start: date | None
    last_safe_start: date | None


@dataclass(frozen=True)
class Step:
    """What the plan has more, or fewer, of than the usual one for the same wish, and what that is worth."""

    line: str
    stage: str
    """As among the spares; empty where the line has more margin before planting."""
    plantings: tuple[str, ...]
    units: int
    """Units started; fewer where it is less than 0. 0 for a margin."""
    days: int
    """Days of margin; 0 for units."""
    buys: float
    """What the chance of all plantings would lose without it, in the very same seasons."""
    stderr: float
    minutes: int
    """Lab work that it takes, about; less than 0 where it saves some."""


@dataclass(frozen=True)
class Fails:
    """One thing that a planting still comes to nothing through."""

    planting: str
    why: Literal["too few", "late", "late after a redo"]
    stage: str
    """The stage that has too few good units, as among the spares; empty where it is late."""
    share: float
    """Share of the seasons played."""


@dataclass(frozen=True)
class Barred:
    """What could have been added and was not: a unit of a stage or, where that is empty, margin of a line."""

    line: str
    stage: str
    why: str


@dataclass(frozen=True)
class Sought:
    """How spares and margins were chosen so that the chance, played out, meets a wish."""

    wished: float
    reached: float
    """Chance that all plantings are planted in their windows with enough spawn."""
    stderr: float
    usual: float
    """The same of the usual plan for that wish, which looks at losses alone."""
    usual_stderr: float
    minutes: int
    """Lab work, an hour for each day with work included."""
    usual_minutes: int
    seasons: int
    seed: int
    plans: int
    """Plans that were made and played."""
    steps: tuple[Step, ...] = ()
    fails: tuple[Fails, ...] = ()
    """Largest share first; empty where the wish is reached, as is `barred`."""
    barred: tuple[Barred, ...] = ()
    ended: bool = False
    """Whether the search ended with things left to try."""


@dataclass(frozen=True)
class Change:
    """One task of a replan, before and after."""

    task: str
    was: date | None
    now: date | None
    why: str
    kind: Literal["kept", "moved", "new", "dropped"]


@dataclass(frozen=True)
class Statement:
    """One of the grower's own statements (or a rule of nature) that takes part in a conflict."""

    rule: str
    key: str
    statement: str


@dataclass(frozen=True)
class Rewrite:
    """One place of the season file, as it stands and as a remedy has it, both in the file's notation."""

    key: str
    """``[people].hours.sat``, ``[[planting]] Oak stack: window``, or a whole block: ``[[help]]``."""
    was: str | None
    """None where the file says nothing."""
    now: str | None
    """None where it is to be taken out."""


@dataclass(frozen=True)
class Remedy:
    """One solved change that makes an impossible season possible."""

    kind: str
    amount: str
    text: str
    cost: str
    plantings: tuple[str, ...]
    changes: tuple[Rewrite, ...] = ()
    """What to write into the season file to get the season that was solved, in this order."""


@dataclass(frozen=True)
class Plan:
    """A finished plan, or the refusal of one with its conflict and remedies."""

    status: Literal["planned", "stopped", "none"]
    plan_no: int | None
    inputs_sha: str
    season: SeasonHead
    plantings: tuple[PlantingPlan, ...] = ()
    standing: tuple[StandingPlan, ...] = ()
    batches: tuple[Batch, ...] = ()
    loads: tuple[Load, ...] = ()
    tasks: tuple[Task, ...] = ()
    orders: tuple[Order, ...] = ()
    planting_days: tuple[PlantingDay, ...] = ()
    """Days of planting that are still to come, in order; empty in plans of earlier versions."""
    spares: tuple[Spares, ...] = ()
    make_or_buy: tuple[MakeOrBuy, ...] = ()
    tiers: tuple[Tier, ...] = ()
    figures: tuple[FigureUsed, ...] = ()
    outlook: Outlook | None = None
    changes: tuple[Change, ...] = ()
    conflict: tuple[Statement, ...] = ()
    confirmed: bool = True
    """False where the refusal could not be confirmed by a second look within its budget."""
    remedies: tuple[Remedy, ...] = ()
    notes: tuple[str, ...] = ()
    """Warnings about the plan as a whole, most important first."""
    leftover: tuple[Leftover, ...] = ()
    """Finished spawn planned beyond the need, strain by strain; empty in plans of earlier versions."""
    sought: Sought | None = None
    """None where no chance was asked for; and in what is planned onward, whose chance is another."""
    schema: str = field(default=SCHEMA)

    def work(self) -> tuple[Task, ...]:
        """The tasks that have their day, with hours reserved; without care, which has a span of days."""
        return tuple(task for task in self.tasks if task.until is None)

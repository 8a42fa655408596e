"""The season file as it is written: every key it may have, and what each takes.

Of the tables everything is None where the file is silent; a key of `required` must be written. What a value
means beside others is judged in the rooms that resolve it.
"""

from __future__ import annotations

from datetime import date, time
from typing import Annotated, Any, ClassVar, Literal

from pydantic import BaseModel, ConfigDict, Field, WrapValidator
from pydantic_core.core_schema import ValidatorFunctionWrapHandler

from scheduler.plan import Period
from scheduler.season import values as v
from scheduler.season.wrong import Wrong, shown
from scheduler.workdays import WEEKDAYS


class Table(BaseModel):
    """Base of all tables: frozen, and unknown keys are errors."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    required: ClassVar[tuple[str, ...]] = ()


def _each_once(value: Any, read: ValidatorFunctionWrapHandler) -> Any:
    table = read(value)
    if len(table) < len(value):
        raise Wrong(f"{shown(value)} that names one thing twice", "each once, under one of its names")
    return table


def _filled(allowed: str, example: str) -> WrapValidator:
    """A table that names something, and each thing once."""

    def read(value: Any, inside: ValidatorFunctionWrapHandler) -> Any:
        table = _each_once(value, inside)
        if not table:
            raise Wrong("an empty table", allowed, f"for example {example}")
        return table

    return WrapValidator(read)


Text = Annotated[str, v.text()]
Day = Annotated[date, v.day()]
Weekday = Annotated[str, v.choice(*WEEKDAYS)]
Diameter = Annotated[float, v.quantity("length", "cm", 4, 80), Field(examples=['"13 cm"'])]
Length = Annotated[float, v.quantity("length", "cm", 20, 300)]
Count = Annotated[int, v.whole(1, 10_000), Field(examples=["12"])]
Lead = Annotated[float, v.quantity("time", "day", 0, 180)]
Days = Annotated[float, v.number(1, 365, "a number of days")]
Share = Annotated[float, v.number(0, 0.95, "a share")]
Container = Annotated[str, v.container()]
Once = WrapValidator(_each_once)
Holds = Annotated[
    dict[Container, Annotated[int, v.whole(1, 10_000)]],
    _filled("how many units of which container", '{ "quart jar" = 7 }'),
]
Stage = Annotated[str, v.choice("slant", "plate", "liquid culture", "grain", "sawdust", "pellet", "dowels")]
OwnStage = Annotated[str, v.choice("plate", "liquid culture", "grain", "sawdust", "pellet", "dowels")]
StockStage = Annotated[
    str,
    v.choice("plate", "slant", "liquid culture", "grain", "sawdust", "pellet", "dowels", "chips"),
]


class SeasonTable(Table):
    """``[season]``: what it is called and how it is planned."""

    required = ("name",)

    name: Text | None = Field(None, examples=['"Alder Bend, spring 2027"'])
    timezone: Text | None = None
    units: Annotated[Literal["metric", "imperial"], v.choice("metric", "imperial")] | None = None
    certainty: Annotated[float, v.wish()] | None = None
    no_work_before: Day | None = None
    today: Day | None = None
    id: Annotated[str, v.text(64)] | None = None
    continues: Text | None = None


class SiteTable(Table):
    """``[site]``: where it grows outdoors."""

    latitude: Annotated[float, v.number(-90, 90, "degrees, south negative,")] | None = None
    elevation: Annotated[float, v.quantity("length", "m", -430, 5500)] | None = None
    leaf_turn: Day | None = None
    bud_swell: Day | None = None
    ground_thaws: Day | None = None
    last_frost: Day | None = None
    weather: Text | None = None


class PeopleTable(Table):
    """``[people]``: whose hands, and when."""

    hours: Annotated[dict[Weekday, Annotated[float, v.number(0, 16, "hours")]], Once] | None = None
    home: Annotated[dict[Weekday, Annotated[float, v.number(0, 24, "hours")]], Once] | None = None
    small_minutes: Annotated[int, v.whole(0, 240)] | None = None
    away: Annotated[list[Annotated[Period, v.period()]], v.one_or_more()] = []
    prefer: Annotated[list[Weekday], v.one_or_more()] = []
    felling: Annotated[str, v.choice("own", "hired", "bought")] | None = None
    at: Annotated[dict[Weekday, Annotated[time, v.time_of_day()]], Once] | None = None


class HelpTable(Table):
    """``[[help]]``: more hands on one day."""

    on: Day = Field(examples=["2027-04-24"])
    people: Annotated[int, v.whole(1, 20), Field(examples=["3"])]
    hours: Annotated[float, v.number(0.25, 16, "hours"), Field(examples=["6"])]


class ToolsTable(Table):
    """``[tools]``: what is at hand for the yard."""

    drills: Annotated[int, v.whole(0, 20)] | None = None
    tank: Annotated[float, v.quantity("volume", "l", 10, 20_000)] | None = None


class CookerTable(Table):
    """``[[lab.cooker]]``: one vessel."""

    kind: Annotated[str, v.choice("pressure cooker", "steam drum")] = Field(examples=['"pressure cooker"'])
    loads_per_day: Annotated[int, v.whole(1, 12)] | None = None
    gauge: Annotated[float, v.quantity("pressure", "psi", 1, 40)] | None = None
    rated: Annotated[float, v.quantity("pressure", "psi", 1, 40)] | None = None
    holds: Holds | None = None


class RoomTable(Table):
    """``[lab.shelf]`` and ``[lab.fridge]``: where it grows and where it waits."""

    temperature: (
        Annotated[
            dict[Annotated[int, v.month()], Annotated[float, v.quantity("temperature", "degc", -5, 35)]],
            _filled("one temperature, or one for each month", '{ jan = "16 C", jul = "22 C" }'),
            v.all_year(),
        ]
        | None
    ) = None
    holds: Holds | None = None
    volume: Annotated[float, v.quantity("volume", "l", 1, 100_000)] | None = None


class ContainerTable(Table):
    """``[lab.containers."3 L jar"]``: a container that the catalogue does not have."""

    volume: Annotated[float, v.quantity("volume", "l", 0.05, 100), Field(examples=['"3 L"'])]
    grain: Annotated[float, v.quantity("mass", "g", 20, 50_000)] | None = None
    sawdust: Annotated[float, v.quantity("mass", "g", 20, 50_000)] | None = None
    liquid: Annotated[float, v.quantity("volume", "ml", 1, 50_000)] | None = None


class LabTable(Table):
    """``[lab]``: where and in what the spawn is made."""

    workspace: Annotated[str, v.choice("still-air box", "flow hood", "clean room")] | None = None
    grain_in: Container | None = None
    spawn_in: Container | None = None
    media: Annotated[str, v.choice("bought", "own")] | None = None
    cooker: Annotated[list[CookerTable], v.one_or_more()] = []
    shelf: RoomTable = RoomTable()
    fridge: RoomTable = RoomTable()
    containers: dict[Text, ContainerTable] = {}


class StockTable(Table):
    """``[[stock]]``: something in hand already."""

    required = ("species", "stage")

    species: Annotated[str, v.species()] | None = Field(None, examples=['"nameko"'])
    strain: Text | None = None
    code: Text | None = None
    stage: StockStage | None = Field(None, examples=['"liquid culture"'])
    amount: Annotated[tuple[float, str], v.amount()] | None = None
    units: Annotated[int, v.whole(1, 10_000)] | None = None
    received: Day | None = None
    started: Day | None = None
    tested: Annotated[bool, v.yes_or_no()] | None = None
    transfers: Annotated[int, v.whole(0, 100)] | None = None
    container: Container | None = None


class LogsTable(Table):
    """``logs = {...}``: so many of one size."""

    count: Count
    diameter: Diameter
    length: Length | None = None


class StumpsTable(Table):
    """``stumps = {...}``: so many of one width."""

    count: Count
    diameter: Annotated[float, v.quantity("length", "cm", 5, 200), Field(examples=['"35 cm"'])]


class PlantingTable(Table):
    """``[[planting]]``: one outdoor project."""

    required = ("name", "species", "method", "window")

    name: Text | None = Field(None, examples=['"Cherry raft"'])
    species: Annotated[str, v.species()] | None = Field(None, examples=['"nameko"'])
    strain: Text | None = None
    method: Annotated[str, v.method()] | None = Field(None, examples=['"drilled logs"'])
    wood: Annotated[str, v.wood()] | None = None
    logs: Annotated[list[LogsTable], v.one_or_more()] | None = None
    stumps: Annotated[list[StumpsTable], v.one_or_more()] | None = None
    area: Annotated[float, v.quantity("area", "m2", 0.5, 500)] | None = None
    depth: Annotated[float, v.quantity("length", "cm", 3, 40)] | None = None
    pattern: Annotated[tuple[float, float], v.spacing()] | None = None
    cut: Annotated[str, v.choice("wedge", "kerf")] | None = None
    chips: Annotated[str, v.choice("wetted in place", "soaked", "fermented")] | None = None
    window: Annotated[Period, v.period()] | None = Field(None, examples=['"2027-04-20/2027-05-25"'])
    best: Annotated[Period, v.period()] | None = None
    priority: Annotated[int, v.whole(1, 9)] | None = None
    at_least: Annotated[float, v.square_metres(0.5, 10_000)] | None = None
    spawn: Annotated[str, v.choice("make", "buy", "either")] | None = None
    route: Annotated[list[Stage], v.stages()] | None = None
    felled: Day | None = None


class StandingTable(Table):
    """``[[standing]]``: what stands outdoors from earlier years, and is looked after and picked."""

    required = ("name", "species", "method", "planted")

    name: Text | None = Field(None, examples=['"Oak stack of 2025"'])
    species: Annotated[str, v.species()] | None = Field(None, examples=['"shiitake"'])
    strain: Text | None = None
    method: Annotated[str, v.method()] | None = Field(None, examples=['"drilled logs"'])
    wood: Annotated[str, v.wood()] | None = None
    logs: Annotated[list[LogsTable], v.one_or_more()] | None = None
    stumps: Annotated[list[StumpsTable], v.one_or_more()] | None = None
    area: Annotated[float, v.quantity("area", "m2", 0.5, 500)] | None = None
    planted: Day | None = Field(None, examples=["2025-04-26"])


class LeadTable(Table):
    """``lead``: from ordering to having, in days."""

    culture: Lead | None = None
    spawn: Lead | None = None
    grain: Lead | None = None
    chips: Lead | None = None
    supplies: Lead | None = None


class BuyingTable(Table):
    """``[buying]``: how long orders take."""

    lead: LeadTable = LeadTable()


class OwnDaysTable(Table):
    """``days = {...}``: the grower's own days from inoculation to fully run."""

    low: Days = Field(examples=["12"])
    likely: Days = Field(examples=["15"])
    high: Days = Field(examples=["20"])


class OwnLossTable(Table):
    """``loss = {...}``: the grower's own share of units lost."""

    rate: Share = Field(examples=["0.1"])
    low: Share | None = None
    high: Share | None = None


class OwnFiguresTable(Table):
    """``[figures.nameko.grain]``: the grower's own numbers for one stage."""

    days: OwnDaysTable | None = None
    loss: OwnLossTable | None = None


class SeasonFile(Table):
    """A whole season file."""

    required = ("season", "planting")

    season: SeasonTable = SeasonTable()
    site: SiteTable = SiteTable()
    people: PeopleTable = PeopleTable()
    help: Annotated[list[HelpTable], v.one_or_more()] = []
    tools: ToolsTable = ToolsTable()
    lab: LabTable = LabTable()
    stock: Annotated[list[StockTable], v.one_or_more()] = []
    planting: Annotated[list[PlantingTable], v.one_or_more()] = []
    standing: Annotated[list[StandingTable], v.one_or_more()] = []
    buying: BuyingTable = BuyingTable()
    figures: Annotated[dict[Annotated[str, v.species()], dict[OwnStage, OwnFiguresTable]], Once] = {}

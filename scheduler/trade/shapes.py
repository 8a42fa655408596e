"""The shapes of the catalogue: figures with basis and source, methods, woods, cautions, sources.

Every number is a `Figure`; the catalogue's own TOML files are checked against these shapes when they are
read, and a test walks every figure.
"""

from __future__ import annotations

import re
from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, model_validator

Basis = Literal["published", "common practice", "memory", "own record"]
StageName = Literal["plate", "slant", "liquid culture", "grain", "sawdust", "pellet", "dowels", "chips"]
Verdict = Literal["fine", "warned", "refused"]
Piece = Literal["log", "totem", "stump", "m2"]
Frost = Literal["freeze", "hard freeze"]
"""Nights of ``profiles/weather.toml``: as cold as its `freeze`, or as its `hard_freeze`, and colder."""

_TRIFLE = 1e-6
"""Minutes below this are left by arithmetic."""


class Shape(BaseModel):
    """Base of all catalogue shapes: frozen, and unknown keys are errors."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Figure(Shape):
    """A number with its spread, unit, basis and source key (a key of ``shared/sources.toml``)."""

    low: float | None = None
    likely: float
    high: float | None = None
    unit: str
    basis: Basis
    source: str = ""
    note: str = ""

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        low = self.likely if self.low is None else self.low
        high = self.likely if self.high is None else self.high
        if not low <= self.likely <= high:
            raise ValueError(f"low {low} <= likely {self.likely} <= high {high} does not hold")
        if self.basis == "published" and not self.source:
            raise ValueError("a published figure needs a source key")
        return self

    @property
    def lowest(self) -> float:
        """Low, or likely where no spread is given."""
        return self.likely if self.low is None else self.low

    @property
    def highest(self) -> float:
        """High, or likely where no spread is given."""
        return self.likely if self.high is None else self.high


class Permission(Shape):
    """Whether a combination is fine, warned about or refused, and why."""

    verdict: Verdict
    why: str = ""
    basis: Basis = "common practice"
    source: str = ""


class Keeping(Shape):
    """After ready: days of full vigour and days usable at all, in the fridge and on the shelf, in days."""

    fridge_fresh: Figure
    fridge_keeps: Figure
    shelf_fresh: Figure
    shelf_keeps: Figure


class Ahead(Shape):
    """Something that has to be begun a while before the work at a station: wax that has to melt."""

    what: str
    minutes: Figure


class Part(Shape):
    """One station of a step: what is done there to each piece, and how long that takes."""

    station: str
    what: str
    minutes: Figure
    holds: Literal["drill", "saw"] | None = None
    """What each person there has in hand, where there is not one for everybody."""
    ahead: Ahead | None = None


class Step(Shape):
    """One kind of yard work of a method: minutes for each piece (log, totem, stump, m2)."""

    kind: str
    """A task kind: fell, buck, haul, prepare-chips, plant."""
    minutes: Figure
    fixed_minutes: Figure | None = None
    """Minutes for setting up, once a planting."""
    set_up: str = ""
    """What is set up in that time."""
    drill: Figure | None = None
    """Minutes a piece during which one drill is taken."""
    parts: list[Part] = []
    """The same minutes by station, in the order in which a piece goes through them."""

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if not self.parts:
            return self
        parts, whole = sum(part.minutes.likely for part in self.parts), self.minutes.likely
        if abs(parts - whole) > _TRIFLE:
            raise ValueError(f"the parts of {self.kind} take {parts:g} minutes, the step {whole:g}")
        drilled = sum(part.minutes.likely for part in self.parts if part.holds == "drill")
        taken = self.drill.likely if self.drill else 0.0
        if abs(drilled - taken) > _TRIFLE:
            raise ValueError(f"the parts with a drill take {drilled:g} minutes, `drill` says {taken:g}")
        return self


class MethodTool(Shape):
    """Something that has to be at hand and is not used up."""

    item: str
    use: str
    """What for."""
    kinds: list[str] = ["plant"]
    """Kinds of the method's steps that it is for."""
    spawn: list[StageName] = []
    """Kinds of spawn that it is for; empty for all."""
    size: str = ""
    """Figure of the method that says its size, in mm: the diameter of a drill bit."""


class MethodSupply(Shape):
    """Something used up by a planting, an amount for each piece."""

    item: str
    per_piece: Figure
    lead: Literal["chips", "supplies"] = "supplies"
    cut: Literal["wedge", "kerf"] | None = None
    """The kind of saw cut that takes it, where the other kind does not."""


class MethodWeather(Shape):
    """What a method waits for beyond the weather of its species, by day and by night apart."""

    day: Figure | None = None
    """Daily highs in C, where the method asks for more than most species do."""
    after: Frost | None = None
    """The last such night of spring, which has to be over."""
    basis: Basis = "common practice"
    """Of the frost."""


class Method(Shape):
    """How spawn meets wood. File: ``profiles/methods/<name>.toml``."""

    name: str
    aliases: list[str] = []
    verb: str
    """How a planting task is titled: ``inoculate {size}``, ``stack {size}``, ``lay the bed ({size})``."""
    piece: Piece
    wood: Literal["logs", "stumps", "chips"]
    spawn_stages: list[Literal["sawdust", "pellet", "dowels", "grain"]]
    """Finished spawn that may be planted; grain only with a caution and where the species allows it."""
    figures: dict[str, Figure]
    """Geometry and rates; the keys each method uses are named in `lines.demand`."""
    planting: MethodWeather = MethodWeather()
    steps: list[Step]
    supplies: list[MethodSupply] = []
    tools: list[MethodTool] = []
    cautions: list[str] = []
    needs: list[Literal["leaf_turn", "bud_swell", "ground_thaws", "last_frost"]] = []
    """Site dates without which this method cannot be planned."""
    notes: list[str] = []

    @model_validator(mode="after")
    def _tools_known(self) -> Self:
        kinds = {step.kind for step in self.steps}
        for tool in self.tools:
            if tool.size and tool.size not in self.figures:
                raise ValueError(f"{tool.item} has its size from {tool.size}, which is no figure here")
            if not kinds.issuperset(tool.kinds):
                raise ValueError(f"{tool.item} is for {', '.join(tool.kinds)}; the steps: {', '.join(kinds)}")
        return self


class Caution(Shape):
    """A caution as data. File: ``profiles/cautions.toml``, table ``[caution.<key>]``."""

    text: str
    body: str
    """Whose guidance it is, or ``common practice``."""
    sources: list[str] = []
    """Keys of ``shared/sources.toml``."""
    kinds: list[str]
    """Task kinds that always carry it."""
    when: list[str] = []
    """Narrower conditions, one of which must hold: ``class:bags``, ``treatment:pressure``,
    ``species:<name>``, ``method:<name>``, ``cut:<kind>``, ``chips:soaked``, ``lift``, ``tank``, ``lost``,
    ``open``."""

    @property
    def told(self) -> str:
        """As tasks carry it: what to mind, and whose guidance that is."""
        return f"{self.text} ({self.body})"


class Source(Shape):
    """One published source. File: ``shared/sources.toml``, table ``[<key>]``."""

    title: str
    author: str = ""
    year: int | None = None
    where: str = ""
    seen: Literal["in source", "copy", "abstract", "from memory"]
    note: str = ""


class DefaultBasis(Shape):
    """What a default rests on; ``rule`` is one that follows from the rest of the season and its machine."""

    basis: Literal[Basis, "rule"]
    source: str = ""
    note: str

    @model_validator(mode="after")
    def _sourced(self) -> Self:
        if self.basis == "published" and not self.source:
            raise ValueError("a published default needs a source key")
        return self


class Defaults(Shape):
    """Every default of a season file. File: ``profiles/defaults.toml``; keys as in the season file."""

    certainty: float
    hours: dict[str, float]
    small_minutes: int
    home_extra: float
    """Home hours beyond the hands-on hours on a weekday with hours."""
    home_weekend: float
    felling: str
    spawn: str
    media: str
    workspace: str
    grain_in: str
    spawn_in: str
    drills: int
    cooker: dict[str, str | int | dict[str, int]]
    shelf: dict[str, str]
    fridge: dict[str, str]
    lead: dict[str, str]
    units: Literal["metric", "imperial"]
    chips: str
    pattern: str
    cut: Literal["wedge", "kerf"]
    priority: int
    basis: dict[str, DefaultBasis]
    """By the key of the season file, without positions: ``lab.cooker.gauge``."""

    def basis_of(self, key: str) -> DefaultBasis | None:
        """What the default of a key rests on, as the plan names it (``lab.cooker[0].gauge``)."""
        plain = re.sub(r"\[\d+\]", "", key)
        return self.basis.get(plain)

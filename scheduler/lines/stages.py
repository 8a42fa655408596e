"""The batches of one stage: how many units, in what, cooked how, kept how long."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import timedelta
from typing import Literal

from scheduler.errors import Fault, SeasonError
from scheduler.lines import figures
from scheduler.lines.descent import even
from scheduler.lines.names import Namer
from scheduler.lines.shapes import BatchSpec, Growth
from scheduler.lines.spares import Choice, Level, Odds, choose, split_evenly
from scheduler.lines.vessels import NOT_COOKED, Cooking, Vessel, cooking, vessel
from scheduler.plan import Spares, Unit
from scheduler.science.quantities import units_fed
from scheduler.season.season import Planting, Season, Stock
from scheduler.trade.catalogue import Catalogue


@dataclass
class Stages:
    """Makes the batches of one strain line, stage by stage, and remembers its spares.

    `restarts` is the number of further tries the calendar allows, by stage; `wish` the chance wished of
    each stage.
    """

    season: Season
    catalogue: Catalogue
    code: str
    species: str
    strain: str
    level: Level
    restarts: Mapping[str, int]
    wish: float
    spares: list[Spares] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._namer = Namer(self.code)

    def blank(
        self,
        stage: str,
        units: int,
        container: Vessel,
        plantings: tuple[str, ...],
        *,
        growth: Growth | None = None,
        how: Cooking = NOT_COOKED,
        generation: int | None = None,
        feed_g: float = 0.0,
        bench: str = "inoculate",
    ) -> BatchSpec:
        """A batch whose units have no parents yet."""
        kept = figures.keeping(self.catalogue, self.species, stage)
        cold = self.catalogue.species[self.species].fridge or stage not in ("sawdust", "pellet", "dowels")
        name = self._namer.batch(stage, generation)
        lab = self.catalogue.lab
        usable = {"grain": lab.grain_usable.likely, "plate": 1.0, "liquid culture": 1.0, "slant": 1.0}
        work = next(b for b in lab.bench if b.kind == bench)
        return BatchSpec(
            id=name,
            line=self.code,
            species=self.species,
            strain=self.strain,
            stage=stage,
            generation=generation,
            container=container.name,
            needed=units,
            started=units,
            keep_back=0,
            units=tuple(Unit(f"{name}/{n + 1}", None) for n in range(units)),
            unit_mass_g=container.mass_g(stage),
            usable=usable.get(stage, lab.usable.likely),
            unit_volume_l=container.volume_l,
            feed_g=feed_g,
            parents=(),
            plantings=plantings,
            treatment=how.treatment,
            load_class=how.load_class,
            rest_days=container.rest_days,
            growth=growth,
            fresh_days=int((kept.fridge_fresh if cold else kept.shelf_fresh).likely),
            keeps_days=int((kept.fridge_keeps if cold else kept.shelf_keeps).likely),
            waits_in="fridge" if cold else "shelf",
            state="planned",
            there_on=None,
            aged_days=0,
            minutes=math.ceil(work.fixed.likely + work.unit.likely * units) if growth else 0,
        )

    def there(
        self, spec: BatchSpec, state: Literal["in hand", "bought"], *, lead: int = 0, aged: int = 0
    ) -> BatchSpec:
        """The same batch, in hand today or bought with a lead time in days."""
        return replace(spec, state=state, there_on=self.season.today + timedelta(days=lead), aged_days=aged)

    def made(
        self,
        stage: str,
        need: int,
        container: Vessel,
        plantings: tuple[str, ...],
        *,
        parent_stage: str,
        children_a_parent: int,
        generation: int | None = None,
        feed_g: float = 0.0,
        keep_back: int = 0,
        label: str,
    ) -> list[BatchSpec]:
        """Equal batches, none larger than a load, that leave `need` (and the keep-back) with spares."""
        how = cooking(self.season, self.catalogue, self.species, stage, container.name)
        choice = self._choice(need + keep_back, how, children_a_parent, stage)
        started = choice.started
        self.note_spares(label, need + keep_back, started, choice.chance, choice.why, plantings)
        growth = figures.growth(self.season, self.catalogue, self.species, stage, parent_stage)
        sizes = split_evenly(started, how.load_holds)
        kept = [keep_back] + [0] * (len(sizes) - 1)
        needs = even(need, [size - back for size, back in zip(sizes, kept, strict=True)])
        return [
            replace(
                self.blank(
                    stage,
                    size,
                    container,
                    plantings,
                    growth=growth,
                    how=how,
                    generation=generation,
                    feed_g=feed_g,
                ),
                needed=needed,
                keep_back=back,
            )
            for size, needed, back in zip(sizes, needs, kept, strict=True)
        ]

    def _choice(self, need: int, how: Cooking, children: int, stage: str) -> Choice:
        lab = self.catalogue.lab
        extra = 0.0
        if how.treatment == "tub":
            extra = next(t.extra_loss.likely for t in lab.treatment if t.name == "tub")
        good_a, good_b = figures.loss_law(self.season, self.catalogue, self.species, stage, extra)
        return choose(
            need,
            load_holds=how.load_holds,
            children=children,
            odds=Odds(good_a, good_b, lab.load_loss.likely, lab.hidden_infection.likely),
            restarts=self.restarts.get(stage, 0),
            wish=self.wish,
            level=self.level,
        )

    def jars_started(self, need: int) -> int:
        """Jars of grain that would be started for a need of `need` good ones."""
        how = cooking(self.season, self.catalogue, self.species, "grain", self.season.lab.grain_in)
        return self._choice(need, how, 0, "grain").started

    def bench_batch(
        self,
        stage: str,
        units: int,
        container: str,
        plantings: tuple[str, ...],
        *,
        growth: Growth,
        feed_g: float,
        bench: str,
    ) -> BatchSpec:
        """Plates or bottles: cooked only where the grower makes the media."""
        return self.blank(
            stage,
            units,
            vessel(self.season, self.catalogue, container),
            plantings,
            growth=growth,
            how=cooking(self.season, self.catalogue, self.species, stage, container),
            feed_g=feed_g,
            bench=bench,
        )

    def note_spares(
        self, label: str, need: int, started: int, chance: float, why: str, plantings: tuple[str, ...]
    ) -> None:
        """Remember what a stage needs and starts."""
        self.spares.append(Spares(self.code, label, need, started, chance, "losses", why, plantings))

    # --- finished spawn and grain -------------------------------------------------------------------

    def grain_jar(self) -> Vessel:
        """The container grain is made in."""
        return vessel(self.season, self.catalogue, self.season.lab.grain_in)

    def grain_g(self) -> float:
        """Grams of grain that one jar can pass on."""
        return self.grain_jar().mass_g("grain") * self.catalogue.lab.grain_usable.likely

    def finished(self, planting: Planting, parent_stage: str, spawn_g: float) -> list[BatchSpec]:
        """Batches of finished spawn of one planting: in hand first, the rest made or bought."""
        stage = planting.route[-1]
        lab = self.season.lab
        container = vessel(self.season, self.catalogue, lab.grain_in if stage == "grain" else lab.spawn_in)
        unit_g = container.mass_g(stage) * self.catalogue.lab.usable.likely
        if not unit_g:
            raise SeasonError(
                [
                    Fault(
                        f"{self.season.path.name} [lab].spawn_in",
                        f"a {container.name} holds no {stage} spawn as far as its data say",
                        "a container with a mass of sawdust",
                        'spawn_in = "2.3 kg bag"',
                    )
                ]
            )
        held = self._held(planting, stage, container, spawn_g)
        got_g = sum(batch.started * batch.unit_mass_g * batch.usable for batch in held)
        need = math.ceil(max(0.0, spawn_g - got_g) / unit_g - 1e-9)
        names = (planting.name,)
        generation = 1 if stage == "grain" else None
        if not need:
            return held
        if planting.spawn == "buy":
            spec = self.blank(stage, need, container, names, generation=generation)
            self.note_spares(f"bought spawn, {planting.name}", need, need, 1.0, "bought ready to use", names)
            return [*held, self.there(spec, "bought", lead=self.season.lead.spawn)]
        rate = self.catalogue.lab.inoculation_rate.get(stage)  # type: ignore[call-overload]
        feed = min(rate.likely / 100.0 * container.mass_g(stage), self.grain_g()) if rate else 0.0
        children = units_fed(self.grain_g(), feed) if feed else 0
        return held + self.made(
            stage,
            need,
            container,
            names,
            parent_stage=parent_stage,
            children_a_parent=children,
            generation=generation,
            feed_g=feed,
            keep_back=1 if stage == "grain" else 0,
            label=f"{stage} spawn, {planting.name}",
        )

    def _held(self, planting: Planting, stage: str, container: Vessel, spawn_g: float) -> list[BatchSpec]:
        """Finished spawn in hand that still keeps until the planting's best span begins."""
        held: list[BatchSpec] = []
        for stock in self.season.stock:
            if (stock.species, stock.strain, stock.stage) != (self.species, self.strain, stage):
                continue
            spec = self.blank(stage, _units(stock, container, stage), container, (planting.name,))
            aged = max(0, (self.season.today - stock.since).days)
            keeps_until = self.season.today + timedelta(days=spec.keeps_days - aged)
            if keeps_until >= planting.best[0] and spawn_g > 0:
                held.append(self.there(spec, "in hand", aged=aged))
        return held

    def grain(
        self, children: Sequence[BatchSpec], generation: int, parent_stage: str, keep_back: int
    ) -> list[BatchSpec]:
        """Grain batches of one generation that feed `children`; kept-back jars come with the first batch."""
        need, plantings = self.jars_for(children)
        return self.made(
            "grain",
            need,
            self.grain_jar(),
            plantings,
            parent_stage=parent_stage,
            children_a_parent=0,
            generation=generation,
            keep_back=keep_back,
            label=f"grain G{generation}, {' and '.join(plantings)}",
        )

    def bought_grain(self, children: Sequence[BatchSpec]) -> list[BatchSpec]:
        """Bought grain spawn that feeds `children`."""
        need, plantings = self.jars_for(children)
        spec = self.blank("grain", need, self.grain_jar(), plantings, generation=1)
        self.note_spares(
            f"bought grain, {' and '.join(plantings)}", need, need, 1.0, "bought ready to use", plantings
        )
        return [self.there(spec, "bought", lead=self.season.lead.grain)]

    def jars_for(self, children: Sequence[BatchSpec]) -> tuple[int, tuple[str, ...]]:
        """Jars of grain that feed all of `children` (two at least where two children exist), and for whom."""
        each = min(units_fed(self.grain_g(), child.feed_g) for child in children)
        count = sum(child.started for child in children)
        need = max(math.ceil(count / max(1, each)), min(2, count))
        return need, tuple(dict.fromkeys(name for child in children for name in child.plantings))


def _units(stock: Stock, container: Vessel, stage: str) -> int:
    if stock.units is not None:
        return stock.units
    return max(1, math.floor((stock.amount or 0.0) / (container.mass_g(stage) or 1.0)))

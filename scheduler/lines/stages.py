"""The batches of one stage: how many units, in what, cooked how, kept how long."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from datetime import timedelta
from typing import Literal

from scheduler.lines import figures
from scheduler.lines.culture import CULTURES
from scheduler.lines.descent import even
from scheduler.lines.names import Namer
from scheduler.lines.shapes import BatchSpec, Growth
from scheduler.lines.spares import Choice, Level, Odds, as_set, chance, choose, split_evenly
from scheduler.lines.stock import InHand
from scheduler.lines.vessels import CLASS_OF_STAGE, NOT_COOKED, Cooking, Vessel, cooking, treatment
from scheduler.plan import Spares, Unit
from scheduler.season.season import Season
from scheduler.trade.catalogue import Catalogue


def odds(
    season: Season, catalogue: Catalogue, species: str, stage: str, treated: str | None, container: str
) -> Odds:
    """What can go wrong at one stage of a species, heat-treated as `treated` says (None: bought media)."""
    extra = load_loss = 0.0
    if treated:
        extra = treatment(catalogue, treated, CLASS_OF_STAGE[stage], container).extra_loss.likely
        load_loss = catalogue.lab.load_loss.likely
    good_a, good_b = figures.loss_law(season, catalogue, species, stage, extra)
    return Odds(good_a, good_b, load_loss, catalogue.lab.hidden_infection.likely)


@dataclass
class Stages:
    """Makes the batches of one strain line, stage by stage, and remembers its spares.

    `restarts` is the number of further tries the calendar allows, by stage; `wish` the chance wished of
    each stage; `chosen` the spares that are set, by stage as among the spares.
    """

    season: Season
    catalogue: Catalogue
    code: str
    species: str
    strain: str
    level: Level
    restarts: Mapping[str, int]
    wish: float
    taken: Collection[str] = ()
    """Batch ids that were given out before."""
    chosen: Mapping[str, int] = field(default_factory=dict)
    spares: list[Spares] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._namer = Namer(self.code, self.taken)

    def next_name(self, like: BatchSpec) -> str:
        """An id for a batch of the same stage as another."""
        return self._namer.batch(like.stage, like.generation)

    def names(self) -> frozenset[str]:
        """Batch ids that are given out already."""
        return frozenset(self._namer.taken)

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
        fresh, keeps, waits_in = figures.waiting(self.catalogue, self.species, stage)
        name = self._namer.batch(stage, generation)
        work = next(b for b in self.catalogue.lab.bench if b.kind == bench)
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
            usable=self.usable(stage),
            unit_volume_l=container.volume_l,
            feed_g=feed_g,
            parents=(),
            plantings=plantings,
            treatment=how.treatment,
            load_class=how.load_class,
            rest_days=container.rest_days,
            growth=growth,
            fresh_days=fresh,
            keeps_days=keeps,
            waits_in=waits_in,
            state="planned",
            there_on=None,
            aged_days=0,
            minutes=math.ceil(work.fixed.likely + work.unit.likely * units) if growth else 0,
        )

    def keeps_days(self, stage: str) -> int:
        """Days from ready for which a unit of a stage is usable at all."""
        return figures.waiting(self.catalogue, self.species, stage)[1]

    def usable(self, stage: str) -> float:
        """Share of a unit's mass that can be passed on."""
        lab = self.catalogue.lab
        if stage == "grain":
            return lab.grain_usable.likely
        return 1.0 if stage in CULTURES else lab.usable.likely

    def there(
        self, spec: BatchSpec, state: Literal["in hand", "bought"], *, lead: int = 0, aged: int = 0
    ) -> BatchSpec:
        """The same batch, in hand today or bought with a lead time in days."""
        return replace(spec, state=state, there_on=self.season.today + timedelta(days=lead), aged_days=aged)

    def held(
        self,
        one: InHand,
        units: int,
        plantings: tuple[str, ...],
        *,
        needed: int,
        keep_back: int = 0,
        usable: float | None = None,
    ) -> BatchSpec:
        """Units of what is in hand as a batch; they are left to nobody else.

        What is loose becomes one unit. `usable` is the share of their mass that counts, if not the usual one.
        """
        one.left -= units
        unit_g = one.unit_g
        if one.loose:
            units, needed, unit_g = 1, 1, units * unit_g
        spec = self.blank(one.stage, units, one.container, plantings, generation=one.generation)
        spec = replace(spec, unit_mass_g=unit_g, needed=needed, keep_back=keep_back, transfers=one.transfers)
        if usable is not None:
            spec = replace(spec, usable=usable)
        lead = (one.there_on - self.season.today).days
        return self.there(spec, "in hand", lead=lead, aged=one.aged_days)

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
        most: int | None = None,
        bench: str = "inoculate",
        label: str,
    ) -> list[BatchSpec]:
        """Equal batches, none larger than a load, that leave `need` (and the keep-back) with spares."""
        how = cooking(self.season, self.catalogue, self.species, stage, container.name)
        choice = self._choice(need + keep_back, how, container.name, children_a_parent, stage, label, most)
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
                    bench=bench,
                ),
                needed=needed,
                keep_back=back,
            )
            for size, needed, back in zip(sizes, needs, kept, strict=True)
        ]

    def _choice(
        self,
        need: int,
        how: Cooking,
        container: str,
        children: int,
        stage: str,
        label: str,
        most: int | None = None,
    ) -> Choice:
        law = odds(self.season, self.catalogue, self.species, stage, how.treatment, container)
        if label in self.chosen:
            spare = self.chosen[label]
            return as_set(need, spare, load_holds=how.load_holds, children=children, odds=law, most=most)
        return choose(
            need,
            load_holds=how.load_holds,
            children=children,
            odds=law,
            restarts=self.restarts.get(stage, 0),
            wish=self.wish,
            level=self.level,
            most=most,
        )

    def chance_of(self, stage: str, need: int, started: int, container: str, children: int) -> float:
        """Chance that `need` of so many units of a stage stay good, by `children` a parent (0: one each)."""
        how = cooking(self.season, self.catalogue, self.species, stage, container)
        law = odds(self.season, self.catalogue, self.species, stage, how.treatment, container)
        return chance(need, started, how.load_holds, children, law)

    def started(
        self,
        stage: str,
        need: int,
        container: str,
        *,
        label: str,
        children: int = 0,
        most: int | None = None,
    ) -> int:
        """Units of a stage that would be started for a need of `need` good ones, by `children` a parent."""
        how = cooking(self.season, self.catalogue, self.species, stage, container)
        return self._choice(need, how, container, children, stage, label, most).started

    def note_spares(
        self, label: str, need: int, started: int, chance: float, why: str, plantings: tuple[str, ...]
    ) -> None:
        """Remember what a stage needs and starts."""
        self.spares.append(Spares(self.code, label, need, started, chance, "losses", why, plantings))

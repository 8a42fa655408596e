"""Which figure counts for a stage: the grower's own before the species', the species' before the lab's."""

from __future__ import annotations

from typing import Literal

from scheduler.lines.shapes import Growth
from scheduler.science import losses
from scheduler.season.season import Season
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.shapes import Figure, Keeping


def growth_figure(season: Season, catalogue: Catalogue, species: str, stage: str, parent: str) -> Figure:
    """Days from inoculation to fully run; for grain by the stage of its parent."""
    own = season.figures.get(species, {}).get(f"{stage}.days")
    return own if own is not None else trade_days(catalogue, species, stage, parent)


def trade_days(catalogue: Catalogue, species: str, stage: str, parent: str) -> Figure:
    """The catalogue's days from inoculation to fully run; for grain by the stage of its parent."""
    days = catalogue.species[species].days
    if stage == "grain":
        return days.grain["plate" if parent in ("plate", "slant") else parent]  # type: ignore[index]
    figure: Figure = getattr(days, stage.replace(" ", "_"))
    return figure


def growth(season: Season, catalogue: Catalogue, species: str, stage: str, parent: str) -> Growth:
    """Growth of one stage, consolidation apart."""
    figure = growth_figure(season, catalogue, species, stage, parent)
    profile = catalogue.species[species]
    rest = profile.consolidation.get(stage)  # type: ignore[call-overload]
    return Growth(
        low=figure.lowest,
        likely=figure.likely,
        high=figure.highest,
        lag=min(profile.days.lag.likely, figure.lowest),
        consolidation=rest.likely if rest else 0.0,
    )


def keeping(catalogue: Catalogue, species: str, stage: str) -> Keeping:
    """Storage lives of one stage."""
    if stage == "chips":  # they stay in the bed they were grown in
        bed = catalogue.methods["chip bed"].figures
        fresh, keeps = bed["colonised_fresh_days"], bed["colonised_keep_days"]
        return Keeping(fridge_fresh=fresh, fridge_keeps=keeps, shelf_fresh=fresh, shelf_keeps=keeps)
    own = catalogue.species[species].keeping
    key = {"slant": "plate"}.get(stage, stage)
    return own.get(key) or catalogue.lab.keeping[key]  # type: ignore[call-overload,index]


def waiting(catalogue: Catalogue, species: str, stage: str) -> tuple[int, int, Literal["fridge", "shelf"]]:
    """Days of full vigour, days usable at all, and where a ready unit of a stage waits."""
    kept = keeping(catalogue, species, stage)
    if stage == "chips":  # in the bed they came from, and in no fridge
        return int(kept.shelf_fresh.likely), int(kept.shelf_keeps.likely), "shelf"
    if catalogue.species[species].fridge or stage not in ("sawdust", "pellet", "dowels"):
        return int(kept.fridge_fresh.likely), int(kept.fridge_keeps.likely), "fridge"
    return int(kept.shelf_fresh.likely), int(kept.shelf_keeps.likely), "shelf"


def loss_law(
    season: Season, catalogue: Catalogue, species: str, stage: str, extra: float
) -> tuple[float, float]:
    """Beta law (a, b) of the share of *good* units of a stage; `extra` is the treatment's added loss."""
    own = season.figures.get(species, {}).get(f"{stage}.loss")
    losses_here = catalogue.lab.losses[season.lab.workspace]  # type: ignore[index]
    prior = next(loss for loss in losses_here if loss.stage == stage)
    rate = own.likely if own else prior.rate.likely * catalogue.species[species].losses.likely
    bad = min(0.95, rate + extra)
    return losses.beta_from(1.0 - bad, prior.weight.likely)

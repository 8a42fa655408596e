"""Lays a grower's own record over the catalogue, so that all that is planned from its figures follows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from scheduler.measures import counted
from scheduler.science.learned_days import scaled
from scheduler.trade.catalogue import Catalogue, OnDemand
from scheduler.trade.lab import Lab, Loss
from scheduler.trade.own import OwnDays, OwnLoss, OwnRecord
from scheduler.trade.shapes import Figure
from scheduler.trade.species import Species


def with_own(catalogue: Catalogue, own: OwnRecord | None) -> Catalogue:
    """The catalogue with what a grower's own record says of it."""
    if own is None:
        return catalogue
    species = catalogue.species
    return replace(
        catalogue,
        lab=_lab(catalogue.lab, own),
        species=OnDemand(
            lambda: {name: _species(one, own.days.get(name, {})) for name, one in species.items()}
        ),
    )


def _lab(lab: Lab, own: OwnRecord) -> Lab:
    changed: dict[str, Any] = {
        "losses": {
            name: [_loss(loss, own.losses.get(name, {}).get(loss.stage)) for loss in losses]
            for name, losses in lab.losses.items()
        }
    }
    if own.loads:
        changed["load_loss"], changed["load_weight"] = _share(own.loads, "load"), _worth(own.loads, "load")
    return lab.model_copy(update=changed)


def _loss(loss: Loss, own: OwnLoss | None) -> Loss:
    if own is None:
        return loss
    return loss.model_copy(update={"rate": _share(own, "unit"), "weight": _worth(own, "unit")})


def _share(own: OwnLoss, what: str) -> Figure:
    note = f"{counted(own.made, what)} made, {own.lost} lost."
    return Figure(low=own.low, likely=own.rate, high=own.high, unit="share", basis="own record", note=note)


def _worth(own: OwnLoss, what: str) -> Figure:
    return Figure(likely=own.worth, unit=f"{what}s", basis="own record")


def _species(species: Species, own: Mapping[Any, OwnDays]) -> Species:
    if not own:
        return species
    changed: dict[str, Any] = {}
    for stage, one in own.items():
        if stage == "grain":
            changed["grain"] = {parent: _days(days, one) for parent, days in species.days.grain.items()}
        else:
            field = stage.replace(" ", "_")
            changed[field] = _days(getattr(species.days, field), one)
    return species.model_copy(update={"days": species.days.model_copy(update=changed)})


def _days(days: Figure, own: OwnDays) -> Figure:
    low, likely, high = scaled((days.lowest, days.likely, days.highest), own.factor, own.spread)
    note = f"{own.factor:g} times the trade's {days.likely:g} d; batches: {own.batches}."
    return Figure(
        low=round(low, 2),
        likely=round(likely, 2),
        high=round(high, 2),
        unit="d",
        basis="own record",
        note=note,
    )

"""Visits everything in the catalogue, so that no figure is left without a look at its basis and source."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from scheduler.trade.care import CareRow
from scheduler.trade.lab import BenchWork, Check, Loss, Treatment
from scheduler.trade.preseason import CheckAhead
from scheduler.trade.shapes import MethodSupply, MethodTool, Part, Shape, Step
from scheduler.trade.woods import DrillPattern


def walk(name: str, value: object) -> Iterator[tuple[str, Shape]]:
    """Every shape at or below `value`, with the dotted name that the TOML keys give it."""
    if isinstance(value, Shape):
        yield name, value
        for key, field in type(value).model_fields.items():
            yield from walk(f"{name}.{field.alias or key}", getattr(value, key))
    elif isinstance(value, Mapping):
        for key, item in value.items():
            yield from walk(f"{name}.{key}", item)
    elif isinstance(value, (list, tuple)):
        for item in value:
            yield from walk(f"{name}.{_label(item)}", item)


def _label(item: object) -> str:
    """What tells one entry of a list from the others."""
    match item:
        case Treatment():
            return " ".join((item.name, item.class_, *item.containers[:1]))
        case Loss():
            return item.stage
        case Check() | CheckAhead():
            return item.name
        case Part():
            return item.station
        case Step() | BenchWork():
            return item.kind
        case MethodSupply():
            return item.item
        case CareRow():
            return " ".join((item.key, *item.methods[:1]))
        case DrillPattern():
            return item.metric
        case MethodTool():
            return " ".join((item.item, *item.kinds, *item.spawn))
    return str(item)

"""Finds what the grower means: a batch, planting, species, task or order from a few letters of its name.

Each function raises `Wrong` where nothing, or more than one thing, can be meant.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from scheduler.journal.context import Context
from scheduler.journal.units import known_batches
from scheduler.plan import Batch, Order, Task
from scheduler.season.wrong import Wrong, listed, meant, shown

_FEW = 12
"""So many names are listed in a message."""


def batch(text: str, context: Context) -> str:
    """Id of a batch: in any capitals, by its beginning, or without its code where that is enough."""
    ids = known_batches(context.plan, context.progress)
    found = batch_or_none(text, ids)
    if found is None:
        raise Wrong(f"no batch is called {shown(text)}", f"a batch: {_some(ids)}", meant(text, ids))
    return found


def batch_or_none(text: str, ids: Iterable[str]) -> str | None:
    """The same among these ids; None where nothing fits."""
    wanted = text.casefold()
    whole = {one: one.casefold() for one in ids}
    tails = {one: name.partition("-")[2] for one, name in whole.items()}
    for names, exact in ((whole, True), (tails, True), (whole, False), (tails, False)):
        found = [one for one, name in names.items() if (name == wanted if exact else name.startswith(wanted))]
        if wanted and found:
            return _only(text, found, "batches")
    return None


def planting(tokens: Sequence[str], context: Context) -> tuple[str, list[str]]:
    """Name of a planting at the beginning of the words, whole or shortened, and the words after it."""
    found = _leading(tokens, context.plantings, "plantings")
    if found is None:
        text = " ".join(tokens)
        names = context.plantings
        said = f"no planting is called {shown(text)}" if text else "no planting is named"
        raise Wrong(said, f"a planting: {_some(names)}", meant(text, names))
    return found


def named(text: str, names: Sequence[str], what: str) -> str:
    """The one of these names that is meant, whole or shortened; `what` they are called."""
    found = _leading(text.split(), names, what)
    if found is None or found[1]:
        raise Wrong(
            f"nothing is called {shown(text)}", f"one of the {what}: {_some(names)}", meant(text, names)
        )
    return found[0]


def planting_or_none(tokens: Sequence[str], context: Context) -> str | None:
    """Name of the planting that the words begin with; None where there is none."""
    found = _leading(tokens, context.plantings, "plantings")
    return found and found[0]


def species(tokens: Sequence[str], context: Context) -> tuple[str, list[str]]:
    """Name of a species at the beginning of the words, and the words after it."""
    found = _leading(tokens, context.species, "species")
    if found is None:
        text = " ".join(tokens)
        said = f"no species is called {shown(text)}" if text else "no species is named"
        raise Wrong(said, f"a species: {listed(context.species)}", meant(text, context.species))
    return found


def task(tokens: Sequence[str], context: Context) -> tuple[Task, list[str]]:
    """A task of the plan by its id at the beginning of the words, and the words after it."""
    tasks = {one.id: one for one in context.plan.tasks}
    said = " ".join(tokens)
    text = said.casefold()
    exact = [one for one in tasks if f"{text} ".startswith(f"{one.casefold()} ")]
    if exact:
        name = max(exact, key=len)
        return tasks[name], list(tokens[len(name.split()) :])
    found = [one for one in tasks if one.casefold().startswith(text)]
    if not found:
        ids = [one for one in tasks if one not in context.progress.done]
        raise Wrong(
            f"no task is called {shown(said)}",
            "a number of the list that budswell today prints, or the id of a task",
            meant(said, ids),
        )
    return tasks[_only(said, found, "tasks")], []


@dataclass(frozen=True)
class Buyable:
    """Something that is ordered: what it is called, and what an entry calls it."""

    text: str
    subject: str
    order: Order | None
    """Its order of the plan; None where it is placed already."""


def buyables(context: Context) -> list[Buyable]:
    """Everything that is ordered: batches that are bought, items of the plan, items bought before."""
    found: list[Buyable] = []
    taken: set[str] = set()
    for one in context.plan.batches:
        if one.state == "bought":
            order = next((order for order in context.plan.orders if _is_for(order, one)), None)
            text = order.item if order else f"{one.species} {one.stage}, {one.container}"
            found.append(Buyable(text, one.id, order))
            taken.add(text)
    orders = [order for order in context.plan.orders if order.item not in taken]
    found += [Buyable(order.item, order.item, order) for order in orders]
    known = {one.subject for one in found}
    found += [Buyable(item, item, None) for item in context.progress.bought if item not in known]
    return found


def bought(tokens: Sequence[str], context: Context) -> list[str]:
    """What entries call the thing that is meant: several where one order is for several batches."""
    text = _plain(" ".join(tokens))
    things = buyables(context)
    exact = [one for one in things if text in (_plain(one.text), _plain(one.subject))]
    found = exact or [
        one for one in things if text and all(word in _plain(one.text) for word in text.split())
    ]
    if not found:
        ids = [one.subject for one in things if one.subject != one.text]
        known = batch_or_none(" ".join(tokens), ids)
        found = [one for one in things if one.subject == known]
    if not found:
        items = list(dict.fromkeys(one.text for one in things))
        said = f"nothing to buy is called {shown(' '.join(tokens))}" if tokens else "nothing is named"
        raise Wrong(said, f"all, or one of: {_some(items)}", meant(" ".join(tokens), items))
    _only(" ".join(tokens), list(dict.fromkeys(one.text for one in found)), "orders")
    return list(dict.fromkeys(one.subject for one in found))


def _is_for(order: Order, one: Batch) -> bool:
    named = order.item.startswith(one.species) and (one.stage in order.item or one.container in order.item)
    return named and bool(set(order.for_) & set(one.plantings))


def _leading(tokens: Sequence[str], names: Sequence[str], what: str) -> tuple[str, list[str]] | None:
    """The longest name that the words begin with, else the one that begins with most of them."""
    plain = {name: _plain(name) for name in names}
    begins = [(" ".join(tokens[:size]), list(tokens[size:])) for size in range(len(tokens), 0, -1)]
    for text, rest in begins:
        for name, known in plain.items():
            if _plain(text) == known:
                return name, rest
    for text, rest in begins:
        found = [name for name, known in plain.items() if _plain(text) and known.startswith(_plain(text))]
        if found:
            return _only(text, found, what), rest
    return None


def _only(text: str, found: Sequence[str], what: str) -> str:
    if len(found) > 1:
        raise Wrong(f"{shown(text)} may mean {len(found)} {what}", f"one of: {_some(found)}")
    return found[0]


def _some(names: Sequence[str]) -> str:
    left = len(names) - _FEW
    return listed(names) if left <= 0 else f"{', '.join(names[:_FEW])} and {left} more"


def _plain(text: str) -> str:
    """A name without capitals, apostrophes and signs."""
    return " ".join(re.sub(r"[^\w\s]", " ", re.sub("['\u2019]", "", text.casefold())).split())

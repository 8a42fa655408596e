"""Judges what may be combined: species with method and wood, and the route with what the method plants."""

from __future__ import annotations

from scheduler.season.findings import Findings
from scheduler.season.names import Names
from scheduler.season.where import Loc
from scheduler.season.wrong import listed
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.shapes import Method, Permission
from scheduler.trade.species import Species

SAWDUST_SPAWN = frozenset({"sawdust", "pellet"})
"""Stages that are planted in each other's place: spawn grown on pellets is sawdust spawn."""
_CULTURES = ("slant", "plate", "liquid culture")
_ORDER = (*_CULTURES, "grain")
"""Stages before the finished spawn, as they follow one another."""


def species_by_method(
    loc: Loc, label: str, species: Species, method: Method, catalogue: Catalogue, findings: Findings
) -> None:
    """A species that the method does not suit; one that is missing in its table is refused."""
    unknown = Permission(verdict="refused", why=f"nothing is known of {species.name} planted so")
    permissions = {name: species.methods.get(name, unknown) for name in catalogue.methods}
    _judge((*loc, "method"), label, f"{species.name} with {method.name}", permissions, method.name, findings)


def species_by_wood(
    loc: Loc, label: str, species: Species, wood: str, names: Names, findings: Findings
) -> None:
    """A species that the wood does not suit; a wood nobody has written about is a warning."""
    woods = names.catalogue.woods
    if wood not in woods:
        hint = names.near_wood(wood)
        findings.warn(
            f'{label}: "{wood}" is not in the catalogue; it is planned as a heavy hardwood'
            + (f" ({hint})" if hint else "; `budswell profiles` lists the woods it knows")
        )
        return
    unknown = Permission(verdict="warned", why="no experience with it is on record")
    permissions = {name: species.wood.get(name, unknown) for name in woods}
    _judge((*loc, "wood"), label, f"{species.name} on {wood}", permissions, wood, findings)


def _judge(
    loc: Loc, label: str, pair: str, permissions: dict[str, Permission], chosen: str, findings: Findings
) -> None:
    permission = permissions[chosen]
    if permission.verdict == "refused":
        fine = [name for name, one in permissions.items() if one.verdict == "fine"]
        fair = [name for name, one in permissions.items() if one.verdict == "warned"]
        findings.fault(loc, pair, f"what suits it: {listed(fine or fair)}", permission.why)
    elif permission.verdict == "warned":
        findings.warn(f"{label}: {pair}: {permission.why}")


def plantable(species: Species, method: Method) -> list[str]:
    """Stages that may be planted by this method, the usual one first."""
    return [
        stage
        for stage in method.spawn_stages
        if stage != "grain" or species.grain_planting.verdict != "refused"
    ]


def usual_route(species: Species, method: Method) -> tuple[str, ...]:
    """The species' own route, ending in what this method plants."""
    finished = plantable(species, method)
    if species.route[-1] in finished or not finished:
        return tuple(species.route)
    return (*species.route[:-1], next((stage for stage in finished if stage != "grain"), finished[0]))


def route(
    loc: Loc, label: str, stages: tuple[str, ...], species: Species, method: Method, findings: Findings
) -> None:
    """A route whose stages do not follow one another, or that ends in what cannot be planted."""
    finished = plantable(species, method)
    places = [_ORDER.index(stage) if stage in _ORDER else len(_ORDER) for stage in stages]
    before_last = stages[:-1]
    if places != sorted(set(places)):
        findings.fault(
            (*loc, "route"),
            _in_words(stages),
            f"each stage once, in the order {' > '.join(_ORDER)} > finished spawn",
        )
    elif not stages or stages[-1] not in finished:
        findings.fault(
            (*loc, "route"),
            f'a route that ends in "{stages[-1]}"' if stages else "a route without stages",
            f"for {species.name} by {method.name} it ends in {listed(finished)}",
            species.grain_planting.why if "grain" in stages[-1:] else "",
        )
    elif stages[-1] != "grain" and "grain" not in before_last:
        findings.fault(
            (*loc, "route"),
            _in_words(stages),
            f"grain before {stages[-1]}: finished spawn is started from grain",
            f'for example route = ["liquid culture", "grain", "{stages[-1]}"]',
        )
    elif stages[-1] == "grain":
        why = species.grain_planting.why or "grain in the open draws rodents and birds and rots easily"
        findings.warn(f"{label}: grain is planted as it is: {why}")


def _in_words(stages: tuple[str, ...]) -> str:
    """A route as plans print it; of one that goes on and on, only the beginning."""
    known = len(_ORDER) + 1
    return f"the route {' > '.join(stages[:known])}" + " > ..." * (len(stages) > known)


def needs_cooking(route_stages: tuple[str, ...], in_hand: set[str]) -> list[str]:
    """Stages of a route that have to be made, given the stages of the strain that are in hand."""
    alike = SAWDUST_SPAWN if in_hand & SAWDUST_SPAWN else frozenset[str]()
    ready = [place for place, stage in enumerate(route_stages) if stage in in_hand | alike]
    # A route that begins with grain begins with bought grain.
    first = max(ready, default=0 if route_stages[0] == "grain" else -1) + 1
    return [stage for stage in route_stages[first:] if stage not in _CULTURES]

"""Plans in which all dangerous work there is can be found, with the care of all years after planting."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from scheduler.assemble.aftercare import looked_after
from scheduler.errors import SeasonError
from scheduler.plan import Plan
from scheduler.season.load import load_season
from scheduler.season.season import Season
from scheduler.service import planning, seasons
from scheduler.service.attempt import attempt
from scheduler.solve.params import Budget
from tests.command import EXAMPLES, PLANNED
from tests.grower import BED, CULTURE, OAK, TOTEMS, catalogue, edited, season
from tests.seasons.played import AT, CLOCK, DAY, Grower, begin
from tests.seasons.test_every_species import SEASON, SIZES
from tests.test_examples import planned as planned_example

Planned = tuple[Plan, Season]
QUICK = Budget(0.2)
LOST_ON = date(2027, 2, 3)

HEAVY = edited(OAK, logs='{ count = 8, diameter = "22 cm", length = "1.1 m" }')
DRY = edited(HEAVY, felled="2026-09-01")
STUMPS = edited(
    OAK,
    name='"Stumps"',
    species='"nameko"',
    method='"stump"',
    wood='"beech"',
    stumps='{ count = 4, diameter = "35 cm" }',
)
STUMPS = "\n".join(row for row in STUMPS.splitlines() if not row.startswith(("logs", "pattern")))
WEDGES = "\n".join(
    row
    for row in edited(OAK, name='"Wedges"', method='"wedge-cut logs"').splitlines()
    if not row.startswith("pattern")
)
RAFT = edited(WEDGES, name='"Raft"', species='"nameko"', method='"log raft"', wood='"beech"')
CHIPS = tuple(
    edited(BED, name=f'"{how}"', chips=f'"{how}"', area='"2 m2"')
    for how in ("wetted in place", "soaked", "fermented")
)
FEW = edited(OAK, logs='{ count = 12, diameter = "13 cm", length = "1 m" }')
DOWELS = edited(FEW, route='["liquid culture", "grain", "dowels"]')
AT_HOME = "hours = { wed = 2, sat = 8, sun = 6 }\nhome = { wed = 4, sat = 20, sun = 20 }"
STEAM = """
media = "own"
spawn_in = "2.3 kg bag"
[[lab.cooker]]
kind = "pressure cooker"
holds = { "quart jar" = 7, "plate" = 20, "culture bottle" = 7 }
[[lab.cooker]]
kind = "steam drum"
holds = { "2.3 kg bag" = 12 }
"""
TUB = '[[lab.cooker]]\nkind = "pressure cooker"\nholds = { "quart jar" = 7 }'
OLD_PLATES = """
species  = "shiitake"
stage    = "plate"
units    = 3
received = 2026-09-28
tested   = true
"""
STANDING = """
[[standing]]
name    = "Old oak"
species = "shiitake"
method  = "drilled logs"
wood    = "oak"
logs    = { count = 6, diameter = "22 cm", length = "1.1 m" }
planted = 2025-04-12

[[standing]]
name    = "Old wedges"
species = "chestnut"
method  = "wedge-cut logs"
wood    = "oak"
logs    = { count = 6, diameter = "12 cm", length = "1 m" }
planted = 2026-04-12

[[standing]]
name    = "Old raft"
species = "nameko"
method  = "log raft"
wood    = "beech"
logs    = { count = 6, diameter = "20 cm", length = "1.2 m" }
planted = 2026-04-12

[[standing]]
name    = "Old totems"
species = "oyster"
method  = "totem"
wood    = "poplar"
logs    = { count = 3, diameter = "25 cm", length = "75 cm" }
planted = 2026-10-12

[[standing]]
name    = "Old bed"
species = "wine cap"
method  = "chip bed"
area    = "8 m2"
planted = 2026-05-16
"""


def _plan(of: Season) -> Planned:
    found = attempt(of, catalogue(), budget=QUICK)
    assert isinstance(found, Plan), of.plantings
    return looked_after(found, of, catalogue()), of


def _example(name: str) -> Planned:
    of, _ = seasons.read(EXAMPLES / name, CLOCK, None)
    return planned_example(name), of


def _after_a_loss(begun: Path, day: date, *losses: str) -> Planned:
    """A season with its first plan, replanned on a day on which units are found green."""
    grower = Grower(begun, day)
    of, _ = seasons.read(begun, CLOCK, None)
    assert grower.say("done all")
    assert all(grower.say(f"lost {loss} green") for loss in losses)
    replanned = grower.plan_onward().plan
    assert replanned is not None
    return replanned, of


def _jars_lost() -> Planned:
    with TemporaryDirectory() as folder:
        return _after_a_loss(begin("backyard", Path(folder)), LOST_ON, "SHI-G1a 5", "WIN-G1a 2")


def _bag_lost() -> Planned:
    """A bag that no cooker of the season holds: it cannot be heated through."""
    text = _tub().text
    with TemporaryDirectory() as folder:
        path = Path(folder) / "season.toml"
        path.write_text(text, encoding="utf-8")
        plan = planning.plan_and_keep(*seasons.read(path, CLOCK, None), kept_at=AT)
        begun = next(batch.inoculate_on for batch in plan.batches if batch.id == "WIN-Sa")
        assert begun is not None
        return _after_a_loss(path, begun + 2 * DAY, "WIN-Sa 1")


def _tub() -> Season:
    return season(edited(BED, chips='"wetted in place"'), lab=TUB)


MADE: Mapping[str, Callable[[], Planned]] = {
    "dry heavy logs and a tank": lambda: _plan(season(DRY, tools='tank = "800 L"', stock=(CULTURE,))),
    "heavy logs to fell": lambda: _plan(season(HEAVY, stock=(CULTURE,))),
    "hired": lambda: _plan(season(HEAVY, people='hours = { wed = 2, sat = 6, sun = 4 }\nfelling = "hired"')),
    "bought": lambda: _plan(
        season(HEAVY, people='hours = { wed = 2, sat = 6, sun = 4 }\nfelling = "bought"')
    ),
    "chips": lambda: _plan(season(*CHIPS, tools='tank = "2000 L"')),
    "stumps, wedges and a raft": lambda: _plan(season(STUMPS, WEDGES, RAFT)),
    "steam and own media": lambda: _plan(season(FEW, lab=STEAM, stock=(OLD_PLATES,), people=AT_HOME)),
    "tub": lambda: _plan(_tub()),
    "dowels": lambda: _plan(season(DOWELS, stock=(CULTURE,))),
    "what stands": lambda: _plan(season(TOTEMS, tools='tank = "800 L"', figures=STANDING)),
    "jars lost": _jars_lost,
    "a bag lost": _bag_lost,
    **{name: lambda name=name: _example(name) for name in PLANNED},  # type: ignore[misc]
}
"""Seasons by name; each is planned when it is asked for."""


@cache
def made(name: str) -> Planned:
    """One of the seasons, planned once."""
    return MADE[name]()


def _suiting_wood(species: str) -> str:
    return next(
        name for name, judged in catalogue().species[species].wood.items() if judged.verdict == "fine"
    )


def pairs() -> list[tuple[str, str]]:
    """Every species with each method that it is not refused for."""
    return [
        (species, method)
        for species, of in catalogue().species.items()
        for method, judged in of.methods.items()
        if judged.verdict != "refused"
    ]


def of_species(species: str, method: str, folder: Path) -> Planned:
    """A season of one species and method."""
    path = folder / "season.toml"
    wood = f'wood = "{_suiting_wood(species)}"'
    piece = catalogue().methods[method].piece
    path.write_text(SEASON.format(species=species, method=method, wood=wood, size=SIZES[piece]), "utf-8")
    try:
        return _plan(load_season(path, catalogue(), clock=date(2026, 11, 28), system_timezone="UTC"))
    except SeasonError as error:
        raise AssertionError(error.faults) from error

"""One small season for each species and the method that suits it best, from the file to an approved plan."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from scheduler.errors import SeasonError
from scheduler.plan import Plan
from scheduler.season.load import load_season
from scheduler.season.season import Season
from scheduler.service import attempt
from scheduler.solve.params import Budget
from scheduler.trade.catalogue import load
from scheduler.trade.species import Species

CATALOGUE = load()
SIZES = {
    "log": 'logs = { count = 12, diameter = "12 cm", length = "1 m" }',
    "totem": 'logs = { count = 5, diameter = "25 cm", length = "75 cm" }',
    "stump": 'stumps = { count = 4, diameter = "30 cm" }',
    "m2": 'area = "4 m2"\ndepth = "12 cm"',
}
SEASON = """
[season]
name = "{species} by itself"
timezone = "America/New_York"
today = 2026-11-28

[site]
latitude = 44.0
leaf_turn = 2026-10-05
bud_swell = 2027-04-12
ground_thaws = 2027-04-05
last_frost = 2027-05-15

[[stock]]
species = "{species}"
stage = "liquid culture"
amount = "60 mL"
received = 2026-11-20
tested = true

[[planting]]
name = "The planting"
species = "{species}"
method = "{method}"
{wood}
{size}
window = "2027-04-24/2027-06-13"
"""


def _suits(species: Species) -> tuple[str, str]:
    """The method and the wood that suit a species best."""
    best = {name: judged.verdict for name, judged in species.methods.items() if judged.verdict != "refused"}
    method = next((name for name, verdict in best.items() if verdict == "fine"), next(iter(best)))
    return method, next(name for name, judged in species.wood.items() if judged.verdict == "fine")


def _read(folder: Path, species: str, method: str, wood: str) -> Season:
    path = folder / "season.toml"
    piece = CATALOGUE.methods[method].piece
    path.write_text(
        SEASON.format(species=species, method=method, wood=f'wood = "{wood}"', size=SIZES[piece]), "utf-8"
    )
    return load_season(path, CATALOGUE, clock=date(2026, 11, 28), system_timezone="UTC")


@pytest.mark.parametrize("name", CATALOGUE.species)
def test_a_season_of_one_species_is_planned(name: str, tmp_path: Path) -> None:
    """The checker approves the plan; it says when to pick, what to beware of, and on which figures it rests."""
    species = CATALOGUE.species[name]
    method, wood = _suits(species)
    plan = attempt.attempt(_read(tmp_path, name, method, wood), CATALOGUE, budget=Budget(0.2))
    assert isinstance(plan, Plan)
    (planted,) = plan.plantings
    assert planted.species == name and planted.plant_on
    assert planted.spawn_planned_g >= planted.spawn_needed_g > 0
    assert planted.years == (species.years.lowest, species.years.highest)
    assert planted.first_flush[0] > planted.plant_on[-1]
    assert {batch.stage for batch in plan.batches} >= {"grain", species.route[-1]}
    (plant,) = (task for task in plan.tasks if task.kind == "plant")
    for key in ("look-alikes", "eating"):
        assert CATALOGUE.cautions[key].told in plant.cautions
    names = {figure.name for figure in plan.figures}
    assert {f"species.{name}.losses", f"species.{name}.temperature.optimum"} <= names


@pytest.mark.parametrize("name", CATALOGUE.species)
def test_every_method_answers_as_the_table_says(name: str, tmp_path: Path) -> None:
    """What is refused is a fault with its reason, what is warned about a warning with it, the rest is silent."""
    species = CATALOGUE.species[name]
    _, wood = _suits(species)
    for method, judged in species.methods.items():
        if judged.verdict == "refused":
            with pytest.raises(SeasonError) as refused:
                _read(tmp_path, name, method, wood)
            assert any(judged.why in fault.hint for fault in refused.value.faults), method
        else:
            season = _read(tmp_path, name, method, wood)
            warned = any(judged.why in warning for warning in season.warnings) if judged.why else False
            assert warned == (judged.verdict == "warned"), (method, season.warnings)


@pytest.mark.parametrize("name", CATALOGUE.species)
def test_every_wood_answers_as_the_table_says(name: str, tmp_path: Path) -> None:
    """As for methods, by the method that suits best."""
    species = CATALOGUE.species[name]
    method, _ = _suits(species)
    for wood, judged in species.wood.items():
        if judged.verdict == "refused":
            with pytest.raises(SeasonError) as refused:
                _read(tmp_path, name, method, wood)
            assert any(judged.why in fault.hint for fault in refused.value.faults), wood
        else:
            warnings = _read(tmp_path, name, method, wood).warnings
            said = [warning for warning in warnings if f"{name} on {wood}: " in warning]
            assert len(said) == (judged.verdict == "warned"), (wood, warnings)


def test_slow_growers_start_more_units(tmp_path: Path) -> None:
    """The loss factor of a species counts: a fifth more losses never lead to fewer spares."""
    from scheduler.lines.figures import loss_law

    season = _read(tmp_path, "maitake", *_suits(CATALOGUE.species["maitake"]))
    shares = {}
    for name in ("oyster", "brick cap", "maitake"):
        good, bad = loss_law(season, CATALOGUE, name, "grain", 0.0)
        shares[name] = bad / (good + bad)
    base = next(
        loss.rate.likely for loss in CATALOGUE.lab.losses[season.lab.workspace] if loss.stage == "grain"
    )
    assert shares == pytest.approx({"oyster": base, "brick cap": 1.2 * base, "maitake": 1.5 * base})

"""What is sold how, what a season is begun with, and what each default rests on."""

from __future__ import annotations

import tomllib
from datetime import date
from itertools import pairwise
from pathlib import Path

import pytest

from scheduler.errors import ProfileError
from scheduler.season.load import load_season
from scheduler.trade.catalogue import load
from scheduler.trade.places import data_folder
from scheduler.trade.shapes import Defaults

CATALOGUE = load()
OF_THE_LAB = (
    "dry grain",
    "hardwood fuel pellets",
    "dry hardwood sawdust",
    "dry hardwood dowels",
    "fresh hardwood chips",
    "fresh logs, oak, 10 logs",
    "nameko liquid culture",
    "nameko plate",
    "nameko slant",
    "nameko grain spawn, quart jar",
    "shiitake WR46 sawdust spawn, 2.3 kg bag",
    "shiitake dowel spawn, bag of dowels",
    "plate with medium, ready to use",
    "slant with medium, ready to use",
    "dry medium for a culture bottle",
)
KEY_OF = {
    "hours": "people.hours",
    "small_minutes": "people.small_minutes",
    "home_extra": "people.home",
    "home_weekend": "people.home",
    "felling": "people.felling",
    "drills": "tools.drills",
    "units": "season.units",
    "certainty": "season.certainty",
    "lead": "buying.lead",
    **{key: f"lab.{key}" for key in ("media", "workspace", "grain_in", "spawn_in", "cooker")},
    **{key: f"planting.{key}" for key in ("chips", "cut", "pattern", "priority", "spawn")},
}
"""Key of the season file by the name of its default."""
BARE = """
[season]
name = "Bare"
[site]
leaf_turn = 2026-10-05
bud_swell = 2027-04-12
ground_thaws = 2027-04-05
[lab.shelf]
temperature = { jan = "18 C" }
[[lab.cooker]]
kind = "pressure cooker"
[[stock]]
species = "oyster"
stage = "liquid culture"
amount = "10 mL"
[[planting]]
name = "Oak"
species = "shiitake"
method = "drilled logs"
logs = { count = 3, diameter = "12 cm", length = "1 m" }
window = "2027-04-10/2027-05-30"
[[planting]]
name = "Bed"
species = "wine cap"
method = "chip bed"
area = "2 m2"
window = "2027-05-01/2027-06-20"
"""


def test_everything_that_is_bought_has_an_entry() -> None:
    """Supplies of every method, and what the lab orders, name a supplier; none is left to chance."""
    methods = {supply.item for method in CATALOGUE.methods.values() for supply in method.supplies}
    missing = [item for item in (*OF_THE_LAB, *sorted(methods)) if CATALOGUE.supplies.find(item) is None]
    assert missing == []
    assert CATALOGUE.supplies.find("a thing nobody has heard of") is None


def test_packs_are_in_a_unit_of_what_they_hold() -> None:
    """A pack of something measured is measured alike, so that it can be bought; both systems have as many."""
    alike = [{"g", "kg"}, {"mL", "L"}, {"pieces"}, {"portions"}, {"m2"}, {"m"}]
    for method in CATALOGUE.methods.values():
        for supply in method.supplies:
            sold = CATALOGUE.supplies.find(supply.item)
            assert sold is not None
            for pack in (*sold.packs.metric.values(), *sold.packs.imperial.values()):
                kind = next(units for units in alike if supply.per_piece.unit in units)
                assert pack.unit in kind, supply.item
    for name, sold in CATALOGUE.supplies.item.items():
        assert bool(sold.packs.metric) == bool(sold.packs.imperial), name
        assert all(pack.likely > 0 for pack in (*sold.packs.metric.values(), *sold.packs.imperial.values()))
        assert sold.keeps.unit == "d", name


def test_an_entry_of_its_own_name_goes_before_a_wider_one() -> None:
    """Plates come in sleeves, other media by the piece."""
    plate = CATALOGUE.supplies.find("plate with medium, ready to use")
    bottle = CATALOGUE.supplies.find("culture bottle with medium, ready to use")
    assert plate is not None and list(plate.packs.metric) == ["sleeve of 10"]
    assert bottle is not None and not bottle.packs.metric


def test_climates_are_years_in_order() -> None:
    """In every climate the ground thaws, buds swell, leaves turn in this order; the colder, the later spring."""
    climates = CATALOGUE.starting.climates
    assert CATALOGUE.starting.climate in climates
    assert CATALOGUE.find_species(CATALOGUE.starting.species) == CATALOGUE.starting.species
    for name, climate in climates.items():
        days = (climate.ground_thaws, climate.bud_swell, climate.last_frost, climate.leaf_turn)
        assert 1 <= days[0].likely < days[1].likely < days[2].likely < days[3].likely <= 365, name
    line = sorted((one for one in climates.values() if one.by_latitude), key=lambda one: one.latitude.likely)
    for warm, cold in pairwise(line):
        for key in ("ground_thaws", "bud_swell", "last_frost"):
            assert getattr(warm, key).likely < getattr(cold, key).likely, key
        assert warm.leaf_turn.likely > cold.leaf_turn.likely


def test_every_default_has_its_basis() -> None:
    """No default stands without one, published ones have a source that exists, and every entry says why."""
    defaults = CATALOGUE.defaults
    keys = [KEY_OF[name] for name in Defaults.model_fields if name not in ("basis", "shelf", "fridge")]
    keys += [f"lab.{room}.{key}" for room in ("shelf", "fridge") for key in getattr(defaults, room)]
    keys += [f"lab.cooker.{key}" for key in defaults.cooker if key != "kind"]
    assert [key for key in keys if defaults.basis_of(key) is None] == []
    for key, row in defaults.basis.items():
        assert row.note, key
        assert not row.source or row.source in CATALOGUE.sources, key
        assert row.basis != "published" or row.source, key


def test_whatever_a_season_assumes_is_on_record(tmp_path: Path) -> None:
    """A season that says next to nothing takes every default there is, and each is found."""
    (tmp_path / "season.toml").write_text(BARE)
    for path in (tmp_path, *sorted(data_folder("examples").glob("[!m]*"))):
        season = load_season(path, CATALOGUE, clock=date(2026, 12, 1), system_timezone="UTC")
        unknown = [one.key for one in season.assumed if CATALOGUE.defaults.basis_of(one.key) is None]
        assert unknown == []
        assert len(season.assumed) > 5


@pytest.mark.parametrize(
    ("file", "old", "new", "where"),
    [
        ("supplies.toml", 'supplier = "grain and feed"', 'supplier = "the mill"', "supplier"),
        ("supplies.toml", "likely = 15, unit", "likeli = 15, unit", "packs"),
        ("starting.toml", 'species = "shiitake"', "species = 1", "species"),
        (
            "defaults.toml",
            'basis = "memory", note = "one cupboard"',
            'basis = "hearsay", note = "x"',
            "basis",
        ),
        (
            "defaults.toml",
            'basis = "memory", note = "one cupboard"',
            'basis = "published", note = "x"',
            "basis",
        ),
    ],
)
def test_a_broken_file_is_said(file: str, old: str, new: str, where: str, tmp_path: Path) -> None:
    """A grower's own file that does not have its shape is refused with file and key."""
    text = (data_folder("profiles") / file).read_text(encoding="utf-8")
    assert old in text
    tomllib.loads(text)
    (tmp_path / file).write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(ProfileError) as broken:
        load(tmp_path)
    assert any(file in fault.where and where in fault.where for fault in broken.value.faults)

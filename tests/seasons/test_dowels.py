"""Logs planted with dowels, from the season file to the planting day: home-made, bought, and in hand."""

from __future__ import annotations

import re
from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.document import from_json
from scheduler.plan import Batch, Order, Plan, Task
from tests.command import Ended, inside

SEASON = """
[season]
name = "Dowel hill"
timezone = "Europe/Berlin"
units = "{units}"
today = 2026-11-20

[site]
latitude = 47.0
leaf_turn = 2026-10-05
bud_swell = 2027-04-12

[people]
hours = {{ wed = 2, sat = 6, sun = 4 }}

{lab}

{stock}

[[planting]]
name = "Beech stack"
species = "shiitake"
method = "drilled logs"
wood = "beech"
logs = {{ count = 20, diameter = "{diameter}", length = "{length}" }}
pattern = "{pattern}"
window = "2027-04-20/2027-06-10"
route = {route}
{more}
"""
METRIC = {"units": "metric", "diameter": "12 cm", "length": "1 m", "pattern": "15 x 5 cm"}
IMPERIAL = {"units": "imperial", "diameter": "5 in", "length": "40 in", "pattern": "6 x 2 in"}
ROUTE = '["liquid culture", "grain", "dowels"]'
HOLES = 20 * 8 * 6
"""20 logs with 8 rows of 6 holes: 12 cm x 3.14 / 5 cm are 7.5 rows, and a metre holds six times 15 cm; 5 in
and 40 in come to the same."""
TAKEN = round(HOLES * 1.1)
"""A tenth more, for what falls into the grass."""


def written(
    folder: Path, *, lab: str = "", stock: str = "", more: str = "", route: str = ROUTE, **size: str
) -> Path:
    """The season's file, in its folder."""
    file = folder / "dowels" / "season.toml"
    file.parent.mkdir()
    parts = {**METRIC, **size}
    file.write_text(SEASON.format(lab=lab, stock=stock, more=more, route=route, **parts), encoding="utf-8")
    return file


def called(folder: Path, *words: str) -> Ended:
    """A command that is done."""
    ended = inside(*words, cwd=folder)
    assert ended.code == 0, ended.err
    return ended


def planned(folder: Path) -> Plan:
    """The plan of the season in the folder, kept in its book."""
    return from_json(called(folder, "plan", "dowels", "--json").out)


def dowels(plan: Plan) -> list[Batch]:
    """Batches of dowel spawn."""
    return [batch for batch in plan.batches if batch.stage == "dowels"]


def order(plan: Plan, item: str) -> Order:
    """The one order of something."""
    (found,) = [one for one in plan.orders if item in one.item]
    return found


def task(plan: Plan, kind: str, batch: str | None = None) -> Task:
    """The one task of a kind."""
    (found,) = [one for one in plan.tasks if one.kind == kind and batch in (None, one.batch)]
    return found


@pytest.mark.parametrize("size", [METRIC, IMPERIAL], ids=["metric", "imperial"])
def test_home_made_dowels_are_counted_by_the_hole(tmp_path: Path, size: dict[str, str]) -> None:
    """One dowel of 1.3 g a hole and a tenth more, grown in bags of a thousand, of which 88 % count."""
    written(tmp_path, **size)
    plan = planned(tmp_path)
    (planting,), (batch,) = plan.plantings, dowels(plan)
    assert planting.spawn_needed_g == pytest.approx(HOLES * 1.3 * 1.1, abs=1)
    assert batch.container == "bag of dowels"
    assert batch.needed == 2  # 1056 dowels out of 880 a bag
    assert batch.started >= batch.needed
    assert (batch.needed - 1) * 1300 * 0.88 < planting.spawn_needed_g <= batch.needed * 1300 * 0.88
    # Full days of the profile at 20 C, which is cooler than its reference: never fewer than at the reference.
    assert batch.grows_days >= 40 + 10
    assert (batch.fresh_days, batch.keeps_days, batch.waits_in) == (120, 240, "fridge")


@pytest.mark.parametrize(
    ("size", "says"),
    [
        (METRIC, "15 x 5 cm: 8 rows x 6 holes on 20 logs (960 holes of 8.5 mm, a dowel in each)"),
        (IMPERIAL, "6 x 2 in: 8 rows x 6 holes on 20 logs (960 holes of 5/16 in, a dowel in each)"),
    ],
    ids=["metric", "imperial"],
)
def test_the_pattern_names_the_bit(tmp_path: Path, size: dict[str, str], says: str) -> None:
    """Published: holes of 5/16 in, 8 to 8.5 mm, for dowels (University of Kentucky, FOR-77)."""
    written(tmp_path, **size)
    assert planned(tmp_path).plantings[0].pattern == says


def test_sawdust_holes_name_no_dowels(tmp_path: Path) -> None:
    """Sawdust spawn goes into wider ones, and of those nothing is said there."""
    written(tmp_path, route='["liquid culture", "grain", "sawdust"]')
    assert planned(tmp_path).plantings[0].pattern.endswith("(960 holes)")


@pytest.mark.parametrize("size", [METRIC, IMPERIAL], ids=["metric", "imperial"])
def test_dry_dowels_are_bought_by_the_piece(tmp_path: Path, size: dict[str, str]) -> None:
    """As many as fill the bags that are started, in the packs that are sold, the day before they are cooked."""
    written(tmp_path, **size)
    plan = planned(tmp_path)
    (batch,) = dowels(plan)
    dry = order(plan, "dry hardwood dowels")
    assert (dry.quantity, dry.unit) == (batch.started * 1000, "pieces")
    assert [(pack.name, pack.count) for pack in dry.packs] == [("bag of 1000", batch.started)]
    assert batch.cook_on
    assert dry.needed_on == batch.cook_on - timedelta(days=1)
    listed = called(tmp_path, "shopping", "dowels").out
    assert re.search(
        rf"dry hardwood dowels +{batch.started} x bag of 1000 +{batch.started * 1000} pieces", listed
    )
    assert "kg" not in listed.partition("dry hardwood dowels")[2].splitlines()[0]


def test_they_are_soaked_sterilised_inoculated_and_kept(tmp_path: Path) -> None:
    """Simmered and soaked on the evening before, sterilised in bags, inoculated from grain, kept cold."""
    written(tmp_path)
    plan = planned(tmp_path)
    (batch,) = dowels(plan)
    soak, start = task(plan, "soak-dowels"), task(plan, "inoculate", batch.id)
    assert soak.title == (
        f"Simmer and soak the dowels for {batch.id} ({batch.started} bags of dowels): "
        f"{batch.started * 1000} dry hardwood dowels"
    )
    assert batch.cook_on
    assert soak.on == batch.cook_on - timedelta(days=1)
    assert soak.small
    assert any("boiling water" in caution for caution in soak.cautions)
    assert "overnight" in " ".join(soak.steps)
    (cook,) = [one for one in plan.tasks if one.kind == "cook" and batch.id in one.title]
    assert cook.title == f"Sterilise {batch.id} ({batch.started} bags of dowels)"
    assert cook.after == (soak.id,)
    assert {load.class_ for load in plan.loads if batch.id in {share.batch for share in load.holds}} == {
        "bags"
    }
    assert f"from {', '.join(sorted({str(u.parent) for u in batch.units}))}" in start.title
    # 15 % of 1300 g of moist dowels is 195 g of grain for a bag.
    assert start.supplies[0].quantity == 195
    assert {u.parent.partition("/")[0] for u in batch.units if u.parent} == {"SHI-G1a"}
    assert task(plan, "take-out", batch.id).on < plan.plantings[0].plant_on[0]


@pytest.mark.parametrize(
    ("size", "drill"),
    [
        (METRIC, "Drill holes of 8.5 mm, 32 mm deep"),
        (IMPERIAL, "Drill holes of 5/16 in, 1 1/4 in deep"),
    ],
    ids=["metric", "imperial"],
)
def test_the_planting_day_says_how_dowels_go_in(tmp_path: Path, size: dict[str, str], drill: str) -> None:
    """The bit and the depth in the grower's units, how many dowels, and wax (FOR-77: 1 to 1.5 in deep)."""
    written(tmp_path, **size)
    plan = planned(tmp_path)
    plant = task(plan, "plant")
    assert plant.steps[0] == "Spawn: SHI-Da."
    assert plant.steps[1].startswith(drill)
    assert "one dowel into each hole" in plant.steps[2]
    assert [(s.quantity, s.unit) for s in plant.supplies if s.item == "finished spawn"] == [(TAKEN, "dowels")]
    called(tmp_path, "calendar", "dowels", "-o", "dowels.ics")
    page = (tmp_path / "dowels.ics").read_bytes().replace(b"\r\n ", b"").decode()
    assert f"{TAKEN} dowels" in page
    assert "dowel into each hole" in page


def test_bought_dowels_come_in_their_own_bags(tmp_path: Path) -> None:
    """Two bags of a thousand for 960 holes, whatever the lab fills its spawn into; nothing is cooked."""
    written(tmp_path, more='spawn = "buy"', lab='[lab]\nspawn_in = "quart jar"')
    plan = planned(tmp_path)
    (batch,) = dowels(plan)
    assert (batch.state, batch.container, batch.started) == ("bought", "bag of dowels", 2)
    bought = order(plan, "dowel spawn")
    assert (bought.item, bought.quantity) == ("shiitake dowel spawn, bag of dowels", 2)
    assert bought.needed_on - bought.order_by == timedelta(days=21)
    assert bought.needed_on < plan.plantings[0].plant_on[0]
    assert not plan.loads
    assert not [one for one in plan.orders if "dry hardwood" in one.item]
    assert task(plan, "plant").steps[1].startswith("Drill holes of 8.5 mm")


def test_bought_dowels_are_recorded_and_planted(tmp_path: Path) -> None:
    """Ordered, come, planted: the season ends as any other."""
    written(tmp_path, more='spawn = "buy"')
    plan = planned(tmp_path)
    (day,) = plan.plantings[0].plant_on
    bought = order(plan, "dowel spawn")
    called(tmp_path, "record", "dowels", "ordered", "SHI-Da", "--today", str(bought.order_by))
    called(tmp_path, "record", "dowels", "received", "SHI-Da", "--today", str(bought.needed_on))
    called(tmp_path, "record", "dowels", "done", "all", "--today", str(day))
    told = called(tmp_path, "show", "dowels", "--today", str(day)).out
    assert "20 of 20 logs planted" in told
    assert "Left over" in told


@pytest.mark.parametrize("first", ["plate", "slant"])
def test_a_plate_or_slant_leads_to_dowels_over_grain(tmp_path: Path, first: str) -> None:
    """The route may begin with any culture."""
    written(tmp_path, route=f'["{first}", "grain", "dowels"]')
    plan = planned(tmp_path)
    assert {batch.stage for batch in plan.batches} >= {first, "grain", "dowels"}
    (batch,) = dowels(plan)
    assert all(unit.parent and "-G1" in unit.parent for unit in batch.units)


def test_loose_dowels_in_hand_are_used_before_more_are_made(tmp_path: Path) -> None:
    """Five hundred that were found in the fridge take their share of the holes."""
    stock = '[[stock]]\nspecies = "shiitake"\nstage = "dowels"\nunits = 500\nreceived = 2026-11-10'
    written(tmp_path, stock=stock)
    plan = planned(tmp_path)
    held, made = sorted(dowels(plan), key=lambda batch: batch.state)
    assert (held.state, held.unit_mass_g) == ("in hand", 650)
    assert made.needed == 1  # 1056 less 440 that count are 616, of 880 in a bag


@pytest.mark.parametrize(
    ("lab", "container"),
    [
        ("", "bag of dowels"),
        ('[lab]\nspawn_in = "quart jar"', "quart jar"),
        ('[[lab.cooker]]\nkind = "pressure cooker"', "bag of dowels"),
        (
            '[[lab.cooker]]\nkind = "pressure cooker"\nholds = { "quart jar" = 7, "2.3 kg bag" = 3 }',
            "2.3 kg bag",
        ),
        (
            '[lab]\nspawn_in = "2.3 kg bag"\n[[lab.cooker]]\nkind = "pressure cooker"\n'
            'holds = { "quart jar" = 7, "2.3 kg bag" = 3, "bag of dowels" = 5 }',
            "bag of dowels",
        ),
    ],
    ids=["nothing said", "spawn_in", "usual holds", "holds without", "holds with"],
)
def test_dowels_are_filled_into_what_the_lab_says(tmp_path: Path, lab: str, container: str) -> None:
    """Bags of their own where nothing speaks against it, else what spawn goes into."""
    written(tmp_path, lab=lab)
    called(tmp_path, "check", "dowels")
    assert {batch.container for batch in dowels(planned(tmp_path))} == {container}


def test_dowels_are_steamed_in_a_drum(tmp_path: Path) -> None:
    """A steam drum beside the cooker for the grain: fourteen hours, and somebody at home for them."""
    lab = (
        '[[lab.cooker]]\nkind = "pressure cooker"\nholds = { "quart jar" = 7 }\n'
        '[[lab.cooker]]\nkind = "steam drum"\nholds = { "bag of dowels" = 20 }'
    )
    file = written(tmp_path, lab=lab)
    text = file.read_text(encoding="utf-8").replace("[people]", "[people]\nhome = { sat = 18, sun = 10 }")
    file.write_text(text, encoding="utf-8")
    plan = planned(tmp_path)
    (batch,) = dowels(plan)
    (cook,) = [one for one in plan.tasks if one.kind == "cook" and batch.id in one.title]
    assert cook.title.startswith("Steam SHI-Da")
    assert cook.attended_minutes >= 12 * 60


def test_lost_dowels_are_replanned(tmp_path: Path) -> None:
    """Two of four bags turn green: two are enough, and the lost ones are heated through unopened."""
    written(tmp_path)
    (batch,) = dowels(planned(tmp_path))
    assert batch.inoculate_on
    day = str(batch.inoculate_on + timedelta(days=4))
    called(tmp_path, "record", "dowels", "done", "all", "--today", day)
    called(tmp_path, "record", "dowels", "lost", batch.id, "2", "green", "--today", day)
    called(tmp_path, "replan", "dowels", "--today", day)
    after = from_json(called(tmp_path, "show", "dowels", "--json", "--today", day).out)
    (left,) = dowels(after)
    assert (len(left.units), left.needed) == (batch.started - 2, 2)
    assert any("2 lost bags of dowels of SHI-Da" in one.title for one in after.tasks)


def test_dowels_that_are_all_lost_are_made_again(tmp_path: Path) -> None:
    """All bags of a batch: it is made again from grain, with its dowels bought and soaked anew."""
    file = written(tmp_path)
    text = file.read_text(encoding="utf-8").replace("2027-06-10", "2027-07-25")
    file.write_text(text, encoding="utf-8")
    (batch,) = dowels(planned(tmp_path))
    assert batch.inoculate_on
    day = str(batch.inoculate_on + timedelta(days=4))
    called(tmp_path, "record", "dowels", "done", "all", "--today", day)
    called(tmp_path, "record", "dowels", "lost", batch.id, "--today", day)
    called(tmp_path, "replan", "dowels", "--today", day)
    after = from_json(called(tmp_path, "show", "dowels", "--json", "--today", day).out)
    (again,) = dowels(after)
    assert (again.id, again.state) == ("SHI-Db", "planned")
    assert task(after, "soak-dowels").batch == "SHI-Db"
    # Those of the first batch were ordered and used up: they are no answer to this order, only a new entry is.
    assert order(after, "dry hardwood dowels").quantity == 1000 * again.started
    called(tmp_path, "record", "dowels", "ordered", "dry hardwood dowels", "--today", day)
    called(tmp_path, "replan", "dowels", "--today", day)
    ordered = from_json(called(tmp_path, "show", "dowels", "--json", "--today", day).out)
    assert not [one for one in ordered.orders if "dry hardwood dowels" in one.item]


def test_dowels_found_in_the_fridge_count(tmp_path: Path) -> None:
    """Three hundred loose ones are recorded, of 1.3 g each, and planned with."""
    written(tmp_path)
    planned(tmp_path)
    day = "2026-12-01"
    told = called(tmp_path, "record", "dowels", "found", "shiitake", "dowels", "300", "--today", day).out
    assert "300" in told
    called(tmp_path, "replan", "dowels", "--today", day)
    after = from_json(called(tmp_path, "show", "dowels", "--json", "--today", day).out)
    assert after.plantings[0].spawn_planned_g >= after.plantings[0].spawn_needed_g

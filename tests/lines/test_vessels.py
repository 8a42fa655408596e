"""Containers, what treats them, and the room they take."""

from math import lcm

import pytest

from scheduler.lines.vessels import cooking, room_share, treatment, treatments, vessel
from scheduler.season.season import Room, Season
from tests.grower import catalogue, season

POT = '[[lab.cooker]]\nkind = "pressure cooker"\n'
DRUM = '[[lab.cooker]]\nkind = "steam drum"\n'


def lab(text: str) -> Season:
    """A season with that lab."""
    return season(lab=text)


def test_a_unit_has_a_mass_for_every_stage_it_can_hold() -> None:
    """Grain, sawdust and dowels by weight, liquid by the millilitre, plates by the piece."""
    jar, bag, bottle = (
        vessel(season(), catalogue(), name) for name in ("quart jar", "2.3 kg bag", "culture bottle")
    )
    assert (jar.mass_g("grain"), bag.mass_g("sawdust"), bag.mass_g("pellet")) == (550, 2300, 2300)
    assert bottle.mass_g("liquid culture") == 500
    assert bottle.mass_g("grain") == 0
    assert vessel(season(), catalogue(), "plate").mass_g("plate") == 1


def test_a_load_holds_what_the_largest_cooker_holds() -> None:
    """A batch may be as large as a load of the cooker that holds most of its container."""
    found = cooking(
        lab(POT + 'holds = { "quart jar" = 7, "2.3 kg bag" = 3 }\n' + POT + 'holds = { "2.3 kg bag" = 12 }'),
        catalogue(),
        "shiitake",
        "sawdust",
        "2.3 kg bag",
    )
    assert (found.treatment, found.load_class, found.load_holds) == ("pressure", "bags", 12)


def test_grain_is_never_steamed() -> None:
    """Grain needs pressure: a drum that holds jars does not treat them."""
    of = lab(POT + 'holds = { "quart jar" = 7 }\n' + DRUM + 'holds = { "quart jar" = 40, "2.3 kg bag" = 20 }')
    assert cooking(of, catalogue(), "shiitake", "grain", "quart jar").load_holds == 7
    assert cooking(of, catalogue(), "shiitake", "sawdust", "2.3 kg bag").treatment == "steam"


def test_treatments_a_stage_tolerates() -> None:
    """A tub is for the pellets of oyster and wine cap; media are only ever treated under pressure."""
    assert "tub" in treatments(catalogue(), "oyster", "pellet")
    assert "tub" not in treatments(catalogue(), "shiitake", "sawdust")
    assert treatments(catalogue(), "shiitake", "dowels") == ("pressure", "steam")
    assert treatments(catalogue(), "shiitake", "plate") == ("pressure",)


def test_every_treatment_a_stage_tolerates_has_times() -> None:
    """Whatever a cooker may be asked to do, the catalogue knows how long it takes."""
    classes = {"grain": "grain", "sawdust": "bags", "pellet": "bags", "dowels": "bags", "plate": "media"}
    for species in catalogue().species:
        for stage, load_class in classes.items():
            for name in treatments(catalogue(), species, stage):
                assert treatment(catalogue(), name, load_class, "a box of one's own").hold.likely > 0


def test_times_are_those_of_the_container_else_the_longest() -> None:
    """A quart jar has its own hold; a container nobody has written about gets the longest of its class."""
    holds = [t.hold.likely for t in catalogue().lab.treatment if (t.name, t.class_) == ("pressure", "grain")]
    assert treatment(catalogue(), "pressure", "grain", "quart jar").hold.likely == 100
    assert treatment(catalogue(), "pressure", "grain", "3 L jar").hold.likely == max(holds)


def share(room: Room, container: str) -> tuple[int, int]:
    """Capacity and part of a room."""
    return room_share(season(), catalogue(), room, container)


def test_a_room_by_volume_is_counted_in_tenths_of_a_litre() -> None:
    """150 L hold a hundred jars of 1.5 L and 25 bags of 6 L."""
    room = Room(20.0, volume_l=150.0)
    assert share(room, "quart jar") == (1500, 15)
    assert share(room, "2.3 kg bag") == (1500, 60)
    assert share(room, "plate") == (1500, 2), "small things are rounded up, never to nothing"


def test_a_room_by_numbers_mixes_as_fractions() -> None:
    """24 jars or 10 bags: each jar takes a 24th and each bag a tenth, exactly."""
    room = Room(20.0, holds={"quart jar": 24, "2.3 kg bag": 10})
    capacity, jar = share(room, "quart jar")
    same, bag = share(room, "2.3 kg bag")
    assert capacity == same == 10 * lcm(24, 10)
    assert 24 * jar == capacity == 10 * bag
    assert 12 * jar + 5 * bag == capacity


def test_what_a_room_does_not_name_goes_by_volume() -> None:
    """A half-gallon jar of 2.8 L beside bags of 6 L takes 2.8 / 6 of a bag's part; a plate takes something too."""
    room = Room(20.0, holds={"quart jar": 24, "2.3 kg bag": 10})
    capacity, part = share(room, "half-gallon jar")
    assert part == pytest.approx(capacity / 10 * 2.8 / 6, abs=1)
    assert 0 < share(room, "plate")[1] < part

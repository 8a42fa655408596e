"""What a planting takes, method by method, against numbers worked out by hand or printed elsewhere."""

import math

import pytest
from scipy.integrate import quad

from scheduler.lines.demand import demand
from scheduler.lines.shapes import Demand
from scheduler.trade.catalogue import UNKNOWN_WOOD_KG_M3
from tests.grower import BED, OAK, TOTEMS, catalogue, edited, season

WASTE = 1.1
"""About a tenth is lost in handling."""
HOLE_G = math.pi / 4 * 1.2**2 * 2.5 * 0.6
"""A hole of 12 x 25 mm at 0.6 g a millilitre."""


def taken(planting: str, **keys: str) -> Demand:
    """The demand of one planting with keys of its text changed."""
    read = season(edited(planting, **keys))
    return demand(read.plantings[0], read, catalogue())


def one_log(diameter: str, length: str) -> str:
    """One log, as a season file writes it."""
    return f'{{ count = 1, diameter = "{diameter}", length = "{length}" }}'


def test_a_log_of_five_by_48_inches_has_forty_holes() -> None:
    """5 x 48 in at 6 x 3 in: 5 rows of 8 holes (35 to 40 in Univ. Maryland Extension RES-11)."""
    found = taken(OAK, logs=one_log("5 in", "48 in"), pattern='"6 x 3 in"')
    assert "5 rows x 8 holes" in found.pattern
    assert "(40 holes)" in found.pattern
    assert found.spawn_g == pytest.approx(40 * HOLE_G * WASTE)


def test_the_pattern_of_the_shiitake_trial_has_64_holes() -> None:
    """15 x 5 cm on 12.7 x 122 cm: 8 rows of 8 holes (Sabota 1996, HortTechnology)."""
    found = taken(OAK, logs=one_log("12.7 cm", "122 cm"), pattern='"15 x 5 cm"')
    assert "(64 holes)" in found.pattern
    assert found.spawn_g == pytest.approx(64 * HOLE_G * WASTE)


def test_a_grower_s_grams_a_log_lie_between_the_patterns() -> None:
    """96 g a log (one grower's record of 26 logs) lies between the wide and the close published pattern."""
    logs = '{ count = 26, diameter = "12.7 cm", length = "122 cm" }'
    wide = taken(OAK, logs=logs, pattern='"6 x 3 in"').spawn_g / WASTE / 26
    close = taken(OAK, logs=logs, pattern='"15 x 5 cm"').spawn_g / WASTE / 26
    assert wide < 96 < close
    assert close / wide == pytest.approx(1.6)


def test_logs_of_several_sizes_add_up() -> None:
    """Each group of logs has its own rows; the whole is their sum."""
    small, large = one_log("10 cm", "100 cm"), one_log("20 cm", "100 cm")
    both = taken(OAK, logs=f"[{small}, {large}]")
    assert both.spawn_g == pytest.approx(taken(OAK, logs=small).spawn_g + taken(OAK, logs=large).spawn_g)
    assert (both.pieces, both.size) == (2, "2 logs")


def test_dowels_are_counted_and_not_measured_by_the_hole() -> None:
    """A hole takes one dowel of 1.3 g, whatever its volume."""
    found = taken(OAK, logs=one_log("12.7 cm", "122 cm"), route='["liquid culture", "grain", "dowels"]')
    assert found.spawn_g == pytest.approx(64 * 1.3 * WASTE)


def test_wedges_against_their_integral() -> None:
    """A wedge is as wide as at the bark times the depth that is left, across the chord at every depth."""
    found = taken(
        edited(OAK, method='"wedge-cut logs"').replace('pattern = "15 x 5 cm"', ""),
        logs=one_log("13 cm", "1 m"),
    )
    depth = 0.33 * 13

    def slice_ml(down: float) -> float:
        return 2.5 * (1 - down / depth) * 2 * math.sqrt(down * (13 - down))

    cut_ml = quad(slice_ml, 0, depth)[0]
    assert found.spawn_g == pytest.approx(8 * cut_ml * 0.6 * WASTE)


def test_kerfs_against_their_integral() -> None:
    """A kerf is 9 mm wide at every depth: seven cuts on 90 cm, across the chord."""
    found = taken(
        edited(OAK, method='"kerf-cut logs"').replace('pattern = "15 x 5 cm"', ""),
        logs=one_log("13 cm", "90 cm"),
        cut='"kerf"',
    )
    cut_ml = quad(lambda down: 0.9 * 2 * math.sqrt(down * (13 - down)), 0, 0.33 * 13)[0]
    assert found.spawn_g == pytest.approx(7 * cut_ml * 0.6 * WASTE)


def test_a_raft_is_as_large_as_its_logs_lie() -> None:
    """Twelve logs of 13 cm and 1 m cover 1.56 m2, at 1.75 kg a m2."""
    raft = edited(OAK, species='"nameko"', wood='"birch"', method='"log raft"').replace(
        'pattern = "15 x 5 cm"', ""
    )
    found = taken(raft, logs='{ count = 12, diameter = "13 cm", length = "1 m" }')
    assert found.spawn_g == pytest.approx(1.56 * 1750 * WASTE)


def test_totems_take_the_larger_of_two_answers_and_say_so() -> None:
    """Thick totems take three full layers; the rule of three or four a bag asks for a third of that."""
    found = taken(TOTEMS)
    layers = 6 * 3 * math.pi / 4 * 26**2 * 2.5 * 0.5
    assert layers > 6 * 650
    assert found.spawn_g == pytest.approx(layers * WASTE)
    (note,) = found.notes
    assert "differ" in note
    assert "larger" in note


def test_thin_totems_take_the_bag_rule() -> None:
    """Where layers come to less than a third of a bag, the rule of thumb is planned."""
    found = taken(TOTEMS, logs='{ count = 4, diameter = "14 cm", length = "80 cm" }')
    assert 3 * math.pi / 4 * 14**2 * 2.5 * 0.5 < 650
    assert found.spawn_g == pytest.approx(4 * 650 * WASTE)


def test_a_stump_takes_one_layer() -> None:
    """12 mm of spawn at 0.5 g a millilitre on a cut of 35 cm; a living stump weighs nothing to lift."""
    stump = edited(TOTEMS, method='"stump"', stumps='{ count = 3, diameter = "35 cm" }')
    found = taken("\n".join(row for row in stump.splitlines() if not row.startswith("logs")))
    assert found.spawn_g == pytest.approx(3 * math.pi / 4 * 35**2 * 1.2 * 0.5 * WASTE)
    assert (found.size, found.wood_kg, found.heaviest_piece_kg) == ("3 stumps", 0.0, 0.0)


def test_a_bed_takes_spawn_by_area_and_chips_by_volume() -> None:
    """6.3 m2 at 0.41 kg a m2, and 630 litres of chips 10 cm deep."""
    found = taken(BED)
    assert found.spawn_g == pytest.approx(6.3 * 410 * WASTE)
    assert found.chips_l == pytest.approx(630)


def test_a_bed_without_a_depth_has_the_method_s() -> None:
    """12 cm of chips is the usual depth; half a bed takes half of it."""
    shallow = "\n".join(row for row in BED.splitlines() if not row.startswith("depth"))
    assert taken(shallow).chips_l == pytest.approx(6.3 * 120)
    assert taken(shallow, area='"3.15 m2"').chips_l == pytest.approx(3.15 * 120)


def test_logs_have_no_chips() -> None:
    """Litres of chips are only for beds."""
    assert taken(OAK).chips_l == 0


def test_minutes_of_logs_hold_their_share_of_setting_up() -> None:
    """12 minutes a log and half an hour for trestles and wax: on 20 logs 13.5, asked for in whole minutes.

    Felling takes 13 minutes a log, with a spare to 20 logs 13.65; the last of the three steps is rounded up.
    """
    steps = {
        step.kind: step
        for step in taken(OAK, logs='{ count = 20, diameter = "13 cm", length = "1 m" }').steps
    }
    assert steps["plant"].minutes_per_piece == 14
    assert steps["plant"].drill_per_piece == 5
    assert [steps[kind].minutes_per_piece for kind in ("fell", "buck", "haul")] == [6, 4, 4]
    assert steps["fell"].drill_per_piece == 0


def test_minutes_of_a_bed_go_by_its_true_area() -> None:
    """A bed of 6.3 m2 is planted in seven pieces of 0.9 m2 each; no minute is lost by the split."""
    found = taken(BED)
    steps = {step.kind: step.minutes_per_piece for step in found.steps}
    assert found.pieces == 7
    for kind, each, once in (("plant", 20, 20), ("prepare-chips", 10, 10)):
        assert each * 6.3 + once <= steps[kind] * 7 < each * 6.3 + once + 7


def test_supplies_are_those_of_all_pieces() -> None:
    """Wax and labels go by the log, cardboard by the square metre, whole beds or not."""
    logs = {supply.item: supply.quantity for supply in taken(OAK).supplies}
    assert logs == {"wax": 45 * 60, "label": 60, "label nail": 60, "shade cloth": 9}
    bed = {supply.item: (supply.quantity, supply.unit) for supply in taken(BED).supplies}
    assert bed["cardboard"] == (6.3, "m2")
    assert bed["label"] == (2, "pieces")


def test_wedges_are_screwed_on_and_kerfs_waxed() -> None:
    """A wedge goes back over its spawn; a kerf has nothing that would."""
    text = edited(OAK, method='"wedge-cut logs"').replace('pattern = "15 x 5 cm"', "")
    wedge, kerf = (
        {supply.item: supply.quantity for supply in taken(text, cut=cut).supplies}
        for cut in ('"wedge"', '"kerf"')
    )
    assert wedge.pop("screws") == 16 * 60 and kerf.pop("wax") == 100 * 60
    assert wedge == kerf == {"label": 60, "label nail": 60, "shade cloth": 9.0}


def test_green_logs_are_weighed() -> None:
    """60 oak logs of 13 cm and 1 m at the green density of the catalogue."""
    density = catalogue().woods["oak"].green_density.likely
    each = math.pi / 4 * 0.13**2 * density
    found = taken(OAK)
    assert found.heaviest_piece_kg == pytest.approx(each)
    assert found.wood_kg == pytest.approx(60 * each)


def test_a_haul_of_120_oak_logs_is_two_tonnes() -> None:
    """A black oak log of 5 x 40 in is 15.9 kg at 77 lb a cubic foot (NRS-38), 120 of them are 1.9 t."""
    found = taken(OAK, wood='"black oak"', logs='{ count = 120, diameter = "5 in", length = "40 in" }')
    assert found.heaviest_piece_kg == pytest.approx(15.9, rel=0.03)
    assert found.wood_kg == pytest.approx(1900, rel=0.03)


def test_the_heaviest_piece_decides_whether_two_have_to_lift() -> None:
    """One thick log among thin ones is a lift for two, beyond 23 kg."""
    thin = taken(OAK)
    mixed = taken(OAK, logs=f"[{one_log('10 cm', '1 m')}, {one_log('20 cm', '1 m')}]")
    limit = catalogue().wood_rules.two_person_mass.likely
    assert thin.heaviest_piece_kg < limit < mixed.heaviest_piece_kg


def test_unknown_wood_is_taken_as_heavy() -> None:
    """A wood that the catalogue does not know is planned as a heavy hardwood."""
    found = taken(OAK, wood='"osage orange"', logs=one_log("10 cm", "1 m"))
    assert found.heaviest_piece_kg == pytest.approx(math.pi / 4 * 0.1**2 * UNKNOWN_WOOD_KG_M3)


@pytest.mark.parametrize("name", ["drilled logs", "wedge-cut logs", "log raft", "totem", "stump", "chip bed"])
def test_twice_as_much_takes_twice_the_spawn(name: str) -> None:
    """Spawn is in proportion to the number of logs, totems, stumps or square metres."""
    text = edited(OAK if name != "chip bed" else BED, method=f'"{name}"', species='"oyster"', wood='"beech"')
    text = "\n".join(
        row for row in text.splitlines() if not row.startswith(("logs", "pattern", "area", "depth"))
    )
    sizes = {
        "stump": 'stumps = {{ count = {n}, diameter = "30 cm" }}',
        "chip bed": 'area = "{n} m2"',
    }
    row = sizes.get(name, 'logs = {{ count = {n}, diameter = "15 cm", length = "90 cm" }}')
    few, many = (taken(text + "\n" + row.format(n=n)) for n in (3, 6))
    assert many.spawn_g == pytest.approx(2 * few.spawn_g)
    assert few.spawn_g > 0

"""What may stand beside what: permissions, routes, sizes, codes, rooms, and several faults at once."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from scheduler.errors import SeasonError
from scheduler.season.permissions import usual_route
from scheduler.season.shapes import SeasonFile, Table
from scheduler.trade.shapes import Permission

SITE = """
[season]
name = "Alder Bend"
[site]
leaf_turn = 2026-10-05
bud_swell = 2027-04-12
ground_thaws = 2027-04-05
"""

LOGS = 'logs = { count = 12, diameter = "13 cm", length = "1 m" }'


def planting(
    name="Cherry logs", species="nameko", method="drilled logs", size=LOGS, more="", wood="black cherry"
):
    """The text of one planting."""
    wood_line = f'wood = "{wood}"' if wood else ""
    return f"""
[[planting]]
name = "{name}"
species = "{species}"
method = "{method}"
{size}
{wood_line}
window = "2027-04-20/2027-05-25"
{more}
"""


def test_several_faults_of_one_file_come_together_in_its_order(faults):
    """Values, keys, missing keys and combinations are all told at once, each planting's too."""
    text = (
        SITE.replace("bud_swell = 2027-04-12\n", "")
        + planting(species="nameco", more='best = "2027-06-01/2027-06-02"\nspwan = "buy"')
        + planting(name="cherry logs", size=LOGS.replace("13 cm", "130 cm").replace("12", "0"), wood="walnut")
        + '[people]\nhours = { sat = "all" }\nfelling = "rented"\n'
    )
    found = [fault.where.split("season.toml", 1)[1] for fault in faults(text)]
    assert found == [
        ":4 site.bud_swell",
        ":10 planting[0].species",
        ":15 planting[0].best",
        ":16 planting[0].spwan",
        ":19 planting[1].name",
        ":22 planting[1].logs.count",
        ":22 planting[1].logs.diameter",
        ":23 planting[1].wood",
        ":27 people.hours.sat",
        ":28 people.felling",
    ]


def test_a_table_is_taken_for_a_list_of_one(read, faults):
    """``[planting]`` and a lone away day are read, and messages do not speak of positions that are not there."""
    text = SITE + planting().replace("[[planting]]", "[planting]") + '[people]\naway = "2027-02-13"\n'
    assert len(read(text).plantings) == len(read(text).people.away) == 1
    (fault,) = faults(text.replace("count = 12", "count = 0"))
    assert fault.where.endswith(":13 planting.logs.count")


def test_logs_in_a_list_are_told_by_position(faults):
    """The second size of a list is the one that is named."""
    size = 'logs = [\n{ count = 3, diameter = "13 cm", length = "1 m" },\n{ count = 3, diameter = "1 cm", length = "1 m" },\n]'
    (fault,) = faults(SITE + planting(size=size))
    assert fault.where.endswith(":13 planting[0].logs[1].diameter")


@pytest.mark.parametrize(
    ("species", "method", "wood", "warning"),
    [
        ("nameko", "totem", "black cherry", "nameko with totem: "),
        ("nameko", "drilled logs", "oak", "nameko on oak: "),
        ("nameko", "drilled logs", "sassafras", "nameko on sassafras: "),
        ("nameko", "drilled logs", "gingko", '"gingko" is not in the catalogue'),
        ("nameko", "drilled logs", "blak chery", '"black cherry"'),
    ],
)
def test_what_is_warned_about_can_still_be_planned(read, catalogue, species, method, wood, warning):
    """A combination that is only warned about, an unlisted wood and an unknown wood give one warning each."""
    season = read(SITE + planting(species=species, method=method, wood=wood))
    (said,) = season.warnings
    assert said.startswith('planting[0] "Cherry logs": ')
    assert warning in said
    assert season.plantings[0].wood == (catalogue.find_wood(wood) or wood)


def test_every_pair_of_species_and_method_is_judged_by_the_catalogue(read, faults, catalogue):
    """Refused pairs are faults with the reason, warned pairs warnings with the reason, all others pass."""
    sizes = {
        "log": LOGS,
        "totem": LOGS,
        "stump": 'stumps = { count = 1, diameter = "40 cm" }',
        "m2": 'area = "2 m2"',
    }
    seen = set()
    for name, species in catalogue.species.items():
        for method in catalogue.methods.values():
            permission = species.methods.get(method.name, Permission(verdict="refused"))
            text = SITE + planting(species=name, method=method.name, size=sizes[method.piece], wood="")
            seen.add(permission.verdict)
            if permission.verdict == "refused":
                (fault,) = faults(text)
                assert fault.where.endswith("planting[0].method")
                assert permission.why in fault.hint
            else:
                warned = [line for line in read(text).warnings if " with " in line]
                assert [permission.why in line for line in warned] == [True] * (
                    permission.verdict == "warned"
                )
    assert seen == {"fine", "warned", "refused"}


@pytest.mark.parametrize(
    ("species", "method", "route"),
    [
        ("nameko", "drilled logs", ("liquid culture", "grain", "sawdust")),
        ("oyster", "drilled logs", ("liquid culture", "grain", "pellet")),
    ],
)
def test_the_usual_route_is_the_species_own(read, species, method, route):
    """A planting without a route takes the one of its species."""
    assert read(SITE + planting(species=species, method=method, wood="")).plantings[0].route == route


def test_the_usual_route_ends_in_what_the_method_plants(read, catalogue):
    """Where the method does not plant the species' usual spawn, the last stage is one that it does plant."""
    method = catalogue.methods["log raft"]
    into_holes = method.model_copy(update={"spawn_stages": ["grain", "dowels"]})
    assert usual_route(catalogue.species["nameko"], into_holes) == ("liquid culture", "grain", "dowels")


def test_grain_may_be_planted_where_species_and_method_allow_it_with_a_warning(read):
    """Grain in a totem is tolerated with a warning; in drilled logs it is a fault of the broken files."""
    text = SITE + planting(species="oyster", method="totem", wood="", more='route = ["plate", "grain"]')
    season = read(text)
    assert season.plantings[0].route == ("plate", "grain")
    assert "grain is planted as it is" in season.warnings[-1]


def test_a_season_that_ends_in_autumn_has_the_next_leaf_turn(read, faults):
    """Leaf turn after bud swell is the next autumn's where something is planted in it; else it is a slip."""
    turned = SITE.replace("2026-10-05", "2027-10-05")
    (fault,) = faults(turned + planting())
    assert fault.where.endswith("site.bud_swell")
    later = planting(name="Autumn logs").replace("2027-04-20/2027-05-25", "2027-10-05/2027-11-15")
    assert str(read(turned + planting() + later).site.leaf_turn) == "2027-10-05"
    assert faults(turned.replace("2027-10", "2026-11").replace("2027-04-12", "2026-04-12") + later)


def test_wood_that_is_down_asks_for_no_felling_season(read):
    """With a felling day given, leaf turn and bud swell may be missing."""
    head = '[season]\nname = "Alder Bend"\n'
    season = read(head + planting(more="felled = 2026-11-20"))
    assert (season.site.leaf_turn, season.site.bud_swell) == (None, None)


def test_wood_that_is_to_be_felled_needs_its_felling_season(read, faults):
    """A day to come is a day of felling: leaf turn and bud swell are asked for as without it."""
    head = '[season]\nname = "Alder Bend"\n'
    found = [fault.where.rsplit(" ", 1)[-1] for fault in faults(head + planting(more="felled = 2027-01-10"))]
    assert found == ["site.leaf_turn", "site.bud_swell"]
    assert str(read(SITE + planting(more="felled = 2027-01-10")).plantings[0].felled) == "2027-01-10"


def test_the_tree_of_a_stump_is_not_felled_by_the_plan(faults):
    """A stump stands in living wood or is down; a day to come says nothing that could be planned."""
    stump = planting("Stump", method="stump", size='stumps = { count = 1, diameter = "30 cm" }')
    (fault,) = faults(SITE + stump + "felled = 2027-01-10\n")
    assert fault.where.endswith("planting[0].felled")
    assert "only where it is down already" in fault.allowed


@pytest.mark.parametrize(
    ("key", "value", "why"),
    [
        ("chips", '"soaked"', "no chips are prepared for log raft"),
        ("pattern", '"15 x 5 cm"', "no holes are drilled for log raft"),
        ("cut", '"kerf"', "no cuts are sawn for log raft"),
    ],
)
def test_a_key_that_changes_nothing_is_warned_about(read, key, value, why):
    """How chips are prepared, holes drilled or cuts sawn has no part where there are none; the season goes on."""
    season = read(SITE + planting("Raft", method="log raft", more=f"{key} = {value}"))
    assert season.warnings == (f'planting[0] "Raft": {why}, so `{key}` has no part there',)
    assert getattr(season.plantings[0], key) is None


def test_cuts_are_wedges_unless_kerfs_are_asked_for(read):
    """The default is noted with what it rests on; a kerf that is asked for is no assumption."""
    season = read(SITE + planting("Logs", method="wedge-cut logs"))
    assert season.plantings[0].cut == "wedge"
    assert ("planting.cut", "wedge") in [(one.key, one.value) for one in season.assumed]
    kerf = read(SITE + planting("Logs", method="kerf-cut logs", more='cut = "Kerf"'))
    assert kerf.plantings[0].cut == "kerf"
    assert "planting.cut" not in [one.key for one in kerf.assumed]


@pytest.mark.parametrize(
    ("tank", "depth", "chips"),
    [
        ("", "10 cm", "wetted in place"),
        ("599 L", "10 cm", "wetted in place"),
        ("600 L", "10 cm", "soaked"),
        ("500 L", "", "wetted in place"),
    ],
)
def test_chips_are_soaked_where_the_tank_holds_them(read, tank, depth, chips):
    """6 m2 of chips 10 cm deep are 600 L; without a depth the method's own counts."""
    size = 'area = "6 m2"' + (f'\ndepth = "{depth}"' if depth else "")
    tools = f'[tools]\ntank = "{tank}"\n' if tank else ""
    text = SITE + planting(species="wine cap", method="chip bed", size=size, wood="") + tools
    assert read(text).plantings[0].chips == chips


def stock(strain="", code="", species="nameko"):
    """The text of one culture in hand."""
    lines = [f'strain = "{strain}"' if strain else "", f'code = "{code}"' if code else ""]
    return (
        f'[[stock]]\nspecies = "{species}"\nstage = "liquid culture"\namount = "10 mL"\n'
        + "\n".join(lines)
        + "\n"
    )


@pytest.mark.parametrize(
    ("in_hand", "strains", "codes"),
    [
        ("", ["house"], ["NAM"]),
        ("", ["house", "Kyoto", "kyoto"], ["NAM", "NAK", "NAK"]),
        ("", ["house", "Meiji"], ["NAM", "NAE"]),
        ("", ["A", "M", "mm"], ["NAM", "NAA", "NAB"]),
        (stock("N7", "QQ"), ["N7", "house"], ["QQ", "NAM"]),
        (stock("N7"), ["house", "N7"], ["NAH", "NAM"]),
        (stock("oyster blue", "NAM", "oyster"), ["house", "Meiji"], ["NAH", "NAE"]),
    ],
)
def test_every_strain_has_a_code_of_its_own(read, in_hand, strains, codes):
    """The grower's code, else the species', else its first two letters with one of the strain's."""
    text = (
        SITE
        + in_hand
        + "".join(planting(name=f"P{i}", more=f'strain = "{s}"') for i, s in enumerate(strains))
    )
    assert [one.code for one in read(text).plantings] == codes


def test_strains_are_spelled_as_they_are_written_first(read):
    """``kyoto`` is ``Kyoto`` again, so that stock and planting find each other."""
    text = SITE + stock("Kyoto") + planting(more='strain = "kyoto"')
    season = read(text)
    assert (season.stock[0].strain, season.plantings[0].strain, season.warnings) == ("Kyoto", "Kyoto", ())


def test_stock_that_no_planting_takes_is_a_warning(read):
    """A culture of another strain than any planting's is pointed out."""
    assert read(SITE + stock("N7") + planting()).warnings == ('stock[0]: no planting takes nameko "N7"',)


def test_home_hours_follow_from_hands_on_hours(read):
    """Two hours more on a weekday with hours, ten at the weekend, and never fewer than the hands-on hours."""
    hours = "[people]\nhours = { mon = 0, wed = 1.5, sat = 12 }\n"
    assert read(SITE + planting() + hours).people.home_minutes == {"wed": 210, "sat": 720, "sun": 600}


def test_a_day_left_out_of_home_hours_is_no_day_at_home(read):
    """Where home hours are written, a day that has neither them nor hands-on hours has none."""
    hours = "[people]\nhours = { wed = 2 }\nhome = { sat = 5 }\n"
    assert read(SITE + planting() + hours).people.home_minutes == {"wed": 240, "sat": 300}


def test_a_cooker_without_holds_takes_what_the_catalogue_knows(read):
    """A pressure cooker without `holds` is the usual one, with the containers that are in use."""
    lab = '[lab]\ngrain_in = "half-gallon jar"\n[[lab.cooker]]\nkind = "pressure cooker"\nrated = "12 psi"\n'
    (cooker,) = read(SITE + planting() + lab).lab.cookers
    assert cooker.holds["half-gallon jar"] == 3
    assert (cooker.gauge_psi, cooker.rated_psi) == (12, 12)


COOKING = [
    # A small cooker, the planting's keys, whether it is enough.
    ('holds = { "quart jar" = 7 }', 'spawn = "buy"', True),
    ('holds = { "quart jar" = 7 }', 'spawn = "either"', True),
    ('holds = { "2.3 kg bag" = 3 }', "", False),
    ('holds = { "2.3 kg bag" = 3 }', 'route = ["grain", "sawdust"]', True),
    ('holds = { "quart jar" = 7, "2.3 kg bag" = 3 }', "", True),
]


@pytest.mark.parametrize(("holds", "more", "enough"), COOKING)
def test_what_is_made_fits_into_a_cooker(read, faults, holds, more, enough):
    """Grain jars and bags each need a cooker that holds them, unless that stage is bought."""
    text = SITE + planting(more=more) + f'[[lab.cooker]]\nkind = "pressure cooker"\n{holds}\n'
    if enough:
        assert read(text).plantings
    else:
        (fault,) = faults(text)
        assert fault.where.endswith("lab.cooker[0].holds")


def test_a_tub_needs_no_cooker(read, catalogue):
    """Pellets of a species that tolerates a tub of hot water need no cooker that holds bags."""
    assert "tub" in catalogue.species["oyster"].treatments["pellet"]
    lab = '[[lab.cooker]]\nkind = "pressure cooker"\nholds = { "quart jar" = 7 }\n'
    assert read(SITE + planting(species="oyster", wood="") + lab).plantings[0].route[-1] == "pellet"


def test_spawn_in_hand_needs_no_cooker(read):
    """Finished spawn that is in hand is not cooked again."""
    spawn = '[[stock]]\nspecies = "nameko"\nstage = "sawdust"\nunits = 6\n'
    lab = '[[lab.cooker]]\nkind = "steam drum"\nholds = { "4.8 kg bag" = 7 }\n'
    assert read(SITE + spawn + planting() + lab).stock[0].units == 6


def test_own_containers_are_known_in_the_whole_file(read):
    """A container of the grower's own may hold grain, stand in a cooker and go before one of the catalogue."""
    lab = """
[lab]
grain_in = "my jar"
[lab.containers."My jar"]
volume = "3 L"
grain = "1.7 kg"
[[lab.cooker]]
kind = "pressure cooker"
holds = { "my jar" = 2, "2.3 kg bag" = 3 }
"""
    season = read(SITE + planting() + lab)
    assert season.lab.grain_in == "My jar"
    assert season.lab.cookers[0].holds == {"My jar": 2, "2.3 kg bag": 3}


def test_the_default_time_zone_may_be_wrong_too(read):
    """A system that names a zone nobody knows is told so under the key that would mend it."""
    with pytest.raises(SeasonError) as caught:
        read(SITE + planting(), system_timezone="Local/Time")
    (fault,) = caught.value.faults
    assert (fault.where.split("season.toml")[1], fault.found) == (
        ":2 season.timezone",
        '"Local/Time", which the system gives',
    )


def test_without_a_time_zone_database_the_hint_says_what_is_missing(read, faults, monkeypatch):
    """Where no zone is known at all, the package that has them is named."""
    monkeypatch.setattr("scheduler.season.resolve.available_timezones", set)
    monkeypatch.setattr("scheduler.season.resolve.ZoneInfo", _no_zone)
    (fault,) = faults(SITE + planting())
    assert "tzdata" in fault.hint


def test_the_hint_for_a_time_zone_is_always_the_same(faults):
    """Of the zones that are equally near the first by name is told, however the system lists them."""
    (fault,) = faults(SITE.replace("[site]", 'timezone = "Europe"\n[site]') + planting())
    assert fault.hint == 'did you mean "Europe/Amsterdam"?'


DRUM = """
[[lab.cooker]]
kind = "pressure cooker"
[[lab.cooker]]
kind = "steam drum"
holds = { "2.3 kg bag" = 30 }
"""


def test_a_load_longer_than_anybody_is_at_home_is_warned_about(read):
    """The usual hours at home are too few for a drum, which is held for 14 hours; a day of 17 is enough."""
    (warning,) = read(SITE + planting() + DRUM).warnings
    assert warning.startswith(
        "lab.cooker[1]: a load of sawdust in the steam drum keeps somebody at home for 16 h 30"
    )
    assert "[people].home has 10 h" in warning
    assert "home = { sat = 17 }" in warning
    longer = "[people]\nhours = { sat = 4 }\nhome = { sat = 17 }\n"
    assert read(SITE + planting() + DRUM + longer).warnings == ()


def test_what_no_plan_can_do_without_is_warned_about(read):
    """No hour on any day, or no drill for holes, is told before a search finds nothing."""
    none = "[people]\nhours = { sat = 0 }\n[tools]\ndrills = 0\n"
    assert read(SITE + planting() + none).warnings == (
        "people.hours: no day has any hours, so only small tasks can be done",
        'tools.drills: no drill, and holes are drilled for "Cherry logs"',
    )


@pytest.mark.parametrize(
    ("tank", "told"),
    [
        ("", "its chips are to be soaked, but there is no tank"),
        ('tank = "200 L"', "its chips are to be soaked, but the tank does not hold 600 L of chips"),
        ('tank = "600 L"', ""),
    ],
)
def test_chips_for_which_the_tank_is_too_small_are_warned_about(read, tank, told):
    """Soaked chips need a tank that holds them all; 6 m2 of 10 cm are 600 litres."""
    size = 'area = "6 m2"\ndepth = "10 cm"\nchips = "soaked"'
    bed = planting("Bed", "wine cap", "chip bed", size, wood="")
    expected = (f'"Bed": {told}',) if told else ()
    assert read(f"{SITE}{bed}[tools]\n{tank}\n").warnings == expected


def test_help_that_is_over_is_warned_about(read):
    """A day of help that lies before today, as one that was left in the file, brings no hands."""
    past = "[[help]]\non = 2026-11-07\npeople = 3\nhours = 6\n"
    assert read(SITE + planting() + past).warnings == (
        "help[0]: 2026-11-07 is over, so nobody is reckoned with on it",
    )


def test_defaults_are_told_in_the_units_of_the_season(read):
    """Somebody who measures in feet and gallons reads no centimetres and litres among the defaults."""
    bed = planting("Bed", "wine cap", "chip bed", 'area = "50 ft2"\ndepth = "4 in"', wood="")
    feet = SITE.replace("[site]", 'units = "imperial"\n[site]')
    told = {one.key: f"{one.value}; {one.why}" for one in read(feet + planting() + bed).assumed}
    assert told["planting.pattern"].startswith("5.9 x 2 in;")
    assert told["lab.shelf.temperature"].startswith("68 F;")
    assert told["lab.shelf.volume"].startswith("39.6 gal;")
    assert [key for key, words in told.items() if re.search(r"\\d (m|cm|mm|L|kg|g|C)\\b", words)] == []


def test_a_bed_of_which_more_is_asked_for_than_there_is(faults):
    """The fault of an area tells it in the units of the season too."""
    bed = planting("Bed", "wine cap", "chip bed", 'area = "50 ft2"\nat_least = "60 ft2"', wood="")
    (fault,) = faults(SITE.replace("[site]", 'units = "imperial"\n[site]') + bed)
    assert (fault.found, fault.allowed) == ("60 sq ft", "at most the 50 sq ft of the planting")


def _no_zone(name):
    raise KeyError(name)


def test_messages_show_no_control_characters(faults):
    """What could move the cursor of a terminal is shown escaped."""
    (fault,) = faults(SITE + planting(more='chips = "\\u001b[2J"'))
    assert "\x1b" not in fault.found
    assert "\\x1b" in fault.found


def test_the_documented_example_is_the_full_file():
    """The file with every key really has every key of the shapes."""
    text = (Path(__file__).parent / "good" / "full.toml").read_text(encoding="utf-8")
    shapes = [SeasonFile, *Table.__subclasses__()]
    keys = {key for shape in shapes for key in shape.model_fields} - {"sawdust", "liquid"}
    assert [key for key in sorted(keys) if key not in text] == []

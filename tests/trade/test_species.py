"""What a species profile says of the yard and the table: permissions, seasons, harvest, look-alikes, conflicts."""

from __future__ import annotations

from typing import get_args

import pytest

from scheduler.science.growth import Cardinal, ctmi
from scheduler.trade import shapes
from scheduler.trade.catalogue import Catalogue, load
from scheduler.trade.species import PartOfYear

SPECIES = (
    "nameko", "shiitake", "oyster", "wine cap", "lion's mane", "chestnut", "reishi", "maitake", "enoki", "pioppino",
    "blewit", "brick cap",
)  # fmt: skip
BROWN_PRINTED = ("nameko", "chestnut", "pioppino")
ON_THE_SAME_WOOD = (*BROWN_PRINTED, "enoki", "brick cap", "shiitake", "wine cap")
UNIT_OF_PIECE = {"log": "kg", "totem": "kg", "stump": "kg", "m2": "kg/m2"}
WARMEST_YARD_C = 40


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The catalogue as it comes with the package."""
    return load()


def test_the_twelve_are_there(catalogue: Catalogue) -> None:
    """Each species is in the catalogue, and nothing else is."""
    assert set(catalogue.species) == set(SPECIES)


@pytest.mark.parametrize("name", SPECIES)
def test_every_method_and_every_wood_is_judged(catalogue: Catalogue, name: str) -> None:
    """Nothing is left to the rule for what is missing; something can be planted, on some wood."""
    species = catalogue.species[name]
    assert set(species.methods) == set(catalogue.methods)
    assert set(species.wood) == set(catalogue.woods)
    assert any(judged.verdict != "refused" for judged in species.methods.values())
    assert any(judged.verdict == "fine" for judged in species.wood.values())
    for woods in (species.wood["cedar"], species.wood["black locust"]):
        assert woods.verdict == "refused", "wood that resists rot"


@pytest.mark.parametrize("name", SPECIES)
def test_harvest_is_known_for_whatever_may_be_planted(catalogue: Catalogue, name: str) -> None:
    """Each piece of a method that is not refused has a yield; shares by year make up one life."""
    species = catalogue.species[name]
    pieces = {
        method.piece for key, method in catalogue.methods.items() if species.methods[key].verdict != "refused"
    }
    harvest = species.harvest
    assert set(harvest.per) == pieces
    assert all(figure.unit == UNIT_OF_PIECE[piece] for piece, figure in harvest.per.items())
    assert all(figure.lowest >= 0 and figure.highest > 0 for figure in harvest.per.values())
    years = sorted(harvest.by_year)
    assert years == list(range(1, len(years) + 1))
    assert species.years.lowest <= len(years) <= species.years.highest
    shares = harvest.by_year.values()
    assert all(share.unit == "share" for share in shares)
    assert sum(share.likely for share in shares) == pytest.approx(1, abs=0.001)
    assert sum(share.lowest for share in shares) <= 1 <= sum(share.highest for share in shares)


def test_shiitake_yields_one_two_two_one(catalogue: Catalogue) -> None:
    """Years two and three give double years one and four (University of Maryland Extension, RES-11)."""
    shares = [share.likely for share in catalogue.species["shiitake"].harvest.by_year.values()]
    assert [share / shares[0] for share in shares] == pytest.approx([1, 2, 2, 1], abs=0.01)


def test_lions_mane_peaks_in_years_three_and_four(catalogue: Catalogue) -> None:
    """A trial of totems peaked in its third and fourth years (Agroforestry Systems 89:549, 2015)."""
    shares = {year: share.likely for year, share in catalogue.species["lion's mane"].harvest.by_year.items()}
    assert set(sorted(shares, key=lambda year: -shares[year])[:2]) == {3, 4}


@pytest.mark.parametrize("name", SPECIES)
def test_seasons_and_temperatures_of_the_yard(catalogue: Catalogue, name: str) -> None:
    """Fruiting and planting bands are temperatures of a yard, seasons stand in the order of the year."""
    species = catalogue.species[name]
    year = list(get_args(PartOfYear))
    for fruiting in (species.fruiting, *(group.fruiting for group in species.strains.values())):
        at = fruiting.temperature
        assert at.unit == "C" and 0 < at.lowest < at.likely < at.highest < WARMEST_YARD_C
        assert fruiting.seasons == sorted(set(fruiting.seasons), key=year.index)
        assert not fruiting.source or fruiting.source in catalogue.sources
    planting = species.planting
    assert planting.day.unit == planting.hottest.unit == "C"
    assert planting.day.highest < planting.hottest.lowest
    assert planting.day.highest > species.temperature.min.likely, "planted where it cannot grow"
    assert planting.hottest.likely < species.temperature.max.likely


def test_warm_strains_fruit_in_more_warmth(catalogue: Catalogue) -> None:
    """Cold, wide-range and warm strains of shiitake follow one another; only the cold ones do not heed a soak."""
    groups = catalogue.species["shiitake"].strains
    assert list(groups) == ["cold", "wide-range", "warm"]
    likely = [group.fruiting.temperature.likely for group in groups.values()]
    assert likely == sorted(set(likely))
    assert [group.fruiting.soaking for group in groups.values()] == [False, True, True]


@pytest.mark.parametrize(
    ("strain", "group"),
    [
        ("WR46", "wide-range"),
        ("wide range", "wide-range"),
        ("Cold Weather 9", "cold"),
        ("CW25", "cold"),
        ("ww-44", "warm"),
        ("house", None),
        ("Wrangell", None),
        ("", None),
    ],
)
def test_a_strain_tells_its_group(catalogue: Catalogue, strain: str, group: str | None) -> None:
    """Whole words of a strain's name count, with or without a number behind them; else the species' own season."""
    shiitake = catalogue.species["shiitake"]
    expected = shiitake.strains[group].fruiting if group else shiitake.fruiting
    assert shiitake.fruiting_of(strain) == expected


def test_no_word_means_two_groups(catalogue: Catalogue) -> None:
    """Words of strain groups are in small letters, and each leads to one group."""
    for name, species in catalogue.species.items():
        words = [word for group in species.strains.values() for word in group.words]
        assert len(words) == len(set(words)), name
        assert all(word == word.casefold() and word.isalpha() for word in words), name


@pytest.mark.parametrize("name", SPECIES)
def test_look_alikes_are_told_apart(catalogue: Catalogue, name: str) -> None:
    """Each has a danger, a way to tell it, and a source where the danger is published; and the caution is carried."""
    species = catalogue.species[name]
    assert species.look_alikes
    assert {"look-alikes", "eating"} <= set(species.cautions)
    for botanical, alike in species.look_alikes.items():
        assert botanical != species.botanical and alike.tell
        assert alike.basis != "published" or alike.source in catalogue.sources
        assert not alike.source or alike.source in catalogue.sources


@pytest.mark.parametrize("name", ON_THE_SAME_WOOD)
def test_galerina_is_named_where_it_grows(catalogue: Catalogue, name: str) -> None:
    """Galerina holds lethal amatoxins and prints brown (M. Beug, The Evergreen State College)."""
    galerina = catalogue.species[name].look_alikes["Galerina marginata"]
    assert (galerina.danger, galerina.source) == ("deadly", "beug-toxic")
    assert "brown" in galerina.tell
    if name in BROWN_PRINTED:
        assert "both" in galerina.tell or "parts nothing" in galerina.tell, "a brown print excludes nothing"


@pytest.mark.parametrize("name", SPECIES)
def test_conflicts_are_about_figures_and_differ_from_them(catalogue: Catalogue, name: str) -> None:
    """Each conflict names a figure of the catalogue, keeps what the others say, and gives a reason."""
    figures = dict(catalogue.figures())
    for about, conflict in catalogue.species[name].conflicts.items():
        planned = figures.get(f"species.{name}.{about}") or figures[about]
        assert conflict.why.endswith("."), about
        for who, figure in conflict.says.items():
            band = (figure.lowest, figure.likely, figure.highest, figure.unit)
            assert band != (planned.lowest, planned.likely, planned.highest, planned.unit), (about, who)


def test_published_conflicts_are_kept(catalogue: Catalogue) -> None:
    """Both figures stay: rest and first flush of shiitake, optimum of oyster, run of reishi and enoki."""
    kept = {
        ("shiitake", "rest"): {"uk-for-77", "nc-stokes-2014"},
        ("shiitake", "first_flush"): {"uk-for-83", "osu-f-0041", "cornell-cris-2011"},
        ("shiitake", "days.sawdust"): {"stamets-1993", "royse-1985"},
        ("oyster", "temperature.optimum"): {"zervakis-2001", "ubc-expedition", "cjmid-2019"},
        ("chestnut", "temperature.optimum"): {"morimoto-1979"},
        ("reishi", "days.sawdust"): {"chungnam-ganoderma"},
        ("enoki", "days.sawdust"): {"acta-edulis-2024"},
    }
    for (name, about), sources in kept.items():
        says = catalogue.species[name].conflicts[about].says.values()
        assert sources <= {figure.source for figure in says if figure.basis == "published"}, (name, about)


def test_slow_species_lose_more(catalogue: Catalogue) -> None:
    """Loss factors are near one, and those of the slow growers above it."""
    factors = {name: species.losses for name, species in catalogue.species.items()}
    assert all(figure.unit == "times" and figure.lowest >= 0.5 for figure in factors.values())
    assert all(figure.highest <= 3 for figure in factors.values())
    assert min(factors["maitake"].likely, factors["blewit"].likely) > factors["oyster"].likely


def test_chestnut_creeps_at_five_degrees_by_its_profile(catalogue: Catalogue) -> None:
    """About 1 mm a day at 5 C and no growth at 40 C (Kaneko 2003, Mushroom Sci. Biotech. 11:183)."""
    t = catalogue.species["chestnut"].temperature
    cardinal = Cardinal(t.min.likely, t.optimum.likely, t.max.likely)
    assert 6 * cardinal.rate(5) == pytest.approx(1.0, abs=0.1)
    assert cardinal.rate(40) == 0
    assert ctmi(30, t.min.likely, t.optimum.likely, t.max.likely) > 0.5, "it grows at 30 C"


@pytest.mark.parametrize(
    ("name", "figure", "low", "high"),
    [
        ("pioppino", "temperature.optimum", 25, 30),  # Zervakis and others 2001, Folia Microbiologica 46:231
        (
            "reishi",
            "temperature.optimum",
            25,
            30,
        ),  # Nguyen and others, Vietnam National University of Agriculture
        (
            "reishi",
            "days.sawdust",
            26,
            32,
        ),  # Kim and others, Chungnam Agricultural Research and Extension Services
        ("reishi", "first_flush", 24, 36),  # A. W. Chen 2002, long logs: two to three years
        ("enoki", "days.sawdust", 14, 18),  # Stamets 1993
        ("brick cap", "days.sawdust", 20, 28),  # Stamets 1993
        ("blewit", "temperature.optimum", 21, 24),  # Stamets & Chilton 1983: 70 to 75 F
        ("lion's mane", "temperature.max", 35, 37),  # Grigansky and others 1999: none of 14 strains at 37 C
        ("wine cap", "temperature.optimum", 25, 25),  # Bonenfant-Magne and others 1997
        ("shiitake", "years", 3, 5),  # University of Maryland Extension RES-11; Frey and others 2020
    ],
)
def test_published_bands(catalogue: Catalogue, name: str, figure: str, low: float, high: float) -> None:
    """A figure that is called published holds the band that its source prints."""
    found = dict(catalogue.figures())[f"species.{name}.{figure}"]
    assert (found.basis, found.lowest, found.highest) == ("published", low, high)


def test_a_litter_species_is_told_what_it_lives_on(catalogue: Catalogue) -> None:
    """Wine cap and blewit are refused on logs for one reason, and beds are not refused to them."""
    for name in ("wine cap", "blewit"):
        methods = catalogue.species[name].methods
        assert catalogue.species[name].group == "litter"
        assert [key for key, judged in methods.items() if judged.verdict != "refused"] == ["chip bed"]
        assert all("lives on litter" in methods[key].why for key in ("drilled logs", "totem", "stump"))


def test_reasons_are_short(catalogue: Catalogue) -> None:
    """Every species is judged with every method, on every wood and on grain, each in one short reason."""
    judged = [shape for _, shape in catalogue.shapes() if isinstance(shape, shapes.Permission)]
    assert len(judged) == 12 * (len(catalogue.methods) + len(catalogue.woods) + 1)
    assert max(len(permission.why) for permission in judged) < 100


def test_species_of_wood_have_a_speed_in_logs(catalogue: Catalogue) -> None:
    """Relative to shiitake, which is 1; those that live on litter have none, and oyster is the fastest."""
    speeds = {name: species.run_speed for name, species in catalogue.species.items()}
    assert {name for name, speed in speeds.items() if speed is None} == {
        name for name, species in catalogue.species.items() if species.group == "litter"
    }
    known = {name: speed for name, speed in speeds.items() if speed is not None}
    assert all(speed.unit == "times" and speed.lowest >= 0.2 for speed in known.values())
    assert known["shiitake"].likely == 1
    assert max(known, key=lambda name: known[name].likely) == "oyster"

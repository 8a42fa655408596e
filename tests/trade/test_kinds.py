"""What kind of thing each figure is: by its key it has one unit, and lies where such things lie."""

from __future__ import annotations

import re
from collections import Counter
from datetime import UTC, datetime

import pytest

from scheduler.trade.catalogue import load
from scheduler.trade.places import data_folder
from scheduler.trade.shapes import Figure
from tests.trade.test_catalogue import UNITS

CATALOGUE = load()
FIGURES = dict(CATALOGUE.figures())

# By the key of a figure (all of its dotted name has to fit): its unit, and the least and the most that such a figure
# can be. Where the rows are many the first that fits counts.
KINDS: list[tuple[str, str, float, float]] = [
    (r"species\.[^.]+\.(conflicts\.)?temperature\.(min|optimum|max|reference)(\.says\..+)?", "C", -5, 42),
    (r"species\.[^.]+\.(strains\.[^.]+\.)?fruiting\.temperature", "C", 0, 35),
    (r"(species|methods)\.[^.]+\.planting\.(day|hottest)", "C", 0, 35),
    (r"species\.[^.]+\.(conflicts\.)?(days|consolidation)\..+", "d", 0, 120),
    (r"species\.[^.]+\.(conflicts\.)?rest(\.says\..+)?", "d", 0, 180),
    (r"species\.[^.]+\.(conflicts\.)?first_flush(\.says\..+)?", "months", 1, 48),
    (r"species\.[^.]+\.(conflicts\.)?years(\.says\..+)?", "years", 1, 12),
    (r"species\.[^.]+\.losses", "times", 0.5, 3),
    (r"species\.[^.]+\.run_speed", "times", 0.1, 4),
    (r"species\.[^.]+\.harvest\.per\.m2", "kg/m2", 0, 10),
    (r"species\.[^.]+\.harvest\.per\.(log|totem|stump)", "kg", 0, 10),
    (r"species\.[^.]+\.conflicts\.harvest\.per\.log\.says\..+", "%", 0, 100),
    (r"species\.[^.]+\.harvest\.by_year\.\d", "share", 0, 1),
    (r"(species\.[^.]+|lab)\.keeping\..+", "d", 0, 1100),
    (r"(methods|species)\..+_mm", "mm", 1, 60),
    (r"methods\..+_cm", "cm", 1, 60),
    (r"methods\..+_g", "g", 0, 2000),
    (r"methods\..+_g_ml", "g/mL", 0.1, 1),
    (r"methods\..+_kg_m3", "kg/m3", 100, 600),
    (r"(methods|species)\..+spawn_kg_per_m2(\.says\..+)?", "kg/m2", 0.05, 5),
    (r"methods\..+_(fraction|share)", "share", 0, 1),
    (r"methods\..+_expansion", "times", 1, 100),
    (r"methods\..+\.figures\.layers", "layers", 1, 5),
    (r"methods\..+_days", "d", 0, 1100),
    (r"methods\..+\.steps\..+", "min", 0, 120),
    (r"methods\..+\.supplies\..+\.per_piece", "*", 0, 1000),
    (r"woods\..+\.green_density", "kg/m3", 300, 1300),
    (r"(woods\..+\.fresh|lab\.(pellet|substrate))_moisture|wood_rules\.moisture_.+", "%", 0, 80),
    (r"(species\..+\.conflicts\.)?wood_rules\.loss_to_water(\.says\..+)?", "%", 0, 30),
    (r"wood_rules\.loss_.+", "%/week", 0, 3),
    (r"wood_rules\.enough_rain", "mm", 5, 60),
    (r"wood_rules\.(weigh_.+|first_weight_within)", "d", 1, 60),
    (r"wood_rules\.size_play", "share", 0, 1),
    (r"wood_rules\.wood_substance", "kg/m3", 1400, 1600),
    (r"run\.(along|across)", "mm/d", 0.01, 5),
    (r"run\.(sapwood|pattern\..+)", "cm", 1, 30),
    (r"run\.growing_days", "d", 60, 365),
    (r"run\.warmest_day", "day of the year", 1, 366),
    (r"wood_rules\.small_log_factor", "times", 1, 4),
    (r"wood_rules\.small_log_diameter", "cm", 5, 20),
    (r"wood_rules\.two_person_mass", "kg", 10, 40),
    (r"wood_rules\.cart_load", "kg", 20, 300),
    (r"wood_rules\.trip", "min", 1, 60),
    (r"wood_rules\.spare_from", "pieces", 1, 50),
    (r"preseason\.check\..+\.ahead", "d", 1, 90),
    (r"preseason\.check\..+\.minutes", "min", 1, 120),
    (r"wood_rules\.oldest", "d", 30, 730),
    (r"lab\.container\..+\.(grain|sawdust)", "g", 50, 10_000),
    (r"lab\.container\..+\.liquid", "mL", 1, 2000),
    (r"lab\.container\..+\.volume", "L", 0, 30),
    (r"lab\.container\..+_holds", "units", 1, 200),
    (r"lab\.container\..+\.rest_days", "d", 0, 5),
    (r"lab\.treatment\..+\.(heat_up|hold|cool|hands)", "min", 0, 1500),
    (r"lab\.(treatment\..+\.extra_loss|losses\..+\.rate|load_loss|hidden_infection)", "share", 0, 0.6),
    (r"lab\.losses\..+\.weight", "units", 1, 100),
    (r"lab\.load_weight", "loads", 1, 500),
    (r"lab\.(grain_usable|usable|handling|shake_at|shown_early|together)", "share", 0, 1),
    (r"lab\.culture\.transfers_.+", "generations", 1, 20),
    (r"lab\.bench\..+\.(unit|fixed)", "min", 0, 120),
    (r"lab\.check\..+\.day", "d", 1, 30),
    (r"lab\.(culture\.(plate_age|test_days)|head_start|last_shake|opened_bag|opened_most|sealed_days|tub_days)", "d", 0, 120),
    (r"lab\.culture\.(children_per_grain|enlarge)", "times", 1, 100),
    (r"lab\.culture\.(.*volume|syringe|liquid_per_jar)", "mL", 0, 1000),
    (r"lab\.culture\..*(plates|jars|syringes).*", "units", 0, 50),
    (r"lab\.core_warmer", "C", 0, 15),
    (r"lab\.grain_dry", "kg/kg", 0, 1),
    (r"lab\.grain_water", "L/kg", 0, 3),
    (r"lab\.inoculation_rate\..+", "%", 0, 50),
    (r"lab\.(max|warn)_generation", "generations", 1, 6),
    (r"care\.(row\..+|picking|soaking)\.(fixed|piece|visit)", "min", 0, 60),
    (r"care\.picking\.mass", "min/kg", 1, 20),
    (r"care\.soaking\.soak", "h", 6, 72),
    (r"care\.soaking\.not_before", "months", 6, 24),
    (r"care\.(row\..+\.(after|every)|picking\.every|soaking\.(flush|rest))", "d", 0, 365),
    (r"care\.row\..+\.per_piece", "*", 0, 1000),
    (r"starting\.amount\..+\.count", "*", 1, 50),
    (r"starting\.climates\..+\.latitude", "degrees", 0, 90),
    (r"starting\.climates\.[^.]+\.[a-z_]+", "day of the year", 1, 366),
    (r"starting\.(slack|dormant|window\..+)", "d", -60, 120),
    (r"supplies\.item\.[^.]+\.keeps", "d", 0, 4000),
    (r"supplies\.item\..+\.packs\..+", "*", 0, 100_000),
    (r"weather\.rules\.bud_break\.forcing", "C d", 20, 1000),
    (r"weather\.rules\.leaf_turn\.need", "C2 d", 1000, 20_000),
    (r"weather\.rules\..*(chill_hours|daylight)", "h", 1, 3000),
    (r"weather\.rules\.(freeze|hard_freeze|.+\.(base|chill_below|mean))", "C", -10, 35),
    (r"weather\.rules\.(fewest_years|short_record)", "years", 1, 40),
    (r"weather\.rules\.risk", "share", 0, 0.5),
    (r"weather\.rules\.(longest_gap|.+\.(days|swell_before|planted_before|window|least))", "d", 1, 120),
]  # fmt: skip
IN_NAMES = {
    "kg": 1000.0, "g": 1.0, "lb": 453.59237,
    "L": 1000.0, "mL": 1.0,
    "m": 1.0, "ft": 0.3048,
    "m2": 1.0, "sq ft": 0.3048**2,
}  # fmt: skip
"""Units that stand in names and as units of figures, each in g, mL, m or m2."""


def kind_of(name: str) -> tuple[str, str, float, float]:
    """The first row that fits the whole name."""
    return next(row for row in KINDS if re.fullmatch(row[0], name))


def test_every_figure_is_of_a_known_kind() -> None:
    """A figure that fits no row is new: say what it is, in which unit, and between which bounds."""
    assert [name for name in FIGURES if not any(re.fullmatch(row[0], name) for row in KINDS)] == []


def test_no_row_of_the_kinds_is_idle() -> None:
    """Each row is some figure's first."""
    used = Counter(kind_of(name)[0] for name in FIGURES)
    assert [row[0] for row in KINDS if not used[row[0]]] == []


def test_unit_and_bounds_are_those_of_its_kind() -> None:
    """Days are in d, temperatures in C, shares in 0..1, and the whole band lies between the bounds of its kind."""
    for name, figure in FIGURES.items():
        _, unit, least, most = kind_of(name)
        assert unit in ("*", figure.unit), name
        assert least <= figure.lowest <= figure.likely <= figure.highest <= most, name


def test_conflicts_speak_in_the_unit_of_what_is_planned() -> None:
    """What other sources say of a figure can be compared with it; yields per log are the one exception, and say so."""
    others = []
    for name, species in CATALOGUE.species.items():
        for about, conflict in species.conflicts.items():
            planned = FIGURES.get(f"species.{name}.{about}") or FIGURES[about]
            others += [(name, about) for figure in conflict.says.values() if figure.unit != planned.unit]
            if about == "harvest.per.log":
                assert re.search(r"share|percent", conflict.why), name
    assert {about for _, about in others} == {"harvest.per.log"}


def test_each_known_unit_is_used_and_explained() -> None:
    """The list of units holds none that no figure has, and what contributors are told names each of them."""
    assert {figure.unit for figure in FIGURES.values()} == UNITS
    told = (data_folder("profiles") / "README.md").read_text(encoding="utf-8")
    [paragraph] = [part for part in told.split("\n\n") if part.startswith("Units:")]
    words = set(re.findall(r"`([^`]+)`", paragraph))
    assert {unit for unit in UNITS if "/" not in unit} == words


def _degrees_f(note: str) -> list[float]:
    """Temperatures of a note in F: ``70 to 75 F``, ``4.4 C (40 F)``."""
    spans = re.findall(r"(\d+)(?: to (\d+))? F\b", note)
    return [float(number) for span in spans for number in span if number]


@pytest.mark.parametrize("name", [n for n, f in FIGURES.items() if f.unit == "C" and _degrees_f(f.note)])
def test_degrees_of_a_note_are_the_figures_own(name: str) -> None:
    """A note that gives the figure in F gives the same temperature."""
    figure = FIGURES[name]
    ours = (figure.lowest, figure.likely, figure.highest)
    for fahrenheit in _degrees_f(figure.note):
        celsius = (fahrenheit - 32) * 5 / 9
        assert min(abs(celsius - one) for one in ours) < 0.3, fahrenheit


def _sized(name: str, figure: Figure) -> tuple[float, str] | None:
    """The amount that the last part of a name holds, where its figure is an amount of that kind."""
    found = re.search(r"(?<![\w.])(\d+(?:\.\d+)?) (kg|g|lb|L|mL|m2|m|sq ft|ft)\b(?!.*\d)", name)
    return (float(found[1]), found[2]) if found and figure.unit in IN_NAMES else None


@pytest.mark.parametrize(
    "name", [n for n, f in FIGURES.items() if ".packs." in n and _sized(n.split(".packs.")[1], f)]
)
def test_a_pack_holds_what_its_name_says(name: str) -> None:
    """A bag of 50 lb is 22.7 kg: name and figure are converted, not guessed."""
    figure = FIGURES[name]
    sized = _sized(name.split(".packs.")[1], figure)
    assert sized is not None
    amount, unit = sized
    assert figure.likely * IN_NAMES[figure.unit] == pytest.approx(amount * IN_NAMES[unit], rel=0.02)


def test_sources_are_dated_and_told_apart() -> None:
    """No year lies in the future or before there were journals of it; no two sources are one."""
    titles = Counter((source.title, source.year) for source in CATALOGUE.sources.values())
    assert [title for title, count in titles.items() if count > 1] == []
    for key, source in CATALOGUE.sources.items():
        assert source.year is None or 1900 <= source.year <= datetime.now(UTC).year, key
        years = re.findall(r"-((?:19|20)\d\d)$", key)
        assert all(year in f"{source.year} {source.title} {source.note}" for year in years), key

"""Every file of the catalogue is read, and every figure, permission and name in it is looked at."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import pytest

from scheduler.trade import shapes
from scheduler.trade.catalogue import Catalogue, load
from scheduler.trade.places import data_folder

ROOT = Path(__file__).resolve().parents[2]
SPECIES = ("nameko", "shiitake", "oyster", "wine cap", "lion's mane")
STAGES = ("plate", "liquid culture", "grain", "sawdust", "pellet", "dowels")
HOLES = {"hole_diameter_mm", "hole_depth_mm", "spacing_along_cm", "spacing_around_cm", "packing_density_g_ml"}
FIGURES_OF_METHOD = {
    "drilled logs": HOLES,
    "wedge-cut logs": {
        "cuts_spacing_cm",
        "wedge_width_mm",
        "kerf_width_mm",
        "depth_fraction",
        "fill_density_g_ml",
    },
    "log raft": {"spawn_kg_per_m2"},
    "totem": {"layers", "layer_depth_mm", "cap_cm", "fill_density_g_ml", "bag_rule_g"},
    "stump": {"cap_depth_mm", "fill_density_g_ml"},
    "chip bed": {"spawn_kg_per_m2", "depth_cm", "chips_density_kg_m3"},
}
TASK_KINDS = {
    "test-culture", "refresh-culture", "keep-back", "soak-grain", "wet-pellets", "soak-dowels", "cook", "pasteurise", "inoculate",
    "check", "shake", "move-to-fridge", "take-out", "kill-lost", "prepare", "fell", "buck", "haul", "prepare-chips",
    "plant", "turn", "water", "cover", "uncover", "look-after", "top-up", "weigh", "soak-logs", "pick",
}  # fmt: skip
UNITS = {
    "d", "h", "months", "years", "min", "C", "C d", "C2 d", "%", "%/week", "share", "times", "units", "loads", "pieces", "layers", "generations",
    "portions", "m", "degrees", "day of the year",
    "g", "kg", "mL", "L", "mm", "mm/d", "cm", "m2", "g/mL", "kg/m2", "kg/m3", "L/kg", "kg/kg", "min/kg",
}  # fmt: skip


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The catalogue as it comes with the package."""
    return load()


def _of(catalogue: Catalogue, kind: type[shapes.Shape]) -> list[tuple[str, shapes.Shape]]:
    return [(name, shape) for name, shape in catalogue.shapes() if isinstance(shape, kind)]


def _texts(shape: shapes.Shape) -> Iterator[str]:
    for key in type(shape).model_fields:
        value = getattr(shape, key)
        if isinstance(value, str):
            yield value
        elif isinstance(value, list):
            yield from (item for item in value if isinstance(item, str))


def _bracketed(catalogue: Catalogue) -> set[str]:
    return {
        key
        for _, shape in catalogue.shapes()
        for text in _texts(shape)
        for key in re.findall(r"\[([a-z0-9-]+)\]", text)
    }


def test_every_file_is_read(catalogue: Catalogue) -> None:
    """One species and one method come from every file, and every file of `profiles` belongs to a known place."""
    folder = data_folder("profiles")
    files = {path.relative_to(folder).as_posix() for path in folder.rglob("*.toml")}
    placed = {name for name in files if name.split("/")[0] in ("species", "methods", "lab")}
    assert files - placed == {
        "wood.toml",
        "run.toml",
        "cautions.toml",
        "defaults.toml",
        "weather.toml",
        "care.toml",
        "supplies.toml",
        "preseason.toml",
        "starting.toml",
        "label-sheets.toml",
    }
    assert len(catalogue.species) == sum(name.startswith("species/") for name in files)
    assert len(catalogue.methods) == sum(name.startswith("methods/") for name in files)
    assert set(SPECIES) <= set(catalogue.species)
    assert set(catalogue.methods) == set(FIGURES_OF_METHOD)


def test_figures_have_unit_order_basis_and_source(catalogue: Catalogue) -> None:
    """Each figure has a known unit, low <= likely <= high, a basis, and a source where it is published."""
    figures = list(catalogue.figures())
    assert len(figures) > 400
    assert [name for name, count in Counter(name for name, _ in figures).items() if count > 1] == []
    for name, figure in figures:
        assert figure.unit in UNITS, name
        assert figure.lowest <= figure.likely <= figure.highest, name
        assert all(math.isfinite(x) for x in (figure.lowest, figure.likely, figure.highest)), name
        assert figure.basis in get_args(shapes.Basis), name
        assert figure.basis != "published" or figure.source in catalogue.sources, name
        assert not figure.source or figure.source in catalogue.sources, name
        assert figure.unit != "share" or (figure.lowest >= 0 and figure.highest <= 1), name


def test_figures_of_the_package_are_nobodys_own_record(catalogue: Catalogue) -> None:
    """`own record` is for a grower's folder, not for what is handed to everybody."""
    assert [name for name, figure in catalogue.figures() if figure.basis == "own record"] == []


def test_permissions_say_why_and_by_whom(catalogue: Catalogue) -> None:
    """What is warned about or refused has a reason, what is published has a source."""
    permissions = _of(catalogue, shapes.Permission)
    assert len(permissions) > 100
    for name, permission in permissions:
        assert isinstance(permission, shapes.Permission)
        assert permission.verdict == "fine" or permission.why, name
        assert permission.basis != "published" or permission.source, name
        assert not permission.source or permission.source in catalogue.sources, name


def test_citations_lead_to_a_source(catalogue: Catalogue) -> None:
    """A key in square brackets, and each source of a caution, stands in the table of sources."""
    cited = _bracketed(catalogue)
    assert "stamets-1993" in cited
    assert cited <= set(catalogue.sources)
    assert {key for caution in catalogue.cautions.values() for key in caution.sources} <= set(
        catalogue.sources
    )


def test_no_source_is_an_orphan(catalogue: Catalogue) -> None:
    """Each source is cited by a figure, a permission, a caution, a text, or another room of the project."""
    cited = _bracketed(catalogue)
    for _, shape in catalogue.shapes():
        cited.add(getattr(shape, "source", ""))
        cited.update(getattr(shape, "sources", []))
    elsewhere = [
        path
        for room in ("scheduler", "tests")
        for path in (ROOT / room).rglob("*.py")
        if path != Path(__file__)
    ]
    code = "\n".join(path.read_text(encoding="utf-8") for path in elsewhere)
    assert [key for key in catalogue.sources if key not in cited and key not in code] == []


def test_sources_name_a_publisher(catalogue: Catalogue) -> None:
    """A source says where it was published, and not on which mirror or shop page it was read."""
    for key, source in catalogue.sources.items():
        assert source.title, key
        assert source.where, key
        assert not re.search(r"https?:|www\.|forum|blog|shop", source.where), key


def test_names_lead_to_things(catalogue: Catalogue) -> None:
    """Every method, wood, caution, stage and container that a profile names exists."""
    for name, species in catalogue.species.items():
        assert set(species.methods) <= set(catalogue.methods), name
        assert set(species.wood) <= set(catalogue.woods), name
        assert set(species.cautions) <= set(catalogue.cautions), name
    for name, method in catalogue.methods.items():
        assert set(method.cautions) <= set(catalogue.cautions), name
        assert {step.kind for step in method.steps} <= TASK_KINDS, name
    for treatment in catalogue.lab.treatment:
        assert set(treatment.containers) <= set(catalogue.lab.container), treatment.name
    assert {work.kind for work in catalogue.lab.bench} <= TASK_KINDS


def test_cautions_can_be_carried(catalogue: Catalogue) -> None:
    """Each caution belongs to known task kinds under conditions that name known things."""
    known = {
        "class": {"media", "grain", "bags"},
        "treatment": {"pressure", "steam", "tub"},
        "species": set(catalogue.species),
        "method": set(catalogue.methods),
        "chips": {"wetted in place", "soaked", "fermented"},
        "cut": {"wedge", "kerf"},
    }
    for key, caution in catalogue.cautions.items():
        assert caution.text and caution.body, key
        assert caution.kinds and set(caution.kinds) <= TASK_KINDS, key
        for condition in caution.when:
            subject, _, value = condition.partition(":")
            assert condition in ("lift", "tank", "lost", "open") or value in known[subject], (key, condition)


def test_what_a_method_lists_it_also_carries(catalogue: Catalogue) -> None:
    """A caution of a method falls on the task kinds of that method, under a condition that it meets."""
    for name, method in catalogue.methods.items():
        kinds = {step.kind for step in method.steps}
        for key in method.cautions:
            caution = catalogue.cautions[key]
            assert kinds & set(caution.kinds), (name, key)
            met = {"lift", f"method:{name}"} & set(caution.when)
            by_chips = method.wood == "chips" and any(c.startswith("chips:") for c in caution.when)
            assert not caution.when or met or by_chips, (name, key)


def test_every_species_has_days_for_all_stages(catalogue: Catalogue) -> None:
    """Days, consolidation, treatments and keeping are there for each stage of each species."""
    figures = dict(catalogue.figures())
    for name, species in catalogue.species.items():
        for stage in STAGES:
            parents = ("plate", "liquid culture", "grain") if stage == "grain" else ("",)
            for parent in parents:
                figure = figures[f"species.{name}.days.{stage}.{parent}".rstrip(".")]
                assert figure.lowest > species.days.lag.likely, (name, stage)
                assert figure.unit == "d", (name, stage)
        assert set(species.consolidation) == {"grain", "sawdust", "pellet", "dowels"}, name
        assert set(species.treatments) == {"grain", "sawdust", "pellet"}, name
        assert all(species.treatments.values()), name
        assert set(species.route) <= set(STAGES), name
        assert (
            species.rest.unit == "d"
            and species.first_flush.unit == "months"
            and species.years.unit == "years"
        )


def test_cardinal_temperatures_suit_the_growth_model(catalogue: Catalogue) -> None:
    """The optimum lies above the middle of min and max, as the model of Rosso, Lobry & Flandrois (1993) needs."""
    for name, species in catalogue.species.items():
        t = species.temperature
        assert t.min.likely < t.reference.likely < t.max.likely, name
        assert t.optimum.likely > (t.min.likely + t.max.likely) / 2, name


def test_every_treatment_of_a_species_has_times(catalogue: Catalogue) -> None:
    """For each stage and treatment that a species allows there are times, once for each container."""
    lab = catalogue.lab
    times = Counter((t.name, t.class_, box) for t in lab.treatment for box in t.containers)
    assert max(times.values()) == 1
    for name, species in catalogue.species.items():
        for stage, treatments in species.treatments.items():
            for treatment in treatments:
                time_class = "grain" if stage == "grain" else "bags"
                assert any(key[:2] == (treatment, time_class) for key in times), (name, stage, treatment)
    for box, container in lab.container.items():
        if container.tub_holds:
            assert ("tub", "bags", box) in times
        if container.pressure_holds and (container.grain or container.sawdust):
            assert {("pressure", "grain", box), ("pressure", "bags", box)} & set(times), box


def test_a_bag_load_holds_somebody_at_home_for_hours(catalogue: Catalogue) -> None:
    """A pressure load of 2.3 kg bags takes 4.5 to 5.5 hours on the premises for one hour of hands (common practice)."""
    load_of_bags = next(
        t for t in catalogue.lab.treatment if t.class_ == "bags" and "2.3 kg bag" in t.containers
    )
    minutes = load_of_bags.heat_up.likely + load_of_bags.hold.likely + load_of_bags.cool.likely
    assert 4.5 * 60 <= minutes <= minutes + load_of_bags.hands.likely <= 5.5 * 60
    assert load_of_bags.hands.likely == 60


def test_losses_and_keeping_are_complete(catalogue: Catalogue) -> None:
    """Each workspace has a loss and each stage a storage life; cleaner rooms lose less, fridges keep longer."""
    lab = catalogue.lab
    rates = {room: {loss.stage: loss.rate.likely for loss in losses} for room, losses in lab.losses.items()}
    assert all(set(by_stage) == set(STAGES) for by_stage in rates.values())
    for stage in STAGES:
        assert rates["still-air box"][stage] > rates["flow hood"][stage] > rates["clean room"][stage] > 0
        keeping = lab.keeping[stage]  # type: ignore[index]
        assert keeping.shelf_fresh.likely <= keeping.shelf_keeps.likely <= keeping.fridge_keeps.likely
        assert keeping.fridge_fresh.likely <= keeping.fridge_keeps.likely


def test_methods_have_their_figures_and_work(catalogue: Catalogue) -> None:
    """Each method has the geometry that the demand is worked out from, and a planting step."""
    for name, method in catalogue.methods.items():
        assert set(method.figures) >= FIGURES_OF_METHOD[name], name
        kinds = [step.kind for step in method.steps]
        assert kinds.count("plant") == 1 and len(kinds) == len(set(kinds)), name
        assert ("fell" in kinds) == ({"leaf_turn", "bud_swell"} <= set(method.needs)), name
        assert "{size}" in method.verb, name
        assert not any("chip" in supply.item for supply in method.supplies), name


def test_litter_species_stay_off_logs(catalogue: Catalogue) -> None:
    """A litter species is refused on every method but the chip bed, and no wood species is refused on all."""
    for name, species in catalogue.species.items():
        allowed = {
            method for method, permission in species.methods.items() if permission.verdict != "refused"
        }
        if species.group == "litter":
            assert allowed == {"chip bed"}, name
        assert allowed, name


def test_defaults_name_known_things(catalogue: Catalogue) -> None:
    """The default containers, workspace and cooker exist, and the default pattern is the likely one."""
    defaults, lab = catalogue.defaults, catalogue.lab
    assert defaults.workspace in lab.losses
    assert lab.container[defaults.grain_in].grain is not None
    assert lab.container[defaults.spawn_in].sawdust is not None
    holds = defaults.cooker["holds"]
    assert isinstance(holds, dict) and {defaults.grain_in, defaults.spawn_in} == set(holds)
    for box, count in holds.items():
        figure = lab.container[box].pressure_holds
        assert figure is not None and figure.likely == count
    figures = catalogue.methods["drilled logs"].figures
    assert (
        defaults.pattern
        == f"{figures['spacing_along_cm'].likely:g} x {figures['spacing_around_cm'].likely:g} cm"
    )
    assert (defaults.certainty, defaults.hours, defaults.small_minutes) == (0.9, {"sat": 4, "sun": 4}, 20)
    assert defaults.lead == {
        "culture": "14 d",
        "spawn": "21 d",
        "grain": "7 d",
        "chips": "21 d",
        "supplies": "14 d",
    }


def test_the_black_oak_log_weighs_as_published(catalogue: Catalogue) -> None:
    """Black oak of 5 x 40 in at 77 lb/ft3 (USDA Forest Service NRS-38) is the 35 lb log of Kentucky's FOR-83."""
    volume_m3 = math.pi / 4 * (5 * 0.0254) ** 2 * 40 * 0.0254
    assert volume_m3 * catalogue.woods["oak"].green_density.likely / 0.45359237 == pytest.approx(
        35.0, abs=0.05
    )


def test_half_a_gallon_of_grain_makes_four_bags(catalogue: Catalogue) -> None:
    """Half a gallon of grain spawn goes into four 5 lb bags (Stamets 1993), within the bands of jar and rate."""
    lab = catalogue.lab
    jar, bag = lab.container["half-gallon jar"].grain, lab.container["2.3 kg bag"].sawdust
    assert jar is not None and bag is not None
    rate = lab.inoculation_rate["sawdust"]
    assert jar.lowest <= 4 * bag.likely * rate.likely / 100 <= jar.highest

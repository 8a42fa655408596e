"""Things are found by all the names that a grower may write."""

from __future__ import annotations

import pytest

from scheduler.errors import ProfileError
from scheduler.trade.catalogue import Catalogue, load
from scheduler.trade.names import Names, normal


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The catalogue as it comes with the package."""
    return load()


@pytest.mark.parametrize(
    ("kind", "written", "canonical"),
    [
        ("species", "Nameko", "nameko"),
        ("species", "Pholiota nameko", "nameko"),
        ("species", "LENTINULA EDODES", "shiitake"),
        ("species", "oysters", "oyster"),
        ("species", "gray oyster mushrooms", "oyster"),
        ("species", "winecap", "wine cap"),
        ("species", "Lion’s Mane", "lion's mane"),
        ("species", "lions mane", "lion's mane"),
        ("species", "oak mushrooms", "shiitake"),
        ("species", "oak", None),
        ("species", "black forest", None),
        ("species", "portobello", None),
        ("wood", "Quercus", "oak"),
        ("wood", "White Oaks", "oak"),
        ("wood", "Prunus serotina", "black cherry"),
        ("wood", "birches", "birch"),
        ("wood", "black cherries", "black cherry"),
        ("wood", "Ostrya virginiana", "ironwood"),
        ("wood", "tulip poplar", "tulip-poplar"),
        ("wood", "box elder", "boxelder"),
        ("wood", "cottonwood", "poplar"),
        ("wood", "teak", None),
        ("method", "Drilled Log", "drilled logs"),
        ("method", "wedge cut logs", "wedge-cut logs"),
        ("method", "log rafts", "log raft"),
        ("method", "totems", "totem"),
        ("method", "wood-chip bed", "chip bed"),
        ("method", "hydroponics", None),
        ("container", "5 lb bag", "2.3 kg bag"),
        ("container", "5-pound bags", "2.3 kg bag"),
        ("container", "2.3kg bag", "2.3 kg bag"),
        ("container", "1 L jar", "quart jar"),
        ("container", "1-litre jars", "quart jar"),
        ("container", "qt jar", "quart jar"),
        ("container", "2 L jar", "half-gallon jar"),
        ("container", "½ gallon jar", "half-gallon jar"),
        ("container", "half gallon jars", "half-gallon jar"),
        ("container", "petri dishes", "plate"),
        ("container", "500 mL bottle", "culture bottle"),
        ("container", "bucket", None),
    ],
)
def test_find(catalogue: Catalogue, kind: str, written: str, canonical: str | None) -> None:
    """Common, botanical, plural, metric and imperial names lead to the canonical one, other words to None."""
    assert getattr(catalogue, f"find_{kind}")(written) == canonical


def test_canonical_names_find_themselves(catalogue: Catalogue) -> None:
    """Every canonical name and every alias of the catalogue leads to its own thing."""
    tables = {
        "species": {name: [s.botanical, *s.aliases] for name, s in catalogue.species.items()},
        "wood": {name: [w.botanical, *w.aliases] for name, w in catalogue.woods.items()},
        "method": {name: m.aliases for name, m in catalogue.methods.items()},
        "container": {name: c.aliases for name, c in catalogue.lab.container.items()},
    }
    for kind, table in tables.items():
        find = getattr(catalogue, f"find_{kind}")
        for canonical, aliases in table.items():
            assert [find(text) for text in (canonical, *aliases)] == [canonical] * (len(aliases) + 1)


def test_strain_codes_are_unique(catalogue: Catalogue) -> None:
    """No two species write the same code on a jar."""
    codes = [species.code for species in catalogue.species.values()]
    assert len(codes) == len(set(codes))


def test_two_things_of_one_name_are_refused() -> None:
    """A name that two things share raises ProfileError and says which two."""
    with pytest.raises(ProfileError, match=r"wood elm aliases: 'Oaks' also means 'oak'"):
        Names("wood", [("oak", []), ("elm", ["Oaks"])])


def test_different_sizes_stay_different() -> None:
    """Numbers and units are not blurred by the search."""
    assert normal("2.3 kg bag") != normal("23 kg bag")
    assert normal("1 L jar") != normal("2 L jar")
    assert normal("500 mL bottle") != normal("500 L bottle")

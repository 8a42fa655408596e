"""A broken profile says which file and which key; a grower's own folder is laid over ours."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.errors import ProfileError
from scheduler.trade import places
from scheduler.trade.catalogue import load
from scheduler.trade.places import data_folder

OYSTER, OAK = "species/oyster.toml", 'basis = "memory" }\n\n[wood."sugar'


def _own(folder: Path, file: str, *changes: tuple[str, str], as_file: str | None = None) -> Path:
    """A grower's folder holding our file with some text changed."""
    text = (data_folder("profiles") / file).read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    target = folder / (as_file or file)
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text(text, encoding="utf-8")
    return folder


@pytest.mark.parametrize(
    ("file", "old", "new", "key", "allowed"),
    [
        (OYSTER, 'botanical = "Pleurotus ostreatus"\n', "", "botanical", "Field required"),
        (OYSTER, 'code = "OYS"', 'code = "oyster"', "code", "pattern"),
        (OYSTER, 'group = "wood"', 'group = "wood"\ncolour = "grey"', "colour", "not permitted"),
        (OYSTER, "low = 12, likely = 16", "low = 17, likely = 16", "days.sawdust", "low 17.0 <= likely 16.0"),
        (OYSTER, 'source = "jongman-2013", ', "", "days.grain.plate", "needs a source key"),
        (OYSTER, 'verdict = "fine"', 'verdict = "perhaps"', "methods.drilled logs.verdict", "'fine'"),
        ("methods/totem.toml", 'piece = "totem"', 'piece = "pile"', "piece", "'totem'"),
        ("lab/rates.toml", "low = 0.05, likely = 0.1,", 'low = 0.05, likely = "much",', "handling.likely", "number"),
        ("lab/culture.toml", "enlarge = {", "enlarged = {", "culture.enlarge", "Field required"),
        ("wood.toml", OAK, OAK.replace("memory", "hearsay"), "wood.oak.fresh_moisture.basis", "'memory'"),
        ("cautions.toml", "kinds = [", "tasks = [", "caution.chainsaw.kinds", "Field required"),
        ("defaults.toml", "drills = 1", "drills = 1.5", "drills", "integer"),
    ],
)  # fmt: skip
def test_a_broken_file_is_named_with_its_key(
    tmp_path: Path, file: str, old: str, new: str, key: str, allowed: str
) -> None:
    """ProfileError gives the file, the key in it, and what would be allowed."""
    with pytest.raises(ProfileError) as caught:
        list(load(_own(tmp_path, file, (old, new))).shapes())
    where = f"{tmp_path / file} {key}"
    faults = {fault.where: fault for fault in caught.value.faults}
    assert allowed in faults[where].allowed
    assert where in str(caught.value)


def test_all_faults_of_a_file_come_at_once(tmp_path: Path) -> None:
    """Two mistakes in one file are two faults."""
    own = _own(tmp_path, OYSTER, ('code = "OYS"', 'code = "o"'), ('group = "wood"', 'group = "tree"'))
    with pytest.raises(ProfileError) as caught:
        len(load(own).species)
    assert [fault.where.split()[-1] for fault in caught.value.faults] == ["code", "group"]


def test_what_is_no_toml_is_named_with_its_line(tmp_path: Path) -> None:
    """A slip of the pen gives the file, and the line where it shows."""
    own = _own(tmp_path, OYSTER, ('name = "oyster"', 'name = "oyster'))
    with pytest.raises(ProfileError, match=r"oyster\.toml: no valid TOML: .*line 3"):
        len(load(own).species)


def test_what_is_no_text_is_named(tmp_path: Path) -> None:
    """A file that is not UTF-8 is refused like any other broken one."""
    (tmp_path / "wood.toml").write_bytes(b"\xff\xfe")
    with pytest.raises(ProfileError, match=r"wood\.toml: no valid TOML"):
        load(tmp_path)


def test_a_broken_source_is_named_with_its_key(tmp_path: Path) -> None:
    """A source of the grower's without a title is a fault of that source."""
    (tmp_path / "sources.toml").write_text('[my-notes]\nseen = "in source"\n', encoding="utf-8")
    with pytest.raises(ProfileError) as caught:
        len(load(tmp_path).sources)
    assert [fault.where for fault in caught.value.faults] == [f"{tmp_path / 'sources.toml'} my-notes.title"]


def test_two_lab_files_may_not_share_a_key(tmp_path: Path) -> None:
    """A key that two lab files give is refused with the names of both."""
    own = _own(tmp_path, "lab/culture.toml", as_file="lab/my-culture.toml")
    with pytest.raises(ProfileError, match=r"my-culture\.toml culture: also in profiles/lab/culture\.toml"):
        load(own)


def test_two_species_may_not_share_a_name(tmp_path: Path) -> None:
    """A second file for a species that has one is refused with its name."""
    own = _own(tmp_path, OYSTER, as_file="species/my-oyster.toml")
    with pytest.raises(ProfileError, match=r"oyster\.toml name: 'oyster' has a file already"):
        len(load(own).species)


def test_two_species_may_not_share_an_alias(tmp_path: Path) -> None:
    """An alias that means two species is refused when names are first looked up."""
    own = _own(tmp_path, OYSTER, ('"tree oyster"', '"winecap"'))
    with pytest.raises(ProfileError, match="also means"):
        load(own).find_species("nameko")


def test_only_what_is_looked_into_is_read(tmp_path: Path) -> None:
    """A broken species file does not get into the way of somebody who only needs a wood."""
    catalogue = load(_own(tmp_path, OYSTER, ('code = "OYS"', "")))
    assert catalogue.find_wood("oak") == "oak"
    with pytest.raises(ProfileError):
        catalogue.species["nameko"]


def test_a_species_is_added_by_one_file(tmp_path: Path) -> None:
    """One new file in a grower's folder is one more species, found by its names."""
    changes = (('name = "oyster"', 'name = "king oyster"'), ("Pleurotus ostreatus", "Pleurotus eryngii"),
               ('"grey oyster", "pearl oyster", "tree oyster", "winter oyster", "blue oyster"', '"french horn"'))  # fmt: skip
    catalogue = load(_own(tmp_path, OYSTER, *changes, as_file="species/king-oyster.toml"))
    assert set(catalogue.species) == {*load().species, "king oyster"}
    assert catalogue.find_species("French Horns") == "king oyster"
    assert catalogue.find_species("oyster") == "oyster"


def test_an_own_file_takes_the_place_of_ours(tmp_path: Path) -> None:
    """A file of the same name in a grower's folder replaces ours, and the rest stays."""
    own = _own(tmp_path, OYSTER, ('code = "OYS"', 'code = "PLE"'))
    (tmp_path / "sources.toml").write_text(
        '[my-notes]\ntitle = "Notes"\nseen = "in source"\n', encoding="utf-8"
    )
    catalogue = load(own)
    assert catalogue.species["oyster"].code == "PLE"
    assert catalogue.species["nameko"] == load().species["nameko"]
    assert catalogue.sources["my-notes"].title == "Notes"
    assert "uk-for-82" in catalogue.sources


def test_a_folder_that_is_not_there_is_refused(tmp_path: Path) -> None:
    """A wrong path to a grower's folder is said, not passed over."""
    with pytest.raises(ProfileError, match="no such folder"):
        load(tmp_path / "nowhere")


def test_data_inside_the_package_comes_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An installed package finds its data inside itself, a checkout finds it beside, and neither is an error."""
    monkeypatch.setattr(places, "_PACKAGE", tmp_path / "scheduler")
    with pytest.raises(ProfileError, match="profiles: no such data folder"):
        data_folder("profiles")
    beside, inside = tmp_path / "profiles", tmp_path / "scheduler" / "data" / "profiles"
    beside.mkdir()
    assert data_folder("profiles") == beside
    inside.mkdir(parents=True)
    assert data_folder("profiles") == inside

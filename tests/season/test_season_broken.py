"""Every file in ``broken`` has one fault, and its message is the one written down in ``expected.txt``."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.errors import SeasonError
from scheduler.season.wrong import listed

BROKEN = Path(__file__).parent / "broken"
EXPECTED = {
    line.split(".toml")[0]: [part.strip() for part in f"{line} ".split(" | ")]
    for line in (BROKEN / "expected.txt").read_text(encoding="utf-8").splitlines()
    if not line.startswith("#")
}


def _words(catalogue) -> dict[str, str]:
    nameko, lions_mane = catalogue.species["nameko"], catalogue.species["lion's mane"]
    methods = [name for name in catalogue.methods if lions_mane.methods[name].verdict == "fine"]
    woods = [name for name in catalogue.woods if name in nameko.wood and nameko.wood[name].verdict == "fine"]
    return {
        "<species>": listed(catalogue.species),
        "<methods>": listed(catalogue.methods),
        "<containers>": listed(catalogue.lab.container),
        "<grain jars>": ", ".join(name for name, box in catalogue.lab.container.items() if box.grain),
        "<methods for lion's mane>": listed(methods),
        "<why lion's mane in a chip bed>": lions_mane.methods["chip bed"].why,
        "<woods for nameko>": listed(woods),
        "<why nameko on walnut>": nameko.wood["walnut"].why,
        "<why nameko as grain>": nameko.grain_planting.why,
    }


@pytest.mark.parametrize("name", sorted(path.stem for path in BROKEN.glob("*.toml")))
def test_the_message_says_where_and_what_and_what_is_allowed(name, read, catalogue, monkeypatch):
    """File, line, key, what was found, what is allowed and the likely fix: all as expected, and nothing else."""
    monkeypatch.chdir(BROKEN)
    expected = EXPECTED[name]
    for placeholder, words in _words(catalogue).items():
        expected = [part.replace(placeholder, words) for part in expected]
    with pytest.raises(SeasonError) as caught:
        read(Path(f"{name}.toml"))
    assert [[one.where, one.found, one.allowed, one.hint] for one in caught.value.faults] == [expected]


def test_every_broken_file_has_its_message_and_every_message_its_file():
    """The table and the folder tell of the same files, and of enough of them."""
    assert set(EXPECTED) == {path.stem for path in BROKEN.glob("*.toml")}
    assert len(EXPECTED) >= 100

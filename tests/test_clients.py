"""What real programs make of a season: one that subscribes, one that imports, one in which a to-do is ticked."""

from __future__ import annotations

import re
from pathlib import Path

from scheduler.present.calendar_lines import plain
from tests.clients import Subscriber, khal, todoman
from tests.command import inside
from tests.february import DAY, TODAY, begun, planned
from tests.served import Served, served


def entries(data: bytes) -> list[str]:
    """Every event and to-do of a file but for its UID, which a subscriber may replace, in order."""
    text = data.replace(b"\r\n", b"\n").replace(b"\n ", b"").decode()
    found = re.findall(r"BEGIN:VEVENT.*?END:VEVENT|BEGIN:VTODO.*?END:VTODO", text, re.DOTALL)
    return sorted("\n".join(sorted(re.sub(r"^UID:.*\n", "", one, flags=re.M).split("\n"))) for one in found)


def value(entry: str, name: str) -> str:
    """The value of a property of an entry."""
    return next(line for line in entry.split("\n") if line.startswith(f"{name}:")).partition(":")[2]


def follows(subscriber: Subscriber, server: Served) -> dict[str, bytes]:
    """The subscriber's files after it has asked: the entries of the feed, each once."""
    subscriber.sync()
    found = subscriber.files()
    assert sorted(one for data in found.values() for one in entries(data)) == entries(server.ask().data)
    return found


def test_a_subscriber_follows_every_change_of_the_plan(tmp_path: Path) -> None:
    """vdirsyncer over four plans: lost jars, lost batches, one taken back; what is as it was is left alone."""
    season = begun(tmp_path)
    with served(season, *TODAY) as server:
        subscriber = Subscriber(tmp_path / "subscriber", server.address())
        held = [follows(subscriber, server)]
        for words in (["lost", "SHI-G1a", "3"], ["lost", "WIN-G1a"], ["undo"], ["lost", "WIN-G1a", "2"]):
            assert inside("record", "backyard", *words, *TODAY, cwd=tmp_path).code == 0
            assert inside("replan", "backyard", *TODAY, cwd=tmp_path).code == 0
            held.append(follows(subscriber, server))
            assert held[-1] != held[-2]
            assert held[-1].keys() & held[-2].keys(), "what is the same keeps its file"
        subscriber.sync()
        assert subscriber.files() == held[-1]


def test_importing_twice_shows_nothing_twice(tmp_path: Path) -> None:
    """khal, as a person reads it: after a replan each work of the lab once, on its new day."""
    begun(tmp_path)
    (tmp_path / "cal").mkdir()
    for words in ((), ("lost", "SHI-G1a", "3")):
        if words:
            assert inside("record", "backyard", *words, *TODAY, cwd=tmp_path).code == 0
            assert inside("replan", "backyard", *TODAY, cwd=tmp_path).code == 0
        assert inside("calendar", "backyard", "--split", "cal", *TODAY, cwd=tmp_path).code == 0
        khal(tmp_path, "import", "--batch", "-a", "season", tmp_path / "cal/lab.ics")
    told = entries((tmp_path / "cal/lab.ics").read_bytes())
    wanted = [(value(one, "DTSTART;VALUE=DATE"), plain(value(one, "SUMMARY"))) for one in told]
    listed = khal(tmp_path, "list", "--format", "{start-date} {title}", "-df", "", DAY, "400d")
    shown = [(line[:10].replace("-", ""), line[11:]) for line in listed.splitlines()]
    ahead = sorted(one for one in wanted if one[0] >= DAY.replace("-", ""))
    assert len(ahead) > 10
    assert sorted(one for one in shown if one in set(wanted)) == ahead
    gone = {summary for _, summary in shown} - {summary for _, summary in wanted}
    assert len(shown) - len(ahead) == sum(summary in gone for _, summary in shown)


def test_a_to_do_can_be_ticked(tmp_path: Path) -> None:
    """todoman over the to-dos that vdirsyncer fetched: one for each task, and a tick that it keeps."""
    with served(planned(tmp_path), *TODAY) as server:
        subscriber = Subscriber(tmp_path / "subscriber", server.address("to-dos.ics"))
        subscriber.sync()
        count = len(entries(server.ask("to-dos.ics").data))
    listed = todoman(tmp_path, subscriber.entries, "list").splitlines()
    assert len(listed) == count
    todoman(tmp_path, subscriber.entries, "done", "1")
    assert len(todoman(tmp_path, subscriber.entries, "list").splitlines()) == count - 1
    [ticked] = [data for data in subscriber.files().values() if b"STATUS:COMPLETED" in data]
    assert b"\nCOMPLETED" in ticked

"""`calendar` as it is called: files that update in place, and a book that knows what calendars were told."""

from __future__ import annotations

import json
import os
import re
import stat
import threading
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
import vobject
from freezegun import freeze_time

from scheduler.book.store import Book
from scheduler.cli.parts import when
from scheduler.ledger import Row
from scheduler.present.calendar_check import faults
from scheduler.present.files import Staging
from scheduler.service import calendars
from tests.command import Ended, example, inside, is_one_block, listing
from tests.february import TODAY, begun, in_other_letters, newest, planned
from tests.february import entries as recorded
from tests.folders import locked_folder
from tests.present.readers import READERS, TO_DO_READERS
from tests.sample import sample_plan
from tests.served import PATIENCE_S

ENDED = ("--today", "2027-06-10")
"""A day by which everything is planted."""


def calendar(*arguments: str | Path, cwd: Path) -> Ended:
    """Calls the command for the backyard."""
    return inside("calendar", "backyard", *arguments, cwd=cwd)


def entries(path: Path) -> dict[str, str]:
    """Each event or to-do of a file by its UID, unfolded."""
    text = path.read_bytes().decode().replace("\r\n ", "")
    found = re.findall(r"BEGIN:VEVENT.*?END:VEVENT|BEGIN:VTODO.*?END:VTODO", text, re.DOTALL)
    return {value(one, "UID"): one for one in found}


def value(entry: str, name: str) -> str:
    """The value of a property of an entry."""
    found = re.search(rf"^{name}[^:\r\n]*:(.*?)\r?$", entry, re.MULTILINE)
    assert found, name
    return found[1]


def numbers(path: Path) -> set[int]:
    """The sequence numbers of a file."""
    return {int(value(one, "SEQUENCE")) for one in entries(path).values()}


def ledger(season: Path) -> dict[str, Row]:
    """What calendars were told last."""
    with Book.open(season / "season.book", create=False) as book:
        return dict(book.ledger())


def lose_and_replan(folder: Path, *words: str) -> None:
    """Records a loss and plans onward."""
    assert inside("record", "backyard", "lost", *words, *TODAY, cwd=folder).code == 0
    assert inside("replan", "backyard", *TODAY, cwd=folder).code == 0


# -- events that update in place ---------------------------------------------------------------------------


def test_what_is_the_same_stays_the_same_to_the_last_byte(tmp_path: Path) -> None:
    """After a loss and a replan: new numbers and moments for what changed, the old bytes for what did not."""
    planned(tmp_path)
    first = calendar("-o", "a.ics", cwd=tmp_path)
    assert (first.code, first.out) == (0, "a.ics: 99 tasks and 14 orders of plan 1.\n")
    assert inside("record", "backyard", "done", "all", *TODAY, cwd=tmp_path).code == 0
    lose_and_replan(tmp_path, "SHI-G1a", "3")
    second = calendar("-o", "b.ics", *TODAY, cwd=tmp_path)
    assert re.fullmatch(
        r"b\.ics: \d+ tasks and \d+ orders \(\d+ new, \d+ changed, \d+ gone\) of plan 2\.\n", second.out
    )
    before, after = entries(tmp_path / "a.ics"), entries(tmp_path / "b.ics")
    kept = before.keys() & after.keys()
    same = {uid for uid in kept if before[uid] == after[uid]}
    assert len(same) >= 10
    assert kept - same
    for uid in kept - same:
        assert value(after[uid], "SEQUENCE") == "1"
        assert value(after[uid], "LAST-MODIFIED") > value(before[uid], "LAST-MODIFIED")
        assert value(after[uid], "CREATED") == value(before[uid], "CREATED")
    assert all(value(after[uid], "SEQUENCE") == "0" for uid in after.keys() - before.keys())
    assert "STATUS:CANCELLED" not in "".join(after.values())
    again = calendar("-o", "c.ics", *TODAY, cwd=tmp_path)
    assert "changed" not in again.out
    assert (tmp_path / "c.ics").read_bytes() == (tmp_path / "b.ics").read_bytes()


def test_moments_are_those_of_the_clock(tmp_path: Path) -> None:
    """Of a season without a day of its own: in UTC, and the day is the one where the season is."""
    season = example("backyard", tmp_path)
    file = season / "season.toml"
    assert when(season, None, sample_plan()).moment == datetime(2026, 11, 28, tzinfo=UTC)
    file.write_text(re.sub(r"^today .*\n", "", file.read_text("utf-8"), flags=re.MULTILINE), "utf-8")
    with freeze_time("2027-02-04 03:15:30"):
        found = when(season, None, sample_plan())
    assert (found.moment.isoformat(), found.day.isoformat()) == ("2027-02-04T03:15:30+00:00", "2027-02-03")


def test_an_undone_loss_leads_back_under_higher_numbers(tmp_path: Path) -> None:
    """What was dropped and comes back has the id it had, and a number above that of its removal."""
    season = begun(tmp_path)
    assert calendar("-o", "x.ics", *TODAY, cwd=tmp_path).code == 0
    before = entries(tmp_path / "x.ics")
    lose_and_replan(tmp_path, "WIN-G1a")
    assert calendar("-o", "x.ics", *TODAY, cwd=tmp_path).code == 0
    dropped = before.keys() - entries(tmp_path / "x.ics").keys()
    gone = {uid for uid, row in ledger(season).items() if row.removed_on}
    assert dropped <= gone
    assert inside("record", "backyard", "undo", *TODAY, cwd=tmp_path).code == 0
    assert inside("replan", "backyard", *TODAY, cwd=tmp_path).code == 0
    assert calendar("-o", "x.ics", *TODAY, cwd=tmp_path).code == 0
    after = entries(tmp_path / "x.ics")
    back = dropped & after.keys()
    assert back
    assert {value(after[uid], "SEQUENCE") for uid in back} == {"2"}


def test_a_season_in_other_letters(tmp_path: Path) -> None:
    """Japanese, emoji, commas, semicolons, quotes and backslashes in all names, read alike by every program."""
    season = in_other_letters(tmp_path)
    files = ("-o", "a.ics", "--todos", "t.ics", "--alarm", "morning")
    assert calendar(*files, cwd=tmp_path).code == 0
    titles = {task.title for task in newest(season).plan.tasks}
    assert any('椎茸の山; 北, "上" \\n 👩‍🌾🪵' in title for title in titles)
    for name, readers in (("a.ics", READERS), ("t.ics", TO_DO_READERS)):
        data = (tmp_path / name).read_bytes()
        assert faults(data) == []
        for reader in readers.values():
            assert titles <= {entry[2] for entry in reader(data).values()}
    assert "X-WR-CALNAME:春の茸\\, 榾木\\; a\\\\New 🍄: to-dos\r\n".encode() in data
    assert calendar(*files, cwd=tmp_path).code == 0
    assert (tmp_path / "t.ics").read_bytes() == data


LONGEST = 100
"""Letters of the longest text that a season file takes."""


def oddest(what: str) -> str:
    """The longest and oddest name that a season file takes; what it names tells it from others."""
    text = f'{what}: a, b; "c" \\n \\, C:\\North = ^n <b> 👩‍🌾🪵 مرحبا é ＢＥＧＩＮ:VEVENT '
    return text + "茸" * (LONGEST - len(text))


def written_oddly(folder: Path) -> Path:
    """The season with such a text in each place that takes one."""
    season = example("backyard", folder)
    file = season / "season.toml"
    text = file.read_text("utf-8")
    for name in ("Fern Hollow, spring 2027", "Oak stack", "Currant bed"):
        text = text.replace(f'"{name}"', json.dumps(oddest(name), ensure_ascii=False))
    jar, strain = (json.dumps(oddest(what), ensure_ascii=False) for what in ("jar", "strain"))
    text = text.replace('species = "shiitake"\n', f'species = "shiitake"\nstrain = {strain}\n', 1)
    own = f'[lab.containers.{jar}]\nvolume = "1 L"\ngrain = "500 g"\n\n'
    own += f'[[lab.cooker]]\nkind = "pressure cooker"\nholds = {{ {jar} = 7, "2.3 kg bag" = 3 }}\n\n'
    text = text.replace("[lab]\n", f"[lab]\ngrain_in = {jar}\n").replace(
        "# Two syringes", f"{own}# Two syringes"
    )
    file.write_text(text, "utf-8")
    return season


def test_the_longest_and_oddest_texts_of_a_season_arrive_whole(tmp_path: Path) -> None:
    """Each name that a season file takes, in titles and texts, in every program and on the second export."""
    season = written_oddly(tmp_path)
    files = ("-o", "a.ics", "--todos", "t.ics", "--helpers", "h.ics", "--alarm", "morning")
    assert calendar(*files, cwd=tmp_path).code == 0
    tasks = newest(season).plan.tasks
    for name, readers in (("a.ics", READERS), ("t.ics", TO_DO_READERS), ("h.ics", READERS)):
        data = (tmp_path / name).read_bytes()
        assert faults(data) == []
        assert (
            vobject.readOne(data.decode())
            .contents["name"][0]
            .value.startswith(oddest("Fern Hollow, spring 2027"))
        )
        for reader in readers.values():
            read = reader(data).values()
            titles, texts = {entry[2] for entry in read}, "\n".join(entry[3] for entry in read)
            if name != "h.ics":
                assert {task.title for task in tasks} <= titles
            for what in ("Oak stack", "Currant bed", *(["jar", "strain"] if name != "h.ics" else [])):
                assert oddest(what) in texts, what
    before = listing(tmp_path)
    assert calendar(*files, cwd=tmp_path).code == 0
    assert listing(tmp_path) == before


@pytest.mark.parametrize(
    "text",
    [
        "x" * (LONGEST + 1),
        "note " * 600,
        "a\nb",
        "a\x07b",
        "a\x1b[31mb",
        "a\x85b",
        "a\u2028b",
        "a\u202eb",
        " ",
    ],
    ids=["longer", "3000", "line", "bell", "escape", "next line", "separator", "right to left", "nothing"],
)
@pytest.mark.parametrize("place", ["Fern Hollow, spring 2027", "Oak stack"])
def test_a_text_that_no_season_takes_reaches_no_calendar(text: str, place: str, tmp_path: Path) -> None:
    """One block says where it stands and what is allowed; the files stay as they were."""
    season = planned(tmp_path)
    files = ("-o", "a.ics", "--todos", "t.ics")
    assert calendar(*files, cwd=tmp_path).code == 0
    file = season / "season.toml"
    file.write_text(file.read_text("utf-8").replace(f'"{place}"', json.dumps(text)), "utf-8")
    before = listing(tmp_path)
    ended = calendar(*files, "--alarm", "morning", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert re.search(r"season\.toml:\d+ (season|planting\[0\])\.name", ended.err)
    assert {"text in quotes", f"one line of at most {LONGEST} printable letters"} & {
        line.partition("allowed")[2].strip() for line in ended.err.splitlines()
    }
    assert listing(tmp_path) == before


def test_what_was_noted_in_the_book_is_told_to_no_calendar(tmp_path: Path) -> None:
    """3,000 letters of any kind beside a loss: the plan changes, and no file says why."""
    season = begun(tmp_path)
    note = "mould\x07\x1b[31m, blue; 茸 👩‍🌾 BEGIN:VEVENT\r\n" * 80
    assert len(note) > 3000
    lose_and_replan(tmp_path, "WIN-G1a", note)
    assert any("mould" in one.entry.seen and len(one.entry.seen) > 2000 for one in recorded(season))
    assert calendar("-o", "a.ics", "--todos", "t.ics", "--once", *TODAY, cwd=tmp_path).code == 0
    for name in ("a.ics", "t.ics"):
        data = (tmp_path / name).read_bytes()
        assert faults(data) == []
        assert "mould, blue" not in data.decode().replace("\r\n ", "").replace("\\", "")
        assert b"\x07" not in data


# -- one-off files -------------------------------------------------------------------------------------------


def test_a_file_for_importing_once_cancels_what_left_the_plan(tmp_path: Path) -> None:
    """What lay ahead is cancelled under a raised number, what was done is not; the feed has none of it."""
    planned(tmp_path)
    assert calendar("-o", "a.ics", "--todos", "t.ics", cwd=tmp_path).code == 0
    assert inside("record", "backyard", "done", "all", *TODAY, cwd=tmp_path).code == 0
    lose_and_replan(tmp_path, "WIN-G1a")
    assert calendar("-o", "once.ics", "--todos", "once-todos.ics", "--once", *TODAY, cwd=tmp_path).code == 0
    before, once = entries(tmp_path / "a.ics"), entries(tmp_path / "once.ics")
    cancelled = {uid: one for uid, one in once.items() if value(one, "STATUS") == "CANCELLED"}
    assert {value(one, "SUMMARY") for one in cancelled.values()} == {
        "Cancelled: Look at WIN-G1a for release",
        "Cancelled: Keep back WIN-G1a/5",
        "Cancelled: Move WIN-G1a to the fridge",
    }
    for uid, one in cancelled.items():
        assert value(one, "SEQUENCE") == "1"
        assert value(one, "DTSTART") == value(before[uid], "DTSTART")
    states = [value(one, "STATUS") for one in entries(tmp_path / "once-todos.ics").values()]
    assert states.count("CANCELLED") == 3
    assert states.count("COMPLETED") >= 29
    for name, readers in (("once.ics", READERS), ("once-todos.ics", TO_DO_READERS)):
        data = (tmp_path / name).read_bytes()
        assert faults(data) == []
        assert all(reader(data) for reader in readers.values())
    assert calendar("-o", "feed.ics", *TODAY, cwd=tmp_path).code == 0
    assert entries(tmp_path / "feed.ics").keys() == once.keys() - cancelled.keys()
    again = calendar("-o", "again.ics", "--once", *TODAY, cwd=tmp_path)
    assert again.code == 0
    assert (tmp_path / "again.ics").read_bytes() == (tmp_path / "once.ics").read_bytes()


def test_once_the_season_is_over_nothing_is_cancelled_any_more(tmp_path: Path) -> None:
    """A tombstone has done its work by then."""
    planned(tmp_path)
    assert calendar("-o", "a.ics", cwd=tmp_path).code == 0
    assert inside("record", "backyard", "done", "all", *TODAY, cwd=tmp_path).code == 0
    lose_and_replan(tmp_path, "WIN-G1a")
    assert calendar("-o", "b.ics", "--once", "--today", "2027-06-15", cwd=tmp_path).code == 0
    assert b"CANCELLED" not in (tmp_path / "b.ics").read_bytes()


# -- other files ---------------------------------------------------------------------------------------------


def test_to_dos_are_a_file_of_their_own(tmp_path: Path) -> None:
    """The same work under other ids, due on its last day; what is done is no longer to do."""
    planned(tmp_path)
    ended = calendar("-o", "a.ics", "--todos", "t.ics", cwd=tmp_path)
    assert (
        ended.out == "a.ics: 99 tasks and 14 orders of plan 1.\nt.ics: 99 to-dos and 14 orders of plan 1.\n"
    )
    events, to_dos = entries(tmp_path / "a.ics"), entries(tmp_path / "t.ics")
    assert not events.keys() & to_dos.keys()
    ends = ((value(e, "SUMMARY"), date.fromisoformat(value(e, "DTEND"))) for e in events.values())
    assert sorted((summary, f"{end - timedelta(days=1):%Y%m%d}") for summary, end in ends) == sorted(
        (value(t, "SUMMARY"), value(t, "DUE")) for t in to_dos.values()
    )
    assert inside("record", "backyard", "done", "all", *TODAY, cwd=tmp_path).code == 0
    ended = calendar("--todos", "t.ics", cwd=tmp_path)
    assert " gone) of plan 1." in ended.out
    assert 0 < len(entries(tmp_path / "t.ics")) < len(to_dos)
    assert faults((tmp_path / "t.ics").read_bytes()) == []


def test_a_folder_takes_a_file_for_each_category(tmp_path: Path) -> None:
    """Together they are the one file, entry for entry; each has a name that tells it from the others."""
    planned(tmp_path)
    (tmp_path / "cal").mkdir()
    assert calendar("-o", "a.ics", cwd=tmp_path).code == 0
    ended = calendar("--split", "cal", cwd=tmp_path)
    assert ended.out == (
        "cal/lab.ics: 45 tasks of plan 1.\n"
        "cal/yard.ics: 50 tasks of plan 1.\n"
        "cal/other.ics: 4 tasks of plan 1.\n"
        "cal/orders.ics: 14 orders of plan 1.\n"
    )
    parts: dict[str, str] = {}
    for path in sorted((tmp_path / "cal").iterdir()):
        data = path.read_bytes()
        assert faults(data) == []
        assert f"NAME:Fern Hollow\\, spring 2027: {path.stem}\r\n".encode() in data
        parts |= entries(path)
    assert parts == entries(tmp_path / "a.ics")


def test_a_category_that_has_become_empty_is_emptied(tmp_path: Path) -> None:
    """A file that calendars follow stays a calendar when nothing is left in it."""
    planned(tmp_path)
    (tmp_path / "cal").mkdir()
    assert inside("record", "backyard", "done", "all", *ENDED, cwd=tmp_path).code == 0
    assert inside("replan", "backyard", *ENDED, cwd=tmp_path).code == 0  # nothing but care is left
    (tmp_path / "cal/lab.ics").write_text("nothing of ours")
    assert calendar("--split", "cal", *ENDED, cwd=tmp_path).code == 0
    data = (tmp_path / "cal/lab.ics").read_bytes()
    assert faults(data) == []
    assert b"BEGIN:VEVENT" not in data


@pytest.mark.parametrize("words", ["evening before", "morning", "90 min before"])
def test_alarms_are_added_by_an_option(words: str, tmp_path: Path) -> None:
    """One for each entry, which is a change like any other; without the option there is none."""
    planned(tmp_path)
    assert calendar("-o", "a.ics", cwd=tmp_path).code == 0
    assert b"VALARM" not in (tmp_path / "a.ics").read_bytes()
    ended = calendar("-o", "b.ics", "--alarm", words, cwd=tmp_path)
    assert "(113 changed)" in ended.out
    data = (tmp_path / "b.ics").read_bytes()
    assert data.count(b"BEGIN:VALARM") == 113
    assert faults(data) == []
    assert numbers(tmp_path / "b.ics") == {1}


def test_hours_of_the_season_file_arrive_in_the_calendar(tmp_path: Path) -> None:
    """`at` under [people] makes hours of the work of a weekday, in the season's own zone."""
    season = example("backyard", tmp_path)
    file = season / "season.toml"
    text = file.read_text(encoding="utf-8").replace("[people]", '[people]\nat = { sat = "09:00" }')
    file.write_text(text, encoding="utf-8")
    assert calendar("-o", "x.ics", cwd=tmp_path).code == 0
    data = (tmp_path / "x.ics").read_bytes()
    assert faults(data) == []
    assert b"DTSTART;TZID=America/New_York:20270116T090000\r\n" in data
    assert b"DTSTART;VALUE=DATE:20270110\r\n" in data
    for reader in READERS.values():
        assert len(reader(data)) == 113


def test_hours_may_be_said_under_way(tmp_path: Path) -> None:
    """A kept plan need not be made anew for them, and they can be taken back."""
    season = begun(tmp_path)
    file = season / "season.toml"
    text = file.read_text(encoding="utf-8")
    assert calendar("-o", "x.ics", *TODAY, cwd=tmp_path).code == 0
    file.write_text(text.replace("[people]", '[people]\nat = { sat = "09:00" }'), encoding="utf-8")
    ended = calendar("-o", "y.ics", *TODAY, cwd=tmp_path)
    assert re.search(r"\(\d+ changed\) of plan 1", ended.out)
    assert b"DTSTART;TZID=America/New_York:20270206T090000\r\n" in (tmp_path / "y.ics").read_bytes()
    file.write_text(text, encoding="utf-8")
    assert calendar("-o", "z.ics", *TODAY, cwd=tmp_path).code == 0
    assert b"TZID" not in (tmp_path / "z.ics").read_bytes()
    assert 2 in numbers(tmp_path / "z.ics")


# -- a ledger that is lost -----------------------------------------------------------------------------------


def lost(season: Path) -> None:
    """The book is gone; the season is planned anew."""
    (season / "season.book").unlink()
    assert inside("plan", "backyard", cwd=season.parent).code == 0


def test_a_lost_ledger_is_rebuilt_from_the_last_file(tmp_path: Path) -> None:
    """From a file that is named: the next export is the same to the last byte."""
    season = planned(tmp_path)
    for words in ((), ("--alarm", "morning"), ()):
        assert calendar("-o", "last.ics", *words, cwd=tmp_path).code == 0
    told = ledger(season)
    lost(season)
    ended = calendar("--adopt", "last.ics", cwd=tmp_path)
    assert (ended.code, ended.out) == (0, "last.ics: 113 entries taken up into the book.\n")
    assert ledger(season) == told
    assert calendar("-o", "x.ics", cwd=tmp_path).code == 0
    assert (tmp_path / "x.ics").read_bytes() == (tmp_path / "last.ics").read_bytes()


def test_the_file_to_be_overwritten_is_taken_up_by_itself(tmp_path: Path) -> None:
    """Where the ledger is empty and that file is ours; else numbers would begin anew unseen."""
    season = planned(tmp_path)
    for words in ((), ("--alarm", "morning")):
        assert calendar("-o", "x.ics", *words, cwd=tmp_path).code == 0
    lost(season)
    ended = calendar("-o", "x.ics", cwd=tmp_path)
    assert ended.out.splitlines()[0] == "x.ics: 113 entries taken up into the book."
    assert numbers(tmp_path / "x.ics") == {2}


@pytest.mark.parametrize(
    "first", [("-o", "new.ics"), ("-o", "new.ics", "--todos", "u.ics")], ids=["other kind", "same kind"]
)
def test_it_is_taken_up_whatever_the_new_book_has_told_already(
    first: tuple[str, ...], tmp_path: Path
) -> None:
    """Other files, or a feed that was served meanwhile: the numbers of each file count on from its own."""
    season = planned(tmp_path)
    for words in ((), ("--alarm", "morning"), ("--alarm", "2 h before")):
        assert calendar("--todos", "t.ics", *words, cwd=tmp_path).code == 0
    before = entries(tmp_path / "t.ics")
    assert numbers(tmp_path / "t.ics") == {2}
    lost(season)
    assert calendar(*first, cwd=tmp_path).code == 0
    ended = calendar("--todos", "t.ics", "--alarm", "3 h before", cwd=tmp_path)
    assert ended.out.splitlines()[0] == "t.ics: 113 entries taken up into the book."
    assert numbers(tmp_path / "t.ics") == {3}
    after = entries(tmp_path / "t.ics")
    assert all(value(after[uid], "LAST-MODIFIED") > value(before[uid], "LAST-MODIFIED") for uid in after)


def test_a_file_that_the_book_knows_tells_it_nothing(tmp_path: Path) -> None:
    """Nor does an older one: nothing is said of taking up, and no number falls."""
    season = planned(tmp_path)
    assert calendar("-o", "x.ics", cwd=tmp_path).code == 0
    old = (tmp_path / "x.ics").read_bytes()
    for words in (("--alarm", "morning"), ("--alarm", "morning"), ()):
        assert calendar("-o", "x.ics", *words, cwd=tmp_path).out.startswith("x.ics: 99 tasks")
    told = ledger(season)
    (tmp_path / "x.ics").write_bytes(old)
    assert calendar("-o", "x.ics", cwd=tmp_path).out == "x.ics: 99 tasks and 14 orders of plan 1.\n"
    assert ledger(season) == told
    assert numbers(tmp_path / "x.ics") == {2}


def test_a_file_that_shows_something_else_under_the_same_numbers_is_overruled(tmp_path: Path) -> None:
    """Programs may have either: all is numbered above both."""
    season = planned(tmp_path)
    assert calendar("-o", "a.ics", "--alarm", "morning", cwd=tmp_path).code == 0
    lost(season)
    assert calendar("-o", "b.ics", cwd=tmp_path).code == 0
    before, other = entries(tmp_path / "b.ics"), entries(tmp_path / "a.ics")
    assert numbers(tmp_path / "a.ics") == numbers(tmp_path / "b.ics") == {0}
    assert calendar("-o", "b.ics", "--adopt", "a.ics", cwd=tmp_path).code == 0
    assert numbers(tmp_path / "b.ics") == {1}
    for uid, one in entries(tmp_path / "b.ics").items():
        for earlier in (before[uid], other[uid]):
            assert value(one, "LAST-MODIFIED") > value(earlier, "LAST-MODIFIED")


def test_several_files_are_taken_up_at_once(tmp_path: Path) -> None:
    """Those of a folder, and that of the to-dos; tombstones count as gone."""
    season = planned(tmp_path)
    (tmp_path / "cal").mkdir()
    assert calendar("--split", "cal", "--todos", "t.ics", cwd=tmp_path).code == 0
    told = ledger(season)
    lost(season)
    files = [*sorted((tmp_path / "cal").iterdir()), tmp_path / "t.ics"]
    adopt = [part for path in files for part in ("--adopt", str(path))]
    assert calendar(*adopt, cwd=tmp_path).code == 0
    assert ledger(season) == told


def test_tombstones_are_taken_up_as_gone(tmp_path: Path) -> None:
    """What an adopted file has cancelled is cancelled again in the next, under the same number."""
    season = planned(tmp_path)
    assert calendar("-o", "a.ics", cwd=tmp_path).code == 0
    assert inside("record", "backyard", "done", "all", *TODAY, cwd=tmp_path).code == 0
    lose_and_replan(tmp_path, "WIN-G1a")
    assert calendar("-o", "b.ics", "--once", *TODAY, cwd=tmp_path).code == 0
    assert inside("book", "export", "backyard", "all.jsonl", cwd=tmp_path).code == 0
    lines = (tmp_path / "all.jsonl").read_text("utf-8").splitlines()
    kept = [line for line in lines if not line.startswith('{"uid"')]
    kept[0] = re.sub(r'"calendar": \d+', '"calendar": 0', kept[0])
    (tmp_path / "all.jsonl").write_text("\n".join(kept) + "\n", "utf-8")
    (season / "season.book").unlink()
    assert inside("book", "import", "backyard", "all.jsonl", cwd=tmp_path).code == 0
    assert ledger(season) == {}
    assert calendar("-o", "c.ics", "--once", "--adopt", "b.ics", *TODAY, cwd=tmp_path).code == 0
    assert (tmp_path / "c.ics").read_bytes() == (tmp_path / "b.ics").read_bytes()


def test_where_the_file_is_lost_too_everything_is_numbered_higher(tmp_path: Path) -> None:
    """By the seconds of the machine's clock, also where a day before that is told; the next counts on from there."""
    season = planned(tmp_path)
    assert calendar("-o", "a.ics", cwd=tmp_path).code == 0
    lost(season)
    with freeze_time("2027-03-01"):
        assert calendar("-o", "x.ics", "--renumber", "--today", "2026-11-28", cwd=tmp_path).code == 0
    assert numbers(tmp_path / "x.ics") == {1803859200}
    assert calendar("-o", "x.ics", "--alarm", "morning", cwd=tmp_path).code == 0
    assert numbers(tmp_path / "x.ics") == {1803859201}


def of_another_season(folder: Path) -> str:
    """A calendar file of the example in the south."""
    example("south", folder)
    assert inside("calendar", "south", "-o", "other.ics", cwd=folder).code == 0
    return "other.ics"


def of_another_program(folder: Path) -> str:
    """Somebody else's calendar."""
    text = (folder / "x.ics").read_text("utf-8").replace("//Budswell//", "//Somebody//")
    (folder / "other.ics").write_bytes(text.encode())
    return "other.ics"


def cut_off(folder: Path) -> str:
    """The first half of a file of ours."""
    (folder / "half.ics").write_bytes((folder / "x.ics").read_bytes()[:9000])
    return "half.ics"


def with_one(name: str, changed: str) -> Callable[[Path], str]:
    """A file of ours with another line in the place of the first of a name."""

    def made(folder: Path) -> str:
        text = (folder / "x.ics").read_bytes().decode()
        (folder / "odd.ics").write_bytes(
            re.sub(rf"\r\n{name}.*\r\n", f"\r\n{changed}\r\n", text, count=1).encode()
        )
        return "odd.ics"

    return made


def under_another_name(folder: Path) -> str:
    """A file that was written before the season had another name."""
    file = folder / "backyard/season.toml"
    file.write_text(file.read_text("utf-8").replace("Fern Hollow", "Oak Hollow"), "utf-8")
    return "x.ics"


ODD = {
    "no number": ("SEQUENCE", "X-NONE:0", "invalid literal"),
    "a negative number": ("SEQUENCE", "SEQUENCE:-1", "SEQUENCE:-1"),
    "the last number": ("SEQUENCE", "SEQUENCE:2147483647", "SEQUENCE:2147483647"),
    "an endless number": ("SEQUENCE", f"SEQUENCE:{9**25}", f"SEQUENCE:{9**25}"),
    "created later": ("CREATED", "CREATED:20360101T000000Z", "LAST-MODIFIED is earlier than CREATED"),
    "created in antiquity": ("CREATED", "CREATED:02010101T000000Z", "CREATED lies in the year 201"),
    "created at first": ("CREATED", "CREATED:00010101T000000Z", "CREATED lies in the year 1"),
    "changed at last": (
        "LAST-MODIFIED",
        "LAST-MODIFIED:99991231T235959Z",
        "LAST-MODIFIED lies in the year 9999",
    ),
    "the first day": ("DTEND", "DTEND;VALUE=DATE:00010101", "DTEND lies in the year 1"),
    "the last day": ("DTSTART", "DTSTART;VALUE=DATE:99991231", "DTSTART lies in the year 9999"),
    "no title": ("SUMMARY", "SUMMARY:\x07", "SUMMARY is empty"),
}
"""Damage to one entry: the line, what stands there instead, what is said of it."""


@pytest.mark.parametrize("name", ODD)
def test_a_damaged_file_that_is_overwritten_is_taken_up_as_far_as_it_can_be_read(
    name: str, tmp_path: Path
) -> None:
    """A sound one takes its place; every other entry counts on from its own number."""
    season = planned(tmp_path)
    line, changed, _ = ODD[name]
    for words in ((), ("--alarm", "morning")):
        assert calendar("-o", "x.ics", *words, cwd=tmp_path).code == 0
    with_one(line, changed)(tmp_path)
    lost(season)
    ended = calendar("-o", "odd.ics", cwd=tmp_path)
    assert ended.out.startswith("odd.ics: 112 entries taken up into the book.\n")
    assert faults((tmp_path / "odd.ics").read_bytes()) == []
    counted = Counter(int(value(one, "SEQUENCE")) for one in entries(tmp_path / "odd.ics").values())
    assert counted == {2: 112, 0: 1}


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (of_another_season, 'it is of another season: "'),
        (of_another_program, "this is no calendar that budswell has written"),
        (cut_off, "this is no calendar that budswell has written"),
        (under_another_name, 'it is of another season: "Fern Hollow, spring 2027"'),
        *((with_one(*odd[:2]), f"this entry cannot be read: {odd[2]}") for odd in ODD.values()),
        (lambda folder: "backyard/season.toml", "this is no calendar that budswell has written"),
        (lambda folder: "backyard", "it cannot be read: "),
        (lambda folder: "gone.ics", "it cannot be read: No such file"),
    ],
    ids=["season", "program", "half", "renamed", *ODD, "text", "folder", "missing"],
)
def test_a_file_that_is_not_of_this_season_is_refused(
    make: Callable[[Path], str], words: str, tmp_path: Path
) -> None:
    """One block that says which file and why, before a plan or a line of the book is written."""
    season = planned(tmp_path)
    assert calendar("-o", "x.ics", cwd=tmp_path).code == 0
    name = make(tmp_path)
    (season / "season.book").unlink()
    before = listing(tmp_path)
    for more in ([], ["-o", "y.ics"]):
        ended = calendar("--adopt", name, *more, cwd=tmp_path)
        assert ended.code == 2
        is_one_block(ended)
        assert name in ended.err
        assert words in " ".join(ended.err.split())
        assert listing(tmp_path) == before


def test_a_season_under_another_name_is_given_its_old_id(tmp_path: Path) -> None:
    """What the block says leads back to the old numbers; a file of the to-dos says the same."""
    season = planned(tmp_path)
    assert calendar("-o", "x.ics", "--todos", "t.ics", "--alarm", "morning", cwd=tmp_path).code == 0
    told = ledger(season)
    under_another_name(tmp_path)
    (season / "season.book").unlink()
    hints = set()
    for name in ("x.ics", "t.ics"):
        ended = calendar("--adopt", name, cwd=tmp_path)
        assert ended.code == 2
        is_one_block(ended)
        said = " ".join(ended.err.split())
        hints |= set(re.findall(r'was renamed: (id = "[0-9a-f-]{36}") below \[season\]', said))
    [hint] = hints
    file = season / "season.toml"
    file.write_text(file.read_text("utf-8").replace("[season]", f"[season]\n{hint}"), "utf-8")
    assert calendar("--adopt", "x.ics", "--adopt", "t.ics", cwd=tmp_path).code == 0
    assert ledger(season) == told


@pytest.mark.parametrize("option", ["--output", "--todos", "--helpers", "--adopt"])
def test_what_is_no_plain_file_stays_what_it_is(option: str, tmp_path: Path) -> None:
    """A pipe, also where a link leads to it: nothing takes its place, and nobody waits for its other end."""
    planned(tmp_path)
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "link").symlink_to("pipe")
    other_end = os.open(tmp_path / "pipe", os.O_RDWR)
    end = threading.Timer(PATIENCE_S, os.close, [other_end])  # for whoever waits for it after all
    end.start()
    before = sorted(path.name for path in tmp_path.rglob("*"))
    for name in ("pipe", "link"):
        ended = calendar(option, name, cwd=tmp_path)
        assert ended.code == 2
        is_one_block(ended)
        assert "this is no plain file" in ended.err
    if end.is_alive():
        end.cancel()
        os.close(other_end)
    assert stat.S_ISFIFO((tmp_path / "pipe").stat().st_mode)
    assert sorted(path.name for path in tmp_path.rglob("*")) == before


# -- wrong calls, and what goes wrong on the way -------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([], "Missing option '--output', '--todos', '--split', '--helpers' or '--adopt'."),
        (["--once"], "Missing option"),
        (["-o", "x.ics", "--alarm", "evning"], 'did you mean "evening before"?'),
        (["-o", "x.ics", "--alarm", "60 d before"], "from 1 min to 28 d before"),
        (["-o", "x.ics", "--todos", "x.ics"], "two files of this call"),
        (["-o", "cal/lab.ics", "--split", "cal"], "two files of this call"),
        (["--todos", "gone/x.ics"], "the folder is not there"),
        (["--split", "gone"], "the folder is not there"),
        (["--split", "backyard/season.toml"], "the folder is not there"),
        (["--todos", "backyard/season.toml"], "this is the season itself"),
        (["--todos", "backyard/season.book"], "this is the season itself"),
        (["-o", "backyard/season.feed"], "this is the season itself"),
        (["--helpers", "backyard/figures.toml"], "this is the season itself"),
        (["-o", "x.ics", "--dry-run"], "nothing is pushed or pulled"),
        (["--adopt", "x.ics", "--renumber"], "no file is written"),
        (["--adopt", "x.ics", "--once"], "no file is written"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_a_call_that_cannot_work_changes_nothing(arguments: list[str], words: str, tmp_path: Path) -> None:
    """Exit code 2 and one block; neither a plan nor a file is written."""
    example("backyard", tmp_path)
    (tmp_path / "cal").mkdir()
    before = listing(tmp_path)
    ended = calendar(*arguments, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert words in " ".join(ended.err.split())
    assert listing(tmp_path) == before


def test_a_file_that_our_own_check_refuses_is_not_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A bug of ours ends with exit code 4; neither the old files nor the book are changed."""
    planned(tmp_path)
    assert calendar("-o", "x.ics", cwd=tmp_path).code == 0
    before = listing(tmp_path)
    monkeypatch.setattr(calendars, "faults", lambda data: ["line 7: a control character"])
    ended = calendar("-o", "x.ics", "--todos", "t.ics", "--alarm", "morning", cwd=tmp_path)
    assert ended.code == 4
    is_one_block(ended)
    assert "line 7: a control character" in ended.err
    assert "Nothing was written" in ended.err
    assert listing(tmp_path) == before


def test_what_happens_between_the_book_and_the_file_is_made_good(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The numbers are kept before a file has its name: a call that died there is repeated with the same."""
    season = planned(tmp_path)
    assert calendar("-o", "x.ics", cwd=tmp_path).code == 0
    old = (tmp_path / "x.ics").read_bytes()
    with monkeypatch.context() as patch:
        patch.setattr(Staging, "publish", lambda self: (_ for _ in ()).throw(KeyboardInterrupt))
        assert calendar("-o", "x.ics", "--alarm", "morning", cwd=tmp_path).code == 130
    assert (tmp_path / "x.ics").read_bytes() == old
    told = ledger(season)
    assert {row.sequence for row in told.values()} == {1}
    assert calendar("-o", "x.ics", "--alarm", "morning", cwd=tmp_path).code == 0
    assert numbers(tmp_path / "x.ics") == {1}
    assert ledger(season) == told
    assert sorted(path.name for path in tmp_path.iterdir()) == ["backyard", "x.ics"]


def test_a_book_that_cannot_be_written_is_told_before_a_file_is(tmp_path: Path) -> None:
    """From a read-only folder news cannot be told to calendars, since nobody would remember it."""
    files = {path.name: path.read_bytes() for path in planned(tmp_path).iterdir()}
    with TemporaryDirectory() as place:
        Path(place).chmod(0o777)
        with locked_folder(**files) as folder:
            before = listing(folder)
            ended = inside("calendar", folder, "-o", Path(place) / "x.ics", cwd=folder)
            assert ended.code == 3
            is_one_block(ended)
            assert "season.book" in ended.err
            assert listing(folder) == before
        assert list(Path(place).iterdir()) == []


def test_a_book_goes_out_and_comes_back_with_its_ledger(tmp_path: Path) -> None:
    """Exported and imported, the next calendar is the same to the last byte."""
    season = begun(tmp_path)
    assert calendar("-o", "a.ics", *TODAY, cwd=tmp_path).code == 0
    lose_and_replan(tmp_path, "WIN-G1a")
    assert calendar("-o", "a.ics", *TODAY, cwd=tmp_path).code == 0
    told = ledger(season)
    assert inside("book", "export", "backyard", "all.jsonl", cwd=tmp_path).code == 0
    (season / "season.book").unlink()
    ended = inside("book", "import", "backyard", "all.jsonl", cwd=tmp_path)
    assert re.fullmatch(r"all\.jsonl: 2 plans, 33 entries and \d+ calendar lines read\.\n", ended.out)
    assert ledger(season) == told
    assert calendar("-o", "b.ics", *TODAY, cwd=tmp_path).code == 0
    assert (tmp_path / "b.ics").read_bytes() == (tmp_path / "a.ics").read_bytes()


def test_a_stopped_plan_is_told_in_every_file(tmp_path: Path) -> None:
    """What an interrupted search had found says so, also where it is a file of to-dos."""
    season = planned(tmp_path)
    kept = newest(season)
    with Book.open(season / "season.book", create=True) as book:
        book.keep(replace(kept.plan, status="stopped"), kept.season_text, "later", "")
    ended = calendar("--todos", "t.ics", cwd=tmp_path)
    assert ended.code == 0
    assert ended.err.startswith("The search was interrupted")
    assert b"interrupted" in (tmp_path / "t.ics").read_bytes()

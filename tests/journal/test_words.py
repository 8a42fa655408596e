"""What growers type, word for word, and the entries that it means."""

from __future__ import annotations

from datetime import date
from typing import Any

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings

from scheduler.errors import UsageError
from scheduler.journal.kinds import KINDS
from scheduler.progress import Entry
from tests.journal.under_way import begun, growing, read

ON = date(2027, 2, 20)


def entry(kind: Any, subject: str, *numbers: int, **more: Any) -> Entry:
    """An entry of the day about some units of a batch."""
    units = more.pop("units", tuple(f"{subject}/{number}" for number in numbers))
    return Entry(kind, ON, subject, units=units, **more)


TYPED = {
    "lost WIN-G1a 2": [entry("lost", "WIN-G1a", 3, 4)],
    "lost win-g1a 5": [entry("lost", "WIN-G1a", 1, 2, 3, 4, 5)],
    "lost win-g1 2 green mould in the middle": [
        entry("lost", "WIN-G1a", 3, 4, seen="green mould in the middle")
    ],
    "dead WIN-G1a/3": [entry("lost", "WIN-G1a", 3)],
    "green WIN-G1a /1,3,5": [entry("lost", "WIN-G1a", 1, 3, 5)],
    "lost WIN-G1a 1,3": [entry("lost", "WIN-G1a", 1, 3)],
    "LOST WIN-G1a/1-3 sour": [entry("lost", "WIN-G1a", 1, 2, 3, seen="sour")],
    "lost WIN-G1a all": [entry("lost", "WIN-G1a", 1, 2, 3, 4, 5)],
    "lost WIN-G1a": [entry("lost", "WIN-G1a", 1, 2, 3, 4, 5)],
    "lost WIN-G1a/1 SHI-G1a/2 black": [
        entry("lost", "WIN-G1a", 1, seen="black"),
        entry("lost", "SHI-G1a", 2, seen="black"),
    ],
    "doubt SHI-G1a/2": [entry("watch", "SHI-G1a", 2)],
    "watch SHI-G1a 1": [entry("watch", "SHI-G1a", 4)],
    "clean WIN-G1a SHI-G1a": [entry("clean", "WIN-G1a"), entry("clean", "SHI-G1a")],
    "ok WIN-G1a/2": [entry("clean", "WIN-G1a", 2)],
    "ready SHI-G1a": [entry("ready", "SHI-G1a")],
    "used WIN-G1a 1": [entry("used", "WIN-G1a", 1)],
    "moved WIN-G1a to the cellar": [entry("fridge", "WIN-G1a", seen="to the cellar")],
    "cooked SHI-Sa": [entry("cooked", "SHI-Sa")],
    "inoculated SHI-Sa": [entry("inoculated", "SHI-Sa")],
    "started SHI-Sa 2": [entry("inoculated", "SHI-Sa", count=2)],
    "inoculated SHI-Sa 2 from SHI-G1a": [entry("inoculated", "SHI-Sa", count=2)],
    "inoculated win-g1x 4 from win-l": [entry("inoculated", "WIN-G1x", count=4, parent="WIN-La")],
    "inoculated Oak stack 5": [entry("planted", "Oak stack", count=5)],
    "felled oak 12": [entry("felled", "Oak stack", count=12)],
    "felled Oak stack 20": [entry("felled", "Oak stack", units=("Oak stack:fell",), count=20)],
    "felled Oak stack": [entry("felled", "Oak stack", units=("Oak stack:fell",), count=20)],
    "planted OAK STACK 12 in the rain": [entry("planted", "Oak stack", count=12, seen="in the rain")],
    "planted currant": [entry("planted", "Currant bed", units=("Currant bed:plant",), count=5)],
    "planted currant 20 sq ft": [entry("planted", "Currant bed", count=2)],
    "soaked oak": [entry("soaked", "Oak stack")],
    "turned oak": [entry("turned", "Oak stack")],
    "watered oak": [entry("watered", "Oak stack")],
    "weighed oak 14.2 kg": [entry("weighed", "Oak stack", amount=14200.0)],
    "weighed Oak stack log 2 31 lb": [entry("weighed", "Oak stack", units=("log 2",), amount=14061.36347)],
    "weighed oak 31 lb 4 oz Log 2 after rain": [
        entry("weighed", "Oak stack", units=("log 2",), amount=14174.761563, seen="after rain")
    ],
    "weighed oak log 12 500 oz": [entry("weighed", "Oak stack", units=("log 12",), amount=14174.761562)],
    "picked Oak stack 1.2 kg": [entry("picked", "Oak stack", amount=1200.0)],
    "harvested oak 2 lb 8 oz nice": [entry("picked", "Oak stack", amount=1133.980925, seen="nice")],
    "put-off Oak stack until 2027-05-20": [entry("put-off", "Oak stack", until=date(2027, 5, 20))],
    "put off oak 2027-05-20 too wet": [
        entry("put-off", "Oak stack", until=date(2027, 5, 20), seen="too wet")
    ],
    "bought grain": [entry("bought", "dry grain")],
    "arrived dry hardwood sawdust": [entry("received", "dry hardwood sawdust")],
    "bought all": [
        entry("bought", "plate with medium, ready to use"),
        entry("bought", "dry grain"),
        entry("bought", "hardwood fuel pellets"),
        entry("bought", "dry hardwood sawdust"),
    ],
    "found nameko liquid culture 10 mL": [entry("found", "nameko", amount=10.0, stage="liquid culture")],
    "found oyster grain 3": [entry("found", "oyster", count=3, stage="grain")],
    "found lions mane Ottawa lc 12mL": [
        entry("found", "lion's mane", amount=12.0, stage="liquid culture", strain="Ottawa")
    ],
    "undo": [Entry("undo", ON, "", corrects=7)],
    "undo 4": [Entry("undo", ON, "", corrects=4)],
    "done 13 16": [
        entry("felled", "Oak stack", units=("Oak stack:fell",), count=20),
        entry("clean", "SHI-G1a"),
    ],
    "done 13-14": [
        entry("felled", "Oak stack", units=("Oak stack:fell",), count=20),
        entry("done", "Oak stack:buck"),
    ],
    "done cook:SHI-Sa": [entry("cooked", "SHI-Sa")],
    "done oak stack:plant on a wet day": [
        entry("planted", "Oak stack", units=("Oak stack:plant",), count=20, seen="on a wet day")
    ],
    "done SHI-Sa:move": [entry("fridge", "SHI-Sa")],
    "done SHI-Aa:test-culture": [entry("inoculated", "SHI-Aa")],
    "done SHI-G1a:shake": [entry("done", "SHI-G1a:shake")],
}

REFUSED = {
    "": (
        "record",
        "nothing was said",
        "one of: cooked, inoculated, ready, clean, watch, lost, used, fridge, felled, soaked, planted, turned, watered, weighed, picked, bought, received, found, put-off, done, undo",
        "for example: lost NAM-G1a 6",
    ),
    "lose WIN-G1a": (
        "record lose WIN-G1a",
        '"lose" is no kind of entry',
        "one of: cooked, inoculated, ready, clean, watch, lost, used, fridge, felled, soaked, planted, turned, watered, weighed, picked, bought, received, found, put-off, done, undo",
        'did you mean "lost"?',
    ),
    "weighed oak": (
        "record weighed oak",
        "no mass",
        'a mass such as "1.7 kg" or "4 lb"',
        "",
    ),
    "weighed oak log two 3 kg": (
        "record weighed oak log two 3 kg",
        '"log two"',
        "the number of a marked log, such as log 2",
        "",
    ),
    "lost": ("record lost", "no batch is named", "a batch, such as SHI-La", ""),
    "lost WIN-G1a 9": ("record lost WIN-G1a 9", "9 of WIN-G1a", "at most 5: so many live", ""),
    "lost WIN-G1a 0": ("record lost WIN-G1a 0", '"0"', "a whole number from 1 to 10000", ""),
    "lost g1a 2": ("record lost g1a 2", '"g1a" may mean 2 batches', "one of: SHI-G1a or WIN-G1a", ""),
    "lost WIN-G1a/7": (
        "record lost WIN-G1a/7",
        "there is no WIN-G1a/7",
        "units of WIN-G1a: 1, 2, 3, 4, 5",
        "",
    ),
    "lost WIN-G1a/x": ("record lost WIN-G1a/x", '"/x"', "numbers of units, such as /3, /1,3,5 or /1-3", ""),
    "lost WIN-G1b": (
        "record lost WIN-G1b",
        'no batch is called "WIN-G1b"',
        "a batch: SHI-La, SHI-Aa, SHI-G1a, SHI-Sa, WIN-La, WIN-Aa, WIN-G1a or WIN-Sa",
        'did you mean "WIN-G1a"?',
    ),
    "ready WIN-G1a/2": ("record ready WIN-G1a/2", "/2", "the whole batch: ready WIN-G1a", ""),
    "inoculated WIN-9 4 from WIN-La": (
        "record inoculated WIN-9 4 from WIN-La",
        '"WIN-9" cannot be the name of a new batch',
        "code, stage and letter, such as SHI-G1x; codes: SHI, WIN",
        "stages are A plate, T slant, L liquid culture, G1 grain, S sawdust, D dowels, C chips",
    ),
    "inoculated WIN-G1x from WIN-La": (
        "record inoculated WIN-G1x from WIN-La",
        "how many units of WIN-G1x is not said",
        "inoculated WIN-G1x 4 from a batch",
        "",
    ),
    "inoculated WIN-G1x 4 from": (
        "record inoculated WIN-G1x 4 from",
        "what WIN-G1x was made from is not said",
        "inoculated WIN-G1x 4 from a batch",
        "",
    ),
    "inoculated SHI-Sa from WIN-G1a": (
        "record inoculated SHI-Sa from WIN-G1a",
        "SHI-Sa is planned from SHI-G1a, not from WIN-G1a",
        "SHI-Sa as it is planned",
        "a batch of your own takes a name that the plan does not have",
    ),
    "planted": ("record planted", "no planting is named", "a planting: Oak stack or Currant bed", ""),
    "planted okk stack": (
        "record planted okk stack",
        'no planting is called "okk stack"',
        "a planting: Oak stack or Currant bed",
        'did you mean "Oak stack"?',
    ),
    "picked oak": ("record picked oak", "no mass", 'a mass such as "1.7 kg" or "4 lb"', ""),
    "picked oak 3": ("record picked oak 3", '"3"', 'a mass such as "1.7 kg" or "4 lb"', ""),
    "put-off oak soon": ("record put-off oak soon", '"soon"', "until a day written as 2027-05-20", ""),
    "put-off oak": ("record put-off oak", "no day", "until a day written as 2027-05-20", ""),
    "bought hardwood": (
        "record bought hardwood",
        '"hardwood" may mean 3 orders',
        "one of: hardwood fuel pellets, dry hardwood sawdust or fresh hardwood chips",
        "",
    ),
    "bought tea": (
        "record bought tea",
        'nothing to buy is called "tea"',
        "all, or one of: plate with medium, ready to use, dry grain, hardwood fuel pellets, dry hardwood sawdust, fresh hardwood chips, label, label nail, shade cloth, wax, cardboard, slug fencing or straw or leaf cover",
        "",
    ),
    "received all": (
        "record received all",
        "nothing is bought and still to come on Sat 20 Feb 2027",
        "the name of what it was",
        "",
    ),
    "found morel grain 3": (
        "record found morel grain 3",
        'no species is called "morel grain 3"',
        "a species: lion's mane, nameko, oyster, shiitake or wine cap",
        "",
    ),
    "found oyster": (
        "record found oyster",
        "no stage is named",
        "what was found: liquid culture, plate, slant, grain, sawdust, pellet, dowels or chips",
        "",
    ),
    "found oyster plate 10 g": ("record found oyster plate 10 g", "10 g of plate", "how many, for plate", ""),
    "found oyster grain": (
        "record found oyster grain",
        "no amount",
        'for grain either an amount in kg or lb, such as "1.7 kg", or how many',
        "",
    ),
    "found oyster lc 3 kg": (
        "record found oyster lc 3 kg",
        "3000 g of liquid culture",
        'for liquid culture either an amount in mL, such as "12 mL", or how many',
        "",
    ),
    "done nix": (
        "record done nix",
        'no task is called "nix"',
        "a number of the list that budswell today prints, or the id of a task",
        "",
    ),
    "done SHI-G1a": (
        "record done SHI-G1a",
        '"SHI-G1a" may mean 8 tasks',
        "one of: SHI-G1a:soak-grain, SHI-G1a:inoculate, SHI-G1a:check:first, SHI-G1a:shake, SHI-G1a:check:second, SHI-G1a:check:release, SHI-G1a:keep-back or SHI-G1a:move-to-fridge",
        "",
    ),
    "undo it": ("record undo it", '"it"', "the number of an entry", "budswell book show SEASON lists them"),
}


@pytest.mark.parametrize("text", TYPED)
def test_what_is_typed_is_what_is_meant(text: str) -> None:
    """Every short form gives exactly these entries."""
    assert list(read(text, ON, growing())) == TYPED[text]


@pytest.mark.parametrize("text", REFUSED)
def test_what_cannot_be_understood_is_said_in_one_fault(text: str) -> None:
    """The whole message: what was typed, what is wrong with it, what is allowed, a likely fix."""
    with pytest.raises(UsageError) as refused:
        read(text, ON, growing())
    fault = refused.value.fault
    assert (fault.where, fault.found, fault.allowed, fault.hint) == REFUSED[text]


@settings(deadline=None)
@given(
    tokens=st.lists(
        st.sampled_from([word for kind in KINDS for word in kind.words])
        | st.sampled_from(
            ["WIN-G1a", "/1-3", "/", "all", "6", "from", "until", "Oak", "stack", "nameko", "lc"]
        )
        | st.sampled_from(["10", "mL", "-", "1-", "3-1", "99999999999999", "²", "win-", "1,", "2027-13-01"])
        | st.text(max_size=8),
        max_size=6,
    )
)
def test_whatever_is_typed_is_an_entry_or_one_fault(tokens: list[str]) -> None:
    """Nothing a grower can type ends otherwise; every entry is of the day it was said for."""
    try:
        found = read(" ".join(tokens), ON, growing())
    except UsageError as refused:
        assert refused.fault.found and refused.fault.allowed
    else:
        assert found and all(one.on == ON for one in found)


def test_no_word_means_two_kinds() -> None:
    """Each word a grower may type belongs to one kind of entry."""
    words = [word for kind in KINDS for word in kind.words]
    assert len(words) == len(set(words))


def test_done_takes_the_only_task_of_the_day() -> None:
    """One open task on the day is enough; it does not matter what is overdue."""
    context = begun(today=date(2027, 2, 5))
    assert read("done", date(2027, 2, 5), context) == (Entry("done", date(2027, 2, 5), "WIN-Sa:wet-pellets"),)


def test_done_lists_what_is_open_where_it_is_more() -> None:
    """The numbers are those of the list of today, overdue tasks first."""
    context = begun(today=date(2027, 1, 10))
    with pytest.raises(UsageError) as refused:
        read("done", date(2027, 1, 10), context)
    assert refused.value.fault.found == "4 tasks are open"
    assert refused.value.fault.allowed == (
        "1 Test gasket, vent and gauge: pressure cooker (Sat 9 Jan 2027); "
        "2 Test the culture SHI-La/1 on 2 plates: SHI-Aa (Sun 10 Jan 2027); "
        "3 Test the culture WIN-La/1 on 2 plates: WIN-Aa (Sun 10 Jan 2027); "
        "4 Keep back 2 mL of SHI-La, labelled (Sun 10 Jan 2027); "
        "5 Keep back 2 mL of WIN-La, labelled (Sun 10 Jan 2027)"
    )
    assert refused.value.fault.hint == "done 2, or done all"


def test_a_batch_in_two_loads_is_cooked_with_the_last_of_them() -> None:
    """The first load is only done itself; OYS-G1b is in a load with OYS-G1a and in one of its own."""
    context = begun("market")
    on = date(2027, 2, 27)
    first = read("done cook:OYS-G1a+OYS-G1b", on, context)
    assert first == (Entry("cooked", on, "OYS-G1a"), Entry("done", on, "cook:OYS-G1a+OYS-G1b"))
    second = read("done cook:OYS-G1b", on, context.after(*first))
    assert [(one.kind, one.subject) for one in second] == [("cooked", "OYS-G1b")]


def test_parts_of_a_felling_are_done_as_their_pieces_are() -> None:
    """Of 15 and 9 logs, 15 are the first part; four more are no part, the last 5 are the second. Spares are none."""
    on, context = date(2026, 12, 5), begun("market")
    titles = {task.id: task.title for task in context.plan.tasks}
    assert titles["Birch raft:fell:1"].startswith("Fell wood for 15 logs and 1 spare: ")
    assert titles["Birch raft:fell:2"].startswith("Fell wood for 9 logs: ")
    first = read("felled Birch raft 15", on, context)
    assert first[0].units == ("Birch raft:fell:1",)
    more = read("felled birch raft 4", on, context.after(*first))
    assert more[0].units == ()
    last = read("done Birch raft:fell:2", on, context.after(*first, *more))
    assert (last[0].count, last[0].units) == (5, ("Birch raft:fell:2",))


def test_a_culture_that_was_bought_is_recorded_for_its_batch() -> None:
    """The order for nameko's culture is the batch NAM-La; `culture` alone may mean three orders."""
    on, context = date(2027, 1, 5), begun("market")
    assert read("received nameko culture", on, context) == (Entry("received", on, "NAM-La"),)
    assert read("received nam-la", on, context) == (Entry("received", on, "NAM-La"),)
    with pytest.raises(UsageError, match="may mean"):
        read("received liquid culture", on, context)


def test_what_was_bought_is_received_all_at_once() -> None:
    """`received all` is what was bought and is not there yet."""
    on, context = date(2027, 1, 5), begun("market")
    context = context.after(
        *read("bought nameko culture", on, context), *read("bought dry grain", on, context)
    )
    assert [one.subject for one in read("received all", on, context)] == ["NAM-La", "dry grain"]

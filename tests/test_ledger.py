"""What calendars are told: numbers and moments rise together with every change, and stand still otherwise."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from scheduler.ledger import Kind, Ledger, Row, Shown, When, changed, joined, revised

DAY = date(2027, 2, 6)
NOON = datetime(2027, 2, 6, 12, 0, 0, 500_000, tzinfo=UTC)


def shown(uid: str, sha: str = "a", kind: Kind = "VEVENT") -> Shown:
    """An entry of which only the id and the content count."""
    return Shown(uid, kind, uid, sha, f"Work {sha}", "Lab", DAY, DAY)


def at(seconds: int) -> When:
    """So many seconds after noon; also before."""
    moment = NOON + timedelta(seconds=seconds)
    return When(moment, moment.date())


def test_the_first_export_begins_with_number_0() -> None:
    """Created and modified at that moment, to the second."""
    assert revised({}, [shown("x")], "VEVENT", at(0)) == {
        "x": Row(shown("x"), 0, NOON.replace(microsecond=0), NOON.replace(microsecond=0))
    }


def test_a_change_of_anything_raises_number_and_moment() -> None:
    """By one, and to now; when it was created stays."""
    before = revised({}, [shown("x"), shown("y")], "VEVENT", at(0))
    after = revised(before, [shown("x", "b"), shown("y")], "VEVENT", at(60))
    assert after["y"] is before["y"]
    assert after["x"] == replace(
        before["x"], shown=shown("x", "b"), sequence=1, modified=before["x"].modified + timedelta(seconds=60)
    )
    assert changed(before, after) == [after["x"]]


def test_a_clock_that_was_set_back_is_overruled() -> None:
    """The later of two changes has the later moment, whatever the clock says."""
    before = revised({}, [shown("x")], "VEVENT", at(0))
    after = revised(before, [shown("x", "b")], "VEVENT", at(-3600))
    assert after["x"].modified == before["x"].modified + timedelta(seconds=1)


def test_what_goes_and_comes_back_is_counted() -> None:
    """Gone is a change, coming back another, also with the same content; gone twice is gone once."""
    first = revised({}, [shown("x")], "VEVENT", at(0))
    gone = revised(first, [], "VEVENT", at(60))
    assert (gone["x"].sequence, gone["x"].removed_on) == (1, DAY)
    assert revised(gone, [], "VEVENT", at(120)) == gone
    back = revised(gone, [shown("x")], "VEVENT", at(180))
    assert (back["x"].sequence, back["x"].removed_on) == (2, None)


def test_events_and_to_dos_are_counted_apart() -> None:
    """Who exports events only has not taken the to-dos away."""
    both = revised(revised({}, [shown("x")], "VEVENT", at(0)), [shown("t", kind="VTODO")], "VTODO", at(0))
    assert revised(both, [shown("x")], "VEVENT", at(60)) == both


def test_numbers_above_all_before() -> None:
    """Where nothing is known any more everything begins high, and what is known jumps there."""
    known = revised({}, [shown("x"), shown("gone")], "VEVENT", at(0))
    high = revised(known, [shown("x"), shown("new")], "VEVENT", at(60), at_least=1000)
    assert {uid: row.sequence for uid, row in high.items()} == {"x": 1000, "gone": 1000, "new": 1000}
    again = revised(high, [shown("x"), shown("new")], "VEVENT", at(61), at_least=1000)
    assert again == high


def test_of_two_ledgers_the_higher_number_counts() -> None:
    """A file that was adopted never takes a number back."""
    old = revised({}, [shown("x"), shown("y")], "VEVENT", at(0))
    new = revised(old, [shown("x", "b"), shown("y")], "VEVENT", at(60))
    assert joined(new, old.values()) == new
    assert joined(old, new.values()) == new
    assert joined({}, new.values()) == new


def test_of_two_that_show_different_things_none_goes_back() -> None:
    """Where neither is the later in number and moment, the entry is counted on from above both."""
    first = revised({}, [shown("x")], "VEVENT", at(0))["x"]
    for number, second in ((0, 0), (0, 60), (3, 0), (3, -60)):
        moment = first.modified + timedelta(seconds=second)
        found = Row(shown("x", "b"), number, first.created - timedelta(seconds=60), moment)
        [after] = joined({"x": first}, [found]).values()
        assert after.shown == first.shown
        assert after.sequence == number + 1
        assert after.modified == max(first.modified, moment) + timedelta(seconds=1)
    later = replace(first, shown=shown("x", "b"), sequence=1, modified=first.modified + timedelta(seconds=1))
    assert joined({"x": first}, [later]) == {"x": later}
    assert joined({"x": later}, [first]) == {"x": later}


def test_of_two_that_show_the_same_the_higher_number_and_the_later_moment_count() -> None:
    """Nobody has to be told anything new."""
    first = revised({}, [shown("x")], "VEVENT", at(0))["x"]
    other = replace(
        first,
        sequence=2,
        modified=first.modified + timedelta(seconds=-9),
        created=first.created - timedelta(seconds=9),
    )
    [after] = joined({"x": first}, [other]).values()
    assert (after.sequence, after.modified) == (2, first.modified)


EXPORTS = st.lists(
    st.tuples(
        st.dictionaries(st.sampled_from("abc"), st.sampled_from("123"), max_size=3),
        st.integers(-5, 5),
        st.sampled_from([0, 0, 0, 7]),
    ),
    max_size=8,
)


@given(EXPORTS)
def test_no_number_and_no_moment_ever_falls(exports: list[tuple[dict[str, str], int, int]]) -> None:
    """Whatever comes, goes and comes back, under whatever clock: what changed rose in both, all else stayed."""
    ledger: Ledger = {}
    seconds = 0
    for contents, passed, at_least in exports:
        seconds += passed
        now = [shown(uid, sha) for uid, sha in contents.items()]
        after = revised(ledger, now, "VEVENT", at(seconds), at_least)
        assert after.keys() == ledger.keys() | contents.keys()
        for uid, row in after.items():
            last = ledger.get(uid)
            assert row.created <= row.modified
            if last is not None and row != last:
                assert row.sequence > last.sequence
                assert row.modified > last.modified
                assert row.created == last.created
            assert (row.removed_on is None) == (uid in contents)
            if uid in contents:
                assert row.shown.sha == contents[uid]
        assert revised(after, now, "VEVENT", at(seconds + 1)) == after
        ledger = after

"""What entries add up to, and that one that is taken back leaves no trace."""

from __future__ import annotations

from datetime import date, timedelta

import hypothesis.strategies as st
from hypothesis import given, settings

from scheduler.journal.due import due
from scheduler.journal.fold import fold, standing
from scheduler.journal.means import consequences
from scheduler.progress import NOTHING, Entry, Recorded
from tests.journal.under_way import after, begun, growing, plan_of, read

ON = date(2027, 2, 20)
BATCHES = ("WIN-G1a", "SHI-G1a", "WIN-Sa")
LINES = (
    "lost {} 1",
    "lost {}",
    "watch {}/2",
    "clean {}",
    "clean {}/2",
    "used {} 1",
    "ready {}",
    "fridge {}",
    "inoculated {} 2",
    "cooked {}",
    "undo",
)


def recorded(*entries: Entry) -> tuple[Recorded, ...]:
    """Entries under their numbers."""
    return tuple(Recorded(number, "", entry) for number, entry in enumerate(entries, start=1))


@st.composite
def books(draw: st.DrawFn) -> tuple[Recorded, ...]:
    """Books of the backyard in February with a few more lines of any kind, judged by nobody."""
    context = growing()
    for line, batch, days in draw(
        st.lists(st.tuples(st.sampled_from(LINES), st.sampled_from(BATCHES), st.integers(0, 9)), max_size=8)
    ):
        if "1" in line and not read(f"used {batch}", ON, context)[0].units:
            continue  # nothing of it lives
        context = after(context, (line.format(batch), ON - timedelta(days=days)))
    return context.recorded


@settings(deadline=None)
@given(book=books(), batch=st.sampled_from(BATCHES), days=st.integers(0, 9))
def test_an_undo_restores_exactly(book: tuple[Recorded, ...], batch: str, days: int) -> None:
    """A loss that is taken back, and the taking back of that, leave the sums as they were before."""
    plan = plan_of("backyard")
    number = len(book) + 1
    loss = Entry("lost", ON - timedelta(days=days), batch, units=(f"{batch}/1", f"{batch}/2"))
    lost = (*book, Recorded(number, "", loss))
    undone = (*lost, Recorded(number + 1, "", Entry("undo", ON, "", corrects=number)))
    redone = (*undone, Recorded(number + 2, "", Entry("undo", ON, "", corrects=number + 1)))
    assert fold(undone, plan) == fold(book, plan)
    assert fold(redone, plan) == fold(lost, plan)
    assert number not in standing(undone) and number in standing(redone)


@settings(deadline=None)
@given(book=books())
def test_the_order_in_which_entries_are_handed_over_does_not_matter(book: tuple[Recorded, ...]) -> None:
    """Their numbers count."""
    plan = plan_of("backyard")
    assert fold(tuple(reversed(book)), plan) == fold(book, plan)


@settings(deadline=None)
@given(book=books())
def test_nothing_lost_or_used_is_on_watch(book: tuple[Recorded, ...]) -> None:
    """A loss ends a doubt."""
    for batch in fold(book, plan_of("backyard")).batches.values():
        assert not set(batch.watch) & {*batch.lost, *batch.used}


def test_nothing_recorded_is_nothing() -> None:
    """No entry, no progress."""
    assert fold((), plan_of("backyard")) == NOTHING


def test_tasks_of_what_happened_are_done() -> None:
    """Soaking with the cook, the cook with its batches, the inoculation, looks by their day, all looks once ready."""
    done = growing().progress.done
    assert {task: on.isoformat() for task, on in done.items() if "WIN-G1a" in task} == {
        "WIN-G1a:soak-grain": "2027-01-17",
        "cook:WIN-G1a": "2027-01-17",
        "WIN-G1a:inoculate": "2027-01-24",
        "WIN-G1a:check:first": "2027-02-10",
        "WIN-G1a:check:second": "2027-02-10",
        "WIN-G1a:check:release": "2027-02-10",
    }
    looked = after(growing(), ("clean SHI-G1a", date(2027, 2, 1))).progress.done
    assert [task for task in looked if task.startswith("SHI-G1a:check")] == [
        "SHI-G1a:check:first",
        "SHI-G1a:check:second",
    ]


def test_a_later_entry_corrects_an_earlier_one() -> None:
    """Two bags instead of three, a day later than was said first."""
    context = after(growing(), ("inoculated WIN-Sa 2", date(2027, 2, 15)))
    batch = context.progress.batch("WIN-Sa")
    assert (batch.inoculated_on, batch.started) == (date(2027, 2, 15), 2)


def test_children_of_a_lost_parent_are_in_doubt_until_they_look_clean() -> None:
    """The bag was made from the third jar before that was lost; a look before the loss says nothing."""
    context = after(growing(), ("lost WIN-G1a/3", ON), ("clean WIN-Sa", date(2027, 2, 18)))
    assert context.progress.batch("WIN-Sa").watch == {"WIN-Sa/3": ON}
    assert after(context, ("clean WIN-Sa/1", ON)).progress.batch("WIN-Sa").watch == {"WIN-Sa/3": ON}
    assert after(context, ("clean WIN-Sa", ON)).progress.batch("WIN-Sa").watch == {}
    assert after(context, ("undo 8", ON)).progress.batch("WIN-Sa").watch == {}


def test_what_was_made_after_the_loss_is_not_in_doubt() -> None:
    """The jar was lost on the day before the bags were made: they were made from others."""
    context = after(growing(), ("lost WIN-G1a/3", date(2027, 2, 13)))
    assert context.progress.batch("WIN-Sa").watch == {}


def test_a_batch_of_the_growers_own_is_in_doubt_as_a_whole() -> None:
    """Nobody said from which jar it was made."""
    context = after(
        growing(), ("inoculated WIN-G2x 2 from WIN-G1a", date(2027, 2, 14)), ("lost WIN-G1a/1", ON)
    )
    assert context.progress.batch("WIN-G2x").watch == {"WIN-G2x/1": ON, "WIN-G2x/2": ON}
    assert read("lost WIN-G2x 1", ON, context)[0].units == ("WIN-G2x/2",)


def test_bucking_waits_for_its_felling() -> None:
    """Nothing is bucked of what is not down: the task stays open, also where the felling is taken back."""
    context = after(begun(), ("done Oak stack:buck", ON))
    assert "Oak stack:buck" not in context.progress.done
    felled = after(context, ("felled oak", ON))
    assert {"Oak stack:buck", "Oak stack:fell"} <= set(felled.progress.done)


def test_lost_units_are_to_be_killed_again_when_more_are_lost() -> None:
    """The task that killed earlier ones opens again."""
    kill = Entry("done", ON, "WIN-G1a:kill-lost")
    first, second = (Entry("lost", ON, "WIN-G1a", units=(f"WIN-G1a/{number}",)) for number in (1, 2))
    plan = plan_of("backyard")
    assert "WIN-G1a:kill-lost" in fold(recorded(first, kill), plan).done
    assert "WIN-G1a:kill-lost" not in fold(recorded(first, kill, second), plan).done


def test_pieces_add_up_by_day() -> None:
    """Some on Saturday, some on Sunday, and mass likewise."""
    sunday = ON + timedelta(days=1)
    context = after(begun(), ("planted oak 5", sunday), ("planted oak 3", ON), ("planted oak 2", sunday))
    context = after(context, ("picked oak 1 kg", ON), ("picked oak 500 g", ON))
    stack = context.progress.planting("Oak stack")
    assert list(stack.planted.items()) == [(ON, 3), (sunday, 7)]
    assert stack.picked_g == {ON: 1500.0}


def test_what_the_plan_knew_already_is_not_taken_off_its_pieces_twice() -> None:
    """A plan made after twelve logs were felled lists what was left then."""
    context = after(begun(), ("felled oak 12", ON))
    known = type(context)(context.plan, context.recorded, context.today, context.species, seen=(1,))
    assert read("felled oak", ON, context)[0].count == 8
    assert read("felled oak", ON, known)[0].count == 20


def test_due_lists_overdue_tasks_first_and_nothing_that_is_over() -> None:
    """No work for a batch that is dead, nor for a planting that is planted."""
    context = growing()
    listed = due(context.plan, context.progress, ON)
    assert [task.on for task in listed] == sorted(task.on for task in listed)
    assert listed and all(task.on <= ON and task.id not in context.progress.done for task in listed)
    dead = after(context, ("lost SHI-G1a", ON))
    assert not [task for task in due(dead.plan, dead.progress, ON) if task.batch == "SHI-G1a"]
    planted = after(context, ("planted oak", ON))
    left = due(planted.plan, planted.progress, date(2027, 6, 30))
    of_oak = [task for task in left if (task.batch or "").startswith("SHI") or task.planting == "Oak stack"]
    assert left and all(task.is_care for task in of_oak)


def test_care_is_due_once_it_stands_and_while_its_span_lasts() -> None:
    """Nothing is looked after before it is planted; what goes on for weeks is listed last."""
    late = date(2027, 6, 30)
    context = growing()
    assert not any(task.is_care for task in due(context.plan, context.progress, late))
    planted = after(context, ("planted oak", ON))
    listed = due(planted.plan, planted.progress, late)
    care = [task for task in listed if task.is_care]
    assert care and all(task.until is not None and task.on <= late <= task.until for task in care)
    assert [task.ongoing for task in listed] == sorted(task.ongoing for task in listed)


def test_a_loss_says_what_it_means() -> None:
    """How many live, what is kept back, how to kill it, which children to watch."""
    context = growing()
    said = consequences(read("lost WIN-G1a 2", ON, context)[0], context)
    assert said == (
        "WIN-G1a/3-4 lost; 3 live, 2 needed.",
        "WIN-G1a/5 is kept back for a redo.",
        "Leave them closed: heat-kill the units unopened before they are emptied, for as long as a load of their "
        "kind takes and by the manual of the cooker's maker.",
        "WIN-Sa/3 was made from what is lost and is on watch now. Set apart, use nothing from it, "
        "look again on Tue 23 Feb 2027.",
    )


def test_other_entries_say_what_they_mean() -> None:
    """A line for each kind that changes what is left to do."""
    context = after(growing(), ("lost WIN-G1a/3", ON))
    lines = {
        "lost SHI-G1a": "SHI-Sa was to be made from what is lost: replan.",
        "watch SHI-G1a/2": "SHI-G1a/2 is on watch. Set apart, use nothing from it, look again on Tue 23 Feb 2027.",
        "clean WIN-Sa": "WIN-Sa/3 is no longer on watch.",
        "inoculated SHI-Sa 2": "2 units instead of 3: 2 live, 1 needed.",
        "inoculated WIN-G2x 2 from WIN-G1a": "WIN-G2x is in no plan yet: replan.",
        "used WIN-G1a 1": "WIN-G1a/1 used up; 3 live, 2 needed.",
        "felled oak 12": "8 pieces of Oak stack are left to be felled.",
        "planted oak": "All of Oak stack is planted.",
        "put-off oak until 2027-05-20": "Oak stack is not planted before Thu 20 May 2027: replan.",
        "undo": "Entry 8 no longer counts: lost WIN-G1a/3, Sat 20 Feb 2027.",
    }
    for text, sentence in lines.items():
        assert sentence in consequences(read(text, ON, context)[0], context)
    assert "Nothing of SHI-G1a is kept back for a redo any more." in consequences(
        read("lost SHI-G1a", ON, context)[0], context
    )

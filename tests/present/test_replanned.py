"""A replan on the screen."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import partial
from typing import Any

import pytest
from rich.cells import cell_len

from scheduler.lines.rescue import WAYS
from scheduler.plan import Change, Plan
from scheduler.present.replanned import MEANS, meaning, show_changes, show_replanned, summed_up
from scheduler.progress import Entry
from tests.present.market import market_plan
from tests.present.screen import section, shown
from tests.present.under_way import DOUBTED, HOSTILE, backyard
from tests.sample import sample_plan, sample_refusal

WEEK = timedelta(days=7)
LOSS = Entry("lost", DOUBTED, "SHI-G1a", units=("SHI-G1a/4", "SHI-G1a/5"), seen="green")


def replanned() -> Plan:
    """The backyard's plan, as if a loss had changed some of it."""
    before = backyard()
    by_id = {task.id: task for task in before.tasks}
    moved, gone, new = (by_id[name] for name in ("SHI-Sa:inoculate", "SHI-G1a:shake", "WIN-G1a:shake"))
    told = (moved, gone, new)
    changes = (
        Change(moved.id, moved.on, moved.on + WEEK, "it is made from SHI-G1b now", "moved"),
        Change(gone.id, gone.on, None, "SHI-G1a is lost", "dropped"),
        Change(new.id, None, new.on, "made in the place of what was lost", "new"),
        *(Change(task.id, task.on, task.on, "", "kept") for task in before.work() if task not in told),
    )
    oak, bed = before.plantings
    oak = replace(oak, chance=0.71, plant_on=tuple(day + WEEK for day in oak.plant_on))
    tasks = tuple(task for task in before.tasks if task.id != gone.id)
    return replace(before, plan_no=2, plantings=(oak, bed), tasks=tasks, changes=changes)


def screen(plan: Plan, *, width: int = 80, way: str | None = None, **more: Any) -> str:
    """A replan after a loss, as it is printed."""
    show = partial(show_replanned, **more)
    said = summed_up((LOSS,), backyard())
    return shown(show, plan, backyard(), said, meaning(way, (LOSS,)), width=width)


def test_the_whole_screen() -> None:
    """What it means, the chances, what moved, is new and was dropped, and what to do next."""
    text = screen(replanned(), path="examples/backyard")
    assert text.startswith("SHI-G1a: 2 of 5 units lost. The season is still on: spares cover it.\n")
    assert section(text, "Plantings").splitlines()[:3] == [
        "  planting     chance was  is now  plant on    was on",
        "  Oak stack    93 %        71 %    Sat 22 May  Sat 15 May",
        "  Currant bed  93 %        93 %    Sat 22 May",
    ]
    assert section(text, "What has changed").splitlines() == [
        "  52 kept, 1 moved, 1 new, 1 dropped",
        "",
        "    moved from  to          work",
        "  it is made from SHI-G1b now:",
        "    Sun 21 Feb  Sun 28 Feb  Inoculate SHI-Sa: 3 x 2.3 kg bag from SHI-G1a/1,",
        "                            SHI-G1a/2, SHI-G1a/3",
        "",
        "    new on      work",
        "  made in the place of what was lost:",
        "    Sat 30 Jan  Shake WIN-G1a (5 quart jars)",
        "",
        "    dropped from  work",
        "  SHI-G1a is lost:",
        "    Sat 30 Jan    Shake SHI-G1a (5 quart jars)",
        "",
        "    mind at",
        "    inoculate  alcohol and flame; blades and needles",
    ]
    last = " ".join(section(text, "What to do next").split())
    assert "Kept as plan 2. The work of a day: budswell today examples/backyard." in last
    assert "Nothing was recorded" not in text


def test_every_way_has_its_sentence() -> None:
    """Whatever a rescue is made from can be said, and none of the sentences doubts that the season is on."""
    assert set(WAYS) <= set(MEANS)
    assert all(sentence.startswith("The season is still on") for sentence in MEANS.values())
    assert meaning(None) == "The season is still on: nothing has to be made again."
    assert meaning("kept-back grain", (LOSS,)).endswith("the grain that was kept back.")


def test_what_happened_is_summed_up() -> None:
    """Losses by batch with how many there were, one other entry in full, several by their number."""
    plan = backyard()
    again = replace(LOSS, units=("SHI-G1a/1", "SHI-G1a/4"))
    ready = Entry("ready", DOUBTED, "WIN-G1a")
    assert summed_up((LOSS, again), plan) == "SHI-G1a: 3 of 5 units lost."
    assert (
        summed_up((replace(LOSS, subject="SHI-Xa"), ready), plan)
        == "SHI-Xa: 2 units lost; WIN-G1a found fully run."
    )
    assert summed_up((LOSS, ready, ready), plan) == "SHI-G1a: 2 of 5 units lost; 2 more entries."
    assert summed_up((ready, ready), plan) == "2 entries."
    assert summed_up((replace(LOSS, units=()),), plan) == "SHI-G1a: all units lost."
    assert summed_up((), plan) == "Nothing was recorded since the last plan."


def test_a_what_if_says_that_nothing_was_recorded() -> None:
    """A question changes nothing, and is told how to become an entry."""
    text = " ".join(screen(replanned(), what_if="lost SHI-G1a 2", way="culture").split())
    assert "it is made again from the culture." in text
    assert "Nothing was recorded, and the plan that is kept stands as it was." in text
    assert "budswell record SEASON lost SHI-G1a 2, then budswell replan SEASON" in text
    assert "Kept as" not in text


def test_a_season_that_no_longer_fits_names_its_remedies() -> None:
    """The refusal is printed with its remedies, and how to take one."""
    show = partial(show_replanned, path="examples/backyard")
    text = shown(show, sample_refusal(), backyard(), "SHI-G1a: 2 of 5 units lost.", "")
    assert text.startswith(
        "SHI-G1a: 2 of 5 units lost. The season no longer fits as it was planned.\n\nNo plan fits"
    )
    assert "1. Let the planting window end on 3 June." in text
    assert "budswell replan examples/backyard --take 1" in " ".join(text.split())
    asked = partial(show, what_if="lost SHI-G1a 2")
    assert "Nothing was recorded" in shown(asked, sample_refusal(), backyard(), "Lost.", "")
    helpless = replace(sample_refusal(), remedies=())
    assert "--take" not in shown(show, helpless, backyard(), "Lost.", "")


def test_moves_within_the_promised_week_and_forgotten_work_are_told() -> None:
    """Why promised days moved, and what nobody recorded, is said in words."""
    text = screen(replanned(), unfrozen=True, unrecorded=backyard().tasks[:1])
    assert "because nothing else fits" in " ".join(text.split())
    assert "Test gasket, vent and gauge: pressure cooker" in section(text, "Not recorded as done by its day")
    assert "nothing else fits" not in " ".join(screen(replanned()).split())


def test_plantings_come_and_go() -> None:
    """One that is dropped says so; without a plan before, only the chance of now is shown."""
    before, after = backyard(), replanned()
    one = replace(after, plantings=after.plantings[1:])
    assert "  Oak stack    93 %        dropped              Sat 15 May" in section(screen(one), "Plantings")
    text = shown(show_replanned, after, None, "Begun.", "")
    assert "chance was" not in text
    assert "Oak stack    71 %" in section(text, "Plantings")
    assert "all of them" in section(shown(show_changes, after, before), "Plantings")
    assert "all of them" not in shown(show_changes, sample_plan(), None)


def test_changes_can_be_shown_alone() -> None:
    """The newest plan's changes; a first plan has changed nothing."""
    text = shown(show_changes, replanned(), backyard())
    assert "Shake SHI-G1a (5 quart jars)" in section(text, "What has changed")
    assert "This plan changed nothing" in shown(show_changes, backyard(), None)


def many(kind: str) -> Plan:
    """The big season with every task changed alike."""
    plan = market_plan()
    kinds: dict[str, tuple[bool, bool]] = {
        "moved": (True, True),
        "new": (False, True),
        "dropped": (True, False),
    }
    was, now = kinds[kind]
    changes = tuple(
        Change(task.id, task.on if was else None, task.on + WEEK if now else None, "you are away", kind)  # type: ignore[arg-type]
        for task in plan.tasks
    )
    return replace(plan, changes=changes)


@pytest.mark.parametrize("kind", ["moved", "new", "dropped"])
def test_hundreds_of_changes_are_told_by_day(kind: str) -> None:
    """Each day stands once, with the kinds of work and what it is about; no batch is left out."""
    plan = many(kind)
    lines = section(shown(show_changes, plan, plan), "What has changed").splitlines()
    days = [
        line
        for line in lines
        if line.startswith("    ") and line[4:7] in ("Sat", "Sun", "Mon", "Tue", "Wed", "Thu", "Fri")
    ]
    assert len(plan.tasks) > 200
    assert len(days) == len({task.on for task in plan.tasks})
    text = " ".join(" ".join(lines).split())
    assert all(batch.id in text for batch in plan.batches)
    assert f"{len(plan.tasks)} {kind}" in text


def test_a_shared_load_names_its_batches() -> None:
    """A cook of several batches, which belongs to none of them, names them all where titles are left out."""
    plan = many("moved")
    load = replace(plan.tasks[0], id="cook:SHI-G1a+SHI-G1b:2", batch=None, on=date(2027, 6, 6))
    change = Change(load.id, load.on, load.on + WEEK, "", "moved")
    plan = replace(plan, tasks=(*plan.tasks, load), changes=(*plan.changes, change))
    assert "cook SHI-G1a, SHI-G1b" in shown(show_changes, plan, None)


@pytest.mark.parametrize("width", [60, 80, 100])
def test_it_fits_the_page(width: int) -> None:
    """No line is too long, cut or padded, for few changes and for hundreds."""
    for plan in (replanned(), many("moved"), many("new"), sample_refusal()):
        for line in screen(plan, width=width, unfrozen=True).splitlines():
            assert cell_len(line) <= width, line
            assert line == line.rstrip()
            assert "…" not in line


def test_hostile_words_are_shown_harmlessly() -> None:
    """What was said, reasons, titles and paths cannot steer the terminal."""
    plan = replanned()
    changes = (Change(HOSTILE, DOUBTED, DOUBTED + WEEK, HOSTILE, "moved"), *plan.changes)
    for what_if in ("", HOSTILE):
        show = partial(show_replanned, what_if=what_if, path=HOSTILE)
        text = shown(show, replace(plan, changes=changes), backyard(), HOSTILE, HOSTILE)
        assert not set("\x1b\x07\r\u202e") & set(text)
        assert text.count("[red]boom[/red]") >= 4
        assert max(map(cell_len, text.splitlines())) <= 80

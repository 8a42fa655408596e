"""A plan on the screen: what stands where, in which words, and how it behaves at every width."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from rich.cells import cell_len

from scheduler.plan import Change, Months, OtherPattern, Plan
from scheduler.present.terminal import show_plan
from scheduler.progress import in_short
from tests.present.market import market_plan
from tests.present.screen import section, shown
from tests.sample import sample_plan, sample_refusal

ORDER = (
    "What has changed",
    "Gates",
    "Timeline",
    "Plantings",
    "Batches",
    "Left over",
    "Family tree",
    "Spares",
    "Make or buy",
    "Shopping list",
    "The next two weeks of work",
    "Cautions",
    "Assumed",
    "Where the figures come from",
    "What the search proved",
    "Notes",
)


def imperial(plan: Plan) -> Plan:
    """The same plan for a grower who thinks in pounds."""
    return replace(plan, season=replace(plan.season, units="imperial"))


def test_answer_stands_first_and_sections_in_order() -> None:
    """The first lines say what to do; the sections follow in their order."""
    lines = shown(show_plan, sample_plan()).splitlines()
    assert lines[0].startswith("Order at once")
    assert any(line.startswith("Do on Fri 29 Jan 2027") for line in lines[:4])
    assert [line for line in lines if line in ORDER] == list(ORDER)


def test_head_names_start_chance_cook_days_and_plantings() -> None:
    """The head holds the start days, the chance against the wish, the loads, and each planting's days."""
    usual = replace(sample_plan(), sought=None)
    head = shown(show_plan, usual, width=120).split("\nGates\n")[0]
    assert "recommended Sat 30 Jan 2027, last safe Sat 13 Feb 2027" in head
    assert "93 % for all plantings (wished: 90 %)" in head
    assert "1 (1 load of grain)" in head
    assert "3 x quart jar of grain spawn" in head
    assert "Sat 13 Mar and Sat 10 Apr" in head
    assert "Sat 8 May" in head


def test_many_felling_and_planting_days_leave_names_whole() -> None:
    """However many days a planting takes, its name is folded between words only."""
    plan = sample_plan()
    days = tuple(date(2027, 4, 3) + timedelta(days=7 * n) for n in range(5))
    raft = replace(plan.plantings[0], fell_on=days[:3], plant_on=days)
    lines = shown(show_plan, replace(plan, plantings=(raft,))).splitlines()
    assert any(line.startswith("  Cherry raft  ") for line in lines)
    assert any(line.startswith("  12 logs, nameko  ") for line in lines)


def test_a_missing_fallback_day_is_said() -> None:
    """A planting without a fallback day says so in plain words."""
    plan = sample_plan()
    plan = replace(plan, plantings=(replace(plan.plantings[0], fallback_on=None),))
    assert "no fallback day" in shown(show_plan, plan)


def test_a_start_that_has_passed_is_said() -> None:
    """A last safe start before today is marked."""
    plan = sample_plan()
    assert plan.outlook is not None
    plan = replace(plan, outlook=replace(plan.outlook, last_safe_start=date(2026, 11, 7)))
    assert "last safe Sat 7 Nov 2026 (this day has passed)" in shown(show_plan, plan, width=120)


def test_the_more_urgent_thing_comes_first() -> None:
    """A task today stands above an order that is due later."""
    plan = sample_plan()
    today = date(2027, 1, 19)
    tasks = (replace(plan.tasks[0], on=today), *plan.tasks[1:])
    plan = replace(plan, season=replace(plan.season, today=today), orders=plan.orders[:1], tasks=tasks)
    first, *mind, second = shown(show_plan, plan).split("\n\n")[0].splitlines()
    assert first.startswith("Do today")
    assert " ".join(" ".join(mind).split()).startswith("Mind: let the cooker fall to no pressure by itself")
    assert second.startswith("Order by Wed 20 Jan 2027")


@pytest.mark.parametrize("width", [40, 60, 80, 120])
@pytest.mark.parametrize("make", [sample_plan, sample_refusal, market_plan])
def test_no_line_is_too_long_cut_or_padded(make: object, width: int) -> None:
    """Every line fits its page, nothing is cut with an ellipsis, and no line ends in spaces."""
    assert callable(make)
    for plan in (make(), imperial(make())):
        for line in shown(show_plan, plan, width=width).splitlines():
            assert cell_len(line) <= width, line
            assert line == line.rstrip()
            assert "…" not in line


def test_a_pipe_gets_plain_text_and_a_terminal_the_same_words() -> None:
    """Piped output holds no control codes; on a terminal only codes for bold and dim are added."""
    plan = market_plan()
    piped = shown(show_plan, plan)
    assert "\x1b" not in piped
    assert piped.isascii()
    on_screen = shown(show_plan, plan, terminal=True)
    assert "\x1b[1m" in on_screen
    for code in ("\x1b[1m", "\x1b[2m", "\x1b[0m"):
        on_screen = on_screen.replace(code, "")
    assert on_screen == piped


def test_names_cannot_steer_the_terminal() -> None:
    """A control code typed into a name is not passed on, and wide characters keep the page's width."""
    plan = sample_plan()
    name = "\x1b[31mRot\x1b[0m \t なめこの丸太を庭の北側に並べる長い長い名前の植え付け"
    plan = replace(plan, plantings=(replace(plan.plantings[0], name=name),))
    text = shown(show_plan, plan)
    assert "\x1b" not in text
    assert "\t" not in text
    assert max(map(cell_len, text.splitlines())) <= 80


def test_markup_in_a_title_is_printed_as_it_is() -> None:
    """Square brackets are a grower's own, not styling."""
    plan = sample_plan()
    plan = replace(plan, tasks=(replace(plan.tasks[1], title="Soak [bold]rye[/bold] :smile:"),))
    assert "Soak [bold]rye[/bold] :smile:" in shown(show_plan, plan)


def test_gates_stand_on_one_line_each() -> None:
    """Redo-by, buy-by and chance of a planting stand on its line; gates that are shut say so."""
    gates = section(shown(show_plan, market_plan(), width=120), "Gates").splitlines()
    assert len([line for line in gates if re.search(r"\d %( \(below \d+ %\))?$", line)]) == 16
    assert any("Planting 1 " in line and "no redo" in line and "81 % (below 90 %)" in line for line in gates)
    assert any("Planting 4 " in line and "too late" in line for line in gates)
    assert "counting losses and days" in " ".join(gates)


def test_planting_details_in_both_systems() -> None:
    """Spawn is printed in the season's units, with pattern, wood, window, flushes and notes."""
    metric = section(shown(show_plan, sample_plan()), "Plantings")
    assert "4.2 kg needed, 4.6 kg planned" in metric
    assert "42 % water when planted (38 to 46 %)" in metric
    assert "the first in Sep to Nov 2028, then for 3 to 5 years" in metric
    assert "The raft wants shade all day." in metric
    assert (
        "run      through the wood in about 9 to 20 months, an uncertain figure; 15 x 7.6 cm saves 180 g a log and "
        "takes 3 months more\n"
    ) in section(shown(show_plan, sample_plan(), width=160), "Plantings")
    assert "9 lb 4 oz needed, 10 lb 2 oz planned" in section(
        shown(show_plan, imperial(sample_plan())), "Plantings"
    )


@pytest.mark.parametrize(
    ("months", "other", "told"),
    [
        (None, None, None),
        (Months(3.2, 5, 6.4), None, "in about 3 to 6 months, an uncertain figure"),
        (Months(5.1, 5.2, 5.4), None, "in about 5 months, an uncertain figure"),
        (
            Months(3, 5, 6),
            OtherPattern("6 x 2 in", 40, -1.2),
            "; 6 x 2 in takes 40 g a log more and is through 1 month sooner",
        ),
        (
            Months(3, 5, 6),
            OtherPattern("6 x 2 in", -40, 0.3),
            "; 6 x 2 in saves 40 g a log and takes about as long",
        ),
    ],
)
def test_the_run_through_the_wood(
    months: Months | None, other: OtherPattern | None, told: str | None
) -> None:
    """A band in whole months, and what another pattern changes; nothing where nothing is known of it."""
    plan = sample_plan()
    planting = replace(plan.plantings[0], run_months=months, other_pattern=other)
    text = section(shown(show_plan, replace(plan, plantings=(planting,)), width=200), "Plantings")
    (row,) = [line for line in text.splitlines() if line.startswith("    run ")] or [""]
    assert row.endswith(told) if told else row == ""


def test_batches_show_their_days() -> None:
    """A batch's row holds its days; what is in hand has no cook day; wide pages add the ready day."""
    narrow = section(shown(show_plan, sample_plan()), "Batches")
    assert "NAM-G1a      3  Sat 30 Jan  Sun 31 Jan  Tue 16 Feb  Sat 27 Feb  Sat 6 Feb" in narrow
    assert "NAM-L1a      1  in hand" in narrow
    assert "grain spawn G1, quart jar" in narrow
    assert "Sat 20 Feb" not in narrow
    assert "Sat 20 Feb" in section(shown(show_plan, sample_plan(), width=120), "Batches")


def test_family_tree_is_drawn_together() -> None:
    """Parents point at runs of their children, leaves at their planting; keep-backs are named."""
    tree = section(shown(show_plan, market_plan()), "Family tree")
    assert "SHI-L1a/1 -> SHI-G1a/1-4, SHI-G1b/1-4, SHI-G1c/1-4" in tree
    assert "SHI-G1a/1 -> SHI-Sa/1-2" in tree
    assert "SHI-Sa/1-4 -> Planting 0" in tree
    assert "kept back for a redo: SHI-G1a/7, SHI-G1b/7" in tree


def test_runs_of_units_are_drawn_together() -> None:
    """Neighbours of one batch become a run; anything else stays as it is written on the jar."""
    assert (
        in_short(["A-Sa/1", "A-Sa/2", "A-Sa/4", "A-Sb/5", "old jar", "A-Sb/6"])
        == "A-Sa/1-2, A-Sa/4, A-Sb/5, old jar, A-Sb/6"
    )


def test_spare_units_are_named() -> None:
    """A unit without children beside units that have some is a spare."""
    plan = sample_plan()
    culture, grain = plan.batches
    bag = replace(grain, id="NAM-Sa", stage="sawdust", generation=None, units=(grain.units[0],), keep_back=0)
    bag = replace(bag, units=(replace(bag.units[0], id="NAM-Sa/1", parent="NAM-G1a/1"),))
    tree = section(shown(show_plan, replace(plan, batches=(culture, grain, bag))), "Family tree")
    assert "NAM-G1a/1 -> NAM-Sa/1" in tree
    assert "spare: NAM-G1a/2" in tree
    assert "kept back for a redo: NAM-G1a/3" in tree


def test_spares_say_what_their_chance_counts() -> None:
    """Need, start, chance, what it counts and why stand in one row."""
    row = section(shown(show_plan, sample_plan(), width=120), "Spares").splitlines()[1]
    assert row.split() == [
        "nameko",
        "house",
        "grain",
        "spawn",
        "2",
        "3",
        "96",
        "%",
        "losses",
        "one",
        "jar",
        "in",
        "ten",
        "is",
        "lost",
    ]


def test_make_or_buy_says_what_is_saved() -> None:
    """The alternative names amount, day, hours and bench days, and what the plan does."""
    text = " ".join(section(shown(show_plan, sample_plan()), "Make or buy").split())
    assert (
        "buy 2 x 2.3 kg bag by Thu 1 Apr, saves 5 h 40 and 6 bench days. This plan makes it: it fits." in text
    )


def test_late_orders_are_marked() -> None:
    """A late order is marked by a word and explained; orders stand in order of their days."""
    shopping = section(shown(show_plan, sample_plan()), "Shopping list")
    assert "Fri 20 Nov  hardwood chips" in shopping
    assert "LATE: the day has passed" in shopping
    assert shopping.index("hardwood chips") < shopping.index("rye")
    assert "5 lb 8 oz" in section(shown(show_plan, imperial(sample_plan())), "Shopping list")
    assert "1 more order late as well" in " ".join(shown(show_plan, market_plan()).split())


def test_two_weeks_begin_today_or_with_the_first_task() -> None:
    """Where two weeks from today hold no work, the two weeks from the first task are shown."""
    plan = sample_plan()
    work = section(shown(show_plan, plan), "The next two weeks of work")
    assert "Fri 29 Jan  Soak rye" in work
    assert "cannot wait" in work
    assert "Sun 31 Jan      45 min  2 h 50" in work
    assert "Build the cherry raft" not in work
    later = replace(plan, season=replace(plan.season, today=date(2027, 4, 11)))
    assert "Build the cherry raft" in section(shown(show_plan, later), "The next two weeks of work")
    early = replace(plan, season=replace(plan.season, today=date(2027, 4, 10)))
    assert "Build the cherry raft" in section(shown(show_plan, early), "The next two weeks of work")


def test_cautions_stand_once_with_their_tasks() -> None:
    """A caution of sixty tasks stands once, with the kind and number of the tasks and the first day."""
    text = section(shown(show_plan, market_plan()), "Cautions")
    assert text.count("Wear goggles and gloves") == 1
    assert "at: cook (60); first on Sat 5 Dec" in text
    assert "at: Cook 3 quart jars of rye (NAM-G1a), Sat 30 Jan" in section(
        shown(show_plan, sample_plan()), "Cautions"
    )


def test_figures_are_counted_and_the_weak_ones_named() -> None:
    """The grower's own figures and those of memory and common practice are named, the others counted."""
    text = section(shown(show_plan, sample_plan()), "Where the figures come from")
    assert "2 figures: 1 common practice, 1 own record." in text
    assert text.splitlines()[1:] == [
        "  own record (1)",
        "    nameko.grain  loss",
        "  common practice (1)",
        "    nameko.grain  days",
    ]


def test_figures_of_one_thing_share_a_line() -> None:
    """Names are split at their dots, but never inside a number."""
    plan = sample_plan()
    names = ("lab.container.2.3 kg bag.volume", "lab.container.2.3 kg bag.holds", "lab.usable")
    figures = tuple(replace(plan.figures[0], name=name, basis="memory") for name in names)
    text = section(shown(show_plan, replace(plan, figures=figures)), "Where the figures come from")
    assert text.splitlines()[2:] == [
        "    lab.container.2.3 kg bag  holds, volume",
        "    lab                       usable",
    ]


def test_proofs_give_the_bound_where_none_was_reached() -> None:
    """A proved aim says so; an unproved one gives its bound."""
    text = section(shown(show_plan, sample_plan()), "What the search proved")
    assert "proved: nothing better exists" in text
    assert "not proved: 5 at best" in text


def test_changes_name_the_work_and_both_days() -> None:
    """A moved task shows its title, both days and the reason; one that is gone shows its id."""
    plan = sample_plan()
    gone = Change("NAM-Sa.cook", date(2027, 2, 6), None, "the batch is lost", "dropped")
    text = section(
        shown(show_plan, replace(plan, changes=(*plan.changes, gone)), width=120), "What has changed"
    )
    assert text.splitlines() == [
        "  1 moved, 1 dropped",
        "",
        "    moved from  to          work",
        "  you are away:",
        "    Sat 23 Jan  Sat 30 Jan  Cook 3 quart jars of rye (NAM-G1a)",
        "",
        "    dropped from  work",
        "  the batch is lost:",
        "    Sat 6 Feb     NAM-Sa.cook",
        "",
        "    mind at",
        "    cook     let the cooker fall to no pressure by itself before you open it",
    ]


def test_a_stopped_plan_says_so_in_its_head() -> None:
    """An interrupted search is told before anything else about the season."""
    head = shown(show_plan, replace(sample_plan(), status="stopped")).split("\nGates\n")[0]
    assert "The search was interrupted" in head
    assert "interrupted" not in shown(show_plan, sample_plan())


def test_an_empty_plan_prints_what_there_is() -> None:
    """A plan without anything in it prints its head, and only the sections that have something to say."""
    plan = sample_plan()
    empty = Plan("planned", None, "", replace(plan.season, assumed=()))
    text = shown(show_plan, empty)
    assert text.startswith("Nothing is left to do or to order.\n")
    assert [line for line in text.splitlines() if line in ORDER] == [
        "Shopping list",
        "The next two weeks of work",
    ]
    assert "Nothing has to be bought." in text
    assert "No work is left." in text
    assert "plan None" not in text


@pytest.mark.parametrize(
    "field",
    [
        "plantings",
        "batches",
        "loads",
        "tasks",
        "orders",
        "spares",
        "make_or_buy",
        "tiers",
        "figures",
        "outlook",
        "changes",
        "notes",
    ],
)
def test_each_part_may_be_missing(field: str) -> None:
    """Any one part of a plan may be empty; the rest is shown all the same."""
    nothing: Any = None if field == "outlook" else ()
    plan = replace(sample_plan(), **{field: nothing})
    text = shown(show_plan, plan)
    assert "Alder Bend, spring 2027, plan 3, as of Sat 28 Nov 2026" in text
    assert "None" not in text


def test_years_stand_only_where_they_are_needed() -> None:
    """Within eleven months of today no year is printed; beyond them it is, whatever else the plan holds."""
    plan = sample_plan()
    spring = plan.plantings[0]
    text = shown(show_plan, plan, width=120)
    assert "best Sat 24 Apr to Sun 9 May\n" in text
    far = replace(spring, window=(spring.window[0], spring.window[1] + timedelta(days=600)))
    text = shown(show_plan, replace(plan, plantings=(far,)), width=120)
    assert "window   Tue 20 Apr to Sun 14 Jan 2029, best Sat 24 Apr to Sun 9 May" in text


def test_a_plan_of_a_later_year_fits_the_page() -> None:
    """Planned two years ahead every day of the batch table carries its year, and 80 columns hold it."""
    plan = market_plan()
    early = replace(plan, season=replace(plan.season, today=plan.season.today - timedelta(days=730)))
    text = shown(show_plan, early)
    assert max(map(len, text.splitlines())) <= 80
    rows = section(text, "Batches").splitlines()
    dated = [at for at, row in enumerate(rows) if re.search(r"(Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d", row)]
    assert dated
    assert all(re.search(r"\b20\d\d\b", " ".join(rows[at : at + 2])) for at in dated)


def test_a_best_span_that_is_the_window_is_not_told_twice() -> None:
    """Where the grower has not said which days are best, only the window is shown."""
    plan = sample_plan()
    (raft,) = plan.plantings
    text = shown(show_plan, replace(plan, plantings=(replace(raft, best=raft.window),)), width=120)
    assert "best Tue" not in text
    assert "window   Tue 20 Apr to Tue 25 May\n" in text


def test_more_units_are_only_asked_for_where_there_can_be_more() -> None:
    """What holds the chance down is told with its reason, and no cure that the reason rules out."""
    plan = replace(sample_plan(), sought=None)
    assert plan.outlook is not None
    (spare,) = plan.spares[:1]
    poor = replace(spare, chance=0.8, why="what it is made from allows no more")
    low = replace(plan, spares=(poor,), outlook=replace(plan.outlook, all=0.8))
    text = " ".join(shown(show_plan, low).split())
    assert "(80 %: what it is made from allows no more); spawn bought instead would raise it." in text
    enough = replace(low, spares=(replace(poor, chance=0.99),))
    assert "more units there, or spawn bought instead, would raise it." in " ".join(
        shown(show_plan, enough).split()
    )


def test_no_bench_day_saved_is_not_mentioned() -> None:
    """Where buying frees no day, the hours alone are told."""
    plan = sample_plan()
    offer = replace(plan.make_or_buy[0], saves_days=0)
    text = " ".join(shown(show_plan, replace(plan, make_or_buy=(offer,))).split())
    assert "saves 5 h 40. This plan makes it: it fits." in text

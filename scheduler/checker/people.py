"""Whether a plan asks of people what they have: days at home, hands, hours on the premises."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from scheduler.checker.case import Case, Check


def away(case: Case) -> Iterator[str]:
    """No task of any kind lies on a day away."""
    for task in case.plan.tasks:
        if task.on in case.away:
            yield f"{task.id} on {task.on}"


def not_before(case: Case) -> Iterator[str]:
    """No task lies before today or before work may start."""
    start = max(case.season.today, case.season.no_work_before)
    for task in case.plan.tasks:
        if task.on < start:
            yield f"{task.id} on {task.on}, work starts on {start}"


def hands(case: Case) -> Iterator[str]:
    """Hands-on minutes of a day fit the grower's own, helpers count in the yard; small tasks do not count."""
    help_minutes: Counter[object] = Counter()
    for help_ in case.season.help:
        help_minutes[help_.on] += help_.people * help_.minutes
    for day, tasks in case.by_day.items():
        counted = [task for task in tasks if not task.small]
        own = case.own_minutes(day)
        elsewhere = sum(task.minutes for task in counted if task.place != "yard")
        everything = sum(task.minutes for task in counted)
        if elsewhere > own:
            yield f"{day}: {elsewhere} minutes outside the yard, {own} are there"
        if everything > own + help_minutes[day]:
            yield f"{day}: {everything} minutes, {own + help_minutes[day]} are there, help included"


def attended(case: Case) -> Iterator[str]:
    """Somebody is on the premises for the longest row of loads of one cooker, and for each tub."""
    rows: Counter[tuple[object, str]] = Counter()
    for load in case.plan.loads:
        rows[load.on, load.cooker] += load.attended_minutes
        home = case.home_minutes(load.on)
        if rows[load.on, load.cooker] > home:
            yield f"{load.on}: {rows[load.on, load.cooker]} minutes of {load.cooker}, at home {home}"
    for day, tasks in case.by_day.items():
        tubs = sum(task.attended_minutes for task in tasks if task.kind == "pasteurise")
        if tubs > case.home_minutes(day):
            yield f"{day}: {tubs} minutes of pasteurising, at home {case.home_minutes(day)}"


CHECKS: Mapping[str, Check] = {
    "away": away,
    "not-before": not_before,
    "hands": hands,
    "attended": attended,
}

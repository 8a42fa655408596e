"""What to mind at work that can hurt: in a few words beside each task, and once in full below.

Every view that names work to be done says what to mind there, however little room it has.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from itertools import groupby

from scheduler.plan import Plan, Task
from scheduler.present.dates import Dates, dates_of
from scheduler.present.layout import Column, Lines, paragraph, table

LONGEST_HEADWORD = 50
"""Characters before the colon of a caution that can stand for it where it is named in short."""
FEW_TASKS = 3
"""Up to so many tasks of a caution are named one by one."""


def in_a_word(caution: str) -> str:
    """What a caution is about: the words before its colon, or its first sentence where it has none."""
    head, colon, _ = caution.partition(":")
    if not colon or len(head) > LONGEST_HEADWORD:
        head = caution.partition(". ")[0].rstrip(".")
    return head[:1].lower() + head[1:]


def in_words(cautions: Iterable[str]) -> str:
    """Cautions in short, each once: ``pressure; hot glass``."""
    return "; ".join(dict.fromkeys(map(in_a_word, cautions)))


def mind(task: Task) -> str:
    """What to mind at a task in short, ``Mind: pressure; hot glass``; empty where nothing is dangerous."""
    return f"Mind: {in_words(task.cautions)}" if task.cautions else ""


def minded(title: str, task: Task) -> str:
    """A title, or what else names a task, with what to mind on a line below it."""
    return "\n".join(filter(None, (title, mind(task))))


def minded_once(tasks: Sequence[Task]) -> list[str]:
    """Titles of tasks in a list; a run of one day with the same cautions says once, last, what to mind."""
    titles: list[str] = []
    for _, run in groupby(tasks, lambda task: (task.on, task.cautions)):
        *others, last = run
        titles += [*(task.title for task in others), minded(last.title, last)]
    return titles


def by_kind(tasks: Iterable[Task], width: int, indent: int) -> Lines:
    """What to mind at many tasks, one row for each kind of work."""
    return table((Column("mind at"), Column(soft=True)), kind_rows(tasks), width, indent)


def kind_rows(tasks: Iterable[Task]) -> list[tuple[str, str]]:
    """Each kind of work that can hurt, with what to mind there in short."""
    kinds: dict[str, list[str]] = defaultdict(list)
    for task in tasks:
        kinds[task.kind] += task.cautions
    return [(kind.replace("-", " "), in_words(cautions)) for kind, cautions in kinds.items() if cautions]


def cautions(plan: Plan, width: int) -> Lines:
    """Every caution once, with the tasks it belongs to."""
    return cautions_of(plan.tasks, dates_of(plan), width)


def cautions_of(tasks: Iterable[Task], words: Dates, width: int) -> Lines:
    """Every caution of some tasks once, with those it belongs to."""
    lines: Lines = []
    for caution, careful in in_full(tasks, words):
        lines += paragraph(caution, width, mark="- ")
        lines += paragraph(careful, width, mark="at: ", indent=4)
    return lines


def in_full(tasks: Iterable[Task], words: Dates) -> list[tuple[str, str]]:
    """Every caution of some tasks, word for word, and the tasks it belongs to."""
    belonging: dict[str, list[Task]] = defaultdict(list)
    for task in tasks:
        for caution in task.cautions:
            belonging[caution].append(task)
    return [(caution, _named(careful, words)) for caution, careful in belonging.items()]


def _named(tasks: list[Task], words: Dates) -> str:
    """Few tasks by title and day, many by kind, how often, and the first day."""
    if len(tasks) <= FEW_TASKS:
        return "; ".join(f"{task.title}, {words.day(task.on)}" for task in tasks)
    kinds = Counter(task.kind for task in tasks)
    counts = ", ".join(f"{kind.replace('-', ' ')} ({count})" for kind, count in kinds.items())
    return f"{counts}; first on {words.day(min(task.on for task in tasks))}"

"""What cannot have happened is refused; what is unusual is asked about."""

from __future__ import annotations

from datetime import date

import pytest

from scheduler.errors import UsageError
from scheduler.journal.context import Context
from scheduler.journal.possible import judge
from tests.journal.under_way import after, begun, growing, read

ON = date(2027, 2, 20)


def unusual(text: str, on: date, context: Context) -> list[str]:
    """What is unusual about a line, entry by entry."""
    found: list[str] = []
    for entry in read(text, on, context):
        found += judge(entry, context).unusual
        context = context.after(entry)
    return found


IMPOSSIBLE = [
    (
        "lost WIN-G1a",
        date(2027, 2, 21),
        "Sun 21 Feb 2027 is still to come",
        "today, Sat 20 Feb 2027, or a day before it",
    ),
    (
        "lost WIN-G1a",
        date(2026, 11, 27),
        "Fri 27 Nov 2026 lies before the season's first plan",
        "Sat 28 Nov 2026 or a day after it",
    ),
    (
        "inoculated SHI-Sa",
        ON,
        "SHI-Sa was not cooked by Sat 20 Feb 2027, as far as the book says",
        "a batch that was cooked before",
    ),
    ("inoculated SHI-La", ON, "SHI-La is in hand", "a batch that is made here"),
    (
        "inoculated WIN-G1a",
        date(2027, 2, 12),
        "WIN-G1a was growing on Wed 10 Feb 2027 already",
        "a day up to Wed 10 Feb 2027",
    ),
    (
        "cooked SHI-La",
        ON,
        "nothing of SHI-La is cooked",
        "a batch that is sterilised, steamed or pasteurised",
    ),
    (
        "cooked WIN-G1a",
        date(2027, 1, 25),
        "WIN-G1a was inoculated before, on Sun 24 Jan 2027",
        "a day up to Sun 24 Jan 2027",
    ),
    (
        "lost SHI-Sa",
        ON,
        "SHI-Sa was not inoculated by Sat 20 Feb 2027, as far as the book says; nothing grows there yet",
        "a batch that was inoculated before",
    ),
    (
        "ready SHI-G1a",
        date(2027, 1, 23),
        "SHI-G1a was not inoculated by Sat 23 Jan 2027, as far as the book says; nothing grows there yet",
        "a batch that was inoculated before",
    ),
    ("lost WIN-G1a/4", ON, "WIN-G1a/4 is lost already", "units that live: WIN-G1a/1-3, WIN-G1a/5"),
    ("used WIN-G1a/4", ON, "WIN-G1a/4 is lost already", "units that live: WIN-G1a/1-3, WIN-G1a/5"),
    ("felled oak 21", ON, "21 pieces of Oak stack", "at most 20: so many are left to be felled"),
    ("planted oak 21", ON, "21 pieces of Oak stack", "at most 20: so many are left to be planted"),
    ("felled currant 1", ON, "1 piece of Currant bed", "nothing is left to be felled"),
    ("put-off oak until 2027-02-20", ON, "until 2027-02-20", "a day after Sat 20 Feb 2027"),
    (
        "done Oak stack:buck",
        ON,
        "Oak stack:fell is not done yet, as far as the book says",
        "bucking and hauling of what is down",
    ),
    (
        "done WIN-Sa:wet-pellets",
        ON,
        "WIN-Sa:wet-pellets was done on Sat 6 Feb 2027 already",
        "a task that is open",
    ),
    ("undo 99", ON, "there is no entry 99", "the number of an entry of the book"),
    (
        "undo 1",
        ON,
        "entry 1 cannot go alone: entry 3 would stand without it",
        "an entry on which no other one leans",
    ),
    (
        "undo 3",
        ON,
        "entry 3 cannot go alone: entries 6, 7, 8 would stand without it",
        "an entry on which no other one leans",
    ),
]


@pytest.mark.parametrize(("text", "on", "found", "allowed"), IMPOSSIBLE)
def test_what_cannot_have_happened_is_refused(text: str, on: date, found: str, allowed: str) -> None:
    """Each with what the book says against it."""
    context = after(growing(), ("lost WIN-G1a/4", ON))
    with pytest.raises(UsageError) as refused:
        unusual(text, on, context)
    assert (refused.value.fault.found, refused.value.fault.allowed) == (found, allowed)


def test_a_batch_may_be_cooked_and_inoculated_in_one_command() -> None:
    """The second entry is judged with the first one recorded."""
    context = growing()
    entries = (*read("cooked SHI-Sa", ON, context), *read("inoculated SHI-Sa", ON, context))
    assert judge(entries[0], context).unusual == ()
    assert judge(entries[1], context.after(entries[0])).unusual == ()


def test_an_undo_that_was_undone_stands_no_more() -> None:
    """An entry is taken back once."""
    context = after(growing(), ("clean SHI-G1a", ON), ("undo", ON))
    with pytest.raises(UsageError, match="entry 8 was taken back already"):
        unusual("undo 8", ON, context)


def test_nothing_is_felled_after_it_was_planted() -> None:
    """All logs are planted: the day of the felling lies before that."""
    context = begun(today=date(2027, 6, 1))
    context = after(context, ("planted oak", date(2027, 5, 15)))
    assert unusual("felled oak", date(2027, 1, 23), context) == []
    with pytest.raises(UsageError, match="was planted on Sat 15 May 2027, before that"):
        unusual("felled oak", date(2027, 5, 16), context)


def test_a_bought_culture_is_there_before_it_is_used() -> None:
    """Nameko's culture comes on 2 January; before that something can only be made from it once it was received."""
    context = begun("market", date(2027, 1, 1))
    with pytest.raises(UsageError, match="NAM-La was not received"):
        unusual("inoculated NAM-Aa", date(2027, 1, 1), context)
    context = after(context, ("received NAM-La", date(2026, 12, 31)))
    assert unusual("inoculated NAM-Aa", date(2027, 1, 1), context) == []


UNUSUAL = [
    (
        "ready SHI-G1a",
        date(2027, 1, 30),
        ["SHI-G1a was inoculated 6 days before; the quickest of its kind take about 13."],
    ),
    ("ready SHI-G1a", date(2027, 2, 2), []),
    (
        "used SHI-G1a 1",
        date(2027, 2, 1),
        ["SHI-G1a is not expected to be ready before Sat 6 Feb 2027, and was not recorded as ready."],
    ),
    (
        "inoculated SHI-Sa",
        date(2027, 2, 1),
        [
            "SHI-G1a is not expected to be ready before Sat 6 Feb 2027, and was not recorded as ready.",
            "SHI-Sa is made from SHI-G1a/2, which is on watch.",
        ],
    ),
    (
        "planted oak 5",
        ON,
        [
            "Sat 20 Feb 2027 lies outside of its window, Sat 10 Apr 2027 to Mon 31 May 2027.",
            "None of its spawn (SHI-Sa) may be expected to be ready before Mon 29 Mar 2027.",
        ],
    ),
    ("picked oak 1 kg", ON, ["The book does not say that Oak stack was planted."]),
    ("clean SHI-G1a", ON, []),
    ("inoculated WIN-Sa", date(2027, 2, 13), []),
]


@pytest.mark.parametrize(("text", "on", "found"), UNUSUAL)
def test_what_is_unusual_is_said(text: str, on: date, found: list[str]) -> None:
    """It can be recorded all the same, on the grower's word."""
    context = after(growing(), ("cooked SHI-Sa", date(2027, 1, 31)), ("watch SHI-G1a/2", date(2027, 2, 1)))
    assert unusual(text, on, context) == found

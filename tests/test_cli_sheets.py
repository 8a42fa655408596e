"""`sheets` as it is called: its PDF and HTML read by programs of others and compared with the plan."""

from __future__ import annotations

import importlib
import importlib.util
import itertools
import json
import re
import shutil
from collections import Counter
from datetime import date
from functools import cache
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

import pytest
from pypdf import PdfReader

from scheduler import measures
from scheduler.plan import Batch, Plan, Task
from scheduler.present import svg
from scheduler.present.cautions import in_words
from scheduler.present.sheets import labels as on_labels
from scheduler.service import planning, seasons
from scheduler.trade import label_sheets
from scheduler.workdays import MONTHS, full
from tests.command import PLANNED, budswell, example, inside, is_one_block, listing
from tests.february import TODAY, begun, newest, planned
from tests.papers import bitmap, codes, frames, html_of, letters, page_sizes, pages, squeezed

FROM = ("--since", "2020-01-01")
A4, LETTER = (210.0, 297.0), (215.9, 279.4)


@pytest.fixture(scope="module", autouse=True)
def pango() -> None:
    """PDF is set with a library of the system, without which nothing of this can be compared."""
    try:
        importlib.import_module("weasyprint")
    except OSError:
        pytest.skip("THIS TEST DID NOT RUN: there is no pango; apt-get install libpangoft2-1.0-0")


@cache
def kept(name: str) -> Path:
    """An example with its kept plan, planned once."""
    folder = TemporaryDirectory()
    _FOLDERS.append(folder)
    season = example(name, Path(folder.name))
    clock = seasons.Clock(date(2026, 11, 25), "UTC")
    planning.plan_and_keep(*seasons.read(season, clock, None), kept_at="2026-11-25T09:00:00+00:00")
    return season


_FOLDERS: list[TemporaryDirectory[str]] = []


class Printed(NamedTuple):
    """Every bench and yard sheet of an example, as PDF and HTML, and what the call says."""

    plan: Plan
    pdf: bytes
    html: str
    out: str


@cache
def printed(name: str, paper: str = "") -> Printed:
    """All days of an example on its usual paper, or on a named one; set once."""
    folder = kept(name).parent
    paths = [folder / f"{paper}all.{kind}" for kind in ("pdf", "html")]
    options = [*FROM, *(["--paper", paper] if paper else [])]
    ended = inside("sheets", name, "-o", paths[0].name, "-o", paths[1].name, *options, cwd=folder)
    assert ended.code == 0, ended.err
    return Printed(newest(folder / name).plan, paths[0].read_bytes(), paths[1].read_text("utf-8"), ended.out)


def season(name: str, folder: Path) -> tuple[str, Plan]:
    """A copy of a planned example in a folder, and its plan."""
    shutil.copytree(kept(name), folder / name)
    return name, newest(folder / name).plan


def written(folder: Path, name: str, *options: str, file: str = "out.pdf") -> bytes:
    """What a call writes, called with the day of the example's plan."""
    ended = inside("sheets", name, "-o", file, *options, cwd=folder)
    assert ended.code == 0, ended.err
    return (folder / file).read_bytes()


def work_on(plan: Plan, day: date, lab: bool) -> list[Task]:
    """All work of a day, at the bench or else."""
    return [t for t in plan.work() if t.on == day and (t.place == "lab") == lab and not t.is_care]


def says(text: str, *wanted: str) -> list[str]:
    """What is not in a text, however it is broken into lines."""
    return [one for one in wanted if squeezed(one) not in text]


def told(task: Task, plan: Plan) -> list[str]:
    """All that a sheet has to say of a task."""
    amounts = [measures.amount(s.item, s.quantity, s.unit, plan.season.units) for s in task.supplies]
    minded = [f"Mind: {in_words(task.cautions)}"] if task.cautions else []
    wait = "cannot wait" if task.slip_to is None else "can wait until"
    return [task.title, task.why, *amounts, *task.steps, *task.cautions, *minded, wait]


# --- bench and yard ------------------------------------------------------------------------------------


GOES_ON = re.compile(r"(Bench|Yard)sheet,(\w+?\d{4}),continued")
"""What stands at the head of a page on which a sheet goes on."""
HEAD = re.compile(r"(Bench|Yard)sheet((?:Mon|Tue|Wed|Thu|Fri|Sat|Sun)\w+?\d{4})")


@pytest.mark.parametrize("name", PLANNED)
def test_every_day_says_all_of_its_work(name: str) -> None:
    """Titles, reasons, amounts, steps, units and cautions of every task, in the PDF and in the page of HTML."""
    plan, pdf, html, out = printed(name)
    foot = rf"({GOES_ON.pattern})?{squeezed(plan.season.name)}\d+/\d+$"
    on_paper = "".join(re.sub(foot, "", text) for text in pages(pdf))
    page, _ = html_of(html)
    batches = {batch.id: batch for batch in plan.batches}
    days = {(task.on, task.place == "lab") for task in plan.work() if not task.is_care}
    benches = sum(lab for _, lab in days)
    counts = f"{measures.counted(benches, 'bench sheet')} and {measures.counted(len(days) - benches, 'yard sheet')}"
    assert out == "".join(f"all.{kind}: {counts} of plan 1.\n" for kind in ("pdf", "html"))
    for text in (page, on_paper):
        sheets = re.split("(?=Benchsheet|Yardsheet)", text)[1:]
        assert len(sheets) == len(days)
        for on, lab in days:
            head = squeezed(f"{'Bench' if lab else 'Yard'} sheet {full(on)}")
            (sheet,) = (one for one in sheets if one.startswith(head))
            for task in work_on(plan, on, lab):
                assert says(sheet, *told(task, plan)) == [], (on, task.id)
                batch = batches.get(task.batch or "")
                if batch and task.kind in ("inoculate", "test-culture", "refresh-culture"):
                    pairs = [f"{unit.id} from {unit.parent}" for unit in batch.units]
                    assert says(sheet, *pairs) == [], task.id


@pytest.mark.parametrize(
    ("name", "paper"), [*((name, "") for name in PLANNED), ("market", "letter"), ("backyard", "A4")]
)
def test_nothing_of_a_day_lies_under_another(name: str, paper: str) -> None:
    """A page holds days that begin on it, whole if there are several, or names the one sheet that goes on.

    Titles, cautions and the box for what is seen stand only on pages that name their day.
    """
    plan, pdf, _, _ = printed(name, paper)
    work: dict[tuple[str, str], list[Task]] = {}
    for task in plan.work():
        if not task.is_care:
            kind = "Bench" if task.place == "lab" else "Yard"
            work.setdefault((kind, squeezed(full(task.on))), []).append(task)
    cautions = {caution for tasks in work.values() for task in tasks for caution in task.cautions}
    titles = {task.title for tasks in work.values() for task in tasks}
    begun, before = [], ("", "")
    for number, text in enumerate(pages(pdf), 1):
        begins, goes_on = HEAD.findall(text), GOES_ON.findall(text)
        assert goes_on == ([] if begins else [before]), number
        named = begins or goes_on
        assert text.count("Seen,lost,changed:") <= 1
        if "Seen,lost,changed:" in text:
            assert len(named) == 1 and not all(task.small for task in work[named[0]]), number
        here = [task for one in named for task in work[one]]
        allowed = {caution for task in here for caution in task.cautions}
        assert [one for one in cautions - allowed if squeezed(one) in text] == [], number
        told_here = squeezed("".join(task.title for task in here))
        assert [one for one in titles if squeezed(one) in text and squeezed(one) not in told_here] == [], (
            number
        )
        if len(named) > 1:
            assert says(text, *allowed, *(task.title for task in here)) == [], number
        begun += begins
        before = named[-1]
    assert sorted(begun) == sorted(work)


def test_a_long_day_of_small_work_has_its_own_pages(tmp_path: Path) -> None:
    """Looks at six batches fill more than a page: the small day after them begins on a new one."""
    name, plan = season("backyard", tmp_path)
    long, short = date(2027, 2, 10), date(2027, 2, 13)
    assert all(task.small for on in (long, short) for task in work_on(plan, on, lab=True))
    days = ("--day", long.isoformat(), "--day", short.isoformat())
    first, second, third = pages(written(tmp_path, name, *days))
    assert says(first, "Bench sheet Wed 10 Feb 2027") == [] and "continued" not in first
    assert says(second, "Bench sheet, Wed 10 Feb 2027, continued") == [] and "13Feb2027" not in second
    assert says(third, "Bench sheet Sat 13 Feb 2027") == [] and "continued" not in third


def test_small_days_share_a_page(tmp_path: Path) -> None:
    """Two short ones lie on one page, and labels and a poster behind a long sheet do not go on with it."""
    name, _ = season("backyard", tmp_path)
    some = ("--bench", "--day", "2027-02-22", "--day", "2027-02-25")
    (text,) = pages(written(tmp_path, name, *some))
    assert says(text, "Mon 22 Feb 2027", "Thu 25 Feb 2027") == [] and "continued" not in text
    mixed = ("--bench", "--labels", "--poster", "--day", "2027-01-24")
    goes_on = [bool(GOES_ON.search(text)) for text in pages(written(tmp_path, name, *mixed))]
    assert goes_on == [False, True, False, False]


def test_a_load_says_how_long_it_is_held_at_this_altitude(tmp_path: Path) -> None:
    """Fern Hollow lies 900 ft high: 100 minutes at 15 psi become 113 (IAPWS-IF97, ISO 2533, z = 10 K)."""
    name, plan = season("backyard", tmp_path)
    load = plan.loads[0]
    (sheet,) = pages(written(tmp_path, name, "--bench", "--day", load.on.isoformat()))
    steam_c = 120.28  # saturation at 98.05 + 103.42 kPa, from steam tables
    factor = 10 ** ((121.1 - steam_c) / 10)
    assert abs(load.hold_minutes - 100 * factor) < 9
    assert (
        says(
            sheet,
            f"hold for {load.hold_minutes} min at 15 psi on the gauge",
            "3 h 23 from lighting to opening",
        )
        == []
    )
    soaked = next(t for t in plan.tasks if t.kind == "soak-grain" and t.batch == load.holds[0].batch)
    recipe = ", ".join(measures.amount(s.item, s.quantity, s.unit, "imperial") for s in soaked.supplies)
    assert says(sheet, f"5 x quart jar of {soaked.batch}: {recipe}") == []


def test_a_part_of_a_batch_has_its_part_of_the_recipe(tmp_path: Path) -> None:
    """Loads of the market hold a batch in two parts: the amounts of both add up to what was soaked."""
    name, plan = season("market", tmp_path)
    parts = Counter(share.batch for load in plan.loads for share in load.holds)
    split = next(batch for batch in plan.batches if parts[batch.id] > 1 and batch.stage == "grain")
    soaked = next(t for t in plan.tasks if t.kind == "soak-grain" and t.batch == split.id)
    text = "".join(pages(written(tmp_path, name, "--bench", "--day", str(split.cook_on))))
    for load in plan.loads:
        for share in load.holds:
            if share.batch == split.id:
                part = soaked.supplies[0].quantity * share.units / split.started
                amount = measures.amount(soaked.supplies[0].item, part, "kg", "metric")
                assert says(text, f"{share.units} x {split.container} of {split.id}: {amount}") == []


def test_a_planting_day_has_its_running_order(tmp_path: Path) -> None:
    """People, stations with their times, which spawn goes where, what to bring, the rain day: as `show` prints."""
    name, plan = season("backyard", tmp_path)
    day = plan.planting_days[0]
    sheet = "".join(pages(written(tmp_path, name, "--yard", "--day", day.on.isoformat())))
    shown = inside("show", name, "--running-order", day.on.isoformat(), cwd=tmp_path).out
    for station in day.works[0].stations:
        assert says(sheet, station.name, station.what) == []
    for heading in ("Bring", "At hand", "Rain day for Oak stack: Sun 16 May"):
        assert heading in shown and says(sheet, heading) == []
    bring = shown.partition("Bring\n")[2].partition("\n\n")[0]
    items = [line.removeprefix("  - ") for line in bring.splitlines() if line.startswith("  - ")]
    assert len(items) >= 3 and says(sheet, *items, "logs 1 to 20 from SHI-Sa/1") == []


def test_no_page_is_empty_and_no_small_print_is_tiny() -> None:
    """Every page has more than its foot; nothing on bench and yard sheets is smaller than eight points."""
    data = printed("market").pdf
    assert all(len(text) > 150 for text in pages(data))
    sizes: set[float] = set()
    for page in PdfReader(BytesIO(data)).pages[:12]:
        page.extract_text(
            visitor_text=lambda text, cm, tm, font, size: (
                sizes.add(abs(size * tm[3] * cm[3])) if text.strip() else None
            )
        )
    assert min(sizes) >= 8


def test_days_are_chosen(tmp_path: Path) -> None:
    """From today on where nothing is said; by day, or between days; done work is marked as done."""
    begun(tmp_path)
    plan = newest(tmp_path / "backyard").plan
    days = {(task.on, task.place == "lab") for task in plan.work() if not task.is_care}
    ahead = [day for day in days if day[0] >= date(2027, 2, 4)]
    text, _ = html_of(written(tmp_path, "backyard", *TODAY, file="out.html").decode())
    assert text.count("Benchsheet") + text.count("Yardsheet") == len(ahead) < len(days)
    assert says(text, full(min(days)[0])) != []
    some = "".join(
        pages(written(tmp_path, "backyard", "--since", "2027-01-09", "--until", "2027-01-10", *TODAY))
    )
    assert says(some, "Sat 9 Jan 2027", "Sun 10 Jan 2027", "done Sun 10 Jan") == []
    assert says(some, "Mon 11 Jan 2027") != []


def test_paper_follows_the_units_of_the_season(tmp_path: Path) -> None:
    """ISO 216 A4 where the season is metric, ANSI letter where it is not, or what is named; the poster lies."""
    imperial, _ = season("backyard", tmp_path)
    metric, _ = season("market", tmp_path)
    for name, options, size in (
        (imperial, ("--until", "2027-01-10"), LETTER),
        (metric, ("--until", "2027-01-05"), A4),
        (imperial, ("--until", "2027-01-10", "--paper", "a4"), A4),
        (metric, ("--poster",), (297.0, 210.0)),
    ):
        for wide, high in page_sizes(written(tmp_path, name, *options)):
            assert (wide, high) == pytest.approx(size, abs=0.1)


def test_the_poster_is_the_timeline_on_one_page(tmp_path: Path) -> None:
    """Every batch and planting by name, within the margins, at a size that can be read on a wall."""
    name, plan = season("market", tmp_path)
    data = written(tmp_path, name, "--poster", "--paper", "A3")
    (text,) = pages(data)
    assert (
        says(text, plan.season.name, *(b.id for b in plan.batches), *(p.name for p in plan.plantings)) == []
    )
    image = bitmap(data, 0, 100)
    left, top, right, bottom = image.point(lambda ink: 255 if ink < 200 else 0).getbbox() or (0, 0, 0, 0)
    mm = 25.4 / 100
    assert (
        left * mm > 10
        and top * mm > 10
        and image.width * mm - right * mm > 10
        and image.height * mm - bottom * mm > 10
    )
    assert right - left > 0.75 * image.width and bottom - top > 0.75 * image.height


# --- labels --------------------------------------------------------------------------------------------


def made_units(plan: Plan) -> list[tuple[Batch, str, str | None]]:
    """Every unit that is still to be made or to come."""
    return [(b, unit.id, unit.parent) for b in plan.batches if b.state != "in hand" for unit in b.units]


def label_day(day: date) -> str:
    """A day as labels write it."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


@pytest.mark.parametrize("name", PLANNED)
def test_there_is_one_label_for_each_unit(name: str, tmp_path: Path) -> None:
    """Its code, read off the page by another library, is its id; strain, parent and days stand beside it."""
    _, plan = season(name, tmp_path)
    data = written(tmp_path, name, "--labels", "--label", "A4 40", *FROM)
    units = made_units(plan)
    read = [code.text for page in range(len(pages(data))) for code in codes(data, page)]
    assert Counter(read) == Counter(unit for _, unit, _ in units)
    text = "".join(pages(data))
    for batch, unit, parent in units:
        begin = text.index(squeezed(f"{unit}{batch.species} ({batch.strain})"))
        mine = text[begin : begin + 260]
        days = [f"ready {label_day(batch.ready_on)}"]
        days += [f"made {label_day(batch.inoculate_on)}"] if batch.inoculate_on else []
        days += [f"redo by {label_day(batch.redo_by)}" if batch.redo_by else "no redo"]
        assert says(mine, *days, *([f"from {parent}"] if parent else [])) == [], unit


SHEETS = label_sheets.load()
OWN = [(35, 23), (35, 28), (35, 33), (35, 38), (30, 30), (25, 45), (48.3, 25.7), (60, 30), (120, 18)]
"""Sizes of labels in millimetres that are not in the table; the narrow ones leave little room beside the code."""
SIZES = {
    **{name: sheet.label for name, sheet in SHEETS.sheet.items()},
    **{f"{w}x{h}": (w, h) for w, h in OWN},
}
NEEDED = ("made", "ready", "redo by", "no redo", "from")
"""Words with which a line begins that no label goes without."""
EDGE = 0.8
"""White to the border of a label, in millimetres, at least."""


@pytest.mark.parametrize("name", PLANNED)
def test_a_line_is_cut_only_where_the_least_letters_have_no_room(name: str) -> None:
    """On every sheet of the table and on sizes of one's own; id, strain, parent and days are never left out."""
    for batch in newest(kept(name)).plan.batches:
        for unit, (size, (wide, high)) in itertools.product(batch.units, SIZES.items()):
            made = on_labels.label(batch, unit, wide, high)
            room = wide - made.code.side - on_labels.PAD
            told = on_labels.facts(batch, unit)
            fits = [svg.width(text, on_labels.SIZE_LEAST) <= room for text in told]
            lines = [line.text for line in made.lines]
            assert lines[0] == unit.id
            for text, line, whole in zip(told, lines, fits, strict=False):
                assert (line == text) is whole, (size, line)
            left_out = told[len(lines) :]
            assert not [text for text in left_out if text.startswith(NEEDED)], size
            assert all(svg.width(line.text, line.size, line.is_name) <= room for line in made.lines), size


def assert_within_labels(
    data: bytes, size: tuple[float, float], step: tuple[float, float], left: float, top: float
) -> None:
    """Every letter of all pages, as it is drawn, lies within one label and away from its border."""
    read = [letter for page in range(len(pages(data))) for letter in letters(data, page)]
    assert len(read) > 1000
    for letter in read:
        x, y = (letter.left - left) % step[0], (letter.top - top) % step[1]
        assert x > EDGE and x + letter.right - letter.left < size[0] - EDGE, letter
        assert y > EDGE and y + letter.bottom - letter.top < size[1] - EDGE, letter


@pytest.mark.parametrize(("wide", "high"), OWN)
def test_labels_of_own_size_hold_their_lines(wide: float, high: float, tmp_path: Path) -> None:
    """All of their lines are on the page, one below the other, and every letter is measured to lie within."""
    name, plan = season("backyard", tmp_path)
    data = written(tmp_path, name, "--labels", "--label", f"{wide}x{high}", "--paper", "A4", *FROM)
    text = "".join(pages(data))
    for batch in plan.batches:
        if batch.state != "in hand":
            for unit in batch.units:
                lines = on_labels.label(batch, unit, wide, high).lines
                assert says(text, "".join(line.text for line in lines)) == []
    columns, rows = A4[0] // wide, A4[1] // high
    left, top = (A4[0] - columns * wide) / 2, (A4[1] - rows * high) / 2
    assert_within_labels(data, (wide, high), (wide, high), left, top)


def test_letters_wider_than_most_stay_within_the_border(tmp_path: Path) -> None:
    """A name of nothing but the widest letters, which are wider than counted, ends before the border."""
    text = (example("backyard", tmp_path) / "season.toml").read_text("utf-8")
    text = text.replace('"Oak stack"', '"WWWWWWWWWW MMMMMMMMMM WWWWWWW"')
    (tmp_path / "backyard" / "season.toml").write_text(text, "utf-8")
    assert inside("plan", "backyard", cwd=tmp_path).code == 0
    data = written(tmp_path, "backyard", "--labels", "--label", "60x30", "--paper", "A4", *FROM)
    assert_within_labels(data, (60, 30), (60, 30), (210 - 180) / 2, (297 - 270) / 2)


@pytest.mark.parametrize("sheet", sorted(SHEETS.sheet))
def test_labels_lie_where_the_sheet_has_them(sheet: str, tmp_path: Path) -> None:
    """Measured off the printed page to a third of a millimetre: each of the table's sheets, in order."""
    name, plan = season("backyard", tmp_path)
    found = SHEETS.sheet[sheet]
    data = written(tmp_path, name, "--labels", "--outline", "--label", sheet, *FROM)
    (columns, rows), (wide, high), (gap_x, gap_y) = found.grid, found.label, found.gap
    paper = SHEETS.paper[found.paper]
    units = [unit for _, unit, _ in made_units(plan)]
    assert len(pages(data)) == -(-len(units) // (columns * rows))
    assert page_sizes(data)[0] == pytest.approx(paper, abs=0.1)
    measured = frames(data, 0)
    left = (paper[0] - columns * wide - (columns - 1) * gap_x) / 2
    top = (paper[1] - rows * high - (rows - 1) * gap_y) / 2
    read = codes(data, 0)
    number = min(columns * rows, len(units))
    assert len(read) == number
    seen = 0
    for at in range(number):
        row, column = divmod(at, columns)
        x, y = left + column * (wide + gap_x), top + row * (high + gap_y)
        (code,) = (one for one in read if x < one.x < x + wide and y < one.y < y + high)
        assert code.text == units[at]
        near = [one for one in measured if abs(one.left - x) < 0.35 and abs(one.top - y) < 0.35]
        for one in near:
            assert (one.width, one.height) == pytest.approx((wide, high), abs=0.5)
        seen += len(near)
    # At the very edge of the paper the border of a label is the edge.
    inner = sum(
        left + column * (wide + gap_x) > 0.5 and top + row * (high + gap_y) > 0.5
        and left + column * (wide + gap_x) + wide < paper[0] - 0.5
        and top + row * (high + gap_y) + high < paper[1] - 0.5
        for row, column in (divmod(at, columns) for at in range(number))
    )  # fmt: skip
    assert seen >= inner > 0
    assert_within_labels(data, (wide, high), (wide + gap_x, high + gap_y), left, top)


def test_a_part_used_sheet_and_labels_of_own_size(tmp_path: Path) -> None:
    """The first label lies at the place that is named; as many columns and rows as fit, or as are named."""
    name, plan = season("backyard", tmp_path)
    units = [unit for _, unit, _ in made_units(plan)]
    own = ("--label", "60x30", "--gap", "2x1", "--margin", "10x20", "--paper", "A4")
    data = written(tmp_path, name, "--labels", "--outline", *own, "--start", "5", *FROM)
    first = next(code for code in codes(data, 0) if code.text == units[0])
    # 190 mm have room for three labels of 60 mm and two gaps: the fifth is the second of the second row.
    frame = next(one for one in frames(data, 0) if one.holds(first.x, first.y))
    assert (frame.left, frame.top) == pytest.approx((10 + 62, 20 + 31), abs=0.3)
    assert (frame.width, frame.height) == pytest.approx((60, 30), abs=0.5)
    two = written(tmp_path, name, "--labels", "--label", "2.5x1 in", "--grid", "2x8", *FROM)
    assert len(codes(two, 0)) == min(16, len(units))


def test_codes_lead_to_the_page_of_a_batch(tmp_path: Path) -> None:
    """With an address; the id still stands in letters."""
    name, plan = season("backyard", tmp_path)
    options = ("--labels", "--batch", "SHI-G1a", "--address", "http://192.168.1.20:8000/")
    data = written(tmp_path, name, *options)
    batch = next(one for one in plan.batches if one.id == "SHI-G1a")
    assert [code.text for code in codes(data, 0)] == [
        "http://192.168.1.20:8000/batch/SHI-G1a"
    ] * batch.started
    assert says(pages(data)[0], *(unit.id for unit in batch.units)) == []


def test_what_is_lost_gets_no_label(tmp_path: Path) -> None:
    """Labels are for what is there or will be; a culture in hand gets them when it is named."""
    begun(tmp_path)
    assert inside("record", "backyard", "lost", "SHI-G1a", "2", *TODAY, cwd=tmp_path).code == 0
    data = written(tmp_path, "backyard", "--batch", "SHI-G1a", "--batch", "SHI-La", *TODAY)
    read = {code.text for code in codes(data, 0)}
    assert len([one for one in read if one.startswith("SHI-G1a/")]) == 3
    assert "SHI-La/1" in read


HOSTILE = [
    "<script>alert('x')</script><img src='http://evil.example/x.png'>",
    "\N{MUSHROOM}" * 60,
    "しいたけの丸太と庭の木くずの床のとても長い名前" * 3,
    "Supercalifragilistic" * 4,
    "</style></title><h1>&amp;lt;",
]


@pytest.mark.parametrize("hostile", HOSTILE, ids=range(len(HOSTILE)))
def test_names_stay_text_within_their_room(hostile: str, tmp_path: Path) -> None:
    """Markup is printed as letters and fetches nothing; long names leave every code and border as they are."""
    text = (example("backyard", tmp_path) / "season.toml").read_text("utf-8")
    text = text.replace('"Oak stack"', json.dumps(hostile, ensure_ascii=False))
    text = text.replace('"Fern Hollow, spring 2027"', json.dumps(hostile, ensure_ascii=False))
    (tmp_path / "backyard" / "season.toml").write_text(text, "utf-8")
    assert inside("plan", "backyard", cwd=tmp_path).code == 0
    plan = newest(tmp_path / "backyard").plan
    options = (
        "--labels",
        "--bench",
        "--yard",
        "--poster",
        "--outline",
        "--label",
        "A4 21",
        "--day",
        "2027-05-15",
        "--batch",
        "SHI-Sa",
    )
    call = inside("sheets", "backyard", "-o", "x.html", "-o", "x.pdf", *options, cwd=tmp_path)
    assert call.code == 0, call.err
    words, tags = html_of((tmp_path / "x.html").read_text("utf-8"))
    assert squeezed(plan.plantings[0].name) in words
    assert {tag for tag, _ in tags}.isdisjoint({"script", "img", "link", "iframe"})
    assert sum(tag == "title" for tag, _ in tags) >= 1 and sum(tag == "h1" for tag, _ in tags) == 1
    assert not [
        value for _, attributes in tags for key, value in attributes.items() if key in ("src", "href")
    ]
    data = (tmp_path / "x.pdf").read_bytes()
    labels = next(page for page in range(len(pages(data))) if len(codes(data, page)) == 3)
    measured = frames(data, labels)
    assert len(measured) >= 3
    assert all((one.width, one.height) == pytest.approx((63.5, 38.1), abs=0.5) for one in measured)
    assert page_sizes(data)[-1] == pytest.approx((279.4, 215.9), abs=0.1)


# --- the call ------------------------------------------------------------------------------------------


def test_the_same_sheets_are_the_same_bytes(tmp_path: Path) -> None:
    """Again, and in another process."""
    name, _ = season("backyard", tmp_path)
    options = ("--bench", "--labels", "--poster", *FROM, "--until", "2027-01-24")
    call = ("sheets", name, *options)
    assert inside(*call, "-o", "a.pdf", "-o", "a.html", cwd=tmp_path).code == 0
    ended = budswell(*call, "-o", "b.pdf", "-o", "b.html", cwd=tmp_path, PYTHONHASHSEED="3")
    assert ended.code == 0, ended.err
    for kind in ("pdf", "html"):
        assert (tmp_path / f"a.{kind}").read_bytes() == (tmp_path / f"b.{kind}").read_bytes()


WRONG = [
    ([], ["Missing option '--output'"]),
    (["-o", "x.doc"], ["--output", "x.doc", ".pdf or .html"]),
    (["-o", "gone/x.pdf"], ["gone/x.pdf", "the folder is not there"]),
    (["-o", "backyard/season.html"], ["nothing to print"]),
    (["-o", "x.pdf", "--day", "2027-01-08"], ["--day", "2027-01-08", "2027-01-09"]),
    (["-o", "x.pdf", "--day", "soon"], ["--day", '"soon"', "YYYY-MM-DD"]),
    (["-o", "x.pdf", "--since", "2040-01-01"], ["nothing to print"]),
    (["-o", "x.pdf", "--labels", "--since", "2040-01-01"], ["nothing to print"]),
    (["-o", "x.pdf", "--labels", "--label", "A4 22"], ["--label", '"A4 22"', "A4 21"]),
    (["-o", "x.pdf", "--labels", "--label", "300x30"], ["--label", "do not fit on letter"]),
    (["-o", "x.pdf", "--labels", "--label", "60x30", "--grid", "4x9"], ["4 x 9 labels", "do not fit"]),
    (["-o", "x.pdf", "--labels", "--label", "12x8"], ["--label", "12 x 8 mm", "too small for a code"]),
    (
        ["-o", "x.pdf", "--labels", "--grid", "0x3", "--label", "60x30"],
        ["--grid", '"0x3"', "columns and rows"],
    ),
    (["-o", "x.pdf", "--labels", "--grid", "2x3"], ["--grid", "--label WxH"]),
    (["-o", "x.pdf", "--labels", "--gap", "wide", "--label", "60x30"], ["--gap", '"wide"', "mm"]),
    (["-o", "x.pdf", "--labels", "--label", "0x30"], ["--label", '"0x30"', "5 mm or more"]),
    (["-o", "x.pdf", "--labels", "--label", "60x30", "--margin", "200x10"], ["0 x", "do not fit"]),
    (
        ["-o", "x.pdf", "--labels", "--label", "letter 30", "--margin", "30x10"],
        ["3 x 10 labels", "do not fit"],
    ),
    (["-o", "x.pdf", "--labels", "--start", "31"], ["--start", "1 to 30"]),
    (["-o", "x.pdf", "--labels", "--start", "0"], ["--start"]),
    (["-o", "x.pdf", "--paper", "A9"], ["--paper", '"A9"', "A4"]),
    (["-o", "x.pdf", "--batch", "SHI-Q9"], ["--batch", "SHI-Q9", "SHI-G1a"]),
    (["-o", "x.pdf", "--labels", "--address", "my house"], ["--address", "http://"]),
]


@pytest.mark.parametrize(("options", "words"), WRONG, ids=[" ".join(options) for options, _ in WRONG])
def test_what_cannot_be_printed_changes_nothing(options: list[str], words: list[str], tmp_path: Path) -> None:
    """One block that says where, exit code 2, and no file is new, changed or gone."""
    planned(tmp_path)
    if "backyard/season.html" in options:
        options = [*options, "--until", "2020-01-01"]
    before = listing(tmp_path)
    ended = inside("sheets", "backyard", *options, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    for word in words:
        assert word in " ".join(ended.err.split()), ended.err
    assert listing(tmp_path) == before


@pytest.mark.parametrize(("module", "kind"), [("weasyprint", "pdf"), ("jinja2", "html"), ("segno", "html")])
def test_sheets_need_their_libraries(
    module: str, kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where one is not installed a block says what to install; a page of HTML does without the one for PDF."""
    planned(tmp_path)
    find = importlib.util.find_spec
    monkeypatch.setattr(
        "importlib.util.find_spec", lambda name, *a: None if name == module else find(name, *a)
    )
    ended = inside("sheets", "backyard", "-o", f"x.{kind}", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "budswell[paper]" in ended.err and module in ended.err
    if module == "weasyprint":
        assert inside("sheets", "backyard", "-o", "x.html", cwd=tmp_path).code == 0


def test_pdf_needs_a_library_of_the_system(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where it is not there a block says what to install, nothing is written, and HTML does without."""
    planned(tmp_path)

    def no_pango(name: str) -> None:
        raise OSError("cannot load library 'libpango-1.0-0'\n\nSee the manual.")

    monkeypatch.setattr("scheduler.present.sheets.document.import_module", no_pango)
    before = listing(tmp_path)
    ended = inside("sheets", "backyard", "-o", "x.pdf", cwd=tmp_path)
    assert ended.code == 2 and listing(tmp_path) == before
    is_one_block(ended)
    assert "apt-get install libpango-1.0-0" in ended.err and "manual" not in ended.err
    assert inside("sheets", "backyard", "-o", "x.html", cwd=tmp_path).code == 0


def test_a_season_without_a_plan_has_no_sheets(tmp_path: Path) -> None:
    """It says what to do first."""
    example("backyard", tmp_path)
    ended = inside("sheets", "backyard", "-o", "x.pdf", cwd=tmp_path)
    assert ended.code == 2 and "budswell plan backyard" in ended.err

"""The drawn picture of the season, read back as a document: what stands on which day, for whom it is legible."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from xml.etree.ElementTree import Element, fromstring

import matplotlib
import pytest
from PIL import Image, ImageFont

from scheduler.plan import Batch, Plan, PlantingPlan
from scheduler.present.raster import png
from scheduler.present.season_svg import STYLE, season_svg
from scheduler.progress import NOTHING, BatchProgress, PlantingProgress, Progress
from scheduler.workdays import full
from tests.cautions.plans import made
from tests.command import PLANNED
from tests.present.under_way import HOSTILE
from tests.sample import sample_plan

SVG = "{http://www.w3.org/2000/svg}"
FONTS = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
EXAMPLES = pytest.mark.parametrize("name", PLANNED)


def drawn(plan: Plan, progress: Progress = NOTHING, today: date | None = None) -> Element:
    """The picture, as any reader of XML sees it."""
    return fromstring(season_svg(plan, progress, today))


def symbols(root: Element) -> dict[str, Element]:
    """Rows and days of work, by what is said of them."""
    found = root.findall(f".//{SVG}g[@role='graphics-symbol']")
    titles = {one.findtext(f"{SVG}title") or "": one for one in found}
    assert len(titles) == len(found)
    return titles


def row(root: Element, name: str) -> Element:
    """The row of a batch or a planting."""
    (found,) = (one for told, one in symbols(root).items() if told.startswith(f"{name}, "))
    return found


def letters(of: Element) -> list[tuple[float, str]]:
    """Letters of a row with their places from left to right."""
    marks = of.findall(f"{SVG}text[@text-anchor='middle']")
    return sorted((float(one.attrib["x"]), one.text or "") for one in marks)


def lettered(one: Batch | PlantingPlan) -> list[tuple[date, str]]:
    """Which letter belongs to which day, from the plan."""
    if isinstance(one, Batch):
        days = [(one.cook_on, "C"), (one.inoculate_on, "I"), (one.ready_on, "R"), (one.redo_by, "L")]
        days += [(on, "U") for on in one.use_on]
    else:
        days = [(one.soak_on, "S"), (one.fallback_on, "B"), (one.redo_by, "L"), (one.buy_by, "O")]
        days += [(on, "F") for on in one.fell_on] + [(on, "P") for on in one.plant_on]
    return [(on, letter) for on, letter in days if on is not None]


def scale(root: Element, first_work: date) -> tuple[float, float, date]:
    """Place of a Saturday, width of a day and that Saturday, told from the shaded weekends."""
    weekends = root.findall(f".//{SVG}rect[@opacity]")
    saturday = first_work + timedelta(days=5 - first_work.weekday())
    places = [float(one.attrib["x"]) for one in weekends]
    return places[0], (places[-1] - places[0]) / (7 * (len(places) - 1)), saturday


@EXAMPLES
def test_every_day_of_a_row_has_its_letter_in_its_place(name: str) -> None:
    """All letters are there, in the order of their days; one that stands alone is at its day to a tenth."""
    plan, _ = made(name)
    root = drawn(plan)
    first = min(
        [*(on for b in plan.batches for on, letter in lettered(b) if letter in "CIU"),
         *(on for p in plan.plantings for on, letter in lettered(p) if letter in "FSPB"),
         *(task.on for task in plan.work() if not task.is_care)]
    )  # fmt: skip
    x0, day, saturday = scale(root, first)
    left, alone = x0 - 5 * day, 0
    for one in (*plan.batches, *plan.plantings):
        expected = [(on, letter) for on, letter in lettered(one) if on >= saturday - timedelta(days=5)]
        id_ = one.id if isinstance(one, Batch) else one.name
        found = letters(row(root, id_))
        assert Counter(letter for _, letter in found) == Counter(letter for _, letter in expected), id_
        places = sorted((x0 + ((on - saturday).days + 0.5) * day, letter) for on, letter in expected)
        for number, (x, letter) in enumerate(places):
            if all(abs(x - other) >= 40 for other, _ in places[:number] + places[number + 1 :]):
                alone += 1
                assert any(abs(x - place) < 0.1 and letter == found_ for place, found_ in found), (
                    id_,
                    letter,
                )
            assert any(abs(x - place) < 40 and letter == found_ for place, found_ in found), (id_, letter)
        assert all(b[0] - a[0] >= 13 for a, b in pairwise(found)), id_
        assert all(x > left for x, _ in found)
    assert alone >= len(plan.batches)


@EXAMPLES
def test_a_line_leads_from_each_parent_to_what_is_made_of_it(name: str) -> None:
    """As many as there are pairs of a parent and a child with a day in common; they run down, nearly upright."""
    plan, _ = made(name)
    batches = {batch.id: batch for batch in plan.batches}
    pairs = {
        (unit.parent.rpartition("/")[0], batch.id)
        for batch in plan.batches
        for unit in batch.units
        if unit.parent is not None
    }
    made_of = sum(batches[child].inoculate_on in batches[parent].use_on for parent, child in pairs)
    planted_with = sum(
        len(set(batch.use_on) & set(planting.plant_on))
        for planting in plan.plantings
        for batch in plan.batches
        if planting.name in batch.plantings
    )
    lines = drawn(plan).findall(f".//{SVG}g[@class='parents']/{SVG}line")
    assert len(lines) == made_of + planted_with > 0
    for line in lines:
        across = abs(float(line.attrib["x2"]) - float(line.attrib["x1"]))
        assert float(line.attrib["y2"]) > float(line.attrib["y1"]) and across < 30


@EXAMPLES
def test_text_stays_in_its_column_and_picture(name: str) -> None:
    """Measured with the letters of a real font: labels end before the chart, all text within the picture."""
    assert_text_stays(drawn(made(name)[0]))


@pytest.mark.parametrize("name", ["W" * 98, "mw@%" * 25, "NAMEKO " * 14, "Щит ЖФЮ " * 12, "Æble—" * 20])
def test_names_of_the_widest_letters_stay_in_their_column(name: str) -> None:
    """Whoever writes in capitals, or with nothing but broad letters."""
    plan = sample_plan()
    (raft,) = plan.plantings
    plan = replace(
        plan,
        season=replace(plan.season, name=name),
        plantings=(replace(raft, name=name, method=name),),
        batches=tuple(replace(one, plantings=(name,), species=name) for one in plan.batches),
    )
    assert_text_stays(drawn(plan))


def assert_text_stays(root: Element) -> None:
    """Looks at all text of a picture, as a real font has it."""
    chart = min(float(line.attrib["x1"]) for line in root.findall(f"{SVG}g/{SVG}line"))
    legend = min(float(text.attrib["y"]) for text in root.findall(f"{SVG}text") if text.text == "cook") - 10
    wide, high = map(float, root.attrib["viewBox"].split()[2:])
    for text in root.iter(f"{SVG}text"):
        face = "DejaVuSans-Bold.ttf" if text.get("font-weight") else "DejaVuSans.ttf"
        size = float(text.attrib["font-size"])
        length = ImageFont.truetype(str(FONTS / face), 100).getlength(text.text or "") * size / 100
        x, y = float(text.attrib["x"]), float(text.attrib["y"])
        begins = x - {"middle": length / 2, "end": length}.get(text.get("text-anchor", ""), 0)
        assert begins >= 0 and begins + length <= wide and 0 < y < high, text.text
        if begins < chart and y < legend:
            assert y < 60 or begins + length <= chart, text.text


def test_bars_and_windows_lie_between_their_days() -> None:
    """What grows is shaded, what waits is hatched, a window is a frame: each from day to day, none under a letter."""
    plan, _ = made("backyard")
    root = drawn(plan)
    grain = row(root, "SHI-G1a")
    marks = {letter: x for x, letter in letters(grain)}
    (grows,) = grain.findall(f"{SVG}rect[@class='grows']")
    begin = float(grows.attrib["x"])
    assert abs(begin - marks["I"] - 6.5) < 0.1
    assert abs(begin + float(grows.attrib["width"]) - marks["R"] + 6.5) < 0.1
    (waits,) = (one for one in grain.findall(f"{SVG}rect") if one.get("fill") == "url(#season-waits)")
    assert marks["R"] < float(waits.attrib["x"]) < marks["U"]
    assert root.find(f"{SVG}defs/{SVG}pattern[@id='season-waits']") is not None
    (bed,) = (p for p in plan.plantings if p.name == "Currant bed")
    (window,) = row(root, "Currant bed").findall(f"{SVG}rect[@class='window']")
    x0, day, saturday = scale(root, date(2027, 1, 9))
    assert abs(float(window.attrib["x"]) - (x0 + (bed.window[0] - saturday).days * day)) < 0.1
    assert row(root, "Oak stack").findall(f"{SVG}rect[@stroke-dasharray]")
    assert not row(root, "Currant bed").findall(f"{SVG}rect[@stroke-dasharray]")


def test_days_of_work_tell_their_tasks() -> None:
    """A square for each day of the lab and of the yard with real work, a dot for small work; with its tasks."""
    plan, _ = made("backyard")
    told = symbols(drawn(plan))
    work = [task for task in plan.work() if not task.is_care]
    days = {(task.on, task.place == "lab") for task in work}
    found = {
        title: one for title, one in told.items() if re.match(r"(Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d", title)
    }
    assert len(found) == len(days)
    for on, lab in days:
        tasks = [task for task in work if (task.on, task.place == "lab") == (on, lab)]
        (mark,) = (
            one
            for title, one in found.items()
            if title.startswith(f"{full(on)}\n") and all(task.title in title for task in tasks)
        )
        tag = "circle" if all(task.small for task in tasks) else "rect"
        assert mark.find(f"{SVG}{tag}") is not None


def test_today_and_what_has_happened_are_shown() -> None:
    """A line at today with its day in words; states, losses and what is planted in the labels and aloud."""
    plan, _ = made("backyard")
    assert drawn(plan).find(f".//{SVG}g[@class='today']") is None
    happened = Progress(
        batches={
            "SHI-G1a": BatchProgress(
                inoculated_on=date(2027, 1, 24), lost={"SHI-G1a/2": date(2027, 2, 1), "SHI-G1a/4": date(2027, 2, 1)}
            )
        },
        plantings={"Oak stack": PlantingProgress(planted={date(2027, 2, 1): 12})},
    )  # fmt: skip
    root = drawn(plan, happened, date(2027, 2, 4))
    (line,) = root.findall(f".//{SVG}g[@class='today']/{SVG}line")
    x0, day, saturday = scale(root, date(2027, 1, 9))
    x = x0 + ((date(2027, 2, 4) - saturday).days + 0.5) * day
    assert abs(float(line.attrib["x1"]) - x) < 0.1
    assert "today, Thu 4 Feb" in "".join(root.itertext())
    grain = row(root, "SHI-G1a")
    assert "growing, 2 of 5 lost" in (grain.findtext(f"{SVG}title") or "")
    assert any("growing, 2 of 5 lost" in (text.text or "") for text in grain.findall(f"{SVG}text"))
    assert "planted: 12" in "".join(row(root, "Oak stack").itertext())


def test_the_legend_names_every_letter_that_is_drawn() -> None:
    """Each has its sample with its word beside it."""
    root = drawn(made("market")[0])
    rows = {letter for one in symbols(root).values() for _, letter in letters(one)}
    legend = [(one.text or "") for one in root.findall(f"{SVG}text")]
    assert rows <= set(legend)
    for letter in rows:
        assert len(legend[legend.index(letter) + 1]) > 2


HOSTILE_NAMES = [
    "<script>alert('x')</script> & \"quotes\"",
    HOSTILE,
    "しいたけの丸太と庭の木くずの床のとても長い名前" * 4,
    "\N{MUSHROOM}\N{EVERGREEN TREE} " * 40,
    "a\x00b\x0bc",
    "]]> --> <!ENTITY x>",
]


@pytest.mark.parametrize("name", HOSTILE_NAMES, ids=range(len(HOSTILE_NAMES)))
def test_names_are_text_and_never_more(name: str) -> None:
    """Markup stays letters, what no document may hold becomes a space, long names end within their column."""
    plan = sample_plan()
    (raft,) = plan.plantings
    batches = tuple(replace(one, plantings=(name,), species=name, strain=name) for one in plan.batches)
    hostile = replace(
        plan,
        season=replace(plan.season, name=name),
        plantings=(replace(raft, name=name, species=name),),
        batches=batches,
        tasks=tuple(replace(one, title=name, planting=name) for one in plan.tasks),
    )
    root = drawn(hostile)
    assert {one.tag.removeprefix(SVG) for one in root.iter()} == {
        one.tag.removeprefix(SVG) for one in drawn(plan).iter()
    }
    words = "".join(root.itertext())
    seen = "".join(char if char.isprintable() else " " for char in name)
    assert seen in words.replace("\n", " ")
    wide = float(root.attrib["viewBox"].split()[2])
    assert wide == float(drawn(plan).attrib["viewBox"].split()[2])
    for text in root.iter(f"{SVG}text"):
        cells = sum(2 if ord(char) > 0x2E80 else 1 for char in text.text or "")
        assert float(text.attrib["x"]) + cells * float(text.attrib["font-size"]) * 0.5 <= wide


def test_the_same_season_gives_the_same_bytes() -> None:
    """Drawn twice, as a document and as pixels."""
    plan, _ = made("backyard")
    assert season_svg(plan) == season_svg(plan)
    assert png(season_svg(plan)) == png(season_svg(plan))


def test_inside_a_page_it_has_the_ink_of_the_page() -> None:
    """Without a style sheet of its own no colour is named but that of the text around it."""
    text = season_svg(made("backyard")[0], own=False)
    root = fromstring(text)
    assert root.find(f"{SVG}style") is None and "style=" not in text
    paints = {one.get(key) for one in root.iter() for key in ("fill", "stroke") if one.get(key)}
    assert paints == {"currentColor", "none", "url(#season-waits)"}
    outside = re.findall(r"(?:href|src|url)[=(]\"?([^\")]*)", text)
    assert set(outside) == {"#season-waits"}


def test_it_has_a_name_and_a_description() -> None:
    """WAI-ARIA Graphics Module 1.0: a document of symbols, each with a name."""
    root = drawn(made("backyard")[0])
    assert root.attrib["role"] == "graphics-document"
    assert [child.tag for child in root][:2] == [f"{SVG}title", f"{SVG}desc"]
    assert root.findtext(f"{SVG}title") == "Timeline of Fern Hollow, spring 2027"
    assert "plantings: 2" in (root.findtext(f"{SVG}desc") or "")
    for one in symbols(root).values():
        assert one[0].tag == f"{SVG}title"


def _luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2."""
    wide = colour if len(colour) == 6 else "".join(2 * char for char in colour)
    parts = [int(wide[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("scheme", ["light", "dark", "print"])
def test_ink_stands_out_from_its_ground(scheme: str) -> None:
    """WCAG 2.2, 1.4.3: a contrast of at least 4.5 for text and for today's line, by light and dark."""
    part = {
        "light": STYLE.partition("@media")[0],
        "dark": STYLE.partition("dark")[2].partition("@media")[0],
        "print": STYLE.partition("print")[2],
    }[scheme]
    ((ink, ground),) = re.findall(r"svg { color: #(\w+); background: #(\w+) }", part)
    (today,) = re.findall(r"\.today { color: #(\w+) }", part)
    for colour in (ink, today):
        light, dark = sorted((_luminance(colour), _luminance(ground)), reverse=True)
        assert (light + 0.05) / (dark + 0.05) >= 4.5


def test_pixels_have_the_size_of_the_picture_and_something_on_them() -> None:
    """Read by another library: twice the size of the drawing, white paper, dark letters, shaded bars."""
    text = season_svg(made("backyard")[0])
    image = Image.open(BytesIO(png(text))).convert("RGB")
    wide, high = (float(part) for part in fromstring(text).attrib["viewBox"].split()[2:])
    assert abs(image.width - 2 * wide) <= 2 and abs(image.height - 2 * high) <= 2
    assert image.getpixel((0, 0)) == (255, 255, 255)
    colours = Counter(image.get_flattened_data())
    assert colours[(255, 255, 255)] > image.width * image.height / 2
    assert min(colours) < (60, 60, 60)
    title = image.crop((20, 20, 600, 70)).convert("L")
    assert title.getextrema()[0] < 80


def test_a_season_with_no_day_says_so() -> None:
    """Nothing to draw is a picture of the season's name, and no error."""
    root = drawn(replace(sample_plan(), batches=(), plantings=()))
    assert root.findtext(f"{SVG}desc") == "Nothing of this season has a day yet."
    assert not symbols(root)


def test_a_long_season_is_drawn_wider() -> None:
    """A day keeps a width at which weeks can be told apart."""
    plan = sample_plan()
    (raft,) = plan.plantings
    later = date(2029, 4, 24)
    long = replace(
        plan, plantings=(replace(raft, plant_on=(later,), fallback_on=None, window=(later, later)),)
    )
    root = drawn(long)
    assert scale(root, date(2027, 1, 9))[1] >= 4
    assert {"2028", "2029"} <= set(re.findall(r"\d{4}", " ".join(root.itertext())))

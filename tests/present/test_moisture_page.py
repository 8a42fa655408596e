"""The page of log moisture: what comes first, each reason in words, and names nobody should have typed."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date

import pytest
from rich.cells import cell_len

from scheduler.present.moisture import first_thing, show_moisture
from scheduler.present.moisture_page import (
    LogMoisture,
    MoisturePage,
    Share,
    Thresholds,
    WeighedLog,
    moisture_data,
)
from tests.present.screen import section, shown
from tests.present.under_way import HOSTILE

DAY = date(2027, 7, 10)
RULES = Thresholds(23, 25, 30, 35, 10, 25.4)
OAK = LogMoisture(
    planting="Oak stack",
    state="planted",
    moisture=Share(29, 36, 41),
    condition="best",
    by="weighed",
    since=date(2027, 7, 3),
    best_until=5,
    floor_until=33,
    reason="moist",
    weigh_on=DAY,
    logs=(WeighedLog("log 2", 14200.0, date(2027, 7, 3), 15900.0, date(2027, 5, 15), Share(29, 36, 41)),),
)
PAGE = MoisturePage("Fern Hollow", DAY, "metric", RULES, (OAK,))


def test_the_page() -> None:
    """What to do, then the logs, water, weights, and what the words mean."""
    assert shown(show_moisture, PAGE).splitlines() == [
        "No logs need water now.",
        "Fern Hollow, Sat 10 Jul 2027",
        "",
        "Logs",
        "  planting   water in the wood  known since  too dry     weigh on",
        "  Oak stack  36 % (29 to 41)    Sat 3 Jul    in 33 days  today",
        "             best               weighed",
        "",
        "Water",
        "  Oak stack  no need: above 35 %; below it in 5 days",
        "",
        "Marked logs of Oak stack",
        "  log    weight   weighed    starting weight           water today",
        "  log 2  14.2 kg  Sat 3 Jul  15.9 kg, Sat 15 May 2027  36 % (29 to 41)",
        "",
        "Good to know",
        "  - Below 23 %: dead risk; below 25 %: danger; below 30 %: too dry, below",
        "    target; from 35 %: best.",
        "  - Rain of the last seven days: no weather file tells. In a week with 25 mm or",
        "    more nothing has to be watered.",
    ]


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (replace(OAK, best_until=0), "no need: above 30 %"),
        (replace(OAK, best_until=None), "no need: above 35 %; below it not in 2 years"),
        (replace(OAK, reason="dead"), "no use: too dry to take it up again"),
        (replace(OAK, reason="watered", reason_on=date(2027, 7, 8)), "no need: it got some on Thu 8 Jul"),
        (replace(OAK, water_now=True, reason="weight", lost_pct=13.2), "now: 13 % below starting weight, more than 10 %"),
        (replace(OAK, water_now=True, reason="dry"), "now: below 30 %"),
        (replace(OAK, water_now=True, reason="dry week"), "now: below 35 %, and only 4 mm of rain in seven days"),
    ],
)  # fmt: skip
def test_every_reason_has_its_words(one: LogMoisture, said: str) -> None:
    """One line a planting."""
    page = replace(PAGE, plantings=(one,), rain_mm=4.0)
    assert section(shown(show_moisture, page, width=100), "Water").strip() == f"Oak stack  {said}"


def test_the_most_urgent_comes_first() -> None:
    """Water before what is lost, and nothing to do where nothing is felled or no planting has logs."""
    dead, dry = replace(OAK, reason="dead"), replace(OAK, planting="Maple", water_now=True)
    assert first_thing(replace(PAGE, plantings=(dead, dry))) == "Water now: Maple"
    assert first_thing(replace(PAGE, plantings=(dead,))) == "Too dry to take up water again: Oak stack"
    standing = LogMoisture("Oak stack", "not felled")
    assert first_thing(replace(PAGE, plantings=(standing,))).startswith("Nothing is felled yet")
    assert first_thing(replace(PAGE, plantings=())).startswith("No planting has logs")


def test_the_data_hold_days_as_texts() -> None:
    """They can be written as JSON, with everything the page knows."""
    found = json.loads(json.dumps(moisture_data(PAGE), allow_nan=False))
    assert found["plantings"][0]["logs"][0]["weighed_on"] == "2027-07-03"
    assert (found["rules"]["best"], found["rain_mm"]) == (35, None)


def test_hostile_names_are_shown_harmlessly() -> None:
    """Codes are dropped, markup stays as it was typed, and nothing runs over the page."""
    page = replace(
        PAGE, season=HOSTILE, plantings=(replace(OAK, planting=HOSTILE),), weather=HOSTILE, weather_until=DAY
    )
    text = shown(show_moisture, page)
    assert not set("\x1b\x07\r\u202e") & set(text)
    assert max(map(cell_len, text.splitlines())) <= 80

"""Seasons as a grower would write them, for tests of what follows from them: a few lines, read like any other."""

from __future__ import annotations

import tempfile
from datetime import date
from functools import lru_cache
from pathlib import Path

from scheduler.lines.shapes import BatchSpec, Line
from scheduler.lines.sizing import size
from scheduler.season.load import load_season
from scheduler.season.season import Season
from scheduler.trade.catalogue import Catalogue, load

TODAY = date(2026, 11, 28)

SITE = """
latitude     = 44.0
leaf_turn    = 2026-10-05
bud_swell    = 2027-04-12
ground_thaws = 2027-04-05
"""

OAK = """
name    = "Oak stack"
species = "shiitake"
method  = "drilled logs"
wood    = "oak"
logs    = { count = 60, diameter = "13 cm", length = "1 m" }
pattern = "15 x 5 cm"
window  = "2027-04-10/2027-05-30"
best    = "2027-04-24/2027-05-16"
"""

TOTEMS = """
name    = "Totems"
species = "oyster"
method  = "totem"
wood    = "poplar"
logs    = { count = 6, diameter = "26 cm", length = "80 cm" }
window  = "2027-04-10/2027-05-30"
best    = "2027-04-24/2027-05-16"
"""

BED = """
name    = "Bed"
species = "wine cap"
method  = "chip bed"
area    = "6.3 m2"
depth   = "10 cm"
window  = "2027-05-01/2027-06-20"
best    = "2027-05-15/2027-06-06"
"""

CULTURE = """
species  = "shiitake"
stage    = "liquid culture"
amount   = "60 mL"
received = 2026-11-20
tested   = true
"""


@lru_cache(maxsize=1)
def catalogue() -> Catalogue:
    """The catalogue of the package, read once."""
    return load()


def season(
    *plantings: str,
    head: str = "",
    site: str = SITE,
    people: str = "hours = { wed = 2, sat = 6, sun = 4 }",
    help_: tuple[str, ...] = (),
    tools: str = "",
    lab: str = "",
    stock: tuple[str, ...] = (),
    buying: str = "",
    figures: str = "",
) -> Season:
    """A season of these plantings (the oak stack, if none is named), read from its text."""
    parts = [
        ("[season]", f'name = "Test"\ntimezone = "UTC"\nunits = "metric"\ntoday = {TODAY}\n{head}'),
        ("[site]", site),
        ("[people]", people),
        *(("[[help]]", text) for text in help_),
        ("[tools]", tools),
        ("[lab]", lab),
        *(("[[stock]]", text) for text in stock),
        *(("[[planting]]", text) for text in plantings or (OAK,)),
        ("[buying]", buying),
        ("", figures),
    ]
    text = "\n".join(f"{title}\n{body}" for title, body in parts if body)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "season.toml"
        path.write_text(text, encoding="utf-8")
        return load_season(path, catalogue(), clock=TODAY, system_timezone="UTC")


def edited(planting: str, **keys: str) -> str:
    """A planting's text with keys replaced or added, values as TOML writes them."""
    kept = [row for row in planting.strip().splitlines() if row.split("=")[0].strip() not in keys]
    return "\n".join([*kept, *(f"{key} = {value}" for key, value in keys.items())])


def line(of: Season, code: str | None = None) -> Line:
    """The (first, or named) strain line of a season at the wished level."""
    lines = size(of, catalogue(), "wished", {}).lines
    return next(found for found in lines if code in (None, found.code))


def stage(of: Line, name: str) -> list[BatchSpec]:
    """Batches of a line in one stage, plate tests left out."""
    return [batch for batch in of.batches if batch.stage == name and not batch.is_test]

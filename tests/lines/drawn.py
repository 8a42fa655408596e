"""Seasons of every kind for property tests: methods, labs, cookers, stock, and how sure it has to be."""

from __future__ import annotations

from hypothesis import strategies as st

from scheduler.season.season import Season
from tests.grower import BED, CULTURE, OAK, TOTEMS, edited, season

RAFT = """
name    = "Raft"
species = "nameko"
method  = "log raft"
wood    = "birch"
logs    = { count = 12, diameter = "13 cm", length = "1 m" }
window  = "2027-04-10/2027-05-30"
"""

MANY = 'holds = { "quart jar" = 40, "half-gallon jar" = 20, "2.3 kg bag" = 30, "4.8 kg bag" = 12 }'
FEW = 'holds = { "quart jar" = 7, "half-gallon jar" = 3, "2.3 kg bag" = 3, "4.8 kg bag" = 1 }'
PRESSURE, DRUM = '[[lab.cooker]]\nkind = "pressure cooker"\n', '[[lab.cooker]]\nkind = "steam drum"\n'

COOKERS = (
    "",
    PRESSURE + FEW,
    PRESSURE + MANY,
    PRESSURE + FEW + "\n" + PRESSURE + MANY,
    PRESSURE + FEW + "\n" + DRUM + 'holds = { "2.3 kg bag" = 20, "4.8 kg bag" = 9 }',
)
OWN_MEDIA = 'media = "own"\n'
MEDIA_COOKER = "\n" + PRESSURE + 'holds = { "plate" = 60, "culture bottle" = 8 }'


def in_hand(stage: str, species: str, amount: str, received: str) -> str:
    """Something in hand."""
    return f'species = "{species}"\nstage = "{stage}"\n{amount}\nreceived = {received}'


STOCK = (
    CULTURE,
    edited(CULTURE, amount='"12 mL"', tested="false"),
    edited(CULTURE, amount='"3 mL"', species='"oyster"'),
    in_hand("plate", "oyster", "units = 4", "2026-11-15"),
    in_hand("plate", "shiitake", "units = 2", "2026-09-15"),
    in_hand("slant", "nameko", "units = 1", "2026-10-15"),
    in_hand("grain", "shiitake", "units = 3", "2027-01-25"),
    in_hand("grain", "oyster", "units = 1", "2027-02-20"),
    in_hand("sawdust", "shiitake", "units = 2", "2027-02-01"),
    in_hand("pellet", "wine cap", 'amount = "1.5 kg"', "2027-02-10"),
    in_hand("sawdust", "oyster", "units = 2", "2027-02-05"),
    in_hand("chips", "wine cap", 'amount = "12 kg"', "2026-09-20"),
    in_hand("chips", "wine cap", "units = 3", "2026-08-20"),
    edited(CULTURE, amount='"7 mL"', received="2026-11-05"),
    in_hand("plate", "oyster", "units = 1", "2026-11-20"),
)


@st.composite
def plantings(draw: st.DrawFn) -> tuple[str, ...]:
    """One to four plantings, some of them of one strain."""
    found = []
    for number in range(draw(st.integers(1, 4))):
        text = draw(st.sampled_from([OAK, OAK, TOTEMS, RAFT, BED]))
        keys = {"name": f'"P{number}"', "spawn": draw(st.sampled_from(['"make"', '"make"', '"buy"']))}
        if text != BED:
            count = draw(st.integers(1, 40))
            keys["logs"] = (
                f'{{ count = {count}, diameter = "{draw(st.integers(8, 26))} cm", length = "90 cm" }}'
            )
        finished = {OAK: "sawdust", RAFT: "sawdust"}.get(text, "pellet")
        if draw(st.booleans()) and keys["spawn"] == '"make"':
            first = draw(st.sampled_from(['"grain"', '"plate", "grain"', '"liquid culture", "grain"']))
            last = draw(st.sampled_from([finished, finished, "grain"])) if text in (TOTEMS, BED) else finished
            stages = first if last == "grain" else f'{first}, "{last}"'
            keys["route"] = f"[{stages}]"
        if draw(st.booleans()) and text != BED:
            keys["window"], keys["best"] = '"2027-07-20/2027-09-20"', '"2027-08-01/2027-09-10"'
        found.append(edited(text, **keys))
    return tuple(found)


@st.composite
def seasons(draw: st.DrawFn) -> Season:
    """A season that can be sized."""
    cookers = draw(st.sampled_from(COOKERS))
    rows = [f'workspace = "{draw(st.sampled_from(["still-air box", "flow hood", "clean room"]))}"']
    if cookers:
        rows.append(f'grain_in = "{draw(st.sampled_from(["quart jar", "half-gallon jar"]))}"')
        rows.append(f'spawn_in = "{draw(st.sampled_from(["2.3 kg bag", "4.8 kg bag"]))}"')
        if draw(st.booleans()):
            rows.append(OWN_MEDIA)
            cookers += MEDIA_COOKER
    return season(
        *draw(plantings()),
        head=f"certainty = {draw(st.sampled_from([0.5, 0.8, 0.9, 0.97]))}",
        lab="\n".join([*rows, cookers]),
        stock=tuple(draw(st.lists(st.sampled_from(STOCK), max_size=3, unique=True))),
    )

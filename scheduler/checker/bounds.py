"""The few bounds of the trade that neither the season nor the sizing carries.

They are written here a second time on purpose: a slip in the catalogue would otherwise pass unseen.
Log moisture: published, osu-f-0041 (above 30 % while the mycelium grows in) and uk-for-82 (35 % or more
is ideal). All others: common practice, where nothing else is said.
"""

from __future__ import annotations

SEALED_DAYS = 8
"""Days a sealed, heat-treated load may wait before it is inoculated."""

TUB_DAYS = 2
"""The same for pellets scalded in a tub, which seals nothing."""

FIRST_CHECK_DAYS = (3, 5)
"""Days after inoculation on which a batch is first looked at: moulds are seen, but not yet in spore."""

MOISTURE_FLOOR = 30.0
MOISTURE_IDEAL = 35.0
"""Percent of wet mass of a log at planting: below the floor refused, below the ideal weighed and soaked."""

OLDEST_WOOD_DAYS = 365

LAST_GENERATION = 3
"""Generation of grain beyond which none is made."""

CHIP_DAYS = {"wetted in place": (1, 7), "soaked": (5, 14), "fermented": (7, 21)}
"""Days from the last day on which chips are prepared to the first planting day."""

CULTURES = ("slant", "plate", "liquid culture")

PARENT_STAGES: dict[str, tuple[str, ...]] = {
    "slant": CULTURES,
    "plate": CULTURES,
    "liquid culture": CULTURES,
    "grain": (*CULTURES, "grain"),
    "sawdust": ("liquid culture", "grain", "sawdust", "chips"),
    "pellet": ("liquid culture", "grain", "sawdust", "chips"),
    "dowels": ("liquid culture", "grain", "sawdust"),
    "chips": ("sawdust", "pellet", "chips"),
}
"""What each stage may be made from."""

PLANTED_FOR: dict[str, tuple[str, ...]] = {
    "grain": ("grain",),
    "sawdust": ("sawdust", "pellet"),
    "pellet": ("sawdust", "pellet"),
    "dowels": ("dowels",),
}
"""What may be planted where a route ends in a stage; a chip bed may start from colonised chips besides."""

CHIP_BED = "chip bed"

CHIP_EXPANSION = 50.0
"""Litres of fresh chips that a litre of colonised chips is ever taught to run through."""

LIGHTEST_CHIPS_G_L = 200.0
"""Mass of a litre of loose chips, at least (memory)."""

LEAD_OF_STAGE: dict[str, str] = {
    "slant": "culture",
    "plate": "culture",
    "liquid culture": "culture",
    "grain": "grain",
    "sawdust": "spawn",
    "pellet": "spawn",
    "dowels": "spawn",
    "chips": "chips",
}
"""Which lead time of the season counts for something bought ready."""

RISKY_KINDS = (
    "cook", "pasteurise", "soak-dowels", "inoculate", "test-culture", "refresh-culture", "fell", "buck",
    "prepare-chips", "plant", "soak-logs", "kill-lost", "pick",
)  # fmt: skip
"""Task kinds that can hurt somebody and never stand without a caution."""

TWO_PERSON_KG = 23.0
"""Mass beyond which a piece is a lift for two (memory: 51 lb, the load constant of a lifting equation)."""

LAST_SHAKE_DAYS = 4
"""Days that grain has to recover between its last shake and its use (common practice)."""

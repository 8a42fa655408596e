"""Which work has to carry which warning, written down by hand from the published guidance beside each row.

A row says what the warning has to say, not how it is keyed, and exactly which work carries it: work that the
row is not about must not carry it, since a page that warns of everything warns of nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from tests.cautions.works import CULTURES, Work

LOGS = ("drilled logs", "wedge-cut logs")
EATEN = ("plant", "pick")
LIFTED = ("haul", "plant", "soak-logs", "weigh", "turn", "look-after")
BROWN_PRINTED = ("nameko", "chestnut", "pioppino")


@dataclass(frozen=True)
class Row:
    """One warning: words that stand in it together, and the work that carries it."""

    name: str
    says: tuple[str, ...]
    carried_by: Callable[[Work], bool]

    def is_in(self, caution: str) -> bool:
        """Whether a caution is this warning."""
        return all(words in caution for words in self.says)


def _of(*kinds: str) -> Callable[[Work], bool]:
    return lambda work: work.kind in kinds


def _is_opened(work: Work) -> bool:
    """A culture or spawn is open on the bench; what is kept back of grain stays closed."""
    if work.kind == "keep-back":
        return work.stage in CULTURES and not work.made
    return work.kind in ("inoculate", "test-culture", "refresh-culture")


def _is_in_water(work: Work) -> bool:
    """Logs that are soaked, or watered and weighed where a soak is one of the ways; chips in a tank."""
    if work.kind == "prepare-chips":
        return work.chips in ("soaked", "fermented")
    care = work.task.is_care and work.kind in ("water", "weigh") and work.method in LOGS
    return care or work.kind == "soak-logs"


HEATED_AHEAD = ("ahead: cooker", "ahead: drum")
"""A vessel is tried out with water before the season."""

TABLE = (
    # OSHA 29 CFR 1910.266(d)(1): protective equipment; (h)(1): two tree lengths, no domino felling.
    # Oregon OSHA, OAR 437-007-0810(9): escape path of at least 25 feet, away and to the side.
    Row("chain saw", ("helmet", "cut-resistant", "upper thigh", "two tree lengths", "25 ft", "by means of another", "trained feller"), _of("fell", "buck", "ahead: saw")),
    Row("sawing into pieces", ("Sawing", "helmet to boots"), lambda w: w.kind == "plant" and w.method in ("wedge-cut logs", "stump", "totem")),
    # Common practice; local law: ownership, permits, nesting, quarantine; oak wilt.
    Row("felling law", ("permits", "protected trees", "nesting birds", "quarantine", "oak wilt"), _of("fell", "ahead: felling-permission")),
    # NIOSH, Revised Lifting Equation: load constant 23 kg (51 lb).
    Row("lifting", ("23 kg (51 lb)", "Two persons"), lambda w: w.is_heavy and w.kind in LIFTED),
    # USDA Complete Guide to Home Canning; NCHFP: vent ten minutes, let it fall to zero by itself, gauge tested yearly.
    Row("pressure vessel", ("ten minutes", "every year", "Never above the rated pressure", "fall to zero by itself", "manual"), lambda w: w.vessel == "pressure cooker" or w.kind == "ahead: cooker"),
    Row("steam drum", ("lid lies loose", "way out"), lambda w: w.vessel == "steam drum"),
    # Common practice: enough water for the whole run of grain or bags, never left alone.
    Row("boiling dry", ("boils dry", "whole time"), lambda w: w.kind == "cook" and w.load_class in ("grain", "bags")),
    # Cornell EHS 16.8 and Iowa State Biosafety Manual: wait before taking out, never a sealed container.
    Row("scalding and hot glass", ("Hot glass", "boiling water", "never sealed", "ten minutes of rest"), _of("cook", "pasteurise", "soak-dowels", *HEATED_AHEAD)),
    # Australian National University, hazard alert 2009: the flame is easy not to notice.
    Row("alcohol and flame", ("nearly invisible", "No flame inside a still-air box"), _is_opened),
    Row("blades and needles", ("needle", "closed hard box"), _is_opened),
    # US EPA: never inside a home, a garage, or any enclosed space.
    Row("propane and carbon monoxide", ("Carbon monoxide", "outdoors only", "garage"), _of("cook", "pasteurise", "soak-dowels", *HEATED_AHEAD)),
    # NIOSH Pocket Guide, calcium hydroxide.
    Row("hydrated lime", ("lime into water", "Goggles"), lambda w: w.kind == "pasteurise" or (w.kind == "prepare-chips" and w.chips == "soaked")),
    # Common practice: at most 150 C, below the flash point of paraffin; never alone, lid, no water on a fire.
    Row("hot wax", ("150 C (302 F)", "never left alone", "lid", "no water on burning wax"), lambda w: w.kind == "plant" and w.method == "drilled logs"),
    Row("drilling", ("clamp the log", "no loose gloves"), lambda w: w.kind == "plant" and w.method == "drilled logs"),
    # OSHA and NIOSH, wood dust: wet down, dust mask; oak and beech are confirmed carcinogens.
    Row("dust", ("Dust of wood, grain", "oak and beech", "mask"), _of("soak-grain", "wet-pellets", "pasteurise", "prepare", "prepare-chips", "top-up")),
    Row("mouldy litter", ("Mouldy chips and straw", "upwind"), lambda w: w.method in ("chip bed", "log raft") and w.kind in ("prepare-chips", "top-up", "cover", "uncover")),
    # Common practice: closed, heated through unopened, discarded.
    Row("mould-grown jars", ("stay closed", "not opened indoors"), _of("check", "kill-lost")),
    Row("lost units in the load", ("lids and bags unopened", "manual"), lambda w: w.kind == "cook" and w.lost),
    # Lenhart and Cole 1993 (NIOSH), spores of a shiitake farm; case report of nameko lung.
    Row("spores", ("pick young", "respirator", "Nameko", "doctor"), _of("pick")),
    # Common practice: cover, slope, two people for wet logs.
    Row("soak tank", ("drown", "Cover or fence", "in pairs"), _is_in_water),
    # Common practice: gloves, wash; not with cuts or a weak immune system; again when they are laid out.
    Row("fermented chips", ("Waterproof gloves", "immune"), lambda w: w.kind in ("prepare-chips", "plant") and w.chips == "fermented"),
    # M. Beug, The Evergreen State College: lethal amatoxins of Galerina, and its brown print.
    Row("look-alikes", ("Galerina and others", "competent person", "is not eaten", "species and date"), _of(*EATEN)),
    Row("brown print", ("prints brown", "parts nothing"), lambda w: w.kind in EATEN and w.species in BROWN_PRINTED),
    Row("eating", ("cooked thoroughly", "small portion"), _of(*EATEN)),
    # Belgian Poison Centre: always cook shiitake for some twenty minutes.
    Row("shiitake rash", ("20 minutes", "without ending it"), lambda w: w.kind in EATEN and w.species == "shiitake"),
)  # fmt: skip


def wrong(work: Work) -> Iterator[str]:
    """Every warning that a work lacks, or carries without being about it."""
    for row in TABLE:
        carried = any(row.is_in(caution) for caution in work.task.cautions)
        if carried != row.carried_by(work):
            yield f"{work.task.id} ({work.kind}) {'carries' if carried else 'lacks'}: {row.name}"
    if len(set(work.task.cautions)) < len(work.task.cautions):
        yield f"{work.task.id} carries a caution twice"

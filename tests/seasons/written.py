"""Season files as growers write them, drawn at random: whole TOML texts, from the head to the last planting."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from typing import Any

from hypothesis import strategies as st

from scheduler.trade.catalogue import Catalogue, load
from tests.seasons.hand import Hand, Raw, file_of, span

METHODS = ("drilled logs", "wedge-cut logs", "log raft", "totem", "stump", "chip bed")
CATALOGUE: Catalogue = load()

_STOCK_STAGES = ("liquid culture", "plate", "slant", "grain", "sawdust", "pellet", "dowels", "chips")
_PIECES = {"log": "logs", "totem": "logs", "stump": "stumps", "m2": "area"}
_TIMEZONES = {
    True: ("Europe/Berlin", "America/Toronto", "UTC"),
    False: ("Pacific/Auckland", "Australia/Hobart"),
}


@st.composite
def season_files(draw: Callable[[st.SearchStrategy[Any]], Any], method: str) -> str:
    """A season whose first planting is of `method`."""
    north = draw(st.sampled_from((True, True, False)))
    spring = date(2027, 4, 20) if north else date(2027, 9, 20)
    tight = draw(st.sampled_from((False, False, False, True)))
    ahead = (165, 150, 185, 230, *((120, 90, 55, 20, 3) if tight else ()))
    today = spring - timedelta(days=draw(st.sampled_from(ahead)))
    tank = draw(st.sampled_from((None, "300 L", "2000 L")))
    hand = Hand(draw, spring, today, draw(st.booleans()), tight, tank)
    grain_in, spawn_in, own = _containers(hand)
    plantings = _plantings(hand, method)
    tables: list[tuple[str, Mapping[str, object]]] = [
        ("[season]", _head(hand, north)),
        ("[site]", _site(hand, north)),
        ("[people]", _people(hand)),
        *(("[[help]]", _help(hand, plantings)) for _ in range(hand.pick(0, 0, 1, 2))),
        (
            "[tools]",
            {
                "drills": hand.easy(None, 1, 2, hard=(0,)),
                "tank": tank,
            },
        ),
        *_lab(hand, grain_in, spawn_in, own),
        *(
            ("[[stock]]", _stock(hand, p, grain_in, spawn_in))
            for p in plantings
            for _ in range(hand.pick(0, 0, 1, 2, 4))
        ),
        *(("[[planting]]", planting) for planting in plantings),
        ("[buying]", {"lead": _leads(hand)}),
        *_own_figures(hand, str(plantings[0]["species"])),
    ]
    return file_of(tables)


def _head(hand: Hand, north: bool) -> dict[str, object]:
    begins = hand.today + timedelta(days=hand.easy(7, 20, hard=(45, 90)))
    return {
        "name": hand.pick("Alder Bend", "Moulin à eau, 2027", "Ridge & “Hollow”"),
        "timezone": hand.pick(*_TIMEZONES[north]),
        "units": "imperial" if hand.imperial else hand.pick("metric", None),
        "certainty": hand.pick(None, 0.8, 0.95, 0.6),
        "no_work_before": Raw(str(begins)) if hand.seldom() else None,
        "today": Raw(str(hand.today)),
    }


def _site(hand: Hand, north: bool) -> dict[str, object]:
    metres = hand.easy(0, 310, hard=(1600,))
    latitude = hand.pick(44.6, 52.1, 58.4) if north else hand.pick(-41.3, -33.0)
    return {
        "latitude": None if hand.seldom(8) else latitude,
        "elevation": f"{round(metres / 0.3048)} ft" if hand.imperial else f"{metres} m",
        "leaf_turn": Raw(str(hand.day(-200, -180))),
        "bud_swell": Raw(str(hand.day(-20, 5))),
        "ground_thaws": Raw(str(hand.day(-40, -5))),
        "last_frost": Raw(str(hand.day(15, 35))),
    }


def _people(hand: Hand) -> dict[str, object]:
    hours: dict[str, float] | None = hand.easy(
        None,
        {"sat": 6, "sun": 4},
        {"wed": 1.5, "sat": 6, "sun": 4},
        {"mon": 2, "tue": 2, "wed": 2, "thu": 2, "fri": 2, "sat": 8, "sun": 8},
        {"tue": 3, "thu": 3, "fri": 5},
        hard=({"sat": 2.5}, {"fri": 1}),
    )
    evenings = hours is not None and "sun" not in hours
    home = {day: hand.pick(12, 20, 8) for day in hours} if hours and (evenings or hand.seldom(3)) else None
    away = []
    for _ in range(hand.pick(0, 0, 1, 2)):
        first = hand.day(-120, 40)
        away.append(span(first, first + timedelta(days=hand.easy(0, 3, 9, hard=(25, 60)))))
    return {
        "hours": hours,
        "home": home,
        "small_minutes": hand.pick(None, 0, 45),
        "away": tuple(away) or None,
        "prefer": hand.pick(None, None, ("sat",), ("sun", "tue")),
        "felling": hand.pick(None, "own", "hired", "bought"),
    }


def _help(hand: Hand, plantings: Sequence[Mapping[str, object]]) -> dict[str, object]:
    first = date.fromisoformat(str(plantings[0]["window"])[:10])
    on = first - timedelta(days=hand.pick(0, 3)) if hand.seldom(2) else first
    return {"on": Raw(str(on)), "people": hand.pick(2, 1, 5), "hours": hand.pick(6, 2.5, 9)}


def _containers(hand: Hand) -> tuple[str | None, str | None, dict[str, dict[str, object]]]:
    """What grain and spawn are made in, None where the file is silent, and containers of one's own."""
    grain_in = hand.pick(None, "quart jar", "half-gallon jar", "3 L jar", "2 L jar")
    spawn_in = hand.pick(
        None, "2.3 kg bag", "5 lb bag", "half-gallon jar", "4.8 kg bag", "3 L jar", "quart jar"
    )
    own = {}
    if "3 L jar" in (grain_in, spawn_in):
        own["3 L jar"] = {"volume": "3.4 L", "grain": hand.pick("1.7 kg", "4 lb"), "sawdust": "1.4 kg"}
    return grain_in, spawn_in, own


def _lab(
    hand: Hand, grain_in: str | None, spawn_in: str | None, own: dict[str, dict[str, object]]
) -> list[tuple[str, Mapping[str, object]]]:
    media = hand.pick(None, "bought", "bought", "own")
    names = (grain_in or "quart jar", spawn_in or "2.3 kg bag")
    used = tuple({CATALOGUE.find_container(name) or name: name for name in names}.values())
    tables: list[tuple[str, Mapping[str, object]]] = [
        (
            "[lab]",
            {
                "workspace": hand.pick(None, "still-air box", "flow hood", "clean room"),
                "grain_in": grain_in,
                "spawn_in": spawn_in,
                "media": media,
            },
        )
    ]
    tables += [("[[lab.cooker]]", cooker) for cooker in _cookers(hand, used, media == "own", bool(own))]
    for room, warm in (("shelf", (20, 22, 24, 18, 15)), ("fridge", (4, 3, 6))):
        tables.append((f"[lab.{room}]", _room(hand, room, warm, used)))
    tables += [(f'[lab.containers."{name}"]', box) for name, box in own.items()]
    return tables


def _cookers(hand: Hand, used: tuple[str, ...], media: bool, needed: bool) -> list[dict[str, object]]:
    """Nothing where the default will do, else one or two vessels."""
    if not (media or needed or hand.seldom(2)):
        return []
    cookers = []
    for number in range(hand.pick(1, 1, 2)):
        steam = number == 1 and hand.seldom(2)
        size = hand.pick(1, 2, 4)
        holds: dict[str, object] = {name: max(1, size * hand.pick(3, 4, 7)) for name in used}
        if media and not steam:
            holds |= {"plate": 60, "culture bottle": 8}
        cookers.append(
            {
                "kind": "steam drum" if steam else "pressure cooker",
                "loads_per_day": hand.pick(None, 1, 2),
                "gauge": None if steam else hand.easy(None, "15 psi", hard=("11 psi",)),
                "rated": None if steam else "15 psi",
                "holds": holds,
            }
        )
    return cookers


def _room(hand: Hand, name: str, warm: tuple[int, ...], used: tuple[str, ...]) -> dict[str, object]:
    celsius = hand.pick(*warm)
    temperature: object = hand.warmth(celsius)
    if name == "shelf" and hand.seldom():
        months = {"oct": 0, "dec": -4, "jan": -6, "mar": -3, "may": 0, "jul": 1}
        temperature = {month: hand.warmth(celsius + step) for month, step in months.items()}
    holds = hand.seldom()
    return {
        "temperature": temperature,
        "holds": {box: hand.easy(24, 16, 30, hard=(8, 4)) for box in used} if holds else None,
        "volume": None if holds else hand.volume(hand.easy(200, 150, 450, hard=(80, 40))),
    }


def _plantings(hand: Hand, method: str) -> list[dict[str, object]]:
    methods = [method, *(hand.pick(*METHODS) for _ in range(hand.pick(0, 0, 1)))]
    plantings: list[dict[str, object]] = []
    for number, each in enumerate(methods, start=1):
        allowed = [n for n, s in CATALOGUE.species.items() if s.methods[each].verdict != "refused"]
        before = [p["species"] for p in plantings if p["species"] in allowed]
        species = str(before[0]) if before and hand.seldom(2) else hand.pick(*allowed)
        plantings.append(_planting(hand, f"Planting {number}", each, species))
    return plantings


def _planting(hand: Hand, name: str, method: str, species: str) -> dict[str, object]:
    known = CATALOGUE.methods[method]
    chips = known.wood == "chips"
    woods = [wood for wood, one in CATALOGUE.species[species].wood.items() if one.verdict != "refused"]
    first = hand.day(5, 40) if chips else hand.day(-25, 25)
    last = max(first, hand.today) + timedelta(days=hand.easy(42, 28, 60, hard=(14, 6, 0)))
    inner = (last - first).days // 4
    felled = known.piece != "m2" and hand.seldom(6)
    size, whole = _size(hand, known.piece)
    return {
        "name": name,
        "species": hand.pick(species, CATALOGUE.species[species].botanical),
        "strain": hand.pick(None, None, "early"),
        "method": hand.pick(method, *known.aliases[:1]),
        "wood": hand.pick(*woods, None, "medlar"),
        _PIECES[known.piece]: size,
        "depth": hand.length(hand.pick(10, 15)) if chips and hand.seldom(2) else None,
        "pattern": hand.pick(None, "15 x 5 cm", "6 x 3 in") if method == "drilled logs" else None,
        "chips": _chips(hand) if chips else None,
        "window": span(first, last),
        "best": span(first + timedelta(days=inner), last - timedelta(days=inner)) if hand.seldom(2) else None,
        "priority": hand.pick(None, 1, 2, 5),
        "at_least": max(1, whole // 2) if hand.seldom(3) else None,
        "spawn": hand.pick(None, "make", "make", "either", "buy"),
        "route": _route(hand, method, species),
        "felled": Raw(str(hand.today - timedelta(days=hand.easy(5, 20, hard=(300, 500)))))
        if felled
        else None,
    }


def _chips(hand: Hand) -> str | None:
    """Chips are put into a tank that holds them; into another one only in a tight season."""
    hard = () if hand.tank == "2000 L" else ("soaked", "fermented")
    easy = ("soaked", "fermented") if hand.tank == "2000 L" else ()
    return hand.easy(None, "wetted in place", *easy, hard=hard)


def _size(hand: Hand, piece: str) -> tuple[object, int]:
    """The size as it is written, and how many pieces or square metres that is."""
    if piece == "m2":
        m2 = hand.easy(3.5, 6, 12, hard=(1, 40))
        return (f"{round(m2 * 10.764)} ft2" if hand.imperial else f"{m2:g} m2"), int(m2)
    groups = []
    for _ in range(hand.pick(1, 1, 2)):
        group: dict[str, object] = {
            "count": hand.pick(*((12, 20, 5, 45, 1) if piece == "log" else (3, 5, 1, 8)))
        }
        group["diameter"] = hand.length(hand.pick(*((12, 15, 9) if piece == "log" else (24, 30))))
        if piece != "stump":
            group["length"] = hand.length(hand.pick(*((100, 120) if piece == "log" else (80, 50))))
        groups.append(group)
    return (tuple(groups) if len(groups) > 1 else groups[0]), sum(int(str(g["count"])) for g in groups)


def _route(hand: Hand, method: str, species: str) -> tuple[str, ...] | None:
    stage = hand.pick(*CATALOGUE.methods[method].spawn_stages)
    if stage == "grain":
        if CATALOGUE.species[species].grain_planting.verdict == "refused":
            return None
        return hand.pick(("liquid culture", "grain"), ("grain",), ("plate", "grain"))
    ways = (("liquid culture", "grain"), ("plate", "grain"), ("grain",), ("slant", "plate", "grain"))
    return hand.pick(None, None, *((*way, stage) for way in ways))


def _stock(
    hand: Hand, planting: Mapping[str, object], grain_in: str | None, spawn_in: str | None
) -> dict[str, object]:
    of_a_bed = CATALOGUE.find_species(str(planting["species"])) == "wine cap"
    stage = hand.pick(*_STOCK_STAGES, *(("chips",) * 5 if of_a_bed else ()))
    day = Raw(str(hand.today - timedelta(days=hand.pick(5, 0, 30, 75, 200, *((-10,) if hand.tight else ())))))
    started = hand.seldom() and stage != "liquid culture" and day.text <= str(hand.today)
    table: dict[str, object] = {
        "species": planting["species"],
        "strain": planting["strain"],
        "stage": stage,
        "received": None if started else day,
        "started": day if started else None,
        "transfers": hand.pick(None, 0, 2) if stage == "grain" else None,
    }
    if stage == "liquid culture":
        return {
            **table,
            "amount": hand.pick("10 mL", "60 mL", "3 mL", "500 mL"),
            "tested": hand.pick(None, True, False),
        }
    if stage in ("plate", "slant"):
        return {**table, "units": hand.pick(1, 2, 6)}
    if stage == "dowels":
        return {**table, "units": hand.pick(100, 1000)}
    if hand.seldom(3) or stage == "chips":
        return {**table, "amount": hand.pick("1.7 kg", "4 lb", "300 g", "18 kg", "55 lb")}
    box = (grain_in if stage == "grain" else spawn_in) if hand.seldom(2) else None
    return {**table, "units": hand.pick(2, 1, 8), "container": box}


def _leads(hand: Hand) -> dict[str, object]:
    usual = {
        "culture": (14, 7, 30),
        "spawn": (21, 7),
        "grain": (7, 14),
        "chips": (21, 3),
        "supplies": (14, 5),
    }
    return {key: f"{hand.pick(*days)} d" for key, days in usual.items() if hand.seldom(2)}


def _own_figures(hand: Hand, species: str) -> list[tuple[str, Mapping[str, object]]]:
    if not hand.seldom(6):
        return []
    stage = hand.pick("grain", "sawdust")
    name = CATALOGUE.find_species(species)
    days = hand.pick(12, 20, 35)
    return [
        (
            f'[figures."{name}".{stage}]',
            {
                "days": {"low": days - 4, "likely": days, "high": days + 12},
                "loss": {"rate": hand.pick(0.05, 0.25)} if hand.seldom(2) else None,
            },
        )
    ]

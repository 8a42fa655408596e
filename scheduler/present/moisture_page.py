"""The plain words of the page of log moisture, and the same as data."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import date
from typing import Any, Literal

from scheduler.measures import Units

State = Literal["not felled", "felled", "planted"]
"""How far the logs of a planting are, by what was recorded."""


@dataclass(frozen=True)
class Share:
    """Percent of water in the wet mass."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True)
class WeighedLog:
    """One marked log."""

    log: str
    """``log 2``; empty where it has no number."""
    weight_g: float
    weighed_on: date
    starting_weight_g: float
    started_on: date | None
    """None where the starting weight is expected from size and wood, because no weight was taken in time."""
    moisture: Share
    """Today."""


@dataclass(frozen=True)
class LogMoisture:
    """The logs of one planting today, by the driest of them where several were weighed."""

    planting: str
    state: State
    moisture: Share | None = None
    """None where nothing is felled yet."""
    condition: str = ""
    """``dead risk``, ``danger``, ``below target``, ``good`` or ``best``."""
    by: str = ""
    """What it is reckoned from: ``weighed``, ``watered``, ``rain``, ``felled`` or ``planted``."""
    since: date | None = None
    """The day of that."""
    best_until: int | None = None
    """Days until they are below the best moisture; None where that is farther off than two years."""
    floor_until: int | None = None
    """Days until they are too dry; None where that is farther off than two years."""
    water_now: bool = False
    reason: str = ""
    """``dead``, ``watered``, ``weight``, ``dry``, ``dry week`` or ``moist``."""
    reason_on: date | None = None
    """Day of the water, or of the weight, where that is the reason."""
    lost_pct: float | None = None
    """Percent of its starting weight that a log has lost, where that is the reason."""
    weigh_on: date | None = None
    logs: tuple[WeighedLog, ...] = ()
    fell_on: date | None = None
    """The planned day of felling, where nothing is felled."""


@dataclass(frozen=True)
class Thresholds:
    """Percent of moisture below which it is each of these, and what asks for water."""

    lethal: float
    danger: float
    floor: float
    best: float
    loss_to_water: float
    enough_rain_mm: float


@dataclass(frozen=True)
class MoisturePage:
    """The logs of a season on one day."""

    season: str
    today: date
    units: Units
    rules: Thresholds
    plantings: tuple[LogMoisture, ...]
    without_logs: tuple[tuple[str, str], ...] = ()
    """Plantings on stumps or chips, with their method."""
    of_earlier_years: tuple[str, ...] = ()
    """Names of logs that stood before this season: they are not followed here."""
    rain_mm: float | None = None
    """Rain of the last seven days; None where it is not known."""
    weather: str = ""
    """Name of the season's weather file; empty where it has none."""
    weather_until: date | None = None
    """Its last day."""
    path: str = "SEASON"
    """The season as it is named on the command line."""


def moisture_data(page: MoisturePage) -> dict[str, Any]:
    """The page as plain data: days as ISO texts, moistures in percent, masses in grams."""
    return {
        "season": page.season,
        "today": page.today.isoformat(),
        "units": page.units,
        "rules": asdict(page.rules),
        "rain_mm": page.rain_mm,
        "plantings": [_plain(asdict(one)) for one in page.plantings],
        "without_logs": [{"planting": name, "method": method} for name, method in page.without_logs],
        "of_earlier_years": list(page.of_earlier_years),
    }


def _plain(value: Any) -> Any:
    match value:
        case date():
            return value.isoformat()
        case float():
            return round(value, 1)
        case dict():
            return {key: _plain(part) for key, part in value.items()}
        case list() | tuple():
            return [_plain(part) for part in value]
    return value

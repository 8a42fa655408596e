"""Resolves what is in hand, lead times of orders and the grower's own figures."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

from scheduler.season.findings import Findings
from scheduler.season.season import Lead, Stock
from scheduler.season.shapes import LeadTable, OwnFiguresTable, StockTable
from scheduler.season.strains import HOUSE, Strain, strain_of
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.shapes import Defaults, Figure

_COUNTED = ("plate", "slant", "dowels")
"""Stages that come by the piece; liquid culture comes in mL and everything else by mass, or in units."""
_BY_MASS = (("g",), 'kg or lb, such as "1.7 kg"')
_AMOUNTS = {
    "liquid culture": (("mL",), 'mL, such as "12 mL"'),
    "chips": (("g", "mL"), 'kg, lb, L or gal, such as "60 L"'),
}
"""How a stage is measured: the units it is read in, and what may be written."""
_LATEST_ARRIVAL = timedelta(days=366)


def stock(
    tables: list[StockTable],
    code_of: Mapping[Strain, str],
    spelled: Mapping[Strain, str],
    today: date,
    catalogue: Catalogue,
    findings: Findings,
) -> tuple[Stock, ...]:
    """What is in hand; litres of chips become grams. A warning for what was moved on too often."""
    lab = catalogue.lab.culture
    found = []
    for index, table in enumerate(tables):
        strain = strain_of(table)
        if table.stage and findings.clean("stock", index):
            _judge_amount(index, table, table.stage, findings)
        since = _since(index, table, today, findings)
        if not strain or not table.stage:
            continue
        if table.transfers is not None:
            warned, most = round(lab.transfers_warned.likely), round(lab.transfers_most.likely)
            _judge_transfers(index, strain[0], table.transfers, warned, most, findings)
        if table.strain is None:
            findings.assume(f"stock[{index}].strain", HOUSE)
        found.append(
            Stock(
                species=strain[0],
                strain=spelled[strain],
                code=code_of[strain],
                stage=table.stage,
                amount=_amount(table, catalogue.chips_g_per_l),
                units=table.units,
                since=since,
                started=table.started is not None,
                tested=_tested(index, table, findings),
                transfers=table.transfers,
                container=table.container,
            )
        )
    return tuple(found)


def _judge_transfers(
    index: int, species: str, transfers: int, warned: int, most: int, findings: Findings
) -> None:
    if transfers >= most:
        findings.warn(
            f"stock[{index}]: {species} that is {transfers} transfers from its master; from {most} on a line "
            "is better begun anew, from a slant or a fresh culture"
        )
    elif transfers >= warned:
        findings.warn(
            f"stock[{index}]: {species} that is {transfers} transfers from its master; from {warned} on "
            "growth may slow down, and each step of the season adds one"
        )


def _amount(table: StockTable, chips_g_per_l: float) -> float | None:
    """Grams, or millilitres of a liquid culture."""
    if table.amount is None:
        return None
    number, unit = table.amount
    return number / 1000 * chips_g_per_l if unit == "mL" and table.stage == "chips" else number


def _tested(index: int, table: StockTable, findings: Findings) -> bool:
    # Only a liquid culture hides what grows in it.
    if table.stage != "liquid culture":
        return bool(table.tested)
    return findings.default(f"stock[{index}].tested", table.tested, False, "not tested")


def _judge_amount(index: int, table: StockTable, stage: str, findings: Findings) -> None:
    loc = ("stock", index, "amount")
    if stage in _COUNTED:
        allowed = f"units = how many, for {stage}"
    else:
        allowed = f"for {stage} either amount in {_AMOUNTS.get(stage, _BY_MASS)[1]}, or units"
    if (table.amount is None) == (table.units is None):
        both = table.amount is not None
        findings.fault(loc, "both amount and units" if both else "neither amount nor units", allowed)
    elif table.amount is not None:
        number, unit = table.amount
        if stage in _COUNTED or unit not in _AMOUNTS.get(stage, _BY_MASS)[0]:
            findings.fault(loc, f"{number:g} {unit} of {stage}", allowed)


def _since(index: int, table: StockTable, today: date, findings: Findings) -> date:
    if table.received and table.started:
        findings.fault(
            ("stock", index, "received"),
            "both received and started",
            "the one that is known: received or started",
        )
    # What has been ordered may be on its way; what was started at home cannot lie ahead.
    if table.started and table.started > today:
        findings.fault(("stock", index, "started"), f"{table.started}", f"a day not after today, {today}")
    if table.received and table.received - today > _LATEST_ARRIVAL:
        findings.fault(
            ("stock", index, "received"), f"{table.received}", f"a day less than a year after today, {today}"
        )
    given = table.started or table.received
    return findings.default(f"stock[{index}].received", given, today, f"{today}, today")


def lead(table: LeadTable, defaults: Defaults, findings: Findings) -> Lead:
    """Lead times of orders, in whole days."""
    usual = LeadTable.model_validate(defaults.lead)
    taken = {key: words for key, words in defaults.lead.items() if getattr(table, key) is None}
    if taken:
        findings.assume("buying.lead", ", ".join(f"{key} {words}" for key, words in taken.items()))
    return Lead(**{key: round(getattr(usual if key in taken else table, key)) for key in defaults.lead})


def own_figures(
    tables: Mapping[str, Mapping[str, OwnFiguresTable]], findings: Findings
) -> Mapping[str, Mapping[str, Figure]]:
    """The grower's own figures, by species and ``<stage>.days`` or ``<stage>.loss``."""
    found: dict[str, dict[str, Figure]] = {}
    for species, stages in tables.items():
        for stage, table in stages.items():
            of_stage: dict[str, tuple[float | None, float, float | None, str]] = {}
            if table.days:
                of_stage["days"] = (table.days.low, table.days.likely, table.days.high, "d")
            if table.loss:
                of_stage["loss"] = (table.loss.low, table.loss.rate, table.loss.high, "share")
            for kind, (low, likely, high, unit) in of_stage.items():
                if (likely if low is None else low) <= likely <= (likely if high is None else high):
                    figure = Figure(low=low, likely=likely, high=high, unit=unit, basis="own record")
                    found.setdefault(species, {})[f"{stage}.{kind}"] = figure
                else:
                    findings.fault(
                        ("figures", species, stage, kind),
                        ", ".join(f"{number:g}" for number in (low, likely, high) if number is not None),
                        "low, then "
                        + ("rate" if kind == "loss" else "likely")
                        + ", then high, none smaller than the one before",
                    )
    return found

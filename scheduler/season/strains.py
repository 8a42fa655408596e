"""Strains as the season file names them, and the code of each that is written on jars."""

from __future__ import annotations

import re
import string
from collections.abc import Iterator, Mapping
from itertools import chain, product

from scheduler.season.findings import Findings
from scheduler.season.shapes import PlantingTable, StockTable
from scheduler.trade.catalogue import Catalogue

HOUSE = "house"
"""The strain of a grower who does not name one."""

Strain = tuple[str, str]
"""Species and strain, without regard to capitals."""

_CODE = re.compile("[A-Z]{2,4}")


def strain_of(table: StockTable | PlantingTable) -> Strain | None:
    """The strain that a table speaks of; None where its species is not known."""
    return (table.species, (table.strain or HOUSE).casefold()) if table.species else None


def spellings(stock: list[StockTable], plantings: list[PlantingTable]) -> Mapping[Strain, str]:
    """How each strain is spelled: as it is written first."""
    found: dict[Strain, str] = {}
    for table in chain[StockTable | PlantingTable](stock, plantings):
        strain = strain_of(table)
        if strain:
            found.setdefault(strain, table.strain or HOUSE)
    return found


def codes(
    stock: list[StockTable], plantings: list[PlantingTable], catalogue: Catalogue, findings: Findings
) -> Mapping[Strain, str]:
    """The code of every strain: the grower's own, else the species', and never one code for two strains."""
    found = _given_codes(stock, findings)
    for strain in spellings(stock, plantings):
        if strain not in found:
            usual = catalogue.species[strain[0]].code
            found[strain] = next(code for code in _variants(usual, strain[1]) if code not in found.values())
    return found


def _given_codes(stock: list[StockTable], findings: Findings) -> dict[Strain, str]:
    found: dict[Strain, str] = {}
    for index, table in enumerate(stock):
        strain = strain_of(table)
        if not strain or table.code is None:
            continue
        loc = ("stock", index, "code")
        owner = next((other for other, code in found.items() if code == table.code), strain)
        if not _CODE.fullmatch(table.code):
            findings.fault(
                loc, f'"{table.code}"', "2 to 4 capital letters, as written on the jars", _capital(table.code)
            )
        elif owner != strain:
            findings.fault(
                loc,
                f'"{table.code}", which is the code of {_named(owner)} too',
                "a code of its own for each strain",
            )
        elif found.setdefault(strain, table.code) != table.code:
            findings.fault(loc, f'"{table.code}" beside "{found[strain]}"', f"one code for {_named(strain)}")
    return found


def _capital(code: str) -> str:
    upper = code.upper()
    return f'did you mean "{upper}"?' if _CODE.fullmatch(upper) and upper != code else ""


def _named(strain: Strain) -> str:
    return f'{strain[0]} "{strain[1]}"'


def _variants(code: str, strain: str) -> Iterator[str]:
    """Codes like `code`, best first: more of them than a season file can name strains."""
    yield code
    yield from (code[:2] + letter for letter in strain.upper() if letter in string.ascii_uppercase)
    for kept, added in ((2, 1), (1, 2), (2, 2)):
        yield from (code[:kept] + "".join(tail) for tail in product(string.ascii_uppercase, repeat=added))

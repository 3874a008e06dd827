"""Values read in another unit than the one that is kept. No database.

°C, cm, kg and years are kept; what was read stays beside them as it was read ("98.6 °F").
Factors: inch and pound as defined by the international yard and pound agreement of 1959 (2.54 cm,
0.45359237 kg); °C = (°F - 32) x 5/9; a year of 365.25 days.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from me_office.entries import Entry

DAYS_A_YEAR = Decimal("365.25")
_MINUTES_A_YEAR = DAYS_A_YEAR * 24 * 60

# By the unit that is kept: the others, each with what makes the kept unit of it.
OTHERS: dict[str, dict[str, Callable[[Decimal], Decimal]]] = {
    "°C": {"°F": lambda read: (read - 32) * 5 / 9},
    "cm": {"in": lambda read: read * Decimal("2.54")},
    "kg": {"lb": lambda read: read * Decimal("0.45359237")},
    "years": {
        "months": lambda read: read / 12,
        "days": lambda read: read / DAYS_A_YEAR,
        "hours": lambda read: read / (DAYS_A_YEAR * 24),
        "minutes": lambda read: read / _MINUTES_A_YEAR,
    },
}
_READ = re.compile(r"^\s*(-?\d+(?:\.\d+)?)\s*([^\s\d.]\S*)\s*$")


class WrongUnit(ValueError):
    """A reading that cannot be understood."""


class Measured(Decimal):
    """A value in the unit that is kept, with what was read where that was another unit."""

    read: str

    @classmethod
    def of(cls, number: Decimal, unit: str, *, kept: str, places: int) -> Measured:
        """Make it of a number read in `unit`. Raises WrongUnit."""
        step = Decimal(1).scaleb(-places)
        if unit == kept:
            measured, read = cls(number), ""
        elif unit in OTHERS[kept]:
            try:
                value = OTHERS[kept][unit](number).quantize(step)
            except InvalidOperation:
                raise WrongUnit("This number is too large.") from None
            measured, read = cls(value), f"{number.normalize():f} {unit}"
        else:
            raise WrongUnit(f"The unit is {' or '.join(units_for(kept))}.")
        measured.read = read
        return measured


def units_for(kept: str) -> list[str]:
    """The units that a value may be read in, the kept one first."""
    return [kept, *OTHERS[kept]]


def parsed(read: str, *, kept: str, places: int) -> Measured:
    """Understand "98.6 °F". Raises WrongUnit."""
    found = _READ.match(read)
    if not found:
        raise WrongUnit(f"Write a number and its unit: {' or '.join(units_for(kept))}.")
    return Measured.of(Decimal(found[1]), found[2], kept=kept, places=places)


def split(read: str) -> tuple[str, str]:
    """The number and the unit of a reading as it was kept."""
    number, _, unit = read.partition(" ")
    return number, unit


def with_kept_units(
    entry: Entry, fields: Mapping[str, tuple[str, int]]
) -> tuple[dict[str, Any], dict[str, str]]:
    """Return an entry with its values in the kept units, and what is wrong with it by field.

    `fields` gives the kept unit and the number of decimals by field. `<field>_read` is what was
    read; given alone it makes the value, given beside it both have to agree. A value that comes
    without it was read in the kept unit.
    """
    said, wrong = dict(entry), {}
    for name, (kept, places) in fields.items():
        read = str(said.get(f"{name}_read") or "").strip()
        if not read:
            if name in said:
                said[f"{name}_read"] = ""
            continue
        try:
            measured = parsed(read, kept=kept, places=places)
        except WrongUnit as error:
            wrong[name] = str(error)
            continue
        given = said.get(name)
        step = Decimal(1).scaleb(-places)
        if given not in (None, "") and abs(Decimal(str(given)) - measured) > step:
            wrong[name] = f"{read} is {measured.normalize():f} {kept}, not {given}."
            continue
        said[name], said[f"{name}_read"] = Decimal(measured), measured.read
    return said, wrong

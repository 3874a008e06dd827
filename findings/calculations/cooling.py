"""The rectal cooling curve: forward, backward and its published tolerance.

The double-exponential model of Marshall and Hoare (J Forensic Sci 1962;7:56-81) with the
parameters of Henssge (Forensic Sci Int 1988;38:209-236; Henssge and Madea, Forensic Sci Int
2004;144:167-175). All functions take numbers or NumPy arrays of one shape, temperatures in
degrees Celsius, mass in kilograms, times in hours since death.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from findings.calculations.arrays import Floats, floats

Flags: TypeAlias = NDArray[np.bool_]
Numbers: TypeAlias = "float | Floats"

# Rectal temperature at death in the model (Henssge 1988).
TEMPERATURE_AT_DEATH_C = 37.2
# Last ambient temperature of the first curve: the two printed nomograms are labeled up to
# 23.2 and from 23.3 degrees (Wirth, Rechtsmedizin, excerpt seen); many texts print 23.
LAST_COOL_AMBIENT_C = 23.2
# Weight of the second exponential and multiple of its exponent: Henssge 1988, both ranges.
_COOL = (0.25, 5)
_WARM = (0.11, 10)
# Cooling constant B = -1.2815 (CF m)^-0.625 + 0.0284 (Henssge 1988).
_FACTOR, _POWER, _OFFSET = -1.2815, -0.625, 0.0284
# Corrected mass at which B reaches 0; computed from the line above: 443.65 kg.
LARGEST_CORRECTED_MASS_KG = float((_OFFSET / -_FACTOR) ** (1 / _POWER))
# Below this quotient no tolerance was published.
SMALLEST_QUOTIENT = 0.2
# Digits of the quotient that decide the phase: so that 4 / 20 is 0.2 in binary numbers as well.
_PHASE_DIGITS = 9
# Halvings of the bracket: 2^-64 is below the spacing of doubles near 1.
_HALVINGS = 64
# 95 % tolerance in hours by phase of cooling, from memory of Henssge 1988 and Henssge and Madea
# 2004: (quotient above 0.5, above 0.3, from 0.2). Which phase exactly 0.5 and 0.3 belong to was
# not found; they take the wider tolerance.
BAND95_STANDARD_H = (2.8, 3.2, 4.5)
BAND95_CORRECTED_H = (2.8, 4.5, 7.0)


def thermal_quotient(rectal_c: Numbers, ambient_c: Numbers) -> Floats:
    """Share of the temperature difference at death that is left: 1 at death, 0 at ambient."""
    rectal, ambient = floats(rectal_c), floats(ambient_c)
    return floats((rectal - ambient) / (TEMPERATURE_AT_DEATH_C - ambient))


def cooling_constant(mass_kg: Numbers, corrective_factor: Numbers) -> Floats:
    """Henssge's B per hour; a curve exists only while it is negative."""
    corrected = floats(mass_kg) * floats(corrective_factor)
    return floats(_FACTOR * corrected**_POWER + _OFFSET)


def _curve(u: Floats, is_warm: Flags) -> Floats:
    """The quotient as a function of u = exp(B t), which rises from 0 to 1 with u."""
    cool = (1 + _COOL[0]) * u - _COOL[0] * u ** _COOL[1]
    warm = (1 + _WARM[0]) * u - _WARM[0] * u ** _WARM[1]
    return floats(np.where(is_warm, warm, cool))


def quotient_at(hours: Numbers, ambient_c: Numbers, constant: Numbers) -> Floats:
    """The quotient that the model gives after some hours."""
    u = np.exp(floats(constant) * floats(hours))
    return _curve(u, floats(ambient_c) > LAST_COOL_AMBIENT_C)


def rectal_after(
    hours: Numbers, ambient_c: Numbers, mass_kg: Numbers, corrective_factor: Numbers
) -> Floats:
    """Expected rectal temperature after some hours; needs a negative cooling constant."""
    ambient = floats(ambient_c)
    quotient = quotient_at(hours, ambient, cooling_constant(mass_kg, corrective_factor))
    return floats(ambient + quotient * (TEMPERATURE_AT_DEATH_C - ambient))


def hours_for_quotient(quotient: Numbers, ambient_c: Numbers, constant: Numbers) -> Floats:
    """Hours at which the model passes a quotient in (0, 1]; needs a negative constant.

    Solved by bracketing in u = exp(B t): both curves rise strictly with u between 0 and 1, so the
    bracket always holds exactly one root and no starting value can lead astray.
    """
    quotient = floats(quotient)
    is_warm = floats(ambient_c) > LAST_COOL_AMBIENT_C
    quotient, is_warm, constant = np.broadcast_arrays(quotient, is_warm, constant)
    low, high = np.zeros(quotient.shape), np.ones(quotient.shape)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        is_below = _curve(middle, is_warm) < quotient
        low, high = np.where(is_below, middle, low), np.where(is_below, high, middle)
    u = np.where(quotient >= 1, 1.0, (low + high) / 2)
    # abs: log(1) / B is -0.0, which would be printed with its sign.
    return np.abs(np.log(u) / constant)


def has_band(quotient: Numbers) -> Flags:
    """Whether a tolerance was published for this phase of cooling (Q from 0.2)."""
    rounded = np.round(floats(quotient), _PHASE_DIGITS)
    return rounded >= SMALLEST_QUOTIENT


def band95_h(quotient: Numbers, corrective_factor: Numbers) -> Floats:
    """Half width of the 95 % band in hours (from memory, see the constants); quotient >= 0.2."""
    quotient = np.round(floats(quotient), _PHASE_DIGITS)
    is_standard = floats(corrective_factor) == 1.0
    phase = [quotient > 0.5, quotient > 0.3]
    standard = np.select(phase, BAND95_STANDARD_H[:2], BAND95_STANDARD_H[2])
    corrected = np.select(phase, BAND95_CORRECTED_H[:2], BAND95_CORRECTED_H[2])
    return floats(np.where(is_standard, standard, corrected))


@dataclass(frozen=True)
class CoolingTimes:
    """Arrays of one shape; entries that have no estimate are NaN and False in `has_estimate`."""

    quotient: Floats
    constant: Floats
    hours: Floats
    band95: Floats
    low: Floats
    high: Floats
    has_estimate: Flags


def hours_since_death(
    rectal_c: Numbers, ambient_c: Numbers, mass_kg: Numbers, corrective_factor: Numbers
) -> CoolingTimes:
    """Hours since death with their 95 % band, for any number of readings at once.

    There is an estimate where ambient < 37.2, ambient <= rectal <= 37.2, B < 0 and Q >= 0.2. The
    lower end is cut at 0, the moment of death.
    """
    rectal, ambient, mass, factor = np.broadcast_arrays(
        *(floats(part) for part in (rectal_c, ambient_c, mass_kg, corrective_factor))
    )
    with np.errstate(all="ignore"):
        quotient = thermal_quotient(rectal, ambient)
        constant = cooling_constant(mass, factor)
        hours = hours_for_quotient(quotient, ambient, constant)
        band = band95_h(quotient, factor)
        has_estimate = (
            (ambient < TEMPERATURE_AT_DEATH_C)
            & (constant < 0)
            & has_band(quotient)
            & (quotient <= 1)
        )
    return CoolingTimes(
        quotient=quotient,
        constant=constant,
        hours=np.where(has_estimate, hours, np.nan),
        band95=np.where(has_estimate, band, np.nan),
        low=np.where(has_estimate, np.maximum(hours - band, 0.0), np.nan),
        high=np.where(has_estimate, hours + band, np.nan),
        has_estimate=has_estimate,
    )

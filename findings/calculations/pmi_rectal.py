"""Time since death from the rectal temperature.

The double-exponential cooling model of Marshall and Hoare with Henssge's parameters for the two
ranges of ambient temperature. One ambient temperature gives one estimate with its 95 % band; an
ambient range gives the range of all estimates inside it. The model can also be read forward.

Formula:
    Q = (Tr - Ta) / (37.2 - Ta)
    Ta up to 23.2 °C:   Q = 1.25 exp(B t) - 0.25 exp(5 B t)
    Ta above 23.2 °C:   Q = 1.11 exp(B t) - 0.11 exp(10 B t)
    B = -1.2815 (CF m)^-0.625 + 0.0284
    Tr rectal and Ta ambient temperature in °C, m body mass in kg, CF corrective factor,
    t hours since death. Solved for t by bracketing. Band: t +- 2.8 / 3.2 / 4.5 h for CF 1,
    t +- 2.8 / 4.5 / 7.0 h for any other CF, while Q is above 0.5 / above 0.3 / from 0.2.

Range:
    Q from 0.2 to 1; below 0.2 only a minimum is reported. Ambient about -10 to 35 °C and body mass
    10 to 200 kg (the nomogram axes, from memory): outside them the result carries a warning.
    Corrected mass CF m below 443.6 kg, where B reaches 0 (computed). Constant mean ambient.

Sources:
    - Marshall TK, Hoare FE. J Forensic Sci 1962;7:56-81 (the model).
    - Henssge C. Forensic Sci Int 1988;38:209-236 (parameters, corrective factors).
    - Henssge C, Madea B. Forensic Sci Int 2004;144:167-175 (the two equations).
    - Hubig M et al. Int J Legal Med 2011;125:437-444 (sensitivity to mass and factor).
    - Henssge C. Z Rechtsmed 1981;87:147-178 (corrective factors 0.7 to 2.4 in air, abstract).
    - 95 % bands, the other corrective factors and the nomogram axes: from memory of Henssge 1988
      and Henssge and Madea 2004, not confirmed from the printed tables.

Cautions:
    - The 95 % bands and the table of corrective factors are given from memory of the published
      papers; check them against the printed tables before relying on them.
    - Not to be used with strong radiation, an unknown strong change of cooling conditions, a body
      found elsewhere than where it died, suspected hypothermia or fever, or a rise of the ambient
      temperature (Althaus and Henssge, Forensic Sci Int 1999;99:171-178, found no procedure).
    - An independent check on 84 cooling curves found the 95 % limits problematic and the time
      overestimated in heavy, large bodies (Hubig et al. 2015, PubMed 26028161, abstract).
    - Near death the curve is flat: a reading error of 0.1 °C is then about an hour.
    - The two ranges of ambient temperature do not join: near 23 °C the estimates differ by hours.
    - Corrective factors of about 1.4 and more were established for 70 kg. Their dependence on
      body weight (Henssge 1992) is not computed here: no citable table was found.
    - A range, never a moment. It supports the judgment of a licensed pathologist and does not
      replace it.
"""

from __future__ import annotations

import numpy as np

from findings.calculations.cooling import (
    LARGEST_CORRECTED_MASS_KG,
    LAST_COOL_AMBIENT_C,
    SMALLEST_QUOTIENT,
    TEMPERATURE_AT_DEATH_C,
    cooling_constant,
    has_band,
    hours_for_quotient,
    hours_since_death,
    rectal_after,
    thermal_quotient,
)
from findings.calculations.fields import BadInput, Field, Inputs, Kind
from findings.calculations.method import ResultField, define
from findings.calculations.result import Interval, Outcome, Plain, refusal

NOMOGRAM_AMBIENT_C = (-10.0, 35.0)  # from memory
NOMOGRAM_MASS_KG = (10.0, 200.0)  # from memory
FACTOR_RANGE = (
    0.35,
    2.4,
)  # 0.7 to 2.4 in air: Henssge 1981, abstract; below, in water: from memory
FACTOR_NEEDS_WEIGHT = 1.4  # Henssge 1992, from memory
FACTOR_BODY_KG = 70.0


def _warnings(ambients: tuple[float, ...], mass_kg: float, factor: float) -> tuple[str, ...]:
    """What lies outside the ranges that the method was built on."""
    found = []
    if not NOMOGRAM_MASS_KG[0] <= mass_kg <= NOMOGRAM_MASS_KG[1]:
        found.append("body mass outside the nomogram range 10-200 kg (range from memory)")
    if min(ambients) < NOMOGRAM_AMBIENT_C[0] or max(ambients) > NOMOGRAM_AMBIENT_C[1]:
        found.append("ambient outside the nomogram range -10 to 35 °C (range from memory)")
    if not FACTOR_RANGE[0] <= factor <= FACTOR_RANGE[1]:
        found.append("corrective factor outside the published range 0.35 to 2.4")
    if factor >= FACTOR_NEEDS_WEIGHT and mass_kg != FACTOR_BODY_KG:
        found.append(
            "corrective factors of about 1.4 and more hold for 70 kg; their dependence on body "
            "weight is not computed here, so adapt the factor from the published table"
        )
    return tuple(found)


def _cannot_cool(ambient_c: float, rectal_c: float, constant: float) -> str | None:
    """Why no curve can lead from death to this reading, or None."""
    if ambient_c >= TEMPERATURE_AT_DEATH_C:
        return "ambient at or above 37.2 °C: the body does not cool"
    if rectal_c > TEMPERATURE_AT_DEATH_C:
        return "rectal temperature above 37.2 °C: warmer than the model starts (Q above 1)"
    if constant >= 0:
        return (
            f"corrected mass above {LARGEST_CORRECTED_MASS_KG:.1f} kg: "
            "the cooling constant B is not negative, so the model has no curve"
        )
    if rectal_c < ambient_c:
        return "rectal below ambient temperature: a reading is wrong or the ambient has changed"
    return None


def _forward(inputs: Inputs, mass_kg: float, factor: float) -> Outcome:
    ambient, hours = inputs.raw("ambient_C"), inputs.number("t_h")
    if isinstance(ambient, tuple):
        raise BadInput("ambient_C", "must be one number when reading the curve forward")
    constant = float(cooling_constant(mass_kg, factor))
    reason = _cannot_cool(ambient, TEMPERATURE_AT_DEATH_C, constant)
    if reason:
        return refusal(reason, fields={"B": constant})
    rectal = float(rectal_after(hours, ambient, mass_kg, factor))
    return Outcome(
        fields={
            "rectal_C": rectal,
            "Q": float(thermal_quotient(rectal, ambient)),
            "B": constant,
        },
        value=rectal,
        unit="C",
        warnings=_warnings((ambient,), mass_kg, factor),
    )


def _one_ambient(rectal_c: float, ambient_c: float, mass_kg: float, factor: float) -> Outcome:
    constant = float(cooling_constant(mass_kg, factor))
    warnings = _warnings((ambient_c,), mass_kg, factor)
    reason = _cannot_cool(ambient_c, rectal_c, constant)
    if reason:
        fields: dict[str, Plain] = {"B": constant}
        if ambient_c < TEMPERATURE_AT_DEATH_C:
            fields["Q"] = float(thermal_quotient(rectal_c, ambient_c))
        return refusal(reason, fields=fields, warnings=warnings)
    quotient = float(thermal_quotient(rectal_c, ambient_c))
    if not has_band(quotient):
        return _only_a_minimum(quotient, ambient_c, constant, warnings)
    times = hours_since_death(rectal_c, ambient_c, mass_kg, factor)
    hours, low, high = float(times.hours), float(times.low), float(times.high)
    return Outcome(
        fields={
            "Q": quotient,
            "B": constant,
            "t_h": hours,
            "estimate": hours,
            "band95_h": float(times.band95),
            "low_h": low,
            "high_h": high,
        },
        value=hours,
        unit="h",
        interval=Interval(low, high, "95 % (bands from memory)"),
        warnings=warnings,
        notes=("lower end cut at 0",) if hours < float(times.band95) else (),
    )


def _only_a_minimum(
    quotient: float, ambient_c: float, constant: float, warnings: tuple[str, ...]
) -> Outcome:
    minimum = float(hours_for_quotient(SMALLEST_QUOTIENT, ambient_c, constant))
    fields: dict[str, Plain] = {
        "Q": quotient,
        "B": constant,
        "band95_h": None,
        "low_h": None,
        "high_h": None,
        "minimum_h_at_Q_0_2": minimum,
    }
    if quotient <= 0:
        reason = "body at ambient temperature: there is no upper limit, only a minimum can be given"
    else:
        reason = (
            "Q below 0.2: no band was published for this phase; the hours of the formula are not "
            "an estimate, only a minimum can be given"
        )
        fields["t_h"] = float(hours_for_quotient(quotient, ambient_c, constant))
    return refusal(reason, fields=fields, warnings=warnings)


def _ambient_range(
    rectal_c: float, ambients: tuple[float, float], mass_kg: float, factor: float
) -> Outcome:
    """All estimates inside an ambient range.

    Within each of the two curves a warmer ambient means a longer time, so the extremes lie at the
    ends of the range and on both sides of the change of curve.
    """
    low_c, high_c = ambients
    at = [low_c, high_c]
    if low_c <= LAST_COOL_AMBIENT_C < high_c:
        at += [LAST_COOL_AMBIENT_C, float(np.nextafter(LAST_COOL_AMBIENT_C, np.inf))]
    found = [_one_ambient(rectal_c, ambient, mass_kg, factor) for ambient in at]
    warnings = _warnings(ambients, mass_kg, factor)
    estimates = [one for one in found if one.reason is None]
    refused = [one for one in found if one.reason is not None]
    if refused and any("minimum_h_at_Q_0_2" not in one.fields for one in refused):
        worst = next(one for one in refused if "minimum_h_at_Q_0_2" not in one.fields)
        return refusal(f"inside the ambient range: {worst.reason}", warnings=warnings)
    if refused:
        minima = [_hours(one, "minimum_h_at_Q_0_2") for one in refused]
        minima += [_hours(one, "low_h") for one in estimates]
        return refusal(
            "Q below 0.2 for part of the ambient range: there is no upper limit, only a minimum "
            "can be given",
            fields={"low_h": None, "high_h": None, "minimum_h": min(minima)},
            warnings=warnings,
        )
    hours = [_hours(one, "t_h") for one in estimates]
    low = min(_hours(one, "low_h") for one in estimates)
    high = max(_hours(one, "high_h") for one in estimates)
    return Outcome(
        fields={
            "t_h": None,
            "t_range_h": [min(hours), max(hours)],
            "B": float(cooling_constant(mass_kg, factor)),
            "band95_h": max(_hours(one, "band95_h") for one in estimates),
            "low_h": low,
            "high_h": high,
        },
        unit="h",
        interval=Interval(low, high, "95 % bands over the whole ambient range"),
        warnings=warnings,
    )


def _hours(outcome: Outcome, name: str) -> float:
    value = outcome.fields[name]
    if not isinstance(value, float):
        raise TypeError(name)
    return value


def compute(inputs: Inputs) -> Outcome:
    """Hours since death, or the expected temperature when `forward` is true."""
    mass_kg, factor = inputs.number("mass_kg"), inputs.number("corrective_factor", 1.0)
    if inputs.flag("forward"):
        if inputs.has("rectal_C"):
            raise BadInput("rectal_C", "is the result when reading the curve forward")
        return _forward(inputs, mass_kg, factor)
    if inputs.has("t_h"):
        raise BadInput("t_h", "is the result unless 'forward' is true")
    rectal, ambient = inputs.number("rectal_C"), inputs.raw("ambient_C")
    lowest, highest = ambient if isinstance(ambient, tuple) else (ambient, ambient)
    if lowest < highest:
        return _ambient_range(rectal, (lowest, highest), mass_kg, factor)
    return _one_ambient(rectal, lowest, mass_kg, factor)


AMBIENT = Field(
    "ambient_C",
    Kind.NUMBER_OR_RANGE,
    "Mean ambient temperature near the body, or its lowest and highest likely value.",
    unit="C",
    required=True,
    minimum=-60,
    maximum=60,
)
MASS = Field(
    "mass_kg", Kind.NUMBER, "Body mass.", unit="kg", required=True, minimum=0.1, maximum=1000
)
FACTOR = Field(
    "corrective_factor",
    Kind.NUMBER,
    "Henssge's corrective factor for clothing, cover, wind and water; 1 for a naked body in "
    "still air.",
    minimum=0.01,
    maximum=20,
)
METHOD = define(
    __doc__,
    name="pmi_rectal",
    title="Time since death from rectal temperature",
    version="1.0",
    fields=(
        Field(
            "rectal_C",
            Kind.NUMBER,
            "Deep rectal temperature; required unless the curve is read forward.",
            unit="C",
            minimum=-60,
            maximum=60,
        ),
        AMBIENT,
        MASS,
        FACTOR,
        Field("forward", Kind.FLAG, "Give the temperature after t_h hours instead."),
        Field(
            "t_h",
            Kind.NUMBER,
            "Hours since death, only when reading forward.",
            unit="h",
            minimum=0,
            maximum=10_000,
        ),
    ),
    result_fields=(
        ResultField("t_h", "h", "Hours since death by the formula."),
        ResultField("estimate", "h", "The same when it may be reported, null when refused."),
        ResultField("t_range_h", "h", "Lowest and highest hours over an ambient range."),
        ResultField("band95_h", "h", "Half width of the 95 % band."),
        ResultField("low_h", "h", "Lower end of the band, not below 0."),
        ResultField("high_h", "h", "Upper end of the band."),
        ResultField("minimum_h_at_Q_0_2", "h", "Minimum when only a minimum can be given."),
        ResultField("minimum_h", "h", "The same over an ambient range."),
        ResultField("Q", "", "Share of the temperature difference that is left."),
        ResultField("B", "1/h", "Cooling constant."),
        ResultField("rectal_C", "C", "Expected temperature when reading forward."),
    ),
    example={"rectal_C": 26.4, "ambient_C": 12, "mass_kg": 90, "corrective_factor": 1.0},
    compute=compute,
)

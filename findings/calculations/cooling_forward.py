"""The expected rectal temperature over time, with the 95 % band of the backward reading.

The same model as for the time since death, read forward in even steps: for the plot, and to see
what a second reading should show.

Formula:
    Tr = Ta + Q (37.2 - Ta), with Q(t) and B as for the time since death
    earliest and latest time for each temperature: t - band and t + band, not below 0

Range:
    As for the time since death; points with Q below 0.2 have no band.

Sources:
    - Marshall TK, Hoare FE. J Forensic Sci 1962;7:56-81 (the model).
    - Henssge C. Forensic Sci Int 1988;38:209-236 (parameters, corrective factors).
    - Henssge C, Madea B. Forensic Sci Int 2004;144:167-175 (the two equations).
    - 95 % bands: from memory of the last two, not confirmed from the printed tables.

Cautions:
    - A curve of the mean body under constant conditions; a single body may lie well off it.
    - The 95 % bands are given from memory of the published papers.
    - It supports the judgment of a licensed pathologist and does not replace it.
"""

from __future__ import annotations

import numpy as np

from findings.calculations.cooling import (
    LARGEST_CORRECTED_MASS_KG,
    TEMPERATURE_AT_DEATH_C,
    band95_h,
    cooling_constant,
    has_band,
    quotient_at,
    rectal_after,
)
from findings.calculations.fields import BadInput, Field, Inputs, Kind
from findings.calculations.method import ResultField, define
from findings.calculations.pmi_rectal import FACTOR, MASS
from findings.calculations.result import Outcome, Plain, refusal

MOST_POINTS = 2000


def compute(inputs: Inputs) -> Outcome:
    """The curve from death to `hours`, one point every `step_h`."""
    ambient, mass = inputs.number("ambient_C"), inputs.number("mass_kg")
    factor = inputs.number("corrective_factor", 1.0)
    hours, step = inputs.number("hours", 36.0), inputs.number("step_h", 0.5)
    if hours / step > MOST_POINTS:
        raise BadInput("step_h", f"is too small: not more than {MOST_POINTS} points")
    constant = float(cooling_constant(mass, factor))
    if ambient >= TEMPERATURE_AT_DEATH_C:
        return refusal("ambient at or above 37.2 °C: the body does not cool")
    if constant >= 0:
        return refusal(
            f"corrected mass above {LARGEST_CORRECTED_MASS_KG:.1f} kg: the model has no curve",
            fields={"B": constant},
        )
    times = np.arange(0, hours + step / 2, step)
    quotients = quotient_at(times, ambient, constant)
    temperatures = rectal_after(times, ambient, mass, factor)
    bands = band95_h(quotients, factor)
    curve: list[Plain] = []
    for time, quotient, temperature, band in zip(
        times.tolist(), quotients.tolist(), temperatures.tolist(), bands.tolist(), strict=True
    ):
        is_banded = bool(has_band(quotient))
        curve.append(
            {
                "t_h": time,
                "rectal_C": temperature,
                "Q": quotient,
                "low_h": max(time - band, 0.0) if is_banded else None,
                "high_h": time + band if is_banded else None,
            }
        )
    return Outcome(fields={"B": constant, "curve": curve}, unit="C")


METHOD = define(
    __doc__,
    name="cooling_forward",
    title="Expected cooling curve",
    version="1.0",
    fields=(
        Field(
            "ambient_C",
            Kind.NUMBER,
            "Mean ambient temperature near the body.",
            unit="C",
            required=True,
            minimum=-60,
            maximum=60,
        ),
        MASS,
        FACTOR,
        Field(
            "hours", Kind.NUMBER, "Length of the curve; 36 if not given.", "h", above=0, maximum=500
        ),
        Field("step_h", Kind.NUMBER, "Hours between points; 0.5 if not given.", "h", minimum=0.01),
    ),
    result_fields=(
        ResultField("curve", "h, C", "Points: t_h, rectal_C, Q, and the band low_h to high_h."),
        ResultField("B", "1/h", "Cooling constant."),
    ),
    example={"ambient_C": 18, "mass_kg": 70, "corrective_factor": 1.0, "hours": 4, "step_h": 2},
    compute=compute,
)

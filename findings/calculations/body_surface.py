"""Body size and burned surface under one name.

With `height_cm` and `mass_kg` it computes `body_size`; with a burn chart, palms or charted areas
it computes `burn_area`.

Formula:
    see body_size and burn_area

Range:
    As for body_size and burn_area.

Sources:
    - Those of body_size: Du Bois 1916, Mosteller 1987, Haycock 1978.
    - Those of burn_area: Lund and Browder 1944, Wallace 1951.

Cautions:
    - Name the formula or the chart with the number; for a chart also the age column.
    - Erythema alone is not counted as burned.
    - It supports the judgment of a licensed pathologist and does not replace it.
"""

from __future__ import annotations

from dataclasses import replace

from findings.calculations import body_size, burn_area
from findings.calculations.fields import BadInput, Inputs
from findings.calculations.method import define
from findings.calculations.result import Outcome

_SIZE = {field.name for field in body_size.FIELDS}
_BURN = {field.name for field in burn_area.FIELDS}


def compute(inputs: Inputs) -> Outcome:
    """Body size or burned area, by which fields were given."""
    given = {name for name in inputs.values if inputs.has(name)}
    if given & _SIZE and given & _BURN:
        raise BadInput(min(given & _BURN), "give either height and mass, or a burned area")
    if given & _BURN:
        return burn_area.compute(inputs)
    for name in ("height_cm", "mass_kg"):
        if name not in given:
            raise BadInput(name, "is required, or a burned area")
    return body_size.compute(inputs)


METHOD = define(
    __doc__,
    name="body_surface",
    title="Body surface",
    version="1.0",
    fields=tuple(replace(field, required=False) for field in body_size.FIELDS) + burn_area.FIELDS,
    result_fields=body_size.RESULT_FIELDS + burn_area.RESULT_FIELDS,
    example={"height_cm": 170, "mass_kg": 70},
    compute=compute,
)

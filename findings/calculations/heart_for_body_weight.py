"""The heart weight that a published ratio would give for a body weight.

One ratio could be cited: 0.51 % of body weight for women and men from 14 years who are neither
obese nor malnourished. Its spread was not seen, so the method gives no range and does not call a
heart normal or enlarged.

Formula:
    expected heart in g = 5.1 x body weight in kg  (0.51 %)
    observed percent = heart in g / (10 x body weight in kg)

Range:
    From 14 years, body mass index from 18.5 to under 30 kg/m2 (the WHO limits of underweight and
    obesity, standing for 'not obese or malnourished'). Outside it the method refuses.

Sources:
    - Lucas SB. J Clin Pathol 2011;64:279-280 (the ratio as stated in the editorial; opening seen).
    - Gaitskell K, Perera R, Soilleux EJ. J Clin Pathol 2011;64:358-362 (the 384 autopsies behind
      it; abstract seen, tables not).
    - WHO Technical Report Series 894 (2000) (limits of body mass index; from memory).

Cautions:
    - No spread was found: the difference from the ratio is not a test for enlargement.
    - Other studies disagree. In men of 18 to 35 years body weight did not predict heart weight
      (Molina and DiMaio 2012), and older tables give 0.43 % in men and 0.40 % in women (Smith
      1928, from memory).
    - Fixation, retained clot and decomposition change weights.
    - A licensed pathologist judges the heart with its walls, valves, vessels and histology.
"""

from __future__ import annotations

from findings.calculations.body_size import body_mass_index
from findings.calculations.fields import Field, Inputs, Kind
from findings.calculations.method import ResultField, define
from findings.calculations.organ_weights import heart_percent_of_body
from findings.calculations.result import Outcome, Plain, refusal

HEART_PERCENT = 0.51  # Lucas 2011
YOUNGEST_YEARS = 14.0  # Lucas 2011
BMI_FROM, BMI_BELOW = 18.5, 30.0  # WHO TRS 894


def compute(inputs: Inputs) -> Outcome:
    """Expected heart weight, and the difference of a weighed one."""
    body_kg, height_cm = inputs.number("body_kg"), inputs.number("height_cm")
    if inputs.has("age_years") and inputs.number("age_years") < YOUNGEST_YEARS:
        return refusal("under 14 years: the ratio was stated for older people")
    bmi = body_mass_index(height_cm, body_kg)
    if not BMI_FROM <= bmi < BMI_BELOW:
        return refusal(
            f"body mass index {bmi:.1f} kg/m2: the ratio was stated only for people who are "
            "neither obese nor malnourished",
            fields={"bmi": bmi},
        )
    expected = HEART_PERCENT * 10 * body_kg
    fields: dict[str, Plain] = {"expected_heart_g": expected, "bmi": bmi}
    if inputs.has("heart_g"):
        heart_g = inputs.number("heart_g")
        fields["difference_g"] = heart_g - expected
        fields["heart_percent_of_body"] = heart_percent_of_body(heart_g, body_kg)
    warnings = ["no published spread was found: this is a comparison, not a test"]
    if not inputs.has("age_years"):
        warnings.append("age not given: the ratio holds from 14 years")
    return Outcome(fields=fields, value=expected, unit="g", warnings=tuple(warnings))


METHOD = define(
    __doc__,
    name="heart_for_body_weight",
    title="Heart weight for body weight",
    version="1.0",
    fields=(
        Field("body_kg", Kind.NUMBER, "Body weight.", "kg", required=True, above=0.1, maximum=1000),
        Field(
            "height_cm",
            Kind.NUMBER,
            "Body length.",
            "cm",
            required=True,
            minimum=20,
            maximum=300,
        ),
        Field("heart_g", Kind.NUMBER, "Heart weight, to compare.", "g", above=0, maximum=20_000),
        Field("age_years", Kind.NUMBER, "Age of the decedent.", "years", minimum=0, maximum=130),
    ),
    result_fields=(
        ResultField("expected_heart_g", "g", "0.51 % of body weight."),
        ResultField("difference_g", "g", "Weighed heart less the expected one."),
        ResultField("heart_percent_of_body", "%", "Weighed heart as percent of body weight."),
        ResultField("bmi", "kg/m2", "Body mass index."),
    ),
    example={"body_kg": 70, "height_cm": 175, "heart_g": 400, "age_years": 40},
    compute=compute,
)

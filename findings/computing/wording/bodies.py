"""Body size and organ weights in words. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from findings.computing.labels import key_words
from findings.computing.wording.summaries import Answered, Summary, number, plain


def _span(bounds: Any, unit: str) -> str:
    return f"{plain(bounds[0])} to {plain(bounds[1])} {unit}" if isinstance(bounds, list) else ""


def organ(answered: Answered) -> Summary:
    """Where a weight lies against its reference."""
    result, inputs = answered.result, answered.inputs
    if result.get("reason"):
        return Summary()
    if number(result.get("heart_percent_of_body")) is not None:
        return Summary(headline=f"{plain(result['heart_percent_of_body'], 2)} % of body weight")
    name = key_words(str(inputs.get("organ", "organ")))
    off = number(result.get("difference_from_mean_g")) or 0.0
    more = f"{abs(off):.0f} g {'more' if off >= 0 else 'less'} than the mean of "
    against = f"{more}{plain(result.get('mean_g'))} g"
    place, bounds = result.get("reference95"), result.get("reference95_g")
    seen = _span(result.get("observed_g"), "g")
    lines = [
        ("Against the mean", against),
        ("Smallest and largest weight seen", seen),
        ("Proposed 95 % range", _span(bounds, "g")),
        ("95 % range, source not checked, not used",
         _span(result.get("reference95_from_memory_g"), "g")),
        ("Distance in SD (z)", plain(result["z"]) if number(result.get("z")) is not None else ""),
        ("Population", str(result.get("population") or "")),
        ("Figures", str(result.get("provenance") or "")),
        ("Another population", _other(result)),
    ]  # fmt: skip
    headline = f"{place} the proposed 95 % range" if place else against
    return Summary(
        headline=f"{name} {plain(inputs.get('weight_g'))} g: {headline}",
        interval=f"Proposed 95 % range {_span(bounds, 'g')}."
        if bounds
        else f"Smallest and largest weight seen {seen}: no reference interval was published.",
        lines=tuple((label, words) for label, words in lines if words),
    )


def _other(result: Mapping[str, object]) -> str:
    mean = number(result.get("other_population_mean_g"))
    return f"mean {mean:.0f} g, {result.get('other_population')}" if mean else ""


def heart(answered: Answered) -> Summary:
    """The heart that the ratio gives, beside the weighed one."""
    result, inputs = answered.result, answered.inputs
    if result.get("reason"):
        return Summary()
    lines = [("Body mass index", f"{plain(result.get('bmi'))} kg/m²")]
    off = number(result.get("difference_g"))
    if off is not None:
        weighed = plain(inputs.get("heart_g"))
        word = "more" if off >= 0 else "less"
        lines += [
            ("Weighed", f"{weighed} g, {abs(off):.0f} g {word} than that"),
            ("Weighed heart", f"{plain(result.get('heart_percent_of_body'), 2)} % of body weight"),
        ]
    expected = plain(result.get("expected_heart_g"), 0)
    return Summary(
        headline=f"Expected heart {expected} g by the ratio of 0.51 %",
        interval="No spread was published with it: a comparison, not a range.",
        lines=tuple(lines),
    )


def size(answered: Answered) -> Summary:
    """Body mass index, surface, growth."""
    result = answered.result
    surfaces = (("Du Bois", "dubois_m2"), ("Mosteller", "mosteller_m2"), ("Haycock", "haycock_m2"))
    growth = (
        ("Length for age", "length_for_age_z"),
        ("Weight for age", "weight_for_age_z"),
        ("Weight for length", "weight_for_length_z"),
        ("Body mass index for age", "bmi_for_age_z"),
    )
    lines = [(f"Body surface, {name}", f"{plain(result.get(key), 2)} m²") for name, key in surfaces]
    lines += [
        (f"{name}, WHO", f"{number(result[key]):+.1f} SD")
        for name, key in growth
        if number(result.get(key)) is not None
    ]
    return Summary(
        headline=f"Body mass index {plain(result.get('bmi'))} kg/m²",
        lines=tuple(lines),
    )

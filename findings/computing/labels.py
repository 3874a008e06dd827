"""Plain words for the fields of the methods, and units as people write them. Pure."""

from __future__ import annotations

LABELS = {
    "rectal_C": "Rectal temperature",
    "ambient_C": "Ambient temperature",
    "mass_kg": "Body mass",
    "body_kg": "Body mass",
    "corrective_factor": "Corrective factor",
    "hours": "Length of the curve",
    "step_h": "Hours between points",
    "potassium_mmol_L": "Vitreous potassium",
    "urea_mg_dL": "Vitreous urea or urea nitrogen",
    "urea_analyte": "Measured as",
    "formula": "Formula",
    "position_found": "Position in which the body was found",
    "lividity_matches": "Position that the lividity fits",
    "fixed": "Lividity fixed",
    "last_known_alive": "Last known alive",
    "found_dead": "Found dead",
    "estimates": "Intervals",
    "sex": "Sex",
    "organ": "Organ",
    "weight_g": "Weight",
    "age_years": "Age",
    "age_days": "Age in days",
    "heart_g": "Heart weight",
    "height_cm": "Body length",
    "body_length_cm": "Body length",
    "entrance": "Entrance",
    "terminus": "End of the path",
    "left_cm": "Left of the midline",
    "front_cm": "In front of the mid-plane",
    "above_heel_cm": "Above the heel",
    "below_top_cm": "Below the top of the head",
    "error_cm": "Measuring error",
    "marks": "Marks",
    "overlapping": "Overlapping",
    "possibly_one_blow": "Possibly one blow",
    "excluded": "Not caused by impact",
    "chart": "Chart",
    "age": "Age",
    "fraction_burned": "Burned share of each region",
    "palm_count": "Palms",
    "with_fingers": "Counted with fingers",
    "charted_percent": "Areas on the body chart",
    "object_px": "Object",
    "reference_px": "Reference",
    "reference_mm": "Known length of the reference",
    "polygon_px": "Outline",
    "px_per_mm": "Scale",
    "tilt_deg": "Tilt",
    "click_error_px": "Error of a click",
    "reference_error_mm": "Error of the reference",
    "label": "Which method and measurement",
    "measured_at": "When it was measured",
    "low_h": "Shortest",
    "high_h": "Longest",
}
# Help where the method's own words are the label again, or speak of fields a page does not have.
HELP = {
    "rectal_C": "Deep rectal temperature.",
    "ambient_C": "Mean near the body, or the lowest it may have been.",
    "mass_kg": "",
    "body_kg": "",
    "height_cm": "",
    "weight_g": "",
    "organ": "",
    "fixed": "Blanching tested by pressure; not stated when it was not tested.",
    "age": "'adult' or the age in years.",
    "sex": "",
    "age_years": "",
    "object_px": "In the picture: its length, or its points, one a line as x y.",
    "reference_px": "In the picture: its length, or its points, one a line as x y.",
    "reference_mm": "Its length, or the same points on the plane, one a line as x y.",
    "polygon_px": "Corners in the picture, one a line as x y.",
    "charted_percent": "Percent of the body surface, one area a line.",
    "last_known_alive": "",
    "found_dead": "",
}
UNITS = {
    "C": "°C",
    "deg": "°",
    "m2": "m²",
    "mm2": "mm²",
    "kg/m2": "kg/m²",
    "1/h": "per h",
}
FORMULAE = {
    "sturner1963": "Sturner 1963",
    "madea1989": "Madea 1989",
    "james1997": "James 1997",
    "munoz2001": "Muñoz 2001",
    "munoz_barus2002": "Muñoz Barús 2002",
    "munoz_barus2002_hanging": "Muñoz Barús 2002, hanging",
}
_SIDED = ("right", "left")


def label_of(name: str) -> str:
    """The label of a field."""
    return LABELS.get(name, name.replace("_", " ").capitalize())


def help_of(name: str, words: str) -> str:
    """The help of a field on a page."""
    return HELP.get(name, words)


def unit_of(unit: str) -> str:
    """A unit as people write it."""
    return UNITS.get(unit, unit)


def key_words(key: str) -> str:
    """A key of a table in words: right_upper_arm_front gives 'Right upper arm, front'."""
    if key in FORMULAE:
        return FORMULAE[key]
    words = key.split("_")
    face = words.pop() if len(words) > 1 and words[-1] in ("front", "back") else ""
    return " ".join(words).capitalize() + (f", {face}" if face else "")

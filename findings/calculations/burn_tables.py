"""Share of the body surface by region, in percent, for the charts of burned area."""

from __future__ import annotations

from collections.abc import Mapping

# Lund and Browder, Surg Gynecol Obstet 1944;79:352-358. The age rows were seen on a wound-care
# teaching page; the regions that do not change with age are from memory. Each age column sums to
# exactly 100, which a test checks.
_FIXED = {
    "neck_front": 1.0,
    "neck_back": 1.0,
    "trunk_front": 13.0,
    "trunk_back": 13.0,
    "right_buttock": 2.5,
    "left_buttock": 2.5,
    "genitalia": 1.0,
}
_FIXED_LIMBS = {"upper_arm": 2.0, "forearm": 1.5, "hand": 1.25, "foot": 1.75}
# age column: half of the head, half of one thigh, half of one lower leg
_BY_AGE = {
    "0": (9.5, 2.75, 2.5),
    "1": (8.5, 3.25, 2.5),
    "5": (6.5, 4.0, 2.75),
    "10": (5.5, 4.25, 3.0),
    "15": (4.5, 4.5, 3.25),
    "adult": (3.5, 4.75, 3.5),
}
AGE_COLUMNS = tuple(_BY_AGE)


def column_of(age: str) -> dict[str, float]:
    """The share of every region in one of the chart's age columns, in percent."""
    head, thigh, lower_leg = _BY_AGE[age]
    shares = dict(_FIXED)
    limbs = {**_FIXED_LIMBS, "thigh": thigh, "lower_leg": lower_leg}
    for face in ("front", "back"):
        shares[f"head_{face}"] = head
        for side in ("right", "left"):
            for limb, share in limbs.items():
                shares[f"{side}_{limb}_{face}"] = share
    return shares


LUND_BROWDER: Mapping[str, Mapping[str, float]] = {age: column_of(age) for age in AGE_COLUMNS}

# Wallace, Lancet 1951;1:501-504; percentages as read on public pages.
RULE_OF_NINES: Mapping[str, float] = {
    "head_and_neck": 9.0,
    "right_arm": 9.0,
    "left_arm": 9.0,
    "trunk_front": 18.0,
    "trunk_back": 18.0,
    "right_leg": 18.0,
    "left_leg": 18.0,
    "perineum": 1.0,
}

# Common practice: the decedent's own palm with fingers about 1 %, without fingers about 0.5 %.
PALM_WITH_FINGERS, PALM_WITHOUT_FINGERS = 1.0, 0.5

# First whole year of age that takes each column. Printed charts: 0-1, 1-4, 5-9, 10-14, 15, adult.
# That 'adult' begins at 16 is common practice, not printed on every chart.
_COLUMN_FROM_YEARS = ((16.0, "adult"), (15.0, "15"), (10.0, "10"), (5.0, "5"), (1.0, "1"))


def age_column(age_years: float) -> str:
    """The chart's own column for an age; by band, never interpolated."""
    for first_year, column in _COLUMN_FROM_YEARS:
        if age_years >= first_year:
            return column
    return "0"

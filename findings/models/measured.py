"""What is measured inside the body: narrowing of the coronary arteries, blood in the cavities."""

from __future__ import annotations

from typing import Any

from django.core.validators import MaxValueValidator
from django.db import models


def _milliliters() -> models.PositiveIntegerField[Any, Any]:
    # More than anybody's blood is a slip of the keyboard.
    return models.PositiveIntegerField(
        null=True, blank=True, validators=[MaxValueValidator(20_000)]
    )


class MeasuredInside(models.Model):
    """Numbers of the internal examination; None where nothing was recorded."""

    # How much of each coronary artery's lumen is lost, in percent, at the narrowest place.
    left_main_percent = models.PositiveSmallIntegerField(null=True, blank=True)
    lad_percent = models.PositiveSmallIntegerField(null=True, blank=True)
    circumflex_percent = models.PositiveSmallIntegerField(null=True, blank=True)
    rca_percent = models.PositiveSmallIntegerField(null=True, blank=True)
    # Blood found in each cavity, liquid and clotted together, in mL; 0 when it was looked for.
    blood_right_chest_ml = _milliliters()
    blood_left_chest_ml = _milliliters()
    blood_pericardium_ml = _milliliters()
    blood_abdomen_ml = _milliliters()
    blood_epidural_ml = _milliliters()
    blood_subdural_ml = _milliliters()

    class Meta:
        abstract = True

    @property
    def coronary_percents(self) -> dict[str, int | None]:
        """The narrowing of each coronary artery in percent, None where it was not recorded."""
        return {
            "left main coronary artery": self.left_main_percent,
            "left anterior descending artery": self.lad_percent,
            "circumflex artery": self.circumflex_percent,
            "right coronary artery": self.rca_percent,
        }

    @property
    def blood_ml(self) -> dict[str, int | None]:
        """The blood in each cavity in mL, None where it was not recorded."""
        return {
            "right chest cavity": self.blood_right_chest_ml,
            "left chest cavity": self.blood_left_chest_ml,
            "pericardial sac": self.blood_pericardium_ml,
            "abdominal cavity": self.blood_abdomen_ml,
            "epidural space": self.blood_epidural_ml,
            "subdural space": self.blood_subdural_ml,
        }

    @property
    def blood_words(self) -> str:
        """The blood in the cavities as the report says it; empty when none is said."""
        held = [f"{ml:,} mL in the {cavity}" for cavity, ml in self.blood_ml.items() if ml]
        free = [cavity for cavity, ml in self.blood_ml.items() if ml == 0]
        said = [f"Blood in body cavities: {', '.join(held)}."] if held else []
        if free:
            said.append(f"No blood in the {' and the '.join(free)}.")
        return " ".join(said)

    @property
    def coronary_words(self) -> str:
        """The narrowing of the coronary arteries as the report says it; empty when none is said."""
        said = [f"{one} {part} %" for one, part in self.coronary_percents.items() if part]
        free = [one for one, part in self.coronary_percents.items() if part == 0]
        parts = []
        if said:
            parts.append(f"Narrowing of the coronary arteries: {', '.join(said)}.")
        if free:
            parts.append(f"No narrowing of the {' and the '.join(free)}.")
        return " ".join(parts)

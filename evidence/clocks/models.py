"""What is known of a camera's clock."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from cases.models import CaseRecord
from me_office.audit.models import Record
from me_office.audit.tables import once_active

# Ten years: a camera that was never set counts from a day of its own.
MOST_SECONDS = 10 * 366 * 86_400


class CameraClock(CaseRecord):
    """How one camera's clock stood in one case: what to add to what it wrote.

    What the camera wrote stays as recorded; the corrected time is computed beside it.
    """

    formerly = "evidence.CameraClock"

    camera = models.CharField(max_length=250, editable=False, help_text="Make and model")
    serial = models.CharField(max_length=120, blank=True, editable=False)
    zone = models.CharField(max_length=60, help_text="The zone the camera's clock was set to")
    ahead_seconds = models.IntegerField(
        default=0,
        validators=[MinValueValidator(-MOST_SECONDS), MaxValueValidator(MOST_SECONDS)],
        help_text="Seconds that the camera's clock runs ahead; negative where it runs behind",
    )
    known_from = models.CharField(
        max_length=200, help_text="How it was found: a photographed clock, compared at the scene"
    )

    class Meta(Record.Meta):
        db_table = "evidence_cameraclock"
        constraints = [once_active("camera_clock_once_a_case", "case", "camera", "serial")]

    def __str__(self) -> str:
        return f"Clock of {self.camera or 'a camera'} {self.serial}".strip()

    @property
    def ahead_words(self) -> str:
        """Say how far the clock was off: ran 1 h 0 min 40 s ahead."""
        size = abs(self.ahead_seconds)
        if not size:
            return "was right"
        hours, minutes, seconds = size // 3600, size // 60 % 60, size % 60
        parts = [f"{n} {unit}" for n, unit in ((hours, "h"), (minutes, "min"), (seconds, "s")) if n]
        return f"ran {' '.join(parts)} {'ahead' if self.ahead_seconds > 0 else 'behind'}"

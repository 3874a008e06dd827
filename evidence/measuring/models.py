"""Tables of measuring: measurements, where their size was put, derived copies."""

from __future__ import annotations

from typing import Any

from django.core.validators import RegexValidator
from django.db import models
from django.utils.functional import cached_property

from cases.models import CaseRecord
from evidence.measuring.rules import (
    CopyKind,
    Dimension,
    ScaleKind,
    quantity_words,
    residual_words,
    result_words,
)
from evidence.photographs.models import Photograph
from evidence.store.models import StoredFile
from findings.calculations.photo_assumptions import as_shown, covered_by, is_withheld, left_out
from findings.calculations.photo_measurement import MeasureKind
from findings.models.examination import Finding
from me_office.audit.models import ActiveQuerySet, Record
from me_office.audit.tables import points_to
from me_office.jobs.models import JobRecord
from me_office.worded import as_choices


class Measurement(CaseRecord):
    """What was measured in a photograph. Never changed: measured again, or voided.

    Points are pixels of the original as it is seen upright; the middle of the first pixel is
    (0.5, 0.5). `inputs` holds everything that the method was given, `result` what it answered.
    """

    photograph = points_to(Photograph, "measurements")
    number = models.PositiveIntegerField(editable=False)
    finding = models.ForeignKey(
        Finding, models.PROTECT, related_name="measurements", null=True, blank=True, editable=False
    )
    kind = models.CharField(max_length=10, choices=as_choices(MeasureKind), editable=False)
    scale_kind = models.CharField(max_length=14, choices=as_choices(ScaleKind), editable=False)
    points = models.JSONField(editable=False)
    inputs = models.JSONField(editable=False)
    result = models.JSONField(editable=False)
    method = models.CharField(max_length=40, editable=False)
    method_version = models.CharField(max_length=10, editable=False)
    note = models.CharField(max_length=240, blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["photograph", "number"], name="measurement_number_once")
        ]

    def __str__(self) -> str:
        return f"Measurement {self.number}"

    @property
    def straight(self) -> bool:
        """Whether the scale cannot show how the camera was tilted."""
        return self.scale_kind == ScaleKind.STRAIGHT.value

    @property
    def shown(self) -> dict[str, Any]:
        """The result as it may be shown: without an interval of an earlier method."""
        return as_shown(self.result, straight=self.straight, version=self.method_version)

    @property
    def is_withheld(self) -> bool:
        """Whether its interval did not hold what it said and is not shown."""
        return is_withheld(self.shown)

    @property
    def covered(self) -> tuple[str, ...]:
        """What its interval covers."""
        return covered_by(self.shown, straight=self.straight)

    @property
    def left_out(self) -> tuple[str, ...]:
        """What its interval leaves out."""
        return left_out(straight=self.straight)

    @property
    def words(self) -> str:
        """The size with its interval: 5.82 cm (5.79 to 5.85), in the plane of the scale."""
        return result_words(self.shown)

    @property
    def short_words(self) -> str:
        """The first quantity alone, as it stands in the picture."""
        return quantity_words(self.shown["quantities"][0])

    @property
    def residual(self) -> str:
        """How well the scale's points fit one plane, in words."""
        return residual_words(self.result["residual_mm"], len(self.inputs["scale_points"]))

    @property
    def is_length(self) -> bool:
        """Whether a finding can take its length or width from it."""
        return self.kind in {MeasureKind.LENGTH, MeasureKind.POLYLINE}

    @cached_property
    def active_uses(self) -> list[MeasurementUse]:
        """Where its size was put and stands; who reads several prefetches into this."""
        return list(active_uses().filter(measurement=self))


class MeasurementUse(CaseRecord):
    """A finding took its length or width from a measurement."""

    measurement = points_to(Measurement, "uses")
    finding = points_to(Finding, "measurement_uses")
    dimension = models.CharField(max_length=8, choices=as_choices(Dimension), editable=False)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]

    def __str__(self) -> str:
        return f"{self.dimension} of {self.finding} from {self.measurement}"


def active_uses() -> ActiveQuerySet[MeasurementUse]:
    """Return where sizes of measurements were put and stand, in a fixed order, with the finding."""
    return MeasurementUse.objects.active().select_related("finding").order_by("id")


class CopyRequest(JobRecord, CaseRecord):
    """A copy that somebody asked for; a worker makes it. The copy has the request's key."""

    photograph = points_to(Photograph, "copy_requests")
    measurement = points_to(Measurement, "copy_requests")
    kind = models.CharField(max_length=10, choices=as_choices(CopyKind), editable=False)
    with_line = models.BooleanField(
        default=True, editable=False, help_text="The measured line and its size are drawn"
    )
    note = models.CharField(max_length=240, blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        indexes = [models.Index(fields=["state", "changed_at"], name="copy_request_by_state")]

    def __str__(self) -> str:
        return f"{self.kind.capitalize()} copy"


class DerivedCopy(CaseRecord):
    """A marked, rectified or cropped copy: its parent, and the way to make the same bytes again."""

    photograph = points_to(Photograph, "copies")
    number = models.PositiveIntegerField(editable=False)
    kind = models.CharField(max_length=10, choices=as_choices(CopyKind), editable=False)
    measurement = models.ForeignKey(
        Measurement, models.PROTECT, related_name="copies", null=True, blank=True, editable=False
    )
    parent_sha256 = models.CharField(
        max_length=64, validators=[RegexValidator(r"^[0-9a-f]{64}$")], editable=False
    )
    operations = models.JSONField(editable=False)
    software = models.CharField(max_length=200, editable=False)
    pixels_sha256 = models.CharField(
        max_length=64, validators=[RegexValidator(r"^[0-9a-f]{64}$")], editable=False
    )
    file = points_to(StoredFile)
    note = models.CharField(max_length=240, blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(
                fields=["photograph", "number"], name="derived_copy_number_once"
            )
        ]

    def __str__(self) -> str:
        return f"Copy {self.number}, {self.kind}"

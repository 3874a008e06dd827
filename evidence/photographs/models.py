"""Photographs, what they show, their series and the copies made from them."""

from __future__ import annotations

from django.db import models
from django.utils.functional import cached_property

from cases.models import CaseRecord
from evidence.items.models import Item
from evidence.store.models import StoredFile
from findings.models.examination import Finding
from me_office.audit.ids import new_id
from me_office.audit.models import ActiveQuerySet, Record
from me_office.audit.tables import once_active, points_to


class Photograph(CaseRecord):
    """A photograph as the camera made it, with its line in the photograph log."""

    PLACES = [("scene", "scene"), ("examination", "examination"), ("later", "later")]
    VIEWS = [
        ("overview", "overview"),
        ("mid-range", "mid-range"),
        ("close-up", "close-up"),
        ("identification", "identification"),
    ]
    PREVIEWS = [("waiting", "waiting"), ("made", "made"), ("failed", "failed")]

    item = models.OneToOneField(Item, models.PROTECT, related_name="photograph", editable=False)
    number = models.PositiveIntegerField(editable=False)
    file = points_to(StoredFile, "photographs")
    original_name = models.CharField(max_length=200, editable=False)
    taken_at = models.DateTimeField(null=True, blank=True)
    photographer = models.CharField(max_length=120)
    place = models.CharField(max_length=12, choices=PLACES)
    view = models.CharField(max_length=16, choices=VIEWS)
    with_scale = models.BooleanField(default=False)
    graphic = models.BooleanField(default=True, help_text="Veiled until asked for")
    region = models.CharField(max_length=80, blank=True, help_text="Part of the body or place")
    shows = models.TextField(blank=True, help_text="What it shows, in words")
    width_px = models.PositiveIntegerField(editable=False)
    height_px = models.PositiveIntegerField(editable=False)
    exif = models.JSONField(default=dict, blank=True, editable=False)
    preview = models.CharField(max_length=8, choices=PREVIEWS, default="waiting", editable=False)

    class Meta(Record.Meta):
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="photograph_number_once"),
            once_active(
                "photograph_file_once_a_case",
                "case",
                "file",
                message="This file is in the case already.",
            ),
        ]
        indexes = [
            models.Index(
                fields=["created_at"],
                condition=models.Q(preview="waiting"),
                name="photograph_without_preview",
            )
        ]

    def __str__(self) -> str:
        return f"Photograph {self.number}"

    @cached_property
    def active_links(self) -> list[PhotographFinding]:
        """Its links that stand, by number of the finding, which comes with each.

        Whoever reads several photographs prefetches them into this (`active_links`).
        """
        return list(active_links().filter(photograph=self))


class PhotographFinding(CaseRecord):
    """A photograph shows a finding."""

    photograph = points_to(Photograph, "finding_links")
    finding = points_to(Finding, "photograph_links")
    outline = models.JSONField(
        null=True,
        blank=True,
        help_text="Where it is: [[x, y], ...] of the upright picture, 0 to 1 from its upper left; "
        "one point is a pointer, three or more an outline",
    )

    class Meta(Record.Meta):
        constraints = [once_active("photograph_shows_finding_once", "photograph", "finding")]

    def __str__(self) -> str:
        return f"{self.photograph} shows {self.finding}"


def active_links() -> ActiveQuerySet[PhotographFinding]:
    """Return what photographs show of findings that stand, by number, with the finding."""
    rows = PhotographFinding.objects.active().filter(finding__voided_at=None)
    return rows.select_related("finding").order_by("finding__number", "id")


class PhotographSeries(CaseRecord):
    """Photographs of the same area, from further and nearer, with and without a scale."""

    title = models.CharField(max_length=120, help_text="The area they show: right chest")

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]

    def __str__(self) -> str:
        return f"Series {self.title}"


class SeriesPhotograph(CaseRecord):
    """A photograph belongs to a series; an overview may belong to several."""

    series = points_to(PhotographSeries, "members")
    photograph = points_to(Photograph, "series_links")

    class Meta(Record.Meta):
        constraints = [once_active("photograph_in_series_once", "series", "photograph")]

    def __str__(self) -> str:
        return f"{self.photograph} in {self.series}"


class DerivedImage(models.Model):
    """A smaller copy made from an original; it names its parent and how it was made."""

    # Tiles are one ZIP that holds the whole picture in squares, at every size down to the screen's.
    KINDS = [("thumb", "thumb"), ("screen", "screen"), ("tiles", "tiles")]

    watched = True
    kept_for_ever = True

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    photograph = models.ForeignKey(Photograph, models.PROTECT, related_name="derived")
    kind = models.CharField(max_length=12, choices=KINDS)
    file = models.ForeignKey(StoredFile, models.PROTECT, related_name="+")
    method = models.CharField(max_length=200)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["photograph", "kind"], name="derived_image_once")
        ]

    def __str__(self) -> str:
        return f"{self.kind} of {self.photograph}"

"""Tables of evidence: items, stored files, photographs, specimens, property."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import RegexValidator
from django.db import models

from cases.models import CaseRecord
from evidence import kinds
from evidence.clock_models import CameraClock
from evidence.fixity_models import FixityProblem, FixityRun
from evidence.upload_models import PhotographUpload
from findings.models import Finding
from me_office.audit.ids import new_id
from me_office.audit.models import Record

__all__ = [
    "CameraClock", "DerivedImage", "FixityProblem", "FixityRun", "Item", "Kit", "Photograph",
    "PhotographFinding", "PhotographUpload", "PropertyItem", "Specimen", "StoredFile",
]  # fmt: skip


class StoredFile(models.Model):
    """Bytes in the store, kept once by digest and never changed."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    sha256 = models.CharField(
        max_length=64, unique=True, validators=[RegexValidator(r"^[0-9a-f]{64}$")]
    )
    size_bytes = models.BigIntegerField()
    media_type = models.CharField(max_length=80)
    path = models.CharField(max_length=200, unique=True)
    stored_at = models.DateTimeField(auto_now_add=True)

    watched = True
    kept_for_ever = True

    def __str__(self) -> str:
        return self.sha256


class Item(CaseRecord):
    """Anything that is kept and handed on; its number is unique within the case."""

    KINDS = [
        ("photograph", "photograph"),
        ("specimen", "specimen"),
        ("kit", "kit or tray"),
        ("evidence", "evidence"),
        ("property", "personal effects"),
    ]

    number = models.PositiveIntegerField(editable=False)
    kind = models.CharField(max_length=12, choices=KINDS, editable=False)
    title = models.CharField(max_length=160)
    container = models.ForeignKey(
        "self", models.PROTECT, related_name="parts", null=True, blank=True, editable=False
    )
    # Of a part that was recorded in the wrong kit: in which, until when, and why it was corrected.
    kit_correction = models.TextField(blank=True, editable=False)
    collected_at = models.DateTimeField(null=True, blank=True)
    collected_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )

    class Meta(Record.Meta):
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="item_number_once"),
        ]

    def __str__(self) -> str:
        return f"Item {self.number}, {self.title}"


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
    file = models.ForeignKey(StoredFile, models.PROTECT, related_name="photographs", editable=False)
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
            models.UniqueConstraint(
                fields=["case", "file"],
                condition=models.Q(voided_at=None),
                name="photograph_file_once_a_case",
                violation_error_message="This file is in the case already.",
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


class PhotographFinding(CaseRecord):
    """A photograph shows a finding."""

    photograph = models.ForeignKey(
        Photograph, models.PROTECT, related_name="finding_links", editable=False
    )
    finding = models.ForeignKey(
        Finding, models.PROTECT, related_name="photograph_links", editable=False
    )
    outline = models.JSONField(
        null=True,
        blank=True,
        help_text="Where it is: [[x, y], ...] of the upright picture, 0 to 1 from its upper left; "
        "one point is a pointer, three or more an outline",
    )

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["photograph", "finding"],
                condition=models.Q(voided_at=None),
                name="photograph_shows_finding_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.photograph} shows {self.finding}"


class PhotographSeries(CaseRecord):
    """Photographs of the same area, from further and nearer, with and without a scale."""

    title = models.CharField(max_length=120, help_text="The area they show: right chest")

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]

    def __str__(self) -> str:
        return f"Series {self.title}"


class SeriesPhotograph(CaseRecord):
    """A photograph belongs to a series; an overview may belong to several."""

    series = models.ForeignKey(
        PhotographSeries, models.PROTECT, related_name="members", editable=False
    )
    photograph = models.ForeignKey(
        Photograph, models.PROTECT, related_name="series_links", editable=False
    )

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["series", "photograph"],
                condition=models.Q(voided_at=None),
                name="photograph_in_series_once",
            )
        ]

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


class Specimen(CaseRecord):
    """Blood, tissue, swab or other material taken for testing or keeping."""

    item = models.OneToOneField(Item, models.PROTECT, related_name="specimen", editable=False)
    label = models.CharField(
        max_length=20, blank=True, editable=False, help_text="Of a part in its kit or tray: A1"
    )
    material = models.CharField(max_length=80, help_text="Blood, vitreous, urine, liver")
    site = models.CharField(max_length=120, help_text="Where on or in the body it came from")
    site_reason = models.CharField("why the site is right", max_length=240, blank=True)
    amount = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    unit = models.CharField(
        max_length=10,
        choices=[("mL", "mL"), ("g", "g"), ("pieces", "pieces")],
        blank=True,
    )
    container = models.CharField(max_length=120)
    preservative = models.CharField(max_length=120, blank=True)
    purpose = models.CharField(max_length=120, blank=True, help_text="Toxicology, histology, DNA")
    origin = models.CharField(
        max_length=12, choices=kinds.ORIGINS, default=kinds.BY_OFFICE, editable=False
    )
    taken_by = models.CharField(max_length=160, blank=True)
    taken_where = models.CharField(max_length=160, blank=True)
    label_time = models.CharField("time on the label", max_length=80, blank=True)
    received_from = models.CharField(max_length=160, blank=True)

    class Meta(Record.Meta):
        constraints = [
            models.CheckConstraint(
                condition=models.Q(origin=kinds.BY_OFFICE)
                | ~models.Q(taken_by="")
                & ~models.Q(taken_where="")
                & ~models.Q(label_time="")
                & ~models.Q(received_from=""),
                name="specimen_of_others_says_whose",
                violation_error_message="Say who took it, where and when, and who brought it.",
            ),
            models.CheckConstraint(
                condition=models.Q(amount=None) | (models.Q(amount__gt=0) & ~models.Q(unit="")),
                name="specimen_amount_has_unit",
                violation_error_message="Give the unit with the amount.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.labeled_material}, {self.site}"

    @property
    def amount_words(self) -> str:
        """How much it is: 8.5 mL, 1 piece; empty where nobody said."""
        if self.amount is None:
            return ""
        unit = "piece" if self.amount == 1 and self.unit == "pieces" else self.unit
        return f"{self.amount.normalize():f} {unit}"

    @property
    def labeled_material(self) -> str:
        """The material, of a part after its label: A1 Heart."""
        return f"{self.label} {self.material}".strip()

    @property
    def is_of_others(self) -> bool:
        """Tell whether somebody else took it: it was not taken at the examination."""
        return self.origin != kinds.BY_OFFICE

    @property
    def origin_words(self) -> str:
        """Who took it where and when, if not this office; empty for the office's own."""
        if not self.is_of_others:
            return ""
        return (
            f"{self.get_origin_display()}: {self.taken_by}, {self.taken_where}; time on the label: "
            f"{self.label_time}; received from {self.received_from}"
        )


class Kit(CaseRecord):
    """Several specimens under one seal: they are sealed, moved and handed over as one item.

    Each part is a specimen with an item of its own whose `container` is the kit's; seals and
    transfers stand on the kit alone.
    """

    item = models.OneToOneField(Item, models.PROTECT, related_name="kit", editable=False)
    kind = models.CharField("what it is", max_length=16, choices=kinds.KITS)
    description = models.CharField(max_length=120, blank=True)

    class Meta(Record.Meta):
        pass

    def __str__(self) -> str:
        kind = self.get_kind_display()
        return f"{kind[:1].upper()}{kind[1:]}" + (
            f", {self.description}" if self.description else ""
        )


class PropertyItem(CaseRecord):
    """A thing that the office keeps: evidence, or an effect that belongs to the decedent.

    `Item.kind` follows `kept_as`. Rows from before the question was asked have no `found`.
    """

    item = models.OneToOneField(Item, models.PROTECT, related_name="property", editable=False)
    category = models.CharField(
        "what it is", max_length=16, choices=kinds.CATEGORIES, default="personal effects"
    )
    kept_as = models.CharField(max_length=8, choices=kinds.KEPT_AS, default=kinds.PROPERTY)
    description = models.TextField()
    found = models.CharField("where it was found", max_length=20, choices=kinds.FOUND, blank=True)
    found_at = models.CharField(max_length=160, blank=True)
    finding = models.ForeignKey(
        Finding, models.PROTECT, related_name="things", null=True, blank=True
    )
    cash_count = models.JSONField(default=list, blank=True)
    cash_currency = models.CharField(max_length=3, blank=True)
    witnessed_by = models.CharField(max_length=120, blank=True, help_text="Who counted with you")

    class Meta(Record.Meta):
        constraints = [
            models.CheckConstraint(
                condition=~models.Q(
                    kept_as=kinds.PROPERTY, category__in=sorted(kinds.ONLY_EVIDENCE)
                ),
                name="thing_kept_as_it_can_be",
                violation_error_message="This is kept as evidence, not as personal effects.",
            ),
            models.CheckConstraint(
                condition=~models.Q(category=kinds.CASH)
                | (~models.Q(cash_count=[]) & ~models.Q(witnessed_by="")),
                name="cash_counted_by_two",
                violation_error_message="Cash is counted by two people.",
            ),
        ]

    def __str__(self) -> str:
        return self.description[:60]

    @property
    def where_words(self) -> str:
        """Where it was found: at the scene, wall behind the chair."""
        return ", ".join(part for part in (self.get_found_display(), self.found_at) if part)

    @property
    def cash_words(self) -> str:
        """The count of cash and what it comes to, or nothing."""
        return kinds.cash_words(self.cash_count, self.cash_currency)

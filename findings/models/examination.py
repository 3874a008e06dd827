"""Tables of the examination: the examination itself, its findings, their marks."""

from __future__ import annotations

from decimal import Decimal

from django.db import models
from django.utils.functional import cached_property

from cases.models import Case, CaseRecord
from findings.models.measured import MeasuredInside
from findings.models.wound import WoundFields
from findings.prose.house import Phrasing
from findings.rules import (
    END_LETTERS,
    TIMING_CHOICES,
    CountKind,
    FindingClass,
    MarkKind,
    MeasuredBy,
    PathEnd,
    Timing,
    count_range_words,
    impacts_words,
)
from findings.words.models import OfficeWording
from findings.words.sentences import small_cm
from me_office.audit.models import Record
from me_office.audit.tables import must, of_active, points_to, staff_chosen
from me_office.worded import as_choices


def _in_cm(value_mm: Decimal | None) -> Decimal | None:
    return None if value_mm is None else value_mm / 10


def _measure_words(value: Decimal | None, unit: str, read: str) -> str:
    if value is None:
        return ""
    return f"{value.normalize():f} {unit}" + (f" ({read})" if read else "")


class Examination(MeasuredInside, Record):
    """The examination of one body, opened by the pathologist."""

    # What the decided parts of the body systems say, where it was read with the examination
    # (`findings.systems.queries.with_systems`).
    systems_said: list[str] | None = None

    KINDS = [
        ("external", "external examination"),
        ("limited", "limited autopsy"),
        ("full autopsy", "full autopsy"),
        ("chart review", "review of records, body not examined"),
        ("view and release", "inspection of the body and release"),
        ("skeletal remains", "examination of skeletal remains"),
        ("imaging only", "imaging without dissection"),
        ("second autopsy", "second autopsy"),
    ]
    BODIES = [
        ("adult_male", "adult male"),
        ("adult_female", "adult female"),
        ("child", "child"),
        ("infant", "infant"),
    ]

    case = models.OneToOneField(Case, models.PROTECT, related_name="examination", editable=False)
    kind = models.CharField(max_length=20, choices=KINDS)
    kind_reason = models.CharField(
        max_length=240,
        blank=True,
        help_text="Why this kind, where it is not the normal course of the office",
    )
    chart_body = models.CharField(max_length=20, choices=BODIES)
    began_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    place = models.CharField(max_length=120, blank=True)
    pathologist = staff_chosen()
    present = models.CharField(max_length=240, blank=True, help_text="Others present, with role")
    circumstances_reviewed = models.BooleanField(default=False)
    crown_heel_cm = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    body_weight_kg = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    crown_heel_cm_read = models.CharField(
        max_length=30, blank=True, help_text="As measured, where not in cm: 68 in"
    )
    body_weight_kg_read = models.CharField(
        max_length=30, blank=True, help_text="As weighed, where not in kg: 181 lb"
    )
    clothing = models.TextField(blank=True)
    external = models.TextField(blank=True, help_text="Build, hair, eyes, teeth, skin, scars")
    postmortem_changes = models.TextField(blank=True, help_text="Lividity, rigor, decomposition")
    treatment = models.TextField(blank=True, help_text="Signs of medical treatment, or none")
    cavities = models.TextField(blank=True, help_text="Body cavities: fluids, adhesions")
    internal = models.TextField(blank=True, help_text="Organ systems, head and neck")
    deep_dissection = models.TextField(blank=True, help_text="What was done to look, and where")

    class Meta(Record.Meta):
        constraints = [
            must(
                "examination_ends_after_beginning",
                models.Q(ended_at=None) | models.Q(ended_at__gte=models.F("began_at")),
                "The end cannot be before the beginning.",
            ),
            must(
                "examination_length_possible",
                models.Q(crown_heel_cm=None)
                | models.Q(crown_heel_cm__gte=10, crown_heel_cm__lte=260),
                "Between 10 and 260 cm.",
            ),
            must(
                "examination_weight_possible",
                models.Q(body_weight_kg=None)
                | models.Q(body_weight_kg__gt=0, body_weight_kg__lte=700),
                "Between 0 and 700 kg.",
            ),
            *(
                must(
                    f"examination_{field}",
                    models.Q(**{field: None}) | models.Q(**{f"{field}__lte": 100}),
                    "Between 0 and 100 percent.",
                )
                for field in (
                    "left_main_percent",
                    "lad_percent",
                    "circumflex_percent",
                    "rca_percent",
                )
            ),
        ]

        indexes = [
            of_active("examination_by_day", "began_at", "id"),
            models.Index(
                fields=["pathologist", "began_at", "id"],
                condition=models.Q(ended_at=None),
                name="examination_not_ended",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.case}"

    @property
    def length_words(self) -> str:
        """The crown-heel length as it is kept, and as it was measured."""
        return _measure_words(self.crown_heel_cm, "cm", self.crown_heel_cm_read)

    @property
    def weight_words(self) -> str:
        """The body weight as it is kept, and as it was weighed."""
        return _measure_words(self.body_weight_kg, "kg", self.body_weight_kg_read)


class Finding(WoundFields, CaseRecord):
    """One thing seen on or in the body. Its number on the chart never changes."""

    # The same of its examination, where it was read with the finding.
    said_by_systems: list[str] | None = None

    examination = points_to(Examination, "findings")
    number = models.PositiveIntegerField(editable=False)
    klass = models.CharField("class", max_length=24, choices=as_choices(FindingClass))
    term = models.CharField(max_length=80, help_text="Contusion, laceration, lividity, scar")
    mechanism = models.CharField(max_length=60, blank=True, help_text="Blunt, sharp, firearm")
    # Where: derived from the mark, overridden by hand; which of both is kept in place_source.
    region = models.CharField(max_length=60, blank=True)
    place = models.CharField(max_length=160, blank=True, help_text="As the report names it")
    place_source = models.CharField(
        max_length=10, choices=[("derived", "derived"), ("by hand", "by hand")], default="by hand"
    )
    above_heel_cm = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    below_top_cm = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    from_midline_cm = models.DecimalField(
        max_digits=5, decimal_places=1, null=True, blank=True, help_text="Positive to the left"
    )
    midline = models.CharField(
        max_length=10,
        choices=[("anterior", "anterior"), ("posterior", "posterior")],
        blank=True,
    )
    position_source = models.CharField(
        max_length=10, choices=[("derived", "derived"), ("measured", "measured")], default="derived"
    )
    length_mm = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)
    width_mm = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)
    depth_mm = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)
    measured_by = models.CharField(max_length=12, choices=as_choices(MeasuredBy), blank=True)
    seen_as = models.TextField(blank=True, help_text="Shape, edges, color, pattern, in your words")
    shape = models.CharField(max_length=160, blank=True)
    margins = models.CharField(max_length=160, blank=True)
    colour = models.CharField("color", max_length=160, blank=True, help_text="As seen")
    pattern = models.CharField(max_length=160, blank=True)
    vital_reaction = models.CharField(max_length=160, blank=True)
    timing = models.CharField(
        max_length=14,
        choices=[(one.value, TIMING_CHOICES.get(one, one.value)) for one in Timing],
        blank=True,
    )
    timing_ground = models.CharField(max_length=240, blank=True)
    impacts_kind = models.CharField(max_length=24, choices=as_choices(CountKind), blank=True)
    impacts = models.PositiveIntegerField(null=True, blank=True)
    impacts_reason = models.CharField(max_length=240, blank=True)
    impact_group = models.CharField(
        max_length=8, blank=True, help_text="The same letter for findings one impact may have left"
    )
    sentence = models.TextField(
        blank=True, help_text="The report's words, when the standard sentence does not serve"
    )
    # The standard sentences as they read when the own text was written, or was found to fit still.
    sentence_from = models.TextField(blank=True, db_default="", default="", editable=False)
    sentence_for_version = models.PositiveIntegerField(null=True, blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="finding_number_once"),
            must(
                "finding_width_needs_length",
                models.Q(width_mm=None) | models.Q(length_mm__isnull=False),
                "Give the length too.",
            ),
            must(
                "finding_impacts_whole",
                models.Q(impacts_kind="")
                | models.Q(impacts_kind="cannot be determined", impacts=None)
                | models.Q(
                    impacts_kind__in=["at least", "exactly"],
                    impacts__isnull=False,
                    impacts__gte=1,
                ),
                "Give a number of at least 1, or say that it cannot be determined.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.term}"

    @property
    def size_words(self) -> str:
        """Size as the list and the report print it: 11.0 × 6.5 cm; empty when not measured."""
        parts = [self.length_mm, self.width_mm]
        shown = " × ".join(small_cm(float(part)) for part in parts if part is not None)
        if self.depth_mm is not None:
            deep = f"{small_cm(float(self.depth_mm))} cm deep"
            return f"{shown} cm, {deep}" if shown else deep
        return f"{shown} cm" if shown else ""

    @property
    def length_cm(self) -> Decimal | None:
        """Length in cm, as it is entered and shown."""
        return _in_cm(self.length_mm)

    @property
    def width_cm(self) -> Decimal | None:
        """Width in cm."""
        return _in_cm(self.width_mm)

    @property
    def depth_cm(self) -> Decimal | None:
        """Depth in cm."""
        return _in_cm(self.depth_mm)

    @property
    def midline_cm(self) -> Decimal | None:
        """Distance from the midline without its side."""
        return None if self.from_midline_cm is None else abs(self.from_midline_cm)

    @property
    def midline_where(self) -> str:
        """Which side of which midline: "right of anterior", "in posterior"; empty when unknown."""
        if self.from_midline_cm is None or not self.midline:
            return ""
        if self.from_midline_cm == 0:
            return f"in {self.midline}"
        return f"{'left' if self.from_midline_cm > 0 else 'right'} of {self.midline}"

    @cached_property
    def phrasing(self) -> Phrasing:
        """How the office words what its reports say; findings that are read together share it."""
        return OfficeWording.phrasing()

    @property
    def sentence_is_older(self) -> bool:
        """Tell whether the data changed since the edited sentence was written."""
        return bool(self.sentence) and self.sentence_for_version != self.version

    @property
    def impacts_words(self) -> str:
        """The number of impacts as it is said."""
        return impacts_words(self.impacts_kind, self.impacts)

    @property
    def timing_words(self) -> str:
        """Before or after death, in plain words."""
        return Timing(self.timing).words if self.timing else ""


class Mark(CaseRecord):
    """A drawing on one view of the body chart that shows where a finding is."""

    finding = points_to(Finding, "marks")
    view = models.CharField(max_length=24)
    kind = models.CharField(max_length=10, choices=as_choices(MarkKind))
    points = models.JSONField(help_text="[[u, v], ...] in the view's own coordinates")
    end = models.CharField(
        max_length=10,
        choices=as_choices(PathEnd),
        blank=True,
        help_text="Which end of a pair: entrance, exit, or where an object was recovered",
    )
    count_low = models.PositiveIntegerField(null=True, blank=True, help_text="Marks, at least")
    count_high = models.PositiveIntegerField(null=True, blank=True, help_text="Marks, at most")
    surface_point = models.JSONField(null=True, blank=True, editable=False)
    region = models.CharField(max_length=60, blank=True, editable=False)
    area_percent = models.DecimalField(
        max_digits=5,
        decimal_places=2,
        null=True,
        blank=True,
        editable=False,
        help_text="Share of the body surface inside the outline",
    )

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        indexes = [models.Index(fields=["case", "view"], name="mark_by_case_view")]
        constraints = [
            must(
                "mark_end_of_a_pair",
                models.Q(kind="paired") & ~models.Q(end="")
                | ~models.Q(kind="paired") & models.Q(end=""),
                "Say which end of the pair this is.",
            ),
            must(
                "mark_count_of_a_pattern",
                models.Q(kind="pattern", count_low__gte=1)
                & (models.Q(count_high=None) | models.Q(count_high__gte=models.F("count_low")))
                | ~models.Q(kind="pattern") & models.Q(count_low=None, count_high=None),
                "Give how many marks there are at least, and at most.",
            ),
        ]

    def __str__(self) -> str:
        return f"Mark of {self.finding} on {self.view}"

    @property
    def letter(self) -> str:
        """The letter behind the finding's number: a for an entrance, b for the far end."""
        return END_LETTERS[PathEnd(self.end)] if self.end else ""

    @property
    def kind_words(self) -> str:
        """What was drawn: "pattern of 12 to 15", "b, exit", "area"."""
        if self.end:
            return f"{self.letter}, {PathEnd(self.end).words}"
        if self.count_low is not None:
            return f"pattern of {count_range_words(self.count_low, self.count_high)}"
        return self.kind

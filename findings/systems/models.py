"""What was decided of each part of the body systems, templates, and slides that were read."""

from __future__ import annotations

from typing import Any

from django.db import models

from cases.models import CaseRecord
from findings.models.examination import Examination
from findings.systems.catalogue import PARTS, SYSTEMS, Part
from findings.systems.rules import Decision, slide_title
from me_office.audit.models import Record
from me_office.audit.tables import must, of_active, once_active, points_to
from me_office.worded import as_choices


class SystemPart(CaseRecord):
    """What was decided of one part of a body system, and the sentences it was decided with.

    `said` is what the report prints: empty as long as nothing is decided. A sentence keeps the
    words it had when it was laid before the pathologist, whatever becomes of its template.
    """

    examination = points_to(Examination, "system_parts")
    part = models.CharField(max_length=40, editable=False)
    decision = models.CharField(max_length=16, choices=as_choices(Decision), blank=True)
    words = models.TextField(blank=True, help_text="What was seen, in whole sentences")
    why = models.CharField(
        max_length=240, blank=True, help_text="Why it was not examined or is not present"
    )
    sentences = models.JSONField(default=list, blank=True, editable=False)
    said = models.TextField(blank=True, editable=False)

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["case", "part"],
                name="system_part_once_a_case",
                violation_error_message="This part is recorded already.",
            ),
            must(
                "system_part_says_what_was_decided",
                models.Q(decision="", said="") | (~models.Q(decision="") & ~models.Q(said="")),
                "A part says something once it is decided, and not before.",
            ),
            must(
                "system_part_without_a_blank",
                ~models.Q(said__contains="{"),
                "Fill in the blank, or strike the sentence.",
            ),
            must(
                "system_part_reason_of_leaving_out",
                models.Q(why="")
                | models.Q(decision__in=[Decision.NOT_EXAMINED.value, Decision.NOT_PRESENT.value]),
                "A reason goes with a part that was left out.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.of.title}: {self.decision or 'undecided'}"

    @property
    def of(self) -> Part:
        """The part of the catalogue."""
        return PARTS[self.part]


class SystemTemplate(Record):
    """The office's sentences for one system. A change is a new row, so each edition stays."""

    system = models.CharField(
        max_length=24, choices=[(one.key, one.title) for one in SYSTEMS.values()]
    )
    title = models.CharField(max_length=80, help_text="When it is used: adult, infant, operated")
    lines = models.JSONField(help_text="By part, one sentence a row")
    replaces = models.OneToOneField(
        "self",
        models.PROTECT,
        related_name="replaced_by",
        null=True,
        blank=True,
        editable=False,
    )
    number = models.PositiveIntegerField("edition", default=1, editable=False)
    stands_for_standard = models.BooleanField(
        default=False, help_text="Offered in place of the standard sentences"
    )

    class Meta(Record.Meta):
        ordering = ["system", "title", "id"]
        constraints = [
            once_active(
                "system_template_once",
                "system",
                "title",
                message="The system has a template of this name already.",
            ),
            models.UniqueConstraint(
                fields=["system"],
                condition=models.Q(voided_at=None, stands_for_standard=True),
                name="system_template_one_for_the_standard",
                violation_error_message="Another template stands in place of the standard "
                "sentences already.",
            ),
        ]
        indexes = [of_active("system_template_in_use", "system", "title", "id")]

    def __str__(self) -> str:
        return f"{self.title}, {SYSTEMS[self.system].title.lower()}"

    @property
    def by_part(self) -> list[tuple[Part, list[str]]]:
        """Its sentences in the order of the system's parts."""
        held: dict[str, Any] = self.lines
        return [(part, held[part.key]) for part in SYSTEMS[self.system].parts if held.get(part.key)]


class MicroscopicSlide(CaseRecord):
    """One slide under the microscope: of which tissue, what was seen, who read it and when."""

    examination = points_to(Examination, "slides")
    number = models.PositiveIntegerField(editable=False)
    label = models.CharField(
        "block and slide", max_length=40, help_text="As it stands on the glass: A1-1"
    )
    tissue = models.CharField(max_length=120, help_text="Left ventricle, anterior wall")
    stain = models.CharField(
        max_length=80, blank=True, help_text="Where not the office’s usual one"
    )
    seen = models.TextField("what was seen", help_text="In whole sentences")
    read_by = models.CharField(max_length=120)
    read_on = models.DateField()

    class Meta(Record.Meta):
        ordering = ["number", "id"]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="slide_number_once"),
            once_active(
                "slide_once",
                "case",
                "label",
                "stain",
                message="A slide with this label and stain is recorded already.",
            ),
        ]

    def __str__(self) -> str:
        return f"Slide {self.label}, {self.tissue}"

    @property
    def title(self) -> str:
        """Its label, tissue and stain: A1, heart muscle (trichrome)."""
        return slide_title(self.label, self.tissue, self.stain)

"""Lines of a curriculum vitae, and the versions that were issued of it."""

from __future__ import annotations

from django.db import models

from cases.appearances.models import Appearance
from cases.appearances.rules import HEARD
from cases.qualifications.rules import years_words
from me_office.audit.models import Record
from me_office.audit.tables import must, once_active, staff_who


class Qualification(Record):
    """One line: a license, a degree, an appointment."""

    KINDS = [
        ("license", "license"),
        ("certification", "board certification"),
        ("degree", "degree"),
        ("training", "training"),
        ("appointment", "appointment"),
        ("publication", "publication"),
    ]

    person = staff_who()
    kind = models.CharField(max_length=14, choices=KINDS)
    title = models.CharField(max_length=240)
    place = models.CharField("state, board or institution", max_length=240, blank=True)
    number = models.CharField(max_length=60, blank=True)
    from_year = models.PositiveSmallIntegerField("from", null=True, blank=True)
    to_year = models.PositiveSmallIntegerField("to", null=True, blank=True)
    valid_until = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=240, blank=True)

    class Meta(Record.Meta):
        verbose_name = "line of a curriculum vitae"
        ordering = ["kind", "-from_year", "id"]
        constraints = [
            must(
                "qualification_ends_after_it_begins",
                models.Q(from_year=None)
                | models.Q(to_year=None)
                | models.Q(to_year__gte=models.F("from_year")),
                "The end cannot be before the beginning.",
            ),
            must(
                "qualification_that_runs_out",
                models.Q(valid_until=None) | models.Q(kind__in=["license", "certification"]),
                "Only a license or a certification is valid until a day.",
            ),
        ]
        indexes = [models.Index(fields=["person", "kind"], name="qualification_by_person")]

    def __str__(self) -> str:
        return f"{self.get_kind_display().capitalize()}: {self.title}"

    @property
    def years(self) -> str:
        """The years in words."""
        return years_words(self.kind, self.from_year, self.to_year)


class ListedTestimony(Record):
    """One line of a witness's testimony: a day in court of this office's records, or one before."""

    KINDS = [(key, words) for key, words in Appearance.KINDS if key in HEARD]

    person = staff_who()
    appearance = models.ForeignKey(
        Appearance, models.PROTECT, related_name="listed", null=True, blank=True, editable=False
    )
    kind = models.CharField("type of testimony", max_length=12, choices=KINDS)
    on_day = models.DateField("date of the testimony")
    caption = models.CharField("name of the case", max_length=240, blank=True)
    court = models.CharField(max_length=160)
    cause_number = models.CharField(max_length=60, blank=True)
    called_by = models.CharField(max_length=12, choices=Appearance.SIDES)

    class Meta(Record.Meta):
        verbose_name = "case testified in"
        verbose_name_plural = "cases testified in"
        ordering = ["-on_day", "-id"]
        constraints = [
            must(
                "listed_testimony_is_named",
                ~models.Q(caption="") | ~models.Q(cause_number=""),
                "Enter the name of the case or its cause number.",
            ),
            once_active(
                "testimony_listed_once",
                "person",
                "appearance",
                message="This date in court is on the list already.",
            ),
        ]
        indexes = [models.Index(fields=["person", "on_day"], name="listed_testimony_by_person")]

    def __str__(self) -> str:
        return f"{self.get_kind_display().capitalize()}, {self.caption or self.cause_number}"


class CurriculumVersion(Record):
    """A curriculum vitae as it was issued: its words, its numbers and their digest never change."""

    append_only = True

    person = staff_who()
    number = models.PositiveIntegerField("version number", editable=False)
    counted_on = models.DateField(editable=False)
    content = models.JSONField(editable=False)
    sha256 = models.CharField(max_length=64, editable=False)

    class Meta(Record.Meta):
        verbose_name = "curriculum vitae"
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(
                fields=["person", "number"],
                name="curriculum_number_once",
                violation_error_message="Another version was issued just now. Look at it first.",
            )
        ]

    def __str__(self) -> str:
        return f"Curriculum vitae, version {self.number}"

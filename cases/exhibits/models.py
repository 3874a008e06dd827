"""Exhibit sets, their exhibits, and redacted copies of photographs."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import models
from django.db.models.functions import Upper

from cases.court.models import RecordsRequest
from cases.exhibits.rules import GRIDS
from cases.exhibits.rulings import Ruling
from cases.models import CaseRecord
from evidence.photographs.models import Photograph
from evidence.store.models import StoredFile
from findings.models import Finding
from me_office.audit.models import Record
from me_office.audit.tables import must, once_active, points_to
from me_office.jobs.models import JobRecord
from me_office.jobs.rules import JobState
from me_office.moments import clock_words


class ExhibitSet(CaseRecord):
    """Photographs in the order in which a court is shown them."""

    title = models.CharField(max_length=160, help_text="Trial, deposition, inquest")
    court = models.CharField(max_length=160, blank=True)
    cause_number = models.CharField(max_length=60, blank=True)
    request = models.ForeignKey(
        RecordsRequest, models.PROTECT, related_name="exhibit_sets", null=True, blank=True
    )
    # By exhibit, as they were before all were numbered anew: told with the exhibits themselves.
    numbers_before = models.JSONField(null=True, blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["-created_at", "-id"]

    def __str__(self) -> str:
        return self.title


class Exhibit(CaseRecord):
    """A photograph, or several in a fixed grid, under the number that the court gave it."""

    exhibit_set = points_to(ExhibitSet, "exhibits")
    photograph = points_to(Photograph, "exhibits")
    # Only the order of positions means something; there is room between them for one more.
    position = models.PositiveIntegerField(editable=False)
    number = models.CharField("exhibit number", max_length=24)
    caption = models.CharField(max_length=240)
    plain_words = models.TextField(blank=True, max_length=600)

    class Meta(Record.Meta):
        ordering = ["position", "id"]
        constraints = [
            once_active(
                "exhibit_number_once_a_set",
                Upper("number"),
                "exhibit_set",
                message="This set has an exhibit of that number already.",
            ),
            once_active(
                "exhibit_photograph_once_a_set",
                "exhibit_set",
                "photograph",
                message="This photograph is in the set already.",
            ),
        ]

    def __str__(self) -> str:
        return f"Exhibit {self.number}"

    @property
    def photographs(self) -> list[Photograph]:
        """Its photographs in their order: one, or those of a composite."""
        parts = (part for part in self.parts.all() if not part.is_voided)
        placed = sorted(parts, key=lambda part: (part.place, part.pk))
        return [self.photograph, *(part.photograph for part in placed)]

    @property
    def pictures(self) -> list[ExhibitPicture]:
        """Its photographs in their order, each in the form in which it is shown."""
        return [
            ExhibitPicture(self, photograph, place)
            for place, photograph in enumerate(self.photographs, start=1)
        ]

    @property
    def findings(self) -> list[Finding]:
        """The active findings that its photographs show, each once, by number."""
        shown = {
            link.finding_id: link.finding
            for photograph in self.photographs
            for link in photograph.active_links
        }
        return sorted(shown.values(), key=lambda finding: finding.number)

    @property
    def standing_rulings(self) -> list[ExhibitRuling]:
        """What was ruled on it and not withdrawn since, the latest last."""
        return [one for one in self.rulings.all() if not one.is_voided]

    @property
    def ruling(self) -> ExhibitRuling | None:
        """The latest ruling that is recorded; None where none is."""
        rulings = self.standing_rulings
        return rulings[-1] if rulings else None

    @property
    def columns(self) -> int:
        """How many of its photographs stand beside each other."""
        count = len(self.photographs)
        return GRIDS.get(count, count)

    @property
    def redaction(self) -> Redaction | None:
        """A redacted copy that is shown in place of a photograph of it; None where none stands."""
        return next((one.redaction for one in self.pictures if one.redaction), None)

    @property
    def withdrawn(self) -> bool:
        """Whether a photograph of it was withdrawn: then it is not presented."""
        return any(photograph.is_voided for photograph in self.photographs)


@dataclass(frozen=True)
class ExhibitPicture:
    """One photograph of an exhibit, in its place of the grid."""

    exhibit: Exhibit
    photograph: Photograph
    place: int

    @property
    def redaction(self) -> Redaction | None:
        """The redacted copy that is shown in its place; None where none stands.

        Whoever reads exhibits prefetches the photographs' redactions.
        """
        standing = (one for one in self.photograph.redactions.all() if not one.is_voided)
        return next(standing, None)

    @property
    def label(self) -> str:
        """Say which of several it is; empty where the exhibit is one photograph."""
        count = len(self.exhibit.photographs)
        return f"picture {self.place} of {count}" if count > 1 else ""


class ExhibitPart(CaseRecord):
    """A further photograph of a composite exhibit, in its place after the first."""

    exhibit = points_to(Exhibit, "parts")
    photograph = points_to(Photograph, "exhibit_parts")
    place = models.PositiveSmallIntegerField("place in the exhibit", editable=False)

    class Meta(Record.Meta):
        ordering = ["place", "id"]
        constraints = [
            once_active(
                "exhibit_shows_photograph_once",
                "exhibit",
                "photograph",
                message="This photograph is in the exhibit already.",
            ),
        ]

    def __str__(self) -> str:
        return f"Photograph {self.photograph.number} in exhibit {self.exhibit.number}"


class ExhibitRuling(CaseRecord):
    """What was said in court of an exhibit on one day: an objection, a ruling; several in time."""

    exhibit = points_to(Exhibit, "rulings")
    on_day = models.DateField("date of the ruling")
    ruling = models.CharField(max_length=12, choices=Ruling.choices())
    purpose = models.CharField("limited purpose", max_length=240, blank=True)
    objected_by = models.CharField("objected by", max_length=160, blank=True)
    ground = models.TextField("ground of the objection", blank=True)

    class Meta(Record.Meta):
        ordering = ["on_day", "created_at", "id"]

    def __str__(self) -> str:
        return f"Ruling on exhibit {self.exhibit.number}"

    @property
    def words(self) -> str:
        """What was ruled, in a line: admitted for a limited purpose (to show the place)."""
        said = Ruling(self.ruling).words
        return f"{said} ({self.purpose})" if self.purpose else said


class RedactionRequest(JobRecord, CaseRecord):
    """A redacted copy that somebody asked for; a worker makes it. The copy has this key."""

    photograph = points_to(Photograph, "redaction_requests")
    regions = models.JSONField(
        editable=False, help_text="In points of the upright original, from its upper left"
    )
    why = models.TextField("reason", editable=False)
    replaces = models.PositiveIntegerField(
        default=0, editable=False, help_text="Version of the redaction that stood, 0 for none"
    )

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        indexes = [models.Index(fields=["state", "changed_at"], name="redaction_request_by_state")]

    def __str__(self) -> str:
        return f"Redacted copy of photograph {self.photograph.number}"


class Redaction(CaseRecord):
    """A copy of a photograph for release in which regions are covered or blurred for good."""

    photograph = points_to(Photograph, "redactions")
    regions = models.JSONField(
        editable=False, help_text="In points of the upright original, from its upper left"
    )
    why = models.TextField("reason", editable=False)
    parent_sha256 = models.CharField("digest of the original", max_length=64, editable=False)
    operations = models.JSONField(editable=False, help_text="What was done, in order")
    software = models.CharField(max_length=200, editable=False)
    file = points_to(StoredFile)
    screen_file = points_to(StoredFile)

    class Meta(Record.Meta):
        ordering = ["-created_at", "-id"]
        constraints = [
            once_active(
                "redaction_stands_once",
                "photograph",
                message="A redaction of this photograph stands already.",
            ),
        ]

    def __str__(self) -> str:
        return f"Redaction of photograph {self.photograph.number}"


class CourtMark(CaseRecord):
    """What was drawn over an exhibit before a court, kept because somebody asked for it.

    It is no part of the photograph, and no packet holds it.
    """

    stays_inside = True
    MARKED_BY = [("witness", "the witness"), ("counsel", "counsel"), ("other", "somebody else")]

    exhibit = points_to(Exhibit, "court_marks")
    photograph = points_to(Photograph, "court_marks")
    redaction = models.ForeignKey(
        Redaction,
        models.PROTECT,
        related_name="court_marks",
        verbose_name="redacted copy that was shown",
        null=True,
        blank=True,
        editable=False,
    )
    strokes = models.JSONField(
        help_text="What was drawn, in shares of the upright picture from its upper left"
    )
    marked_at = models.DateTimeField("marked")
    marked_by = models.CharField("marked by", max_length=8, choices=MARKED_BY)

    class Meta(Record.Meta):
        ordering = ["marked_at", "id"]

    def __str__(self) -> str:
        at = clock_words(self.marked_at, "%H:%M")
        return f"Mark made in court by {self.get_marked_by_display()}, {at}"


class ExhibitPdf(JobRecord, CaseRecord):
    """A set as PDF for the courtroom, asked for by somebody; a worker makes it, once."""

    exhibit_set = points_to(ExhibitSet, "pdfs")
    with_captions = models.BooleanField(default=False, editable=False)
    with_photograph_numbers = models.BooleanField(default=False, editable=False)
    contents = models.JSONField(
        null=True, blank=True, editable=False, help_text="What each page shows, as it was printed"
    )
    pages = models.PositiveIntegerField(null=True, blank=True, editable=False)
    file = models.ForeignKey(
        StoredFile, models.PROTECT, related_name="+", null=True, blank=True, editable=False
    )

    # Read with it by `pdfs_of` and `pdf_with_standing` of `cases.exhibits.queries`.
    is_current: bool

    class Meta(Record.Meta):
        verbose_name = "exhibits as PDF"
        ordering = ["created_at", "id"]
        constraints = [
            must(
                "exhibit_pdf_made_is_whole",
                ~models.Q(state=JobState.MADE.value)
                | models.Q(file__isnull=False, pages__isnull=False, contents__isnull=False),
            ),
        ]
        indexes = [models.Index(fields=["state", "changed_at"], name="exhibit_pdf_by_state")]

    def __str__(self) -> str:
        return f"PDF of {self.exhibit_set}"

    @property
    def changed_since(self) -> str:
        """Say that the file shows what no longer stands; empty where it does, or is not made."""
        if self.file_id is None or self.is_current:
            return ""
        return "The set or a redaction has changed since."

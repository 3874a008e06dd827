"""Earlier statements, their pages, and the passages of them that are linked to the record."""

from __future__ import annotations

from django.db import models

from cases.exhibits.models import Exhibit
from cases.models import Case, CaseRecord
from cases.statements.rules import IN_COURT, KINDS, SHORT, TAKEN_DOWN, Line, Place
from evidence.photographs.models import Photograph
from evidence.store.models import StoredFile
from findings.models import Finding
from me_office.audit.ids import new_id
from me_office.audit.models import Record
from me_office.audit.tables import must, once_active, points_to
from me_office.jobs.models import JobRecord
from me_office.jobs.rules import JobState


class Statement(JobRecord, CaseRecord):
    """What somebody said or wrote earlier: its file, and how far its text is read."""

    stays_inside = True

    kind = models.CharField(max_length=12, choices=KINDS)
    given_on = models.DateField()
    speaker = models.CharField(max_length=160)
    spoken_to = models.CharField("asked by or written to", max_length=160, blank=True)
    court = models.CharField(max_length=160, blank=True)
    cause_number = models.CharField(max_length=60, blank=True)
    taken_down = models.CharField("how the words were kept", max_length=12, choices=TAKEN_DOWN)
    note = models.CharField(max_length=240, blank=True)
    first_page = models.PositiveIntegerField(
        "number of the first page", null=True, blank=True, help_text="Where none are printed"
    )
    file = points_to(StoredFile)
    file_name = models.CharField(max_length=200, blank=True, editable=False)
    pages_read = models.PositiveIntegerField(null=True, blank=True, editable=False)
    lines_printed = models.BooleanField(
        "line numbers are printed", null=True, blank=True, editable=False
    )

    class Meta(Record.Meta):
        ordering = ["given_on", "id"]
        indexes = [
            models.Index(fields=["case", "given_on"], name="statement_by_case"),
            models.Index(fields=["state", "changed_at"], name="statement_by_state"),
        ]
        constraints = [
            must(
                "statement_in_court_names_it",
                ~models.Q(kind__in=sorted(IN_COURT)) | ~models.Q(court=""),
                "Testimony names its court.",
            ),
            must(
                "statement_read_is_whole",
                ~models.Q(state=JobState.MADE.value)
                | models.Q(pages_read__gte=1, lines_printed__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.label}, {self.speaker}"

    @property
    def label(self) -> str:
        """Its kind and day: Deposition 2 Dec 2026."""
        return f"{SHORT[self.kind]} {self.given_on.day} {self.given_on:%b %Y}"

    @property
    def is_read(self) -> bool:
        """Tell whether its pages are there."""
        return self.state == JobState.MADE

    @property
    def is_pdf(self) -> bool:
        """Tell whether it came as a PDF."""
        return self.file.media_type == "application/pdf"


class StatementPage(models.Model):
    """The text of one page, as it was read from the statement's file; it follows from the file."""

    append_only = True
    kept_for_ever = True
    stays_inside = True

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    case = points_to(Case)
    statement = points_to(Statement, "pages")
    number = models.PositiveIntegerField(editable=False)
    printed = models.BooleanField(editable=False, help_text="Line numbers are those of the page")
    lines = models.JSONField(editable=False, help_text="Number and words of each line")

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(
                fields=["statement", "number"], name="statement_page_number_once"
            )
        ]

    def __str__(self) -> str:
        return f"Page {self.number}"


class StatementPassage(CaseRecord):
    """Lines of a statement with their words as the file has them."""

    stays_inside = True

    statement = points_to(Statement, "passages")
    from_page = models.PositiveIntegerField(editable=False)
    from_line = models.PositiveIntegerField(editable=False)
    to_page = models.PositiveIntegerField(editable=False)
    to_line = models.PositiveIntegerField(editable=False)
    words = models.TextField(editable=False, help_text="Taken from the file, line by line")

    # Read with it by `cases.statements.queries`.
    active_links: list[PassageLink]

    class Meta(Record.Meta):
        ordering = ["from_page", "from_line", "id"]
        indexes = [models.Index(fields=["statement", "from_page"], name="passage_by_statement")]
        constraints = [
            must(
                "passage_ends_after_its_beginning",
                models.Q(to_page__gt=models.F("from_page"))
                | models.Q(to_page=models.F("from_page"), to_line__gte=models.F("from_line")),
                "The last line comes before the first.",
            )
        ]

    def __str__(self) -> str:
        return f"p. {self.place}"

    @property
    def place(self) -> Place:
        """From which line to which."""
        return Place(Line(self.from_page, self.from_line), Line(self.to_page, self.to_line))


class PassageLink(CaseRecord):
    """What a passage is about: a finding, a photograph, an exhibit, or a topic in free words."""

    stays_inside = True

    passage = points_to(StatementPassage, "links")
    finding = models.ForeignKey(
        Finding, models.PROTECT, related_name="said_before", null=True, editable=False
    )
    photograph = models.ForeignKey(
        Photograph, models.PROTECT, related_name="said_before", null=True, editable=False
    )
    exhibit = models.ForeignKey(
        Exhibit, models.PROTECT, related_name="said_before", null=True, editable=False
    )
    topic = models.CharField(max_length=80, blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            must(
                "passage_link_is_of_one_thing",
                models.Q(finding__isnull=False, photograph=None, exhibit=None, topic="")
                | models.Q(finding=None, photograph__isnull=False, exhibit=None, topic="")
                | models.Q(finding=None, photograph=None, exhibit__isnull=False, topic="")
                | (models.Q(finding=None, photograph=None, exhibit=None) & ~models.Q(topic="")),
            ),
            once_active("passage_finding_once", "passage", "finding"),
            once_active("passage_photograph_once", "passage", "photograph"),
            once_active("passage_exhibit_once", "passage", "exhibit"),
            models.UniqueConstraint(
                fields=["passage", "topic"],
                condition=models.Q(voided_at=None) & ~models.Q(topic=""),
                name="passage_topic_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.passage}: {self.words}"

    @property
    def words(self) -> str:
        """What it is linked to, in a few words."""
        if self.finding is not None:
            return f"finding {self.finding.number}"
        if self.photograph is not None:
            return f"photograph {self.photograph.number}"
        return f"exhibit {self.exhibit.number}" if self.exhibit is not None else self.topic

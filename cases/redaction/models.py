"""Redactions of documents: what is hidden and why, and the copies in which it is gone."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models.functions import Upper
from django.utils.functional import cached_property

from cases.court.models import RecordsRequest
from cases.models import CaseRecord
from cases.redaction.pdf.limits import WAY
from cases.redaction.rules import MarkKind, digest_of_choice, elsewhere_words
from evidence.store.models import StoredFile
from me_office.audit.models import Record
from me_office.audit.tables import must, once_active, points_to, staff_later
from me_office.jobs.models import JobRecord
from me_office.jobs.rules import JobState


class RedactionReason(Record):
    """A reason of the office's list for hiding something; its number is printed on the bar."""

    number = models.CharField("code", max_length=8, help_text="Printed on the bar: 3, 7b")
    words = models.CharField("reason", max_length=160)
    citation = models.CharField(
        max_length=200, blank=True, help_text="The law or rule it rests on, as counsel cites it"
    )

    class Meta(Record.Meta):
        ordering = ["number", "id"]
        constraints = [
            once_active(
                "redaction_reason_number_once",
                Upper("number"),
                message="Another reason has this code.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.words}"


class DocumentRedaction(CaseRecord):
    """One document, by the bytes it has, and what is to be hidden in its copies.

    With a request it holds for that request alone; without one for all that have none of theirs.
    """

    stays_inside = True

    source_kind = models.CharField("kind of document", max_length=24, editable=False)
    source_key = models.UUIDField(editable=False)
    name = models.CharField("document", max_length=240)
    file = points_to(StoredFile)
    pages = models.PositiveIntegerField(editable=False)
    request = models.ForeignKey(
        RecordsRequest,
        models.PROTECT,
        related_name="document_redactions",
        null=True,
        blank=True,
        editable=False,
    )

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["source_kind", "source_key", "file", "request"],
                condition=models.Q(voided_at=None),
                nulls_distinct=False,
                name="document_redaction_once",
                violation_error_message="This document is being redacted for this request already.",
            ),
            must("document_redaction_has_pages", models.Q(pages__gte=1)),
        ]
        indexes = [
            models.Index(fields=["case", "created_at", "id"], name="document_redaction_by_case"),
            models.Index(fields=["source_key"], name="document_redaction_by_source"),
        ]

    def __str__(self) -> str:
        return f"Redaction of {self.name}"

    @cached_property
    def standing_marks(self) -> list[RedactionMark]:
        """Its marks that stand, by page; who reads several documents prefetches into this."""
        return list(self.marks.active().select_related("why", "created_by"))

    @property
    def choice_sha256(self) -> str:
        """The digest of what is marked now."""
        return digest_of_choice(self.file.sha256, [one.as_entry for one in self.standing_marks])

    @cached_property
    def made_copies(self) -> list[RedactedDocument]:
        """Its copies that were asked for, the latest first; prefetched like its marks."""
        rows = self.copies.active().select_related("file", "left_by", "created_by")
        return list(rows.order_by("-created_at", "-id"))


class RedactionMark(CaseRecord):
    """One place of a document that is hidden: words on a page or an area of it, and the reason."""

    stays_inside = True

    document = points_to(DocumentRedaction, "marks")
    page = models.PositiveIntegerField(editable=False)
    kind = models.CharField(
        max_length=5,
        choices=MarkKind.choices(),
        editable=False,
    )
    boxes = models.JSONField(
        editable=False,
        help_text="Left, top, right, bottom in ten-thousandths of the upright page, from its "
        "upper left",
    )
    first = models.PositiveIntegerField("first character", null=True, blank=True, editable=False)
    last = models.PositiveIntegerField("last character", null=True, blank=True, editable=False)
    words = models.TextField(blank=True, editable=False, help_text="What is hidden")
    why = models.ForeignKey(
        RedactionReason, models.PROTECT, related_name="marks", verbose_name="reason"
    )

    class Meta(Record.Meta):
        ordering = ["page", "first", "created_at", "id"]
        indexes = [models.Index(fields=["document", "page"], name="redaction_mark_by_page")]
        constraints = [
            must(
                "redaction_mark_is_words_or_area",
                models.Q(kind="area", first=None, last=None)
                | models.Q(kind="words", first__isnull=False, last__gte=models.F("first")),
            ),
            must("redaction_mark_on_page", models.Q(page__gte=1)),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display().capitalize()} on page {self.page}"

    @property
    def as_entry(self) -> dict[str, Any]:
        """What is hidden, where, and by which reason, as a copy keeps it."""
        return {
            "id": str(self.pk),
            "page": self.page,
            "kind": self.kind,
            "boxes": self.boxes,
            "first": self.first,
            "last": self.last,
            "words": self.words,
            "number": self.why.number,
            "reason": self.why.words,
            "citation": self.why.citation,
        }

    @property
    def shapes(self) -> list[dict[str, int]]:
        """Its boxes as they are drawn over the picture of the page."""
        return [
            {"x": left, "y": top, "width": right - left, "height": bottom - top}
            for left, top, right, bottom in self.boxes
        ]


class RedactedDocument(JobRecord, CaseRecord):
    """A copy that somebody asked for; a worker makes it, once, from the marks as they stood."""

    stays_inside = True

    document = points_to(DocumentRedaction, "copies")
    marks = models.JSONField(
        "what is hidden", editable=False, help_text="As it stood when the copy was asked for"
    )
    choice_sha256 = models.CharField("digest of what is hidden", max_length=64, editable=False)
    file = models.ForeignKey(
        StoredFile, models.PROTECT, related_name="+", null=True, blank=True, editable=False
    )
    pages = models.PositiveIntegerField(null=True, blank=True, editable=False)
    checked = models.JSONField(
        null=True,
        blank=True,
        editable=False,
        help_text="What was looked for in the copy, and where",
    )
    elsewhere = models.JSONField(
        "hidden words that can be read elsewhere",
        default=list,
        db_default=models.Value([], models.JSONField()),
        blank=True,
        editable=False,
    )
    software = models.CharField(max_length=200, blank=True, editable=False)
    left_at = models.DateTimeField("left as it is", null=True, blank=True, editable=False)
    left_by = staff_later()
    left_why = models.TextField("why it is left", blank=True, editable=False)

    class Meta(Record.Meta):
        verbose_name = "redacted document"
        ordering = ["created_at", "id"]
        constraints = [
            must(
                "redacted_document_made_is_whole",
                ~models.Q(state=JobState.MADE.value)
                | models.Q(file__isnull=False, pages__isnull=False, checked__isnull=False),
            ),
            must(
                "redacted_document_left_says_why",
                models.Q(left_at=None, left_by=None, left_why="")
                | (models.Q(left_at__isnull=False, left_by__isnull=False) & ~models.Q(left_why="")),
            ),
        ]
        indexes = [
            models.Index(fields=["state", "changed_at"], name="redacted_document_by_state"),
            models.Index(fields=["document", "created_at"], name="redacted_document_by_source"),
        ]

    def __str__(self) -> str:
        return f"Redacted copy of {self.document.name}"

    @property
    def is_made(self) -> bool:
        """Tell whether it is whole and in the store."""
        return self.state == JobState.MADE

    @property
    def asks(self) -> str:
        """Say where hidden words can still be read, until a person has decided; else empty."""
        return "" if self.left_at else elsewhere_words(self.elsewhere)

    @property
    def may_go_out(self) -> bool:
        """Tell whether it is made, in the way of now, and nothing about it waits for a person."""
        return self.is_made and self.is_of_this_way and not self.asks and not self.is_voided

    @property
    def is_of_this_way(self) -> bool:
        """Tell whether it was made in the way in which copies are made now."""
        return self.software.partition(",")[0] == WAY

    @property
    def places(self) -> list[dict[str, Any]]:
        """What is hidden in it, in the order of its pages."""
        return sorted(self.marks, key=lambda one: (one["page"], one["boxes"]))

"""Answers to requests, the numbers of their pages, and how each answer left the office."""

from __future__ import annotations

from uuid import UUID

from django.core.validators import MinValueValidator
from django.db import models

from cases.answers.rules import DEFAULT_DIGITS, DEFAULT_PREFIX, page_words, range_words
from cases.court.models import RecordsRequest, Release
from cases.models import Case, CaseRecord
from cases.packets.models import BuiltFile, built_is_whole
from me_office.audit.ids import new_id
from me_office.audit.models import Record
from me_office.audit.tables import must, points_to


class PageSeries(Record):
    """How the office numbers the pages that leave it, and the next number.

    Its row is locked while numbers are given. A prefix is never taken again.
    """

    prefix = models.CharField("before the number", max_length=16, default=DEFAULT_PREFIX)
    digits = models.PositiveSmallIntegerField(default=DEFAULT_DIGITS)
    next = models.PositiveBigIntegerField(
        "next page", default=1, validators=[MinValueValidator(1)], editable=False
    )
    # The prefix without dashes: two that are told apart by a dash alone would be one to who types.
    plain = models.CharField(max_length=16, editable=False)

    class Meta(Record.Meta):
        ordering = ["-created_at", "id"]
        verbose_name = "page numbers"
        constraints = [
            models.UniqueConstraint(
                fields=["plain"],
                name="page_series_prefix_once",
                violation_error_message="The office has numbered pages so before. Choose another.",
            ),
            must("page_series_from_one", models.Q(next__gte=1)),
        ]

    def __str__(self) -> str:
        return page_words(self.prefix, self.digits, self.next)


class Answer(BuiltFile):
    """What goes out in answer to a request, as one BagIt ZIP. Its bytes never change once built."""

    stays_inside = True

    request = points_to(RecordsRequest, "answers")
    with_certificate = models.BooleanField(
        "with the custodian’s certificate", default=True, db_default=True
    )
    camera_notes = models.BooleanField(
        "photographs with the camera’s metadata", default=True, db_default=True
    )
    with_exhibit_list = models.BooleanField(
        "with a list of the photographs", default=True, db_default=True
    )
    decided = models.CharField(
        "digest of the decisions", max_length=64, editable=False, help_text="SHA-256"
    )
    decided_at = models.DateTimeField(
        "decisions approved", editable=False, help_text="The date that its documents carry"
    )
    files = models.PositiveIntegerField(null=True, blank=True, editable=False)
    withheld = models.PositiveIntegerField(null=True, blank=True, editable=False)
    sent_items = models.JSONField(
        "items that are sent",
        default=list,
        db_default=models.Value([], models.JSONField()),
        blank=True,
        editable=False,
        help_text="Kind, key and case of each, and how it was decided",
    )

    class Meta(Record.Meta):
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="answer_number_once"),
            built_is_whole("answer_built_is_whole"),
        ]
        indexes = [
            models.Index(fields=["state", "changed_at"], name="answer_by_state"),
            models.Index(fields=["request", "-number"], name="answer_of_request"),
        ]

    def __str__(self) -> str:
        return f"Answer {self.number}"

    @property
    def sent_cases(self) -> set[UUID]:
        """The cases whose records it sends, its own among them."""
        return {self.case_id, *(UUID(one[2]) for one in self.sent_items)}


class PageRun(CaseRecord):
    """Page numbers given to one attempt at an answer; one that failed keeps them."""

    stays_inside = True

    series = points_to(PageSeries, "runs")
    answer = points_to(Answer, "runs")
    attempt = models.PositiveIntegerField(editable=False)
    first = models.PositiveBigIntegerField("first page", editable=False)
    last = models.PositiveBigIntegerField("last page", editable=False)

    class Meta(Record.Meta):
        ordering = ["first"]
        constraints = [
            models.UniqueConstraint(fields=["series", "first"], name="page_run_begins_once"),
            must("page_run_in_order", models.Q(last__gte=models.F("first"))),
        ]
        indexes = [models.Index(fields=["answer", "attempt"], name="page_run_of_answer")]

    def __str__(self) -> str:
        return range_words(self.series.prefix, self.series.digits, self.first, self.last)


class NumberedPages(CaseRecord):
    """Which record stands on some numbered pages of an answer. The case is the record's own."""

    stays_inside = True

    run = points_to(PageRun, "parts")
    answer = points_to(Answer, "parts")
    first = models.PositiveBigIntegerField("first page", editable=False)
    last = models.PositiveBigIntegerField("last page", editable=False)
    kind = models.CharField(max_length=24, editable=False)
    item = models.CharField(max_length=80, blank=True, editable=False)
    label = models.CharField("document", max_length=240, editable=False)
    digest = models.CharField(
        "digest of the document", max_length=64, blank=True, editable=False, help_text="SHA-256"
    )
    demand = models.PositiveIntegerField(null=True, blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["first"]
        constraints = [
            models.UniqueConstraint(fields=["run", "first"], name="numbered_page_once"),
            must("numbered_pages_in_order", models.Q(last__gte=models.F("first"))),
        ]
        indexes = [models.Index(fields=["answer", "first"], name="numbered_pages_of_answer")]

    def __str__(self) -> str:
        return f"{self.numbers}, {self.label}"

    @property
    def numbers(self) -> str:
        """The numbers of its pages: TC-004117 to TC-004120."""
        series = self.run.series
        return range_words(series.prefix, series.digits, self.first, self.last)

    @property
    def first_number(self) -> str:
        """The number of its first page."""
        return page_words(self.run.series.prefix, self.run.series.digits, self.first)


class Delivery(CaseRecord):
    """An answer was handed over, mailed, or laid ready under an address that opens for a time."""

    # To whom else and how it went is no part of what is sent.
    stays_inside = True

    METHODS = [
        ("in person", "in person"),
        ("mail", "by registered mail"),
        ("courier", "by courier"),
        ("download", "by download"),
    ]

    answer = points_to(Answer, "deliveries")
    # Lists, figures and the case's time line read what left the office there.
    release = points_to(Release, "deliveries")
    method = models.CharField(max_length=10, choices=METHODS)
    to_whom = models.CharField("delivered to", max_length=160)
    ends_at = models.DateTimeField("address opens until", null=True, blank=True)
    # What stood otherwise when it left all the same, and why a second person let it.
    differed = models.TextField(
        "had changed since it was built", blank=True, default="", db_default="", editable=False
    )
    although = models.TextField(
        "why it left although it differs", max_length=1000, blank=True, default="", db_default=""
    )
    # Of the address and of the code only what they are compared by is kept; of a column of this
    # name the trail tells only that it was set.
    token_sha256 = models.CharField(max_length=64, blank=True, editable=False)
    password = models.CharField(max_length=200, blank=True, editable=False)
    # On what is returned when the address is made, and nowhere else.
    token = ""
    code = ""
    called_back_at = models.DateTimeField("called back", null=True, blank=True, editable=False)
    called_back_why = models.CharField(
        "why called back", max_length=240, blank=True, editable=False
    )

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            must(
                "delivery_download_has_an_end",
                models.Q(method="download", ends_at__isnull=False)
                & ~models.Q(token_sha256="")
                & ~models.Q(password="")
                | ~models.Q(method="download") & models.Q(ends_at=None, token_sha256=""),
                "Say until when the address opens.",
            ),
            models.UniqueConstraint(
                fields=["token_sha256"],
                condition=~models.Q(token_sha256=""),
                name="delivery_address_once",
            ),
        ]
        indexes = [models.Index(fields=["answer", "created_at"], name="delivery_of_answer")]

    def __str__(self) -> str:
        return f"{self.get_method_display().capitalize()} to {self.to_whom}"


class Opening(models.Model):
    """Somebody without an account was at the address of a delivery. Never changed or removed."""

    append_only = True
    kept_for_ever = True
    # From which addresses lawyers fetch their mail is no part of what is released.
    stays_inside = True

    WHAT = [
        ("code", "code entered"),
        ("wrong code", "wrong code"),
        ("began", "download began"),
        ("whole", "downloaded whole"),
        ("broken off", "download broken off"),
        ("called back", "stopped: called back"),
        ("kept back", "not opened: something in it is kept back"),
    ]

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    case = points_to(Case)
    delivery = points_to(Delivery, "openings")
    # One download: its beginning and its end have the same.
    visit = models.UUIDField(editable=False)
    what = models.CharField(max_length=12, choices=WHAT, editable=False)
    at = models.DateTimeField(auto_now_add=True, editable=False)
    address = models.CharField("from", max_length=64, blank=True, editable=False)
    bytes_sent = models.BigIntegerField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["at", "id"]
        indexes = [models.Index(fields=["delivery", "at"], name="opening_of_delivery")]

    def __str__(self) -> str:
        return f"{self.get_what_display()}"


class CertificateWording(Record):
    """How the office's certificate of the records custodian reads. Replaced, never changed."""

    number = models.PositiveIntegerField("edition", editable=False)
    words = models.TextField(
        help_text="One paragraph a line; a word in braces is filled in, such as {case}"
    )
    law = models.CharField("law that it follows", max_length=240, blank=True)
    approved_by = models.CharField("approved by counsel", max_length=160, blank=True)
    approved_on = models.DateField(null=True, blank=True)

    class Meta(Record.Meta):
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(
                fields=["number"],
                name="certificate_wording_once",
                violation_error_message="The wording was replaced meanwhile.",
            )
        ]

    def __str__(self) -> str:
        return f"Edition {self.number}"

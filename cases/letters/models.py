"""The office's templates, letters of a request, and how each was sent."""

from __future__ import annotations

from django.db import models

from cases.court.models import RecordsRequest
from cases.letters.rules import (
    ALLOWED_MOVES,
    LetterKind,
    LetterState,
    Outcome,
    Way,
    reference_of,
)
from cases.models import CaseRecord
from evidence.store.models import StoredFile
from me_office.audit.ids import new_id
from me_office.audit.models import Record
from me_office.audit.tables import must, of_active, once_active, points_to, staff_later, state_from

KINDS = LetterKind.choices()
WAYS = Way.choices()


class LetterTemplate(Record):
    """Words of the office for one kind of letter. A change is a new row, so each edition stays."""

    kind = models.CharField(max_length=16, choices=KINDS)
    title = models.CharField(max_length=80, help_text="When it is used")
    subject = models.CharField(max_length=200)
    body = models.TextField("text")
    replaces = models.OneToOneField(
        "self",
        models.PROTECT,
        related_name="replaced_by",
        null=True,
        blank=True,
        editable=False,
    )
    number = models.PositiveIntegerField("edition", default=1, editable=False)

    class Meta(Record.Meta):
        ordering = ["kind", "title", "id"]
        constraints = [
            once_active(
                "letter_template_once",
                "kind",
                "title",
                message="There is a template of this kind and title already.",
            )
        ]
        indexes = [of_active("letter_template_in_use", "kind", "title", "id")]

    def __str__(self) -> str:
        return self.title

    @property
    def edition_words(self) -> str:
        """The template with its edition, as a letter keeps it."""
        return f"“{self.title}”, edition {self.number}"


class Letter(CaseRecord):
    """A letter of a request: written as a draft, then made as PDF and never changed."""

    stays_inside = True

    request = points_to(RecordsRequest, "letters")
    # Of all letters of the case, so that its reference is one letter's.
    number = models.PositiveIntegerField(editable=False)
    kind = models.CharField(max_length=16, choices=KINDS, editable=False)
    template = models.ForeignKey(
        LetterTemplate,
        models.PROTECT,
        related_name="letters",
        null=True,
        blank=True,
        editable=False,
    )
    edition = models.CharField("begun from", max_length=160, editable=False)
    to_name = models.CharField("addressed to", max_length=160)
    address = models.TextField(blank=True)
    dated_on = models.DateField("date of the letter")
    subject = models.CharField(max_length=300)
    body = models.TextField("text")
    signer = models.CharField("signed by", max_length=160, blank=True)
    enclosures = models.TextField(blank=True)
    state_moves = ALLOWED_MOVES
    state = state_from(LetterState.DRAFT, 8)
    made_at = models.DateTimeField(null=True, blank=True, editable=False)
    made_by = staff_later()
    file = models.ForeignKey(
        StoredFile, models.PROTECT, related_name="+", null=True, blank=True, editable=False
    )
    pages = models.PositiveIntegerField(null=True, blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="letter_number_once"),
            must(
                "letter_made_is_kept",
                models.Q(state=LetterState.DRAFT.value, made_at=None, file=None)
                | models.Q(state=LetterState.MADE.value, made_at__isnull=False, file__isnull=False),
            ),
        ]
        indexes = [
            models.Index(fields=["request", "number"], name="letter_of_request"),
        ]

    def __str__(self) -> str:
        return f"Letter {self.number}, {self.get_kind_display()}"

    @property
    def reference(self) -> str:
        """The office's reference, as it is printed."""
        return reference_of(self.case.label, self.number)

    @property
    def is_made(self) -> bool:
        """Tell whether it is kept as PDF and can be sent."""
        return self.state == LetterState.MADE


class LetterSending(CaseRecord):
    """A letter went out, or waits to go out by e-mail. Never changed; a wrong one is withdrawn."""

    stays_inside = True

    letter = points_to(Letter, "sendings")
    way = models.CharField("how", max_length=12, choices=WAYS)
    to_name = models.CharField("to whom", max_length=160)
    address = models.CharField("e-mail address or fax number", max_length=200, blank=True)
    sent_at = models.DateTimeField("when", null=True, blank=True)
    note = models.CharField(max_length=240, blank=True)
    outcome = models.CharField(
        max_length=8,
        choices=[
            (Outcome.WAITING.value, "recorded"),
            (Outcome.SENT.value, "sent"),
            (Outcome.FAILED.value, "failed"),
            (Outcome.UNKNOWN.value, "not known whether it went out"),
        ],
        blank=True,
        default="",
        editable=False,
    )
    fault = models.CharField("why it failed", max_length=160, blank=True, editable=False)

    class Meta(Record.Meta):
        verbose_name = "sending of a letter"
        ordering = ["created_at", "id"]
        constraints = [
            must(
                "letter_sent_at_a_moment",
                models.Q(way="email") | models.Q(sent_at__isnull=False),
                "Say when it was sent or handed over.",
            ),
            must(
                "letter_mailed_to_an_address",
                ~models.Q(way="email") | ~models.Q(address=""),
                "Enter the e-mail address.",
            ),
        ]

    def __str__(self) -> str:
        return f"Letter sent to {self.to_name}, {self.get_way_display()}"

    @property
    def waits(self) -> bool:
        """Tell whether it is a mail of which it is not known yet how it went."""
        return self.way == "email" and self.outcome == Outcome.WAITING and not self.is_voided


class LetterMail(models.Model):
    """One mail with a letter, taken in hand before it goes out, so that none goes twice.

    Overwritten as it goes, so no record of the office.
    """

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    sending = models.OneToOneField(LetterSending, models.PROTECT, related_name="mail")
    outcome = models.CharField(max_length=8, blank=True, default="")
    tries = models.PositiveIntegerField(default=0)
    tried_at = models.DateTimeField(null=True)
    fault = models.CharField(max_length=160, blank=True, default="")

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(
                fields=["id"],
                condition=models.Q(outcome__in=["", "trying"]),
                name="letter_mail_open",
            ),
            models.Index(
                fields=["-tried_at", "id"],
                condition=~models.Q(fault=""),
                name="letter_mail_not_sent",
            ),
        ]

    def __str__(self) -> str:
        return f"Mail, {self.outcome or 'not sent'}"

"""What a review needs by the office's rules, who does it, and what the reviewer says on the way.

All of it is the record of the review: no part of the report, and in no packet.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from cases.certification.rules import MANNERS
from cases.models import CaseRecord
from cases.review.needs_rules import ANSWERS, Settled
from evidence.store.models import StoredFile
from me_office.audit.models import Record
from me_office.audit.tables import must, once_active, points_to, staff_if_any, staff_later


def answered_in(answers: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the answers of a sheet with their words, those that were given."""
    return [{**one, "said": ANSWERS[one["answer"]]} for one in answers if one["answer"]]


class ReviewPolicy(Record):
    """The office's rules of review: one row, whose versions are its history."""

    only = models.BooleanField(default=True, editable=False, unique=True)
    opinion_manners = models.JSONField(
        "manners, for an independent opinion", default=list, blank=True
    )
    opinion_under_age = models.PositiveSmallIntegerField(
        "age below which, for an independent opinion", null=True, blank=True
    )
    opinion_custody = models.BooleanField(
        "deaths in custody, for an independent opinion", default=False
    )
    sheet_manners = models.JSONField("manners, for a review sheet", default=list, blank=True)
    sheet_under_age = models.PositiveSmallIntegerField(
        "age below which, for a review sheet", null=True, blank=True
    )
    sheet_custody = models.BooleanField("deaths in custody, for a review sheet", default=False)
    share_percent = models.DecimalField(
        "share drawn by lot (%)",
        max_digits=5,
        decimal_places=2,
        default=Decimal(0),
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )
    custody_places = models.TextField("places that mean custody", blank=True)
    questions = models.TextField("questions of the review sheet", blank=True)

    class Meta(Record.Meta):
        verbose_name_plural = "review policies"

    def __str__(self) -> str:
        return "Rules of review"


class ReviewSeed(Record):
    """The seed of the draw, kept with its date; the newest before a case began is the case's."""

    seed = models.CharField(max_length=64, editable=False, help_text="32 bytes, hexadecimal")

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]

    def __str__(self) -> str:
        return f"Seed of {self.created_at:%Y-%m-%d}"


class DraftReview(CaseRecord):
    """What the rules ask of one draft's review, as they were when it was sent, and who has it."""

    stays_inside = True

    draft = models.OneToOneField(
        "review.ReportDraft", models.PROTECT, related_name="review", editable=False
    )
    reviewer = staff_if_any()
    asks_opinion = models.BooleanField(
        "asks for an independent opinion", default=False, editable=False
    )
    asks_sheet = models.BooleanField("asks for a review sheet", default=False, editable=False)
    opinion_grounds = models.JSONField("grounds for the opinion", default=list, editable=False)
    sheet_grounds = models.JSONField("grounds for the sheet", default=list, editable=False)
    draw = models.CharField("how the lot fell", max_length=240, blank=True, editable=False)
    drawn = models.BooleanField("drawn by lot", default=False, editable=False)
    questions = models.JSONField("questions of the sheet", default=list, editable=False)

    class Meta(Record.Meta):
        indexes = [models.Index(fields=["reviewer", "draft"], name="draft_review_by_reviewer")]

    def __str__(self) -> str:
        return "Review of a draft"


class IndependentOpinion(CaseRecord):
    """Cause and manner in a reviewer's own words, before the author's were shown; or that they
    were known already. What became of a disagreement stands with it.
    """

    stays_inside = True
    KINDS = [("own", "own opinion"), ("knows", "knew the author's opinion already")]

    draft = models.ForeignKey(
        "review.ReportDraft", models.PROTECT, related_name="opinions", editable=False
    )
    kind = models.CharField(max_length=5, choices=KINDS, default="own")
    cause = models.TextField("cause of death", blank=True)
    manner = models.CharField("manner of death", max_length=14, choices=MANNERS, blank=True)
    words = models.TextField("what it rests on", blank=True)
    knows_why = models.TextField("how it was known", blank=True)
    # The author's, as they were read when both were put beside each other.
    compared_draft = models.ForeignKey(
        "review.ReportDraft",
        models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
        editable=False,
    )
    author_cause = models.TextField("the author's cause", blank=True, editable=False)
    author_manner = models.CharField(
        "the author's manner", max_length=40, blank=True, editable=False
    )
    cause_agrees = models.BooleanField(null=True, blank=True, editable=False)
    manner_agrees = models.BooleanField(null=True, blank=True, editable=False)
    settled_how = models.CharField(
        "how it was settled",
        max_length=10,
        choices=Settled.choices(),
        blank=True,
        editable=False,
    )
    settled_words = models.TextField("in words", blank=True, editable=False)
    settled_at = models.DateTimeField(null=True, blank=True, editable=False)
    settled_by = staff_later()

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            once_active(
                "one_opinion_a_reviewer",
                "case",
                "created_by",
                message="Your opinion on this case is recorded already.",
            ),
            must(
                "own_opinion_has_cause_and_manner",
                models.Q(kind="knows") | (~models.Q(cause="") & ~models.Q(manner="")),
                "State both cause and manner.",
            ),
            must(
                "known_opinion_says_how",
                models.Q(kind="own") | ~models.Q(knows_why=""),
                "Say how you know it.",
            ),
        ]

    def __str__(self) -> str:
        return f"Independent opinion, {self.get_kind_display()}"

    @property
    def is_own(self) -> bool:
        """Tell whether it was formed before the author's was shown."""
        return self.kind == "own"

    @property
    def differs(self) -> bool:
        """Tell whether it was compared, and cause or manner is not the author's."""
        return self.cause_agrees is False or self.manner_agrees is False


class ReviewSheet(CaseRecord):
    """A reviewer's answers to the questions of the office, on one draft."""

    stays_inside = True

    draft = models.ForeignKey(
        "review.ReportDraft", models.PROTECT, related_name="sheets", editable=False
    )
    answers = models.JSONField(
        default=list, blank=True, help_text=f"question, answer ({', '.join(ANSWERS)}), words"
    )

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            once_active(
                "one_sheet_a_reviewer",
                "draft",
                "created_by",
                message="Your sheet on this draft is there already.",
            )
        ]

    def __str__(self) -> str:
        return "Review sheet"

    @property
    def answered(self) -> list[dict[str, Any]]:
        """The answers in words, those that were given."""
        return answered_in(self.answers)


class OutsideReview(CaseRecord):
    """What a pathologist of another office sent of a review: the document, and what it states.

    Who recorded it stands with the row; who stated it, with the decision.
    """

    stays_inside = True

    decision = models.OneToOneField(
        "review.ReviewDecision", models.PROTECT, related_name="outside_review", editable=False
    )
    file = points_to(StoredFile)
    file_name = models.CharField(max_length=200, blank=True, editable=False)
    kind = models.CharField(
        "how the opinion was formed", max_length=5, choices=IndependentOpinion.KINDS, blank=True
    )
    cause = models.TextField("cause of death", blank=True)
    manner = models.CharField("manner of death", max_length=14, choices=MANNERS, blank=True)
    cause_agrees = models.BooleanField("the cause is the same", null=True, blank=True)
    manner_agrees = models.BooleanField(null=True, blank=True, editable=False)
    knows_why = models.TextField("how the author's opinion was known", blank=True)
    settled_words = models.TextField("how a disagreement was settled", blank=True)
    answers = models.JSONField(
        default=list, blank=True, help_text=f"question, answer ({', '.join(ANSWERS)}), words"
    )

    class Meta(Record.Meta):
        pass

    def __str__(self) -> str:
        return "Review made outside the office"

    @property
    def answered(self) -> list[dict[str, Any]]:
        """The answers in words, those that were given."""
        return answered_in(self.answers)

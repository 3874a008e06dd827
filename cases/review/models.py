"""The report of examination, its frozen drafts, peer review, sign-off, addenda and amendments."""

from __future__ import annotations

from django.db import models

from cases.models import Case, CaseRecord
from cases.review.comment_rules import RETURN_CAUSES, Anchor, Weight
from cases.review.lines import Lines
from cases.review.peer_models import (
    DraftReview,
    IndependentOpinion,
    OutsideReview,
    ReviewPolicy,
    ReviewSeed,
    ReviewSheet,
)
from cases.review.rules import ALLOWED_MOVES, AddendumKind, ReportState
from cases.review.signing import review_words
from evidence.results.models import Result
from evidence.store.models import StoredFile
from me_office.audit.models import Record
from me_office.audit.tables import (
    must,
    of_active,
    points_to,
    staff_chosen,
    staff_later,
    staff_who,
    state_from,
)
from me_office.shell.templatetags.office import moment
from me_office.worded import as_choices

__all__ = [
    "Addendum",
    "AmendedPassage",
    "CaseClosing",
    "CommentReply",
    "DraftReview",
    "IndependentOpinion",
    "OutsideReview",
    "Report",
    "ReportDraft",
    "ReviewComment",
    "ReviewDecision",
    "ReviewPolicy",
    "ReviewSeed",
    "ReviewSheet",
    "SignedPdf",
]


class Report(Record):
    """The report's own words; everything else in it is read from the case file."""

    case = models.OneToOneField(Case, models.PROTECT, related_name="report", editable=False)
    state_moves = ALLOWED_MOVES
    state = state_from(ReportState.DRAFT, 10)
    author = staff_who()
    history = models.TextField("history and circumstances", blank=True)
    summary = models.TextField("summary of findings", blank=True)
    opinion = models.TextField(blank=True, help_text="In plain words, with what it rests on")
    drafts_sent = models.PositiveIntegerField(default=0, editable=False)
    submitted_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta(Record.Meta):
        indexes = [models.Index(fields=["state", "submitted_at"], name="report_by_state")]

    def __str__(self) -> str:
        return f"Report, {self.state}"


class ReportDraft(CaseRecord):
    """The whole report as it stood when it was sent to review; frozen, with its digest."""

    report = points_to(Report, "drafts")
    number = models.PositiveIntegerField(editable=False)
    content = models.JSONField(help_text="Sections of passages, see cases.review.content")
    sha256 = models.CharField(max_length=64)
    submitted_at = models.DateTimeField()
    note = models.TextField(blank=True, help_text="What changed since the last draft")
    # Its author's signature, as name and title were printed on that day; the title of who signed
    # before it was kept is not known.
    signed_as = models.CharField(max_length=200, blank=True, editable=False)
    signed_title = models.CharField(  # noqa: DJ001 - none is another thing than not known
        max_length=120, null=True, blank=True, editable=False
    )
    statement = models.TextField(blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["report", "number"], name="draft_number_once")
        ]

    def __str__(self) -> str:
        return f"Draft {self.number}"


class SignedPdf(CaseRecord):
    """The report as it was signed, as PDF with numbered lines. Its bytes never change."""

    draft = models.OneToOneField(
        ReportDraft, models.PROTECT, related_name="signed_pdf", editable=False
    )
    file = points_to(StoredFile)
    pages = models.PositiveIntegerField(editable=False)
    lines = models.JSONField(
        editable=False,
        help_text="By the key of a passage: first page and line, last page and line",
    )

    class Meta(Record.Meta):
        pass

    def __str__(self) -> str:
        return "Signed report as PDF"

    @property
    def places(self) -> dict[str, Lines]:
        """Where each passage stands, by its key."""
        return {key: Lines(*place) for key, place in self.lines.items()}


class ReviewComment(CaseRecord):
    """What a reviewer says about a draft: a passage, a finding, a mark, a photograph, or all."""

    stays_inside = True

    draft = points_to(ReportDraft, "comments")
    anchor = models.CharField(
        "about",
        max_length=10,
        choices=as_choices(Anchor),
        default=Anchor.PASSAGE.value,
        db_default=Anchor.PASSAGE.value,
        editable=False,
    )
    passage = models.CharField(
        max_length=80, blank=True, help_text="Key of what it is about: a passage or a record"
    )
    # The finding of a comment on a finding or one of its marks: beside its passage it is shown.
    of_finding = models.CharField(max_length=36, blank=True, db_default="", editable=False)
    quoted = models.TextField(help_text="The passage as it read")
    weight = models.CharField(
        max_length=10,
        choices=as_choices(Weight),
        default=Weight.SUGGESTION.value,
        db_default=Weight.SUGGESTION.value,
    )
    comment = models.TextField()
    answer = models.TextField(blank=True)
    answered_at = models.DateTimeField(null=True, blank=True, editable=False)
    answered_by = staff_later()
    resolved_at = models.DateTimeField(null=True, blank=True, editable=False)
    resolved_by = staff_later()
    resolved_words = models.TextField("how resolved", blank=True, db_default="", editable=False)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]

    def __str__(self) -> str:
        if self.anchor == Anchor.PASSAGE:
            return f"Comment on {self.passage}"
        return f"Comment on {'the whole draft' if self.anchor == Anchor.DRAFT else self.quoted}"

    @property
    def is_resolved(self) -> bool:
        """Tell whether a reviewer is content with it."""
        return self.resolved_at is not None


class CommentReply(CaseRecord):
    """What author or reviewers say in the thread of a comment."""

    stays_inside = True

    comment = points_to(ReviewComment, "replies")
    words = models.TextField("reply")

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        verbose_name_plural = "comment replies"

    def __str__(self) -> str:
        return "Reply to a comment"


class ReviewDecision(CaseRecord):
    """A draft is sent back, or finished: reviewed here, reviewed outside, or not reviewed."""

    OUTCOMES = [
        ("returned", "sent back"),
        ("signed", "reviewed and signed off"),
        ("outside", "reviewed outside the office"),
        ("waived", "finished without peer review"),
    ]

    draft = models.OneToOneField(
        ReportDraft, models.PROTECT, related_name="decision", editable=False
    )
    outcome = models.CharField(max_length=10, choices=OUTCOMES)
    words = models.TextField(blank=True)
    decided_at = models.DateTimeField()
    decided_by = staff_chosen()
    sha256 = models.CharField(max_length=64, help_text="Digest of the draft that was decided on")
    # As name and title were printed on that day.
    signed_as = models.CharField(max_length=200, blank=True, editable=False)
    signed_title = models.CharField(  # noqa: DJ001 - none is another thing than not known
        max_length=120, null=True, blank=True, editable=False
    )
    outside_name = models.CharField(max_length=160, blank=True)
    outside_license = models.CharField(max_length=80, blank=True)
    outside_office = models.CharField(max_length=160, blank=True)
    outside_on = models.DateField(null=True, blank=True)
    outside_document = models.CharField(max_length=240, blank=True)
    # Of the file in which it came; what was recorded before files were kept has none.
    outside_sha256 = models.CharField(
        "digest of the document", max_length=64, blank=True, db_default="", editable=False
    )
    # Why it was sent back, in the few words that can be counted.
    causes = models.JSONField(
        "causes of return",
        default=list,
        db_default=models.Value([], models.JSONField()),
        blank=True,
        help_text=f"Of: {', '.join(RETURN_CAUSES)}",
    )
    # The office's rule by which no review was made, as it read on that day.
    rule = models.CharField(max_length=240, blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["decided_at", "id"]
        constraints = [
            must(
                "outside_review_is_named",
                ~models.Q(outcome="outside")
                | (
                    ~models.Q(outside_name="")
                    & ~models.Q(outside_license="")
                    & ~models.Q(outside_office="")
                    & ~models.Q(outside_document="")
                    & models.Q(outside_on__isnull=False)
                ),
                "Name the reviewer with license, office, day and document.",
            ),
            must(
                "waived_review_has_rule_and_reason",
                ~models.Q(outcome="waived") | (~models.Q(words="") & ~models.Q(rule="")),
                "Say why no review was made.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.draft} {self.outcome}"

    @property
    def outside_words(self) -> str:
        """The reviewer of another office, with license, office and day."""
        if not self.outside_on:
            return ""
        day = f"{self.outside_on.day} {self.outside_on:%B %Y}"
        return (
            f"{self.outside_name} (license {self.outside_license}), {self.outside_office}, on {day}"
        )

    @property
    def sentence(self) -> str:
        """Who reviewed, or that nobody did and why, as page and print say it."""
        return review_words(
            outcome=self.outcome,
            who=self.signed_as or self.decided_by.printed_name,
            when=moment(self.decided_at),
            rule=self.rule,
            why=self.words,
            outside=self.outside_words,
            document=self.outside_document,
            digest=self.outside_sha256,
        )


class Addendum(CaseRecord):
    """What is added to, or changed in, a signed report."""

    number = models.PositiveIntegerField(editable=False)
    KINDS = as_choices(AddendumKind)

    kind = models.CharField(max_length=10, choices=KINDS)
    amends = models.CharField(
        max_length=160, blank=True, help_text="Which statement is changed, as it read"
    )
    text = models.TextField()
    why = models.TextField()
    made_at = models.DateTimeField()
    made_by = staff_chosen()
    signed_as = models.CharField(max_length=200, blank=True, editable=False)
    rests_on = models.ForeignKey(
        Result, models.PROTECT, related_name="addenda", null=True, blank=True, editable=False
    )
    # What an amendment changes in the case file: table, record, field, label, was, now.
    changes = models.JSONField(default=list, blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["number"]
        indexes = [of_active("addendum_by_moment", "made_at", "id")]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="addendum_number_once"),
            must(
                "amendment_names_statement",
                models.Q(kind="addendum") | ~models.Q(amends=""),
                "Say which statement is changed.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.number}"


class AmendedPassage(CaseRecord):
    """How a passage of the report read before an amendment, and how it reads since."""

    addendum = points_to(Addendum, "passages")
    key = models.CharField(max_length=120, editable=False)
    lead = models.CharField(max_length=160, blank=True, editable=False)
    was = models.TextField(blank=True, editable=False)
    now = models.TextField(blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["addendum", "key"], name="amended_passage_once")
        ]

    def __str__(self) -> str:
        return f"{self.lead} since {self.addendum}"

    @property
    def now_words(self) -> str:
        """How it reads since."""
        now = f"Now: {self.now}" if self.now else "No longer stated."
        return now if now.endswith((".", "!", "?")) else f"{now}."

    @property
    def words(self) -> str:
        """How it reads since, and why."""
        return f"{self.now_words} Reason: {self.addendum.why}"


class CaseClosing(CaseRecord):
    """A case in which nothing was examined is closed without a report."""

    KINDS = [
        ("records", "records were read; another physician certifies"),
        ("released", "body was seen and released; another physician certifies"),
        ("not here", "body was not available for an examination"),
        ("elsewhere", "another office took the case over"),
        ("other", "other"),
    ]

    kind = models.CharField(max_length=12, choices=KINDS)
    certified_by = models.CharField(max_length=160, blank=True, help_text="Physician or office")
    why = models.TextField("reason")
    closed_at = models.DateTimeField(editable=False)
    reopened_at = models.DateTimeField(null=True, blank=True, editable=False)
    reopened_why = models.TextField("reason for opening it again", blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["closed_at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["case"],
                condition=models.Q(reopened_at=None),
                name="case_closed_once",
                violation_error_message="The case is closed already.",
            ),
            must(
                "case_reopened_with_reason",
                models.Q(reopened_at=None, reopened_why="")
                | (models.Q(reopened_at__isnull=False) & ~models.Q(reopened_why="")),
            ),
        ]

    def __str__(self) -> str:
        return f"Closed without a report, {self.get_kind_display()}"

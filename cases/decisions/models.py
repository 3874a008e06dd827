"""What a demand reaches, grounds, decisions on items, what stops an answer, and approvals."""

from __future__ import annotations

from django.db import models

from cases.court.models import Demand, RecordsRequest, Release
from cases.decisions.rules import NOTED, ItemKind, Outcome
from cases.models import CaseRecord
from evidence.store.models import StoredFile
from me_office.audit.models import Record
from me_office.audit.tables import (
    must,
    of_active,
    once_active,
    points_to,
    staff_chosen,
    staff_later,
)
from me_office.shell.templatetags.office import bytes_words, day

OUTCOMES = Outcome.choices()
KINDS = ItemKind.choices()
STOPS = [(one.value, one.words) for one in NOTED]


class Ground(Record):
    """A ground of the office's list for keeping something back. Replaced, never changed."""

    number = models.PositiveIntegerField()
    words = models.CharField("in short", max_length=160)
    citation = models.CharField("law or order", max_length=240)
    approved_by = models.CharField("approved by counsel", max_length=160, blank=True)
    approved_on = models.DateField(null=True, blank=True)

    class Meta(Record.Meta):
        ordering = ["number", "created_at", "id"]
        constraints = [
            once_active(
                "ground_number_once", "number", message="The list has this number already."
            ),
            must("ground_number_from_one", models.Q(number__gte=1), "Numbers begin with 1."),
        ]

    def __str__(self) -> str:
        return f"{self.number}. {self.words}"


class ProposalRule(Record):
    """What the office changed of a rule by which a decision is proposed: on or off, its ground."""

    key = models.CharField("rule", max_length=24, editable=False)
    is_on = models.BooleanField("is used", default=True)
    ground = models.ForeignKey(Ground, models.PROTECT, related_name="+", null=True, blank=True)

    class Meta(Record.Meta):
        ordering = ["key", "id"]
        constraints = [
            once_active("proposal_rule_once", "key", message="Somebody changed this rule.")
        ]

    def __str__(self) -> str:
        return f"Rule {self.key}"


class Reach(CaseRecord):
    """Which records a demand reaches: those of one kind, or one that is named by hand.

    The case is whose records they are.
    """

    stays_inside = True

    request = points_to(RecordsRequest, "reaches")
    demand = points_to(Demand, "reaches")
    kind = models.CharField(max_length=24, choices=KINDS)
    first = models.PositiveIntegerField("first number", null=True, blank=True)
    last = models.PositiveIntegerField("last number", null=True, blank=True)
    words = models.CharField("what it is", max_length=160, blank=True)

    class Meta(Record.Meta):
        verbose_name = "what a demand reaches"
        ordering = ["created_at", "id"]
        constraints = [
            must(
                "reach_names_what_is_other",
                ~models.Q(kind="other") | ~models.Q(words=""),
                "Say what it is.",
            ),
            must(
                "reach_from_first_to_last",
                models.Q(first=None) | models.Q(last=None) | models.Q(last__gte=models.F("first")),
                "The last number is before the first.",
            ),
        ]
        indexes = [of_active("reach_of_request", "request")]

    def __str__(self) -> str:
        return self.words or str(self.get_kind_display())


class Enclosure(CaseRecord):
    """How something that was named by hand goes out: as a file kept for it, or handed over apart.

    Another takes its place; what was enclosed stays kept. The case is that of the records.
    """

    stays_inside = True

    request = points_to(RecordsRequest, "enclosures")
    reach = models.ForeignKey(
        Reach, models.PROTECT, related_name="enclosures", editable=False, verbose_name="item"
    )
    file = models.ForeignKey(
        StoredFile, models.PROTECT, related_name="+", null=True, blank=True, editable=False
    )
    file_name = models.CharField(max_length=200, blank=True, editable=False)
    # Of a PDF its pages, of a picture one, of anything else none.
    pages = models.PositiveIntegerField(default=0, editable=False)
    apart_to = models.CharField("handed to", max_length=160, blank=True)
    apart_on = models.DateField("handed over on", null=True, blank=True)
    apart_how = models.CharField("how, and what was handed over", max_length=240, blank=True)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            once_active(
                "enclosed_once", "reach", message="Something was enclosed for it meanwhile."
            ),
            must(
                "enclosed_as_file_or_apart",
                models.Q(file__isnull=False, apart_to="", apart_on=None)
                | models.Q(file=None, apart_on__isnull=False) & ~models.Q(apart_to=""),
                "Say to whom it was handed, and when.",
            ),
        ]
        indexes = [of_active("enclosed_of_request", "request")]

    def __str__(self) -> str:
        if self.file is None:
            return f"handed to {self.apart_to}, {day(self.apart_on)}"
        return f"{self.file_name or 'file'}, {bytes_words(self.file.size_bytes)}"


class ItemDecision(CaseRecord):
    """What becomes of one item that a demand reaches. The case is the item's own.

    Never changed: another decision on the same item takes its place.
    """

    stays_inside = True

    request = points_to(RecordsRequest, "decisions")
    demand = points_to(Demand, "decisions")
    # Which record: its kind (`cases.decisions.rules.ItemKind`) and key, and the digest of what was
    # decided about, so that a later change of it is noticed.
    kind = models.CharField(max_length=24, editable=False)
    item = models.CharField(max_length=80, editable=False)
    digest = models.CharField(max_length=64, blank=True, editable=False)
    number = models.CharField(max_length=24, blank=True, editable=False)
    label = models.CharField("item", max_length=240, editable=False)
    outcome = models.CharField(max_length=12, choices=OUTCOMES)
    ground = models.ForeignKey(
        Ground, models.PROTECT, related_name="decisions", null=True, blank=True
    )
    held_by = models.CharField("who has it", max_length=240, blank=True)
    note = models.CharField(max_length=240, blank=True)
    # What was marked for redaction in it when it was decided that it goes out whole all the same.
    marked = models.CharField(
        "digest of the marks it is sent with", max_length=64, blank=True, default="",
        db_default="", editable=False,
    )  # fmt: skip
    sent_with = models.ForeignKey(
        Release, models.PROTECT, related_name="+", null=True, blank=True, editable=False
    )
    # What was decided in one go has one key here: by it a retry is known.
    together = models.UUIDField(editable=False)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            once_active(
                "item_decided_once",
                "demand",
                "kind",
                "item",
                message="This item was decided meanwhile.",
            ),
            must(
                "kept_back_on_a_ground",
                ~models.Q(outcome__in=["redact", "withhold"]) | models.Q(ground__isnull=False),
                "Name the ground on which it is kept back.",
            ),
            must(
                "not_ours_says_whose",
                ~models.Q(outcome="not ours") | ~models.Q(held_by=""),
                "Say who has it.",
            ),
            must(
                "sent_earlier_says_when",
                ~models.Q(outcome="sent") | ~models.Q(note=""),
                "Say when and to whom it was sent.",
            ),
        ]
        indexes = [
            of_active("decision_of_request", "request", "kind", "item"),
            models.Index(fields=["together"], name="decision_together"),
        ]

    def __str__(self) -> str:
        return f"{self.number or self.label}: {self.get_outcome_display()}"


class Stop(CaseRecord):
    """What keeps answers of a case back until somebody decides about it: for one request, or all.

    `until` is the last day on which it holds; without it, until it is lifted.
    """

    stays_inside = True

    request = models.ForeignKey(
        RecordsRequest, models.PROTECT, related_name="stops", null=True, blank=True
    )
    kind = models.CharField(max_length=12, choices=STOPS)
    why = models.CharField("reason", max_length=240)
    until = models.DateField("holds until", null=True, blank=True)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        indexes = [of_active("stop_of_case", "case")]

    def __str__(self) -> str:
        return f"Stop: {self.get_kind_display()}"


class StopSettled(CaseRecord):
    """Somebody decided that a stop does not keep this request's answer back, and on whose word."""

    stays_inside = True

    request = points_to(RecordsRequest, "stops_settled")
    stop = models.CharField(max_length=80, editable=False)
    words = models.CharField("why the answer may go out", max_length=240)
    on_word_of = models.CharField("on whose word", max_length=160)

    class Meta(Record.Meta):
        verbose_name = "decision about a stop"
        ordering = ["created_at", "id"]
        constraints = [
            once_active(
                "stop_settled_once", "request", "stop", message="This was decided meanwhile."
            )
        ]

    def __str__(self) -> str:
        return f"May go out: {self.words}"


class LookAsked(CaseRecord):
    """A named person is asked to look at something before it is decided, and answers in words."""

    stays_inside = True

    request = points_to(RecordsRequest, "looks_asked")
    demand = points_to(Demand, "looks_asked")
    # Of one item; empty where the whole demand is meant.
    kind = models.CharField(max_length=24, blank=True, editable=False)
    item = models.CharField(max_length=80, blank=True, editable=False)
    label = models.CharField("item", max_length=240, blank=True, editable=False)
    asked_of = staff_chosen()
    words = models.TextField("question", max_length=1000)
    answer = models.TextField(max_length=2000, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True, editable=False)
    answered_by = staff_later()

    class Meta(Record.Meta):
        verbose_name = "question about a release"
        ordering = ["created_at", "id"]
        indexes = [
            models.Index(
                fields=["asked_of", "created_at"],
                condition=models.Q(voided_at=None, answered_at=None),
                name="look_asked_of",
            )
        ]

    def __str__(self) -> str:
        return f"Question to {self.asked_of}"


class Approval(CaseRecord):
    """A second person approved what goes out, as it was decided then. The case is the request's."""

    stays_inside = True

    request = points_to(RecordsRequest, "approvals")
    digest = models.CharField(
        "digest of the decisions", max_length=64, editable=False, help_text="SHA-256"
    )
    items = models.PositiveIntegerField(editable=False)
    note = models.CharField(max_length=240, blank=True)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            once_active(
                "one_approval_of_a_request",
                "request",
                message="What goes out was approved meanwhile.",
            )
        ]

    def __str__(self) -> str:
        return f"Approval of {self.items} decisions"

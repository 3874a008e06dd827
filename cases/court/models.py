"""Subpoenas, records requests and releases."""

from __future__ import annotations

from datetime import date

from django.core.validators import RegexValidator
from django.db import models
from django.utils.functional import cached_property

from cases.court.fee_rules import UNITS, money, short_words
from cases.court.rules import ALLOWED_MOVES, Due, RequestState, due_now
from cases.models import CaseRecord
from evidence.store.models import StoredFile
from me_office.audit.models import ActiveQuerySet, Record
from me_office.audit.tables import (
    must,
    once_active,
    points_to,
    staff_chosen,
    staff_if_any,
    state_from,
)
from me_office.shell.templatetags.office import day


class RecordsRequest(CaseRecord):
    """A subpoena or another request for the case's records."""

    KINDS = [
        ("subpoena", "subpoena"),
        ("court order", "court order"),
        ("records request", "records request"),
        ("discovery", "discovery request"),
        ("preservation", "preservation letter"),
    ]
    WANTS = [
        ("documents", "documents"),
        ("testimony", "testimony"),
        ("both", "documents and testimony"),
    ]
    UNDER = [
        ("", "not stated"),
        ("law", "a public records law"),
        ("family", "next of kin"),
        ("insurer", "an insurer"),
        ("agency", "another agency"),
    ]
    SERVED = [
        ("", "not recorded"),
        ("hand", "by hand"),
        ("mail", "by mail"),
        ("electronic", "electronically, by consent"),
        ("court", "through the court's filing system"),
        ("other", "in another way agreed in writing"),
    ]
    BASES = [
        ("entered", "entered by hand"),
        ("counted", "counted by a rule"),
        ("fixed", "fixed by the court"),
        ("agreed", "agreed with the requesting party"),
    ]

    kind = models.CharField(max_length=16, choices=KINDS)
    court = models.CharField(max_length=160, blank=True)
    cause_number = models.CharField(max_length=60, blank=True)
    party = models.CharField(max_length=160, help_text="Who asks")
    contact = models.CharField(max_length=240, blank=True, help_text="Where the answer goes")
    served_on = models.DateField(help_text="Date served or received")
    due_on = models.DateField()
    asks_for = models.TextField()
    wants = models.CharField(
        "asks for", max_length=10, choices=WANTS, default="documents", db_default="documents"
    )
    asked_under = models.CharField(
        max_length=8, choices=UNDER, blank=True, default="", db_default=""
    )
    served_how = models.CharField(
        max_length=10, choices=SERVED, blank=True, default="", db_default=""
    )
    served_on_whom = models.CharField(
        "served on", max_length=160, blank=True, default="", db_default=""
    )
    due_basis = models.CharField(
        "due day is",
        max_length=8,
        choices=BASES,
        default="entered",
        db_default="entered",
        editable=False,
    )
    # While an objection or a motion stops the clock; `due_on` is then the day as it stood.
    stopped_since = models.DateField(null=True, blank=True, editable=False)
    state_moves = ALLOWED_MOVES
    state = state_from(RequestState.OPEN, 10)

    class Meta(Record.Meta):
        ordering = ["due_on", "id"]
        constraints = [
            must(
                "request_due_after_service",
                models.Q(due_on__gte=models.F("served_on")),
                "The due date cannot be before the date served.",
            ),
            must(
                "subpoena_names_court_and_cause",
                ~models.Q(kind__in=["subpoena", "court order"])
                | (~models.Q(court="") & ~models.Q(cause_number="")),
                "A subpoena or court order names its court and cause number.",
            ),
        ]
        indexes = [
            models.Index(fields=["state", "due_on", "id"], name="request_by_due"),
            models.Index(fields=["due_on", "id"], name="request_of_all_by_due"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, {self.party}"

    @property
    def number_words(self) -> str:
        """The court's number of the matter; nothing where the paper has none."""
        return "" if self.cause_number.strip().lower() in {"", "none"} else self.cause_number

    @property
    def title(self) -> str:
        """What the request is called: Subpoena CR-26-01177; Records request from E. Pell."""
        kind = self.get_kind_display().capitalize()
        return f"{kind} {self.number_words}" if self.number_words else f"{kind} from {self.party}"

    @property
    def named(self) -> str:
        """Its title with its party, each said once."""
        return f"{self.title}, {self.party}" if self.number_words else self.title

    @property
    def told_apart(self) -> str:
        """Its title with its party, and when it is due or that it is over: for who chooses one."""
        return f"{self.named}, {self.due_said if self.is_open else self.state}"

    @property
    def is_open(self) -> bool:
        """Tell whether it still waits for its answer."""
        return self.state == RequestState.OPEN

    def due_at(self, today: date) -> Due:
        """Say when it is due while it is open; not due where its clock is stopped."""
        return due_now(self.due_on, self.stopped_since, today)

    @property
    def due_said(self) -> str:
        """When it is due, as a sentence about it has it: due 30 Nov 2026."""
        if self.is_open and self.stopped_since:
            return f"clock stopped since {day(self.stopped_since)}"
        return f"due {day(self.due_on)}"

    @cached_property
    def made_releases(self) -> list[Release]:
        """Its releases, the earliest first; who reads several requests prefetches into this."""
        return list(made_releases().filter(request=self))

    @cached_property
    def closing(self) -> Closing | None:
        """How it was answered without a packet, if it was."""
        rows = Closing.objects.active().filter(request=self).select_related("created_by")
        return rows.first() if self.state == RequestState.ANSWERED else None

    @property
    def still_due(self) -> str:
        """What is left to send of an open request, from `made_releases`; empty otherwise."""
        if self.state != RequestState.OPEN or not self.made_releases:
            return ""
        return self.made_releases[-1].still_due


class RequestCase(CaseRecord):
    """A further case that a request asks for, beside the one under which it was logged."""

    stays_inside = True

    request = points_to(RecordsRequest, "further_cases")

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            once_active(
                "request_asks_a_case_once",
                "request",
                "case",
                message="The request asks for this case already.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.request}, further case"


class Counsel(CaseRecord):
    """A lawyer or firm in a request's matter, and for whom they appear."""

    stays_inside = True

    SIDES = [
        ("asking", "for the requesting party"),
        ("opposing", "for another party"),
        ("office", "for this office"),
        ("other", "another part in the matter"),
    ]

    request = points_to(RecordsRequest, "counsel")
    side = models.CharField(max_length=8, choices=SIDES)
    name = models.CharField(max_length=160)
    firm = models.CharField("firm or office", max_length=160, blank=True)
    appears_for = models.CharField("appears for", max_length=160, blank=True)
    address = models.TextField(blank=True)
    telephone = models.CharField(max_length=40, blank=True)
    email = models.EmailField("e-mail", max_length=160, blank=True)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]

    def __str__(self) -> str:
        return self.name


class Demand(CaseRecord):
    """One thing that a request asks for, answered by itself."""

    stays_inside = True

    KINDS = [
        ("documents", "documents"),
        ("testimony", "testimony"),
        ("preservation", "preservation"),
    ]

    request = points_to(RecordsRequest, "demands")
    number = models.PositiveIntegerField(editable=False)
    kind = models.CharField(max_length=12, choices=KINDS, default="documents")
    title = models.CharField("in short", max_length=120)
    words = models.TextField("in the words of the request", blank=True)
    page = models.PositiveIntegerField("page of the request", null=True, blank=True)

    class Meta(Record.Meta):
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["request", "number"], name="demand_number_once")
        ]

    def __str__(self) -> str:
        return f"{self.number}. {self.title}"


class Original(CaseRecord):
    """The paper of a request as it came: a file by its digest. Replaced, never overwritten."""

    stays_inside = True

    request = points_to(RecordsRequest, "originals")
    file = points_to(StoredFile)
    file_name = models.CharField("name of the file", max_length=200, blank=True, editable=False)
    pages = models.PositiveIntegerField(editable=False)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            once_active(
                "one_original_of_a_request",
                "request",
                message="An original was attached meanwhile.",
            )
        ]

    def __str__(self) -> str:
        return f"Original, {self.pages} {'page' if self.pages == 1 else 'pages'}"


class Authority(CaseRecord):
    """By what right somebody asks, and how that was checked."""

    stays_inside = True

    WHO = [
        ("next of kin", "next of kin"),
        ("counsel", "counsel of record"),
        ("party", "a party in the matter"),
        ("agency", "an agency"),
        ("insurer", "an insurer"),
        ("other", "somebody else"),
    ]
    OUTCOMES = [
        ("open", "not checked yet"),
        ("shown", "checked: the right was shown"),
        ("not shown", "checked: the right was not shown"),
    ]

    request = points_to(RecordsRequest, "authorities")
    who = models.CharField("who asks", max_length=12, choices=WHO)
    name = models.CharField(max_length=160, blank=True)
    person = models.ForeignKey(
        "cases.Person",
        models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
        verbose_name="person of the case",
    )
    outcome = models.CharField("standing", max_length=10, choices=OUTCOMES, default="open")
    how = models.TextField("how it was checked", blank=True)
    checked_on = models.DateField(null=True, blank=True)
    checked_by = staff_if_any()

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            once_active(
                "one_authority_of_a_request",
                "request",
                message="The authority of this request was recorded meanwhile.",
            ),
            must(
                "authority_checked_says_how",
                models.Q(outcome="open", how="", checked_on__isnull=True, checked_by__isnull=True)
                | (
                    ~models.Q(outcome="open")
                    & ~models.Q(how="")
                    & models.Q(checked_on__isnull=False, checked_by__isnull=False)
                ),
                "Say how, when and by whom it was checked, or that it was not checked yet.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_who_display()}, {self.get_outcome_display()}"


class AuthorityNeed(Record):
    """Whether the office asks for authority before it answers requests of one kind."""

    key = models.CharField("which requests", max_length=40, editable=False)
    needed = models.BooleanField("authority is asked for")
    because = models.CharField("rule or order", max_length=240, blank=True)

    class Meta(Record.Meta):
        ordering = ["key"]
        constraints = [
            once_active("authority_need_once", "key", message="This was changed meanwhile.")
        ]

    def __str__(self) -> str:
        return self.key


class FeeRule(Record):
    """What the office charges for one thing. Invoices keep the words and amounts of their day."""

    name = models.CharField("what is charged", max_length=80)
    unit = models.CharField(
        "counted by", max_length=10, choices=[(key, words[0]) for key, words in UNITS.items()]
    )
    amount = models.DecimalField(max_digits=9, decimal_places=2)
    currency = models.CharField(
        max_length=3,
        default="USD",
        validators=[RegexValidator(r"^[A-Z]{3}$", "Three capital letters: USD.")],
    )
    because = models.CharField("law or order", max_length=240, blank=True)

    class Meta(Record.Meta):
        ordering = ["name", "id"]
        constraints = [
            once_active("fee_once", "name", message="The list has this fee already."),
            must("fee_not_negative", models.Q(amount__gte=0), "A fee is not less than nothing."),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def words(self) -> str:
        """How it is charged: $0.15 a page."""
        return f"{money(self.amount, self.currency)} {UNITS[self.unit][0]}"


class InvoiceSeries(Record):
    """The last invoice of a year; its row is locked while a number is given."""

    year = models.PositiveIntegerField(unique=True, editable=False)
    last = models.PositiveIntegerField(default=0, editable=False)

    class Meta(Record.Meta):
        ordering = ["year"]

    def __str__(self) -> str:
        return str(self.year)


class Invoice(CaseRecord):
    """What is charged for the answer to a request, as it was sent."""

    stays_inside = True

    PAID = [
        ("", "not stated"),
        ("check", "check"),
        ("card", "card"),
        ("cash", "cash"),
        ("transfer", "bank transfer"),
        ("other", "in another way"),
    ]

    request = points_to(RecordsRequest, "invoices")
    number = models.CharField(max_length=20, unique=True, editable=False)
    billed_to = models.CharField("billed to", max_length=160)
    address = models.TextField(blank=True)
    pay_by = models.DateField("to be paid by", null=True, blank=True)
    lines = models.JSONField(editable=False)
    total = models.DecimalField(max_digits=12, decimal_places=2, editable=False)
    currency = models.CharField(max_length=3, editable=False)
    file = points_to(StoredFile)
    waived_because = models.CharField("waived", max_length=240, blank=True, editable=False)
    paid_on = models.DateField(null=True, blank=True, editable=False)
    paid_how = models.CharField(
        "paid by", max_length=8, choices=PAID, blank=True, default="", editable=False
    )
    paid_note = models.CharField("note of payment", max_length=160, blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            must(
                "invoice_waived_or_paid",
                models.Q(waived_because="") | models.Q(paid_on__isnull=True),
                "A waived invoice is not paid.",
            )
        ]

    def __str__(self) -> str:
        return f"Invoice {self.number}"

    @property
    def money(self) -> str:
        """Its sum in words: $64.20."""
        return money(self.total, self.currency)

    @property
    def short_words(self) -> str:
        """What it is for: 300 pages, 1 certified copy."""
        return short_words(self.lines)

    @property
    def standing(self) -> str:
        """How it stands, in words."""
        if self.is_voided:
            return "withdrawn"
        if self.waived_because:
            return "waived"
        return "paid" if self.paid_on else "not paid"


class Release(CaseRecord):
    """A packet was handed over."""

    METHODS = [
        ("in person", "in person"),
        ("mail", "registered mail"),
        ("courier", "courier"),
        ("secure transfer", "secure electronic transfer"),
    ]

    ANSWERS = [
        ("whole", "everything that was asked for"),
        ("part", "a part of it; the request stays open"),
    ]

    request = points_to(RecordsRequest, "releases")
    # The packet is named by key and digest: this table knows nothing of how packets are made.
    packet_id = models.UUIDField(editable=False)
    packet_sha256 = models.CharField(max_length=64, editable=False)
    released_to = models.CharField(max_length=160)
    method = models.CharField(max_length=16, choices=METHODS)
    released_at = models.DateTimeField()
    released_by = staff_chosen()
    note = models.TextField(blank=True)
    answers = models.CharField(max_length=5, choices=ANSWERS, default="whole")
    still_due = models.TextField(
        "still to be sent", blank=True, help_text="What was asked for and is not in this packet"
    )

    class Meta(Record.Meta):
        ordering = ["released_at", "id"]
        indexes = [
            models.Index(fields=["-released_at", "-id"], name="release_latest"),
            models.Index(fields=["packet_id"], name="release_by_packet"),
        ]
        constraints = [
            must(
                "release_says_what_is_left",
                models.Q(answers="whole", still_due="")
                | (models.Q(answers="part") & ~models.Q(still_due="")),
                "A part was released: say what is still to be sent.",
            )
        ]

    def __str__(self) -> str:
        return f"Released to {self.released_to}"


class Closing(CaseRecord):
    """A request was answered without a packet: testimony was given, a letter said what there is."""

    stays_inside = True

    HOW = [
        ("testimony", "testimony was given"),
        ("letter", "a letter answers it"),
        ("kept", "what it asks to keep is kept"),
        ("other", "in another way"),
    ]

    request = points_to(RecordsRequest, "closings")
    how = models.CharField("answered by", max_length=10, choices=HOW)
    answered_on = models.DateField()
    words = models.TextField("what was done")

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            once_active(
                "request_closed_once", "request", message="The request was closed meanwhile."
            )
        ]

    def __str__(self) -> str:
        return f"Answered: {self.get_how_display()}"


def made_releases() -> ActiveQuerySet[Release]:
    """Return the releases that stand, the earliest first, with who released."""
    return Release.objects.active().select_related("released_by").order_by("released_at")

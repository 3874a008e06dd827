"""The office's own rules of counting, and the days on which a court does no business."""

from __future__ import annotations

from django.db import models
from django.db.models.functions import Lower

from cases.counting.rules import WEEKENDS, ruleset_of
from findings.calculations.counting import ClosedAs, Closure, Moves, RuleSet
from findings.calculations.holiday_calendars import FEDERAL, NO_HOLIDAYS, calendar_names
from me_office.audit.fields import said_of
from me_office.audit.models import Record
from me_office.audit.tables import must, once_active

CALENDARS = [
    (name, {FEDERAL: "federal holidays", NO_HOLIDAYS: "no holidays"}.get(name, f"{name}, a state"))
    for name in calendar_names()
]
ENDS = {Moves.NEXT: "goes on to the next open day", Moves.PREVIOUS: "goes back to the day before",
        Moves.STAYS: "stays"}  # fmt: skip
CLOSED = {
    ClosedAs.FORWARD: "the end goes on to the first open day after, always forward",
    ClosedAs.HOLIDAY: "as a holiday",
    ClosedAs.NOT: "the rule does not say",
}
WEEKEND_WORDS = dict(
    zip(WEEKENDS, ("Saturday and Sunday", "Sunday alone", "no weekday"), strict=True)
)


class CountingRule(Record):
    """A rule of the office's by which days are counted; retired by withdrawing it."""

    name = models.CharField(max_length=120)
    source = models.CharField(
        max_length=240, help_text="Rule or statute, with its section and as of when"
    )
    calendar = models.CharField("calendar of holidays", max_length=8, choices=CALENDARS)
    counts_event_day = models.BooleanField("the day of the event counts", default=False)
    court_days_below = models.PositiveSmallIntegerField(
        "periods below this many days count court days alone", default=0
    )
    weekend = models.CharField(
        "may not end on", max_length=8, choices=[*WEEKEND_WORDS.items()], default="both"
    )
    forward = models.CharField(
        "end of a period after the event",
        max_length=8,
        choices=[(one.value, ENDS[one]) for one in (Moves.NEXT, Moves.STAYS)],
        default=Moves.NEXT.value,
    )
    backward = models.CharField(
        "end of a period before the event",
        max_length=8,
        choices=[(one.value, words) for one, words in ENDS.items()],
        default=Moves.PREVIOUS.value,
    )
    closed_as = models.CharField(
        "a day on which the court’s office is closed",
        max_length=16,
        choices=[(one.value, words) for one, words in CLOSED.items()],
        default=ClosedAs.FORWARD.value,
    )
    local_only_forward = models.BooleanField(
        "local holidays count only for periods after an event", default=False
    )
    ways = models.TextField("ways of service", max_length=1000)
    counts_hours = models.BooleanField("the rule counts hours", default=False)
    paragraphs = models.TextField(max_length=1000, blank=True)
    approved_by = models.CharField("approved by counsel", max_length=120, blank=True)
    approved_on = models.DateField(null=True, blank=True)

    class Meta(Record.Meta):
        ordering = ["name", "id"]
        indexes = [models.Index(fields=["name", "id"], name="counting_rule_by_name")]
        constraints = [
            once_active(
                "counting_rule_once_a_name",
                Lower("name"),
                message="There is a rule of this name already.",
            )
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def ruleset(self) -> RuleSet:
        """The rule as the engine takes it."""
        # Only what is entered: an author's name would be a statement each.
        fields = (field.name for field in self._meta.concrete_fields if field.editable)
        return ruleset_of(said_of(self, fields))


class CourtClosure(Record):
    """Days on which a court, or every court, does no business."""

    KINDS = [
        ("closed", "the court’s office is closed"),
        ("local", "a holiday of the state or of the court"),
        ("declared", "a day declared by the President or Congress"),
    ]

    court = models.CharField(max_length=160, blank=True, help_text="Empty for every court")
    kind = models.CharField(max_length=8, choices=KINDS, default="closed")
    first_on = models.DateField("first day")
    last_on = models.DateField("last day")
    why = models.CharField(max_length=160)
    source = models.CharField("order or document", max_length=240)

    class Meta(Record.Meta):
        ordering = ["-first_on", "-id"]
        indexes = [models.Index(fields=["-first_on", "-id"], name="court_closure_latest")]
        constraints = [
            must(
                "court_closure_in_order",
                models.Q(last_on__gte=models.F("first_on")),
                "The last day cannot be before the first.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.court or 'every court'}, {self.first_on:%Y-%m-%d}"

    @property
    def closure(self) -> Closure:
        """The closure as the engine takes it."""
        return Closure(
            self.first_on,
            self.last_on,
            self.why,
            is_holiday=self.kind != "closed",
            is_local=self.kind == "local",
        )

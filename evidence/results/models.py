"""Results: what somebody outside the office reported, on what, and the values of its analytes."""

from __future__ import annotations

from django.core.validators import RegexValidator
from django.db import models

from cases.models import CaseRecord
from evidence.items.models import Item
from evidence.results.rules import NUMBER, WITH_VALUE, Kind, Relation, Status, line_words
from me_office.audit.models import Record
from me_office.audit.tables import must, once_active, points_to
from me_office.worded import as_choices

KINDS = Kind.choices()
STATUSES = as_choices(Status)
RELATIONS = as_choices(Relation)
a_number = RegexValidator(NUMBER, "A number with a point, without separators: 0.42")


class Result(CaseRecord):
    """What a laboratory, consultant or hospital reported. It is never changed, only replaced."""

    number = models.PositiveIntegerField(editable=False)
    kind = models.CharField(max_length=16, choices=KINDS)
    status = models.CharField(max_length=12, choices=STATUSES)
    organization = models.CharField(max_length=160, help_text="As its letterhead says")
    reported_by = models.CharField(max_length=160, blank=True, help_text="Name and credentials")
    reference = models.CharField("their reference number", max_length=80, blank=True)
    reported_on = models.DateField()
    received_on = models.DateField()
    statement = models.TextField(help_text="What it says, in its own words")
    replaces = models.ForeignKey(
        "self", models.PROTECT, related_name="replaced_by", null=True, blank=True, editable=False
    )
    # Whether the case was signed when it was recorded.
    after_signing = models.BooleanField(default=False, editable=False)
    why_replaced = models.CharField("why it replaces the earlier one", max_length=240, blank=True)

    class Meta(Record.Meta):
        ordering = ["number"]
        indexes = [
            models.Index(
                fields=["created_at", "id"],
                condition=models.Q(after_signing=True, voided_at=None),
                name="result_after_signing",
            )
        ]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="result_number_once"),
            once_active(
                "result_replaced_once",
                "replaces",
                message="Another result has taken its place already.",
            ),
            must(
                "result_received_after_report",
                models.Q(received_on__gte=models.F("reported_on")),
                "It was received before the day on which it was reported.",
            ),
            must(
                "result_replacing_says_why",
                models.Q(replaces=None) | ~models.Q(why_replaced=""),
                "Say why it takes the place of the earlier one.",
            ),
        ]

    def __str__(self) -> str:
        return f"Result {self.number}, {self.get_kind_display()}"

    @property
    def reported_lines(self) -> list[ResultLine]:
        """Its lines in their order, without a statement where they were read with it."""
        read = self.__dict__.get("read_lines")
        return list(self.lines.all()) if read is None else [ResultLine(**one) for one in read]

    @property
    def named_items(self) -> list[Item]:
        """The items that it is about; number and title, where they were read with it."""
        read = self.__dict__.get("read_items")
        if read is None:
            return [link.item for link in self.item_links.all()]
        return [Item(**one) for one in read]


class ResultItem(CaseRecord):
    """An item of the case that a result is about."""

    result = points_to(Result, "item_links")
    item = points_to(Item, "result_links")

    class Meta(Record.Meta):
        ordering = ["item__number"]
        constraints = [models.UniqueConstraint(fields=["result", "item"], name="result_item_once")]

    def __str__(self) -> str:
        return f"{self.result} on {self.item}"


class ResultLine(CaseRecord):
    """What was reported of one analyte, with its digits as they were reported."""

    result = points_to(Result, "lines")
    place = models.PositiveIntegerField(editable=False, help_text="Its place in the report")
    analyte = models.CharField(max_length=120)
    relation = models.CharField("reported as", max_length=12, choices=RELATIONS)
    value = models.CharField(max_length=22, blank=True, validators=[a_number])
    unit = models.CharField(max_length=24, blank=True)
    matrix = models.CharField("material", max_length=80, blank=True)
    reporting_limit = models.CharField(max_length=22, blank=True, validators=[a_number])

    class Meta(Record.Meta):
        ordering = ["place"]
        constraints = [
            models.UniqueConstraint(fields=["result", "place"], name="result_line_place_once"),
            must(
                "result_line_value_with_unit",
                (
                    models.Q(relation__in=sorted(WITH_VALUE))
                    & ~models.Q(value="")
                    & ~models.Q(unit="")
                )
                | (~models.Q(relation__in=sorted(WITH_VALUE)) & models.Q(value="")),
                "A value has a relation (=, < or >) and a unit.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.analyte}: {self.words}"

    @property
    def words(self) -> str:
        """What was reported: 0.42 mg/L, less than 0.01 mg/L, not detected."""
        return line_words({"relation": self.relation, "value": self.value, "unit": self.unit})

    @property
    def limit_words(self) -> str:
        """The reporting limit with its unit."""
        return f"{self.reporting_limit} {self.unit}" if self.reporting_limit else ""

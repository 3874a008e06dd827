"""Endpoints of a request's due day and of what changed its clock."""

from __future__ import annotations

from uuid import UUID

from rest_framework import serializers
from rest_framework.parsers import MultiPartParser

from cases.api.shared import CASE, framed, key
from cases.clock import actions, queries
from cases.clock.models import ClockChange, DueCount
from cases.court.queries import request_of
from findings.api.serializers import VoidSerializer
from me_office.shell.endpoints import adds, at, changes, lists
from me_office.shell.shapes import NewShape, sent_shape, shape_of

_KEPT = ("rule_name", "rule_source", "steps", "warnings", "created_at", "voided_at")
DueCountOutput = shape_of(
    "DueCountOutput", DueCount,
    ("id", "version", "basis", *actions.COUNT_FIELDS, "end_on", "note", *_KEPT),
    "How a request's due day came about.",
)  # fmt: skip
CountDueInput = sent_shape(
    "CountDueInput", DueCount, ("id", *actions.COUNT_FIELDS),
    "What is to be counted; `id` is made by the client.",
    rule_key=serializers.CharField(max_length=36), trigger_on=serializers.DateField(),
    amount=serializers.IntegerField(min_value=1, max_value=3650),
    unit=serializers.ChoiceField(choices=["days", "court days"]),
)  # fmt: skip
FixDueInput = sent_shape(
    "FixDueInput", DueCount, ("id", *actions.FIXED_FIELDS),
    "A day that the court fixed or the parties agreed.",
)  # fmt: skip
ClockChangeOutput = shape_of(
    "ClockChangeOutput", ClockChange,
    ("id", "version", *actions.CHANGE_FIELDS, "due_before", "due_after", "stopped_after",
     "file_name", "sha256", "created_at", "voided_at"),
    "What stopped, moved or started a request's clock.",
    sha256=serializers.CharField(source="file.sha256", default="", read_only=True),
)  # fmt: skip


class ClockChangeInput(NewShape):
    """What came, and what it does; sent as multipart/form-data, with the paper if there is one."""

    kind = serializers.ChoiceField(choices=ClockChange.KINDS)
    on = serializers.DateField()
    effect = serializers.ChoiceField(choices=ClockChange.EFFECTS)
    new_due_on = serializers.DateField(required=False, allow_null=True, default=None)
    days_left = serializers.IntegerField(
        required=False, allow_null=True, default=None, min_value=0, max_value=3650
    )
    note = serializers.CharField(required=False, allow_blank=True, default="", max_length=2000)
    upload = serializers.FileField(required=False, default=None)


def _counts(case_id: UUID, request_id: UUID) -> list[DueCount]:
    asked = request_of(case_id, request_id)
    rows = DueCount.objects.filter(request=asked).order_by("-created_at", "-id")
    return list(rows[:100])


def _changes(case_id: UUID, request_id: UUID) -> list[ClockChange]:
    return queries.changes_of(request_of(case_id, request_id))


ONE = f"{CASE}/requests/<uuid:request_id>"
routes = [
    at(f"{ONE}/due-counts/", "due-counts",
       get=lists("due_counts_list", key(framed("court")), _counts, DueCountOutput,
           "Return how the request's due day came about, the newest first."),
       post=adds("due_day_count", actions.count_due_day, CountDueInput, DueCountOutput,
           "Count the request's due day by a rule.")),
    at(f"{ONE}/due-fixed/", "due-fixed",
       post=adds("due_day_fix", actions.fix_due_day, FixDueInput, DueCountOutput,
           "Say which due day the court fixed or the parties agreed.")),
    at(f"{ONE}/clock-changes/", "clock-changes", parsers=[MultiPartParser],
       get=lists("clock_changes_list", key(framed("court")), _changes, ClockChangeOutput,
           "Return what changed the request's clock."),
       post=adds("clock_change_note", actions.note_change, ClockChangeInput, ClockChangeOutput,
           "Note what stopped, moved or started the request's clock.")),
    at(f"{ONE}/clock-changes/<uuid:record_id>/void/", "clock-change-void",
       post=changes("clock_change_void", actions.withdraw_clock_change, VoidSerializer,
           ClockChangeOutput, "Withdraw the change that was noted last, with the reason.")),
]  # fmt: skip

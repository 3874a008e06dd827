"""Endpoints of the checks: how a case stands, answers, what is set aside, what the office asks."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from cases.api.shared import CASE, seen
from cases.checking import actions, queries
from cases.checking.models import ANSWERS, LEVELS, CheckAnswer, CheckSetAside, OfficeCheck
from evidence.items.serializers import EvidenceVoidSerializer
from me_office.shell.endpoints import adds, at, changes, lists, tells
from me_office.shell.shapes import NewShape, shape_of


class OutcomeSerializer(serializers.Serializer[Any]):
    """How a check stands in a case."""

    key = serializers.CharField(source="rule.key")
    words = serializers.CharField(source="rule.words")
    named = serializers.CharField(source="rule.named")
    source = serializers.CharField(source="rule.source")  # type: ignore[assignment]
    level = serializers.ChoiceField(source="rule.level", choices=LEVELS)
    standing = serializers.CharField()
    detail = serializers.CharField(allow_blank=True)
    left_out = serializers.BooleanField(source="is_left_out")
    keeps_from_review = serializers.BooleanField(source="blocks")


class ConflictSerializer(serializers.Serializer[Any]):
    """Two places that do not agree; by its key it is set aside."""

    key = serializers.CharField()
    rule = serializers.CharField()
    words = serializers.CharField()


class NewCheckAnswerSerializer(NewShape):
    """What is said of a check; `id` is made by the client."""

    key = serializers.SlugField(max_length=40)
    answer = serializers.ChoiceField(choices=ANSWERS)
    why = serializers.CharField(max_length=1000)


CheckAnswerSerializer = shape_of(
    "CheckAnswerSerializer", CheckAnswer,
    ("id", "version", "key", "words", "answer", "why", "created_at", "voided_at",
     "void_reason"),
    "What was said of a check, and why.",
    read_only=True,
)  # fmt: skip


class NewCheckSetAsideSerializer(NewShape):
    """Something to leave as it is; `id` is made by the client."""

    key = serializers.CharField(max_length=80)
    reason = serializers.CharField(max_length=1000)


CheckSetAsideSerializer = shape_of(
    "CheckSetAsideSerializer", CheckSetAside,
    ("id", "version", "key", "rule", "words", "why", "created_at", "voided_at", "void_reason"),
    "What was set aside, and why.",
    read_only=True,
)  # fmt: skip


class KeptCheckSerializer(serializers.Serializer[Any]):
    """A check as the office keeps it; version 0 is the check as it comes."""

    key = serializers.CharField()
    words = serializers.CharField()
    named = serializers.CharField()
    source = serializers.CharField()  # type: ignore[assignment]
    level = serializers.ChoiceField(choices=LEVELS)
    is_off = serializers.BooleanField()
    is_own = serializers.BooleanField()
    version = serializers.IntegerField()


OfficeCheckSerializer = shape_of(
    "OfficeCheckSerializer", OfficeCheck,
    ("id", "version", "key", "words", "level", "is_off", "is_own", "applies"),
    "What the office changed of a check, or one of its own.",
    read_only=True,
)  # fmt: skip
NewOfficeCheckSerializer = shape_of(
    "NewOfficeCheckSerializer", OfficeCheck, ("id", "words", "level", "applies"),
    "A check of the office's own; `id` is made by the client.",
    id=serializers.UUIDField(),
)  # fmt: skip
ChangedOfficeCheckSerializer = shape_of(
    "ChangedOfficeCheckSerializer", OfficeCheck,
    ("id", "version", "words", "level", "is_off", "reason"),
    "How the office asks a check; version 0 where it has not changed it yet.",
    id=serializers.UUIDField(), version=serializers.IntegerField(min_value=0),
    reason=serializers.CharField(max_length=500),
)  # fmt: skip


routes = [
    at(f"{CASE}/checks/", "checks",
       get=lists("check_list", seen("checks"), lambda case: queries.checks_of(case).outcomes,
           OutcomeSerializer, "List how every check stands in the case.")),
    at(f"{CASE}/checks/conflicts/", "conflicts",
       get=lists("check_conflict_list", seen("checks"), queries.alarms_of, ConflictSerializer,
           "List what does not agree and nobody set aside.")),
    at(f"{CASE}/checks/answers/", "answers",
       get=lists("check_answer_list", seen("checks"), queries.list_of_answers,
           CheckAnswerSerializer, "List what was said of checks, newest first."),
       post=adds("check_answer_add", actions.answer_check, NewCheckAnswerSerializer,
           CheckAnswerSerializer, "Say of a check that it was done, does not apply, or is left "
           "out.")),
    at(f"{CASE}/checks/answers/<uuid:record_id>/void/", "answer-void",
       post=changes("check_answer_void", actions.withdraw_answer, EvidenceVoidSerializer,
           CheckAnswerSerializer, "Take the answer back, with the reason.")),
    at(f"{CASE}/checks/set-aside/", "set-aside",
       get=lists("check_set_aside_list", seen("checks"), queries.set_aside_in,
           CheckSetAsideSerializer, "List what was set aside, newest first."),
       post=adds("check_set_aside_add", actions.set_check_aside, NewCheckSetAsideSerializer,
           CheckSetAsideSerializer, "Leave two places as they are, with the reason.")),
    at(f"{CASE}/checks/set-aside/<uuid:record_id>/void/", "again",
       post=changes("check_set_aside_void", actions.point_out_check_again, EvidenceVoidSerializer,
           CheckSetAsideSerializer, "Point it out again, with the reason.")),
    at("checks/", "office",
       get=tells("office_check_list", lambda _: queries.office_checks(), KeptCheckSerializer,
           "Read what the office asks of every case."),
       post=adds("office_check_add", actions.add_office_check, NewOfficeCheckSerializer,
           OfficeCheckSerializer, "Add a check of the office's own.")),
    at("checks/<slug:key>/", "office-check",
       post=changes("office_check_change", actions.change_office_check,
           ChangedOfficeCheckSerializer, OfficeCheckSerializer, "Ask a check in another way.")),
    at("checks/<slug:key>/void/", "office-check-void",
       post=changes("office_check_void", actions.withdraw_office_check, EvidenceVoidSerializer,
           OfficeCheckSerializer, "Withdraw what the office changed, with the reason.")),
]  # fmt: skip

"""Endpoints of the rules of counting and of closures."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from cases.access import Act, require_role
from cases.counting import actions, queries
from cases.counting.models import CountingRule, CourtClosure
from cases.counting.rules import entered_of
from findings.api.serializers import VoidSerializer
from me_office.accounts.models import Staff
from me_office.shell.endpoints import at, changes, saves, tells
from me_office.shell.shapes import sent_shape, shape_of

CountingRuleOutput = shape_of(
    "CountingRuleOutput", CountingRule, ("id", "version", *actions.RULE_FIELDS, "voided_at"),
    "A rule of the office's by which days are counted.",
)  # fmt: skip
CountingRuleInput = sent_shape(
    "CountingRuleInput", CountingRule, ("id", "version", *actions.RULE_FIELDS, "reason"),
    "A rule of counting; `version` 0 makes one, a change needs its reason.",
    version=serializers.IntegerField(min_value=0),
    reason=serializers.CharField(max_length=500, required=False, write_only=True),
)  # fmt: skip
CourtClosureOutput = shape_of(
    "CourtClosureOutput", CourtClosure, ("id", "version", *actions.CLOSURE_FIELDS, "voided_at"),
    "Days on which a court does no business.",
)  # fmt: skip
CourtClosureInput = sent_shape(
    "CourtClosureInput", CourtClosure, ("id", "version", *actions.CLOSURE_FIELDS, "reason"),
    "A closure; `version` 0 makes one, a change needs its reason.",
    version=serializers.IntegerField(min_value=0),
    reason=serializers.CharField(max_length=500, required=False, write_only=True),
)  # fmt: skip


class RuleInUseOutput(serializers.Serializer[Any]):
    """A rule by which a date can be counted now."""

    key = serializers.CharField()
    name = serializers.CharField()
    source = serializers.CharField()  # type: ignore[assignment]
    calendar = serializers.CharField()
    ways = serializers.CharField()
    approved_by = serializers.CharField()


def _rules_in_use(actor: Staff) -> list[dict[str, object]]:
    require_role(actor, Act.SEE)
    return [
        {**entered_of(one.ruleset), "key": one.key, "approved_by": one.approval}
        for one in queries.rules()
    ]


def _own_rules(actor: Staff) -> list[CountingRule]:
    require_role(actor, Act.SEE)
    return queries.own_rules()


def _closures(actor: Staff) -> list[CourtClosure]:
    require_role(actor, Act.SEE)
    return list(queries.closure_page().rows)


routes = [
    at("counting/rules/", "counting-rules",
       get=tells("counting_rules_list", _own_rules, CountingRuleOutput,
           "Read the office's own rules of counting."),
       post=saves("counting_rule_keep", actions.keep_counting_rule, CountingRuleInput,
           CountingRuleOutput, "Keep a rule of counting.")),
    at("counting/rules-in-use/", "counting-rules-in-use",
       get=tells("counting_rules_in_use", _rules_in_use, RuleInUseOutput,
           "Read the rules by which a date can be counted now.")),
    at("counting/rules/<uuid:record_id>/void/", "counting-rule-void",
       post=changes("counting_rule_retire", actions.retire_counting_rule, VoidSerializer,
           CountingRuleOutput, "Retire a rule of counting, with the reason.")),
    at("counting/closures/", "court-closures",
       get=tells("court_closures_list", _closures, CourtClosureOutput,
           "Read the latest closures of courts."),
       post=saves("court_closure_keep", actions.keep_court_closure, CourtClosureInput,
           CourtClosureOutput, "Keep days on which a court does no business.")),
    at("counting/closures/<uuid:record_id>/void/", "court-closure-void",
       post=changes("court_closure_void", actions.withdraw_court_closure, VoidSerializer,
           CourtClosureOutput, "Withdraw a closure, with the reason.")),
]  # fmt: skip

"""API of decisions on what may go out."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from rest_framework import serializers
from rest_framework.parsers import MultiPartParser

from cases.access import Act, require_role
from cases.api.shared import CASE, framed
from cases.court.queries import request_of
from cases.decisions import actions, enclosing, queries, ready
from cases.decisions.models import (
    Approval,
    Enclosure,
    Ground,
    ItemDecision,
    LookAsked,
    ProposalRule,
    Reach,
    Stop,
    StopSettled,
)
from cases.decisions.queries import Row, Standing
from cases.decisions.rules import CHOSEN
from findings.api.serializers import VoidSerializer
from me_office.accounts.models import Staff
from me_office.audit.models import rows_of
from me_office.shell.endpoints import adds, at, changes, lists, reads, saves, tells
from me_office.shell.shapes import NewShape, ReadShape, sent_shape, shape_of

REQUEST = f"{CASE}/requests/<uuid:request_id>"
DEMAND = f"{REQUEST}/demands/<uuid:demand_id>"


class ItemShape(serializers.Serializer[Any]):
    """An item that a demand reaches: what is proposed and what was decided."""

    demand = serializers.IntegerField()
    kind = serializers.CharField(source="item.kind.value")
    item = serializers.CharField(source="item.key")
    digest = serializers.CharField(source="item.digest")
    case = serializers.UUIDField(source="item.case_id")
    number = serializers.CharField(source="item.number")
    what = serializers.CharField(source="item.label")
    details = serializers.CharField(source="item.details")
    proposed = serializers.CharField(source="proposal.words")
    why = serializers.CharField(source="proposal.why")
    decision = serializers.SerializerMethodField()
    outcome = serializers.SerializerMethodField()
    changed = serializers.BooleanField(source="is_changed")
    lacks_copy = serializers.BooleanField()
    marked = serializers.SerializerMethodField()
    sent_earlier = serializers.CharField(source="sent")

    def get_decision(self, row: Row) -> UUID | None:
        """Return the key of the decision that stands; it is what `read` names later."""
        return row.decision.pk if row.decision else None

    def get_marked(self, row: Row) -> bool:
        """Tell whether places in it are marked for redaction."""
        return bool(row.item.marked)

    def get_outcome(self, row: Row) -> str:
        """Return what was decided; nothing where it changed since."""
        return row.decision.outcome if row.decision and row.is_decided else ""


class StandingShape(serializers.Serializer[Any]):
    """How a request stands: its items, and what keeps its answer from being built."""

    digest = serializers.CharField()
    approved = serializers.BooleanField(source="is_approved")
    why_not_ready = serializers.ListField(child=serializers.CharField())
    items = ItemShape(source="all_rows", many=True)


class PickedShape(serializers.Serializer[Any]):
    """An item as it was read; `read` is the key of the decision that stood, empty for none."""

    kind = serializers.CharField(max_length=24)
    item = serializers.CharField(max_length=80)
    digest = serializers.CharField(max_length=64)
    read = serializers.CharField(max_length=36, allow_blank=True, default="")


class DecideInput(NewShape):
    """One decision on one or several items; the reason where one that was read is replaced."""

    items = PickedShape(many=True)
    outcome = serializers.ChoiceField(choices=[one.value for one in CHOSEN])
    ground = serializers.PrimaryKeyRelatedField(
        queryset=rows_of(Ground).active(), required=False, allow_null=True
    )
    held_by = serializers.CharField(max_length=240, required=False, allow_blank=True)
    note = serializers.CharField(max_length=240, required=False, allow_blank=True)
    whole = serializers.BooleanField(
        default=False, help_text="It is sent whole although places in it are marked for redaction"
    )
    reason = serializers.CharField(required=False, allow_blank=True)


class KeyInput(NewShape):
    """The key that the client made."""


class SentInput(KeyInput):
    """Which earlier release is meant; it may be left out where there is only one."""

    sent = serializers.CharField(max_length=240, required=False, allow_blank=True)


class LogShape(serializers.Serializer[Any]):
    """One line of the log of what is kept back; it discloses nothing of the item."""

    demand = serializers.IntegerField()
    item = serializers.CharField()
    what = serializers.CharField()
    treatment = serializers.CharField()
    ground = serializers.CharField()
    citation = serializers.CharField()


DecisionOutput = shape_of(
    "ItemDecisionOutput", ItemDecision,
    ("id", "version", "demand", "kind", "item", "digest", "number", "label", "outcome", "ground",
     "held_by", "note", "voided_at", "void_reason"),
    "A decision on one item; it is never changed, another takes its place.",
)  # fmt: skip
ReachInput = sent_shape(
    "ReachInput", Reach, ("id", *actions.REACH_FIELDS, "of_case"),
    "Records that a demand reaches; `of_case` is another case of the request.",
    of_case=serializers.UUIDField(required=False, allow_null=True),
)  # fmt: skip
ReachOutput = shape_of(
    "ReachOutput", Reach, ("id", "version", "case", "demand", *actions.REACH_FIELDS, "voided_at"),
    "Records that a demand reaches.",
)  # fmt: skip
StopInput = shape_of(
    "StopInput", Stop, ("id", *actions.STOP_FIELDS, "request_id"),
    "What keeps answers of a case back; `request_id` for one request alone.",
    id=serializers.UUIDField(),
    request_id=serializers.UUIDField(required=False, allow_null=True),
)  # fmt: skip
StopOutput = shape_of(
    "StopOutput", Stop, ("id", "version", "request", *actions.STOP_FIELDS, "voided_at"),
    "What keeps answers of a case back.",
)  # fmt: skip
SettleInput = shape_of(
    "StopSettledInput", StopSettled, ("id", *actions.SETTLED_FIELDS),
    "Why a stop does not keep the answer back, and on whose word.", id=serializers.UUIDField(),
)  # fmt: skip
SettleOutput = shape_of(
    "StopSettledOutput", StopSettled, ("id", "version", "stop", *actions.SETTLED_FIELDS),
    "A decision about a stop.",
)  # fmt: skip
LookInput = shape_of(
    "LookAskedInput", LookAsked, ("id", "asked_of", "words", "item"),
    "A question to a named person; `item` where one item is meant.",
    id=serializers.UUIDField(), item=PickedShape(required=False),
)  # fmt: skip
LookOutput = shape_of(
    "LookAskedOutput", LookAsked,
    ("id", "version", "demand", "label", "asked_of", "words", "answer", "answered_at",
     "voided_at"),
    "A question and its answer.",
)  # fmt: skip


class LookAnswerInput(ReadShape):
    """The answer to a question."""

    answer = serializers.CharField(max_length=2000)


ApprovalInput = shape_of(
    "ApprovalInput", Approval, ("id", "digest", "note"),
    "The second person's approval; `digest` is that of the decisions that were read.",
    id=serializers.UUIDField(), digest=serializers.CharField(max_length=64),
)  # fmt: skip
ApprovalOutput = shape_of(
    "ApprovalOutput", Approval, ("id", "version", "digest", "items", "note", "voided_at"),
    "An approval.",
)  # fmt: skip
GroundOutput = shape_of(
    "GroundOutput", Ground, ("id", "version", *actions.GROUND_FIELDS, "voided_at"),
    "A ground of the office's list.",
)  # fmt: skip
GroundInput = sent_shape(
    "GroundInput", Ground, ("id", *actions.GROUND_FIELDS), "A new ground.",
)  # fmt: skip
GroundChange = sent_shape(
    "GroundChange", Ground,
    ("id", "version", "reason", *(one for one in actions.GROUND_FIELDS if one != "number")),
    "Another wording in the place of a ground; the number stays.",
    reason=serializers.CharField(write_only=True),
)  # fmt: skip
RuleOutput = shape_of(
    "ProposalRuleOutput", ProposalRule, ("id", "version", "key", "is_on", "ground"),
    "What the office changed of a rule of proposals.",
)  # fmt: skip
RuleInput = shape_of(
    "ProposalRuleInput", ProposalRule, ("id", "version", "is_on", "ground"),
    "A rule on or off, and its ground; `version` 0 where the office never changed it.",
    id=serializers.UUIDField(), version=serializers.IntegerField(min_value=0),
)  # fmt: skip


def _grounds(actor: Staff) -> list[Ground]:
    require_role(actor, Act.SEE)
    return queries.grounds()


def _rules(actor: Staff) -> list[ProposalRule]:
    require_role(actor, Act.SEE)
    return queries.changed_rules()


def _door(actor: Staff, case_id: UUID) -> tuple[Staff, UUID]:
    """Let in as the page does; of the request's other cases only what the person may know of."""
    return actor, framed("court")(actor, case_id).pk


def _standing(opened: tuple[Staff, UUID], request_id: UUID) -> Standing:
    actor, case_id = opened
    return queries.standing_of(request_of(case_id, request_id), actor)


def _log(opened: tuple[Staff, UUID], request_id: UUID) -> list[Any]:
    return ready.log_of(_standing(opened, request_id))


EnclosureOutput = shape_of(
    "EnclosureOutput", Enclosure,
    ("id", "version", "reach", "file_name", "pages", "apart_to", "apart_on", "apart_how",
     "voided_at"),
    "How something that was named by hand goes out: as a file, or handed over apart.",
)  # fmt: skip


class EncloseInput(NewShape):
    """Attaches a file; the reason where something is enclosed already."""

    upload = serializers.FileField()
    reason = serializers.CharField(required=False, allow_blank=True)


ApartInput = sent_shape(
    "ApartInput", Enclosure, ("id", *enclosing.APART_FIELDS, "reason"),
    "Notes to whom something is handed, apart from the packet.",
    reason=serializers.CharField(required=False, allow_blank=True),
)  # fmt: skip

routes = [
    at(f"{REQUEST}/by-hand/<uuid:reach_id>/files/", "enclosures", parsers=[MultiPartParser],
       post=adds("enclosures_attach", enclosing.attach, EncloseInput, EnclosureOutput,
           "Attach a file to something that was named by hand.")),
    at(f"{REQUEST}/by-hand/<uuid:reach_id>/apart/", "enclosures-apart",
       post=adds("enclosures_apart", enclosing.hand_over_apart, ApartInput, EnclosureOutput,
           "Note to whom something that was named by hand is handed, apart from the packet.")),
    at(f"{REQUEST}/enclosures/<uuid:record_id>/withdraw/", "withdraw-enclosure",
       post=changes("enclosures_withdraw", enclosing.withdraw_enclosure, VoidSerializer,
           EnclosureOutput, "Take back what was enclosed, with the reason.")),
    at(f"{REQUEST}/decisions/", "request-decisions",
       get=reads("request_decisions", _door, _standing, StandingShape,
           "Read what is decided about a request, and what keeps its answer back.")),
    at(f"{REQUEST}/withheld/", "request-withheld",
       get=lists("request_withheld", _door, _log, LogShape,
           "List what is kept back with its ground; nothing of what it shows.")),
    at(f"{DEMAND}/reach/", "demand-reach",
       post=adds("demand_reach", actions.reach_records, ReachInput, ReachOutput,
           "Choose records that a demand reaches.")),
    at(f"{REQUEST}/reach/<uuid:record_id>/leave-out/", "demand-leave-out",
       post=changes("demand_leave_out", actions.leave_out_records, VoidSerializer, ReachOutput,
           "Leave out records that a demand reached, with the reason.")),
    at(f"{DEMAND}/decisions/", "demand-decide",
       post=adds("demand_decide", actions.decide_items, DecideInput, DecisionOutput,
           "Decide about items; answers with the first of them.")),
    at(f"{DEMAND}/sent-earlier/", "demand-sent-earlier",
       post=adds("demand_sent_earlier", actions.set_aside_sent, SentInput, DecisionOutput,
           "Set aside what one earlier release sent.")),
    at(f"{DEMAND}/questions/", "demand-ask",
       post=adds("demand_ask", actions.ask_to_look, LookInput, LookOutput,
           "Ask a named person to look.")),
    at(f"{REQUEST}/questions/<uuid:record_id>/answer/", "demand-answer",
       post=changes("demand_answer", actions.answer_look, LookAnswerInput, LookOutput,
           "Answer what one was asked to look at.")),
    at(f"{REQUEST}/questions/<uuid:record_id>/void/", "demand-question-void",
       post=changes("demand_question_void", actions.withdraw_look, VoidSerializer, LookOutput,
           "Take back a question, with the reason.")),
    at(f"{CASE}/stops/", "stops",
       post=adds("stop_note", actions.note_stop, StopInput, StopOutput,
           "Note what keeps answers of the case back.")),
    at(f"{CASE}/stops/<uuid:record_id>/lift/", "stop-lift",
       post=changes("stop_lift", actions.lift_stop, VoidSerializer, StopOutput,
           "Lift what kept answers back, with the reason.")),
    at(f"{REQUEST}/stops/<str:stop>/", "stop-settle",
       post=adds("stop_settle", actions.settle_stop, SettleInput, SettleOutput,
           "Decide that something does not keep this answer back.")),
    at(f"{REQUEST}/approval/", "request-approve",
       post=adds("request_approve", actions.approve_release, ApprovalInput, ApprovalOutput,
           "Approve, as the second person, what was decided.")),
    at(f"{REQUEST}/approval/<uuid:record_id>/void/", "request-approval-void",
       post=changes("request_approval_void", actions.end_approval, VoidSerializer,
           ApprovalOutput, "Take back an approval, with the reason.")),
    at("grounds/", "grounds",
       get=tells("grounds_list", _grounds, GroundOutput, "Read the office's list of grounds."),
       post=adds("ground_add", actions.add_ground, GroundInput, GroundOutput, "Add a ground.")),
    at("grounds/<uuid:ground_id>/replace/", "ground-replace",
       post=adds("ground_replace", actions.replace_ground, GroundChange, GroundOutput,
           "Put another wording in the place of a ground.")),
    at("grounds/<uuid:record_id>/void/", "ground-void",
       post=changes("ground_void", actions.withdraw_ground, VoidSerializer, GroundOutput,
           "Take a ground out of the list, with the reason.")),
    at("proposal-rules/", "proposal-rules",
       get=tells("proposal_rules_list", _rules, RuleOutput,
           "Read which rules of proposals the office changed.")),
    at("proposal-rules/<str:key>/", "proposal-rule",
       put=saves("proposal_rule_set", actions.set_proposal_rule, RuleInput, RuleOutput,
           "Switch a rule of proposals on or off, or name its ground.")),
]  # fmt: skip

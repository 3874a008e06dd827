"""API of the body's release and disposition: the same actions as the pages."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from cases.api.records import the_many
from cases.api.serializers import VOIDABLE, KeyedInput, ReasonInput, active_staff, record_shapes
from cases.api.shared import CASE
from cases.models import Case, CaseRecord
from cases.remains import actions, disposing, queries
from cases.remains.models import (
    BodyHold,
    BodyRelease,
    BodyReturn,
    CremationDecision,
    CremationRequest,
    Disposition,
)
from me_office.shell.endpoints import adds, at, changes
from me_office.shell.shapes import sent_shape, shape_of

STAY = (*VOIDABLE, "stay")

HoldInput = shape_of(
    "HoldInput", BodyHold, ("id", "version", "reason", *actions.HOLD_NAMES),
    "What keeps the body in the office.", bases=(KeyedInput,),
)  # fmt: skip
HoldOutput = shape_of(
    "HoldOutput", BodyHold,
    (*VOIDABLE, *actions.HOLD_NAMES, "lifted_at", "lifted_by", "lifted_why"),
    "A hold, and when and why it was lifted.",
)  # fmt: skip
BodyReleaseInput, BodyReleaseOutput = record_shapes(
    "BodyRelease", BodyRelease,
    "The body leaves; without `released_by` it was the person who sends this.",
    printed="A release; `stay` counts the body's stays in the office from 1.", shown=STAY,
    names=actions.RELEASE_NAMES, released_by=active_staff(),
)  # fmt: skip
BodyReturnInput, BodyReturnOutput = record_shapes(
    "BodyReturn", BodyReturn,
    "A released body comes back; without `received_by` the person who sends this received it.",
    printed="A return; `stay` counts the body's stays in the office from 1.", shown=STAY,
    names=actions.RETURN_NAMES, received_by=active_staff(),
)  # fmt: skip
DispositionInput, DispositionOutput = record_shapes(
    "Disposition", Disposition, "What became of the remains.",
    printed="What became of the remains; the latest one counts.", shown=VOIDABLE,
    names=disposing.DISPOSITION_NAMES,
)  # fmt: skip


class CremationInput(KeyedInput, serializers.ModelSerializer[CremationRequest]):
    """Somebody asks for approval of a cremation."""

    class Meta:
        model = CremationRequest
        fields = ("id", "version", "reason", *disposing.REQUEST_NAMES)


CremationDecisionInput = sent_shape(
    "CremationDecisionInput", CremationDecision, ("id", "version", *disposing.DECISION_NAMES),
    "The answer; `id` is made by the client, `version` is the request's.",
)  # fmt: skip
CremationDecisionOutput = shape_of(
    "CremationDecisionOutput", CremationDecision, ("id", *disposing.DECISION_NAMES, "decided_by"),
    "A decision; the latest one counts.",
    decided_by=serializers.CharField(source="decided_by.display_name"),
)  # fmt: skip


class CremationOutput(serializers.ModelSerializer[CremationRequest]):
    """A request with its decisions."""

    decisions = serializers.SerializerMethodField()

    class Meta:
        model = CremationRequest
        fields = (
            "id", "version", "voided_at", "outcome", *disposing.REQUEST_NAMES, "decisions",
        )  # fmt: skip

    @extend_schema_field(CremationDecisionOutput(many=True))
    def get_decisions(self, asked: CremationRequest) -> Any:
        """Return the decisions in their order."""
        return CremationDecisionOutput(asked.made_decisions, many=True).data


def _standing(model: type[CaseRecord]) -> Callable[[Case], list[Any]]:
    def read(case: Case) -> list[Any]:
        return list(model.objects.active().filter(case=case))

    return read


routes = [
    *the_many("body_holds", "Holds on the body", _standing(BodyHold), actions.place_hold,
        actions.void_hold, HoldInput, HoldOutput),
    at(f"{CASE}/body-holds/<uuid:record_id>/lift/", "lift-hold",
       post=changes("body_holds_lift", actions.lift_hold, ReasonInput, HoldOutput,
           "Lift the hold, with the reason.")),
    *the_many("body_releases", "Releases of the body", _standing(BodyRelease),
        actions.release_body, actions.void_release, BodyReleaseInput, BodyReleaseOutput),
    *the_many("body_returns", "Returns of the body", _standing(BodyReturn), actions.return_body,
        actions.void_return, BodyReturnInput, BodyReturnOutput),
    *the_many("cremation_requests", "Requests for cremation approval", queries.cremations_of,
        disposing.log_cremation_request, disposing.void_cremation_request, CremationInput,
        CremationOutput),
    at(f"{CASE}/cremation-requests/<uuid:record_id>/decide/", "decide-cremation",
       post=adds("cremation_requests_decide", disposing.decide_cremation, CremationDecisionInput,
           CremationDecisionOutput, "Decide; a later decision takes the place of the one before.",
           keys={"record_id": "request_id"})),
    *the_many("dispositions", "Final dispositions", queries.dispositions_of,
        disposing.record_disposition, disposing.void_disposition, DispositionInput,
        DispositionOutput),
]  # fmt: skip

"""API of amendments: a datum of a signed case, changed under the password of who signs it."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.actions.entry import names_entered
from cases.certification.models import Certification
from cases.models import Decedent, Identification
from cases.review import amending
from cases.review.api import AddendumOutput, require_password
from evidence.models import Specimen
from me_office.shell.api import REFUSALS_OF_A_PASSWORD, checked

SIGNED = ("id", "why", "rests_on", "password")


class Signed(serializers.Serializer[Any]):
    """`id` is the amendment's key, `why` the printed reason; `password` signs it.

    `rests_on` is the key of the result that it rests on, if any.
    """

    id = serializers.UUIDField()
    why = serializers.CharField(max_length=2000)
    rests_on = serializers.UUIDField(required=False, allow_null=True)
    password = serializers.CharField(required=False, default="", write_only=True)


class Amended(Signed):
    """Of the record's fields only those are changed that are sent; `version` is the record's."""

    version = serializers.IntegerField(min_value=1)

    def get_fields(self) -> dict[str, Any]:
        """Ask for none of the record's own fields."""
        fields = super().get_fields()
        for name in set(fields) - {"id", "why", "version"}:
            fields[name].required = False
        return fields


class AmendCauseAndManner(Amended, serializers.ModelSerializer[Certification]):
    """Cause and manner, amended."""

    class Meta:
        model = Certification
        fields = (*SIGNED, "version", *amending.TARGETS["cause-and-manner"].names)
        validators: list[Any] = []


class AmendDecedent(Amended, serializers.ModelSerializer[Decedent]):
    """Who the decedent is, amended."""

    class Meta:
        model = Decedent
        fields = (*SIGNED, "version", *amending.TARGETS["decedent"].names)
        validators: list[Any] = []


class AmendSpecimen(Amended, serializers.ModelSerializer[Specimen]):
    """What is said about a specimen, amended."""

    class Meta:
        model = Specimen
        fields = (*SIGNED, "version", *amending.TARGETS["specimen"].names)
        validators: list[Any] = []


class AmendIdentity(Signed, serializers.ModelSerializer[Identification]):
    """A step of identification made since the signature; `step_id` is its key."""

    step_id = serializers.UUIDField()

    class Meta:
        model = Identification
        fields = (*SIGNED, "step_id", *names_entered(Identification))
        validators: list[Any] = []


def _amend(
    request: Request, case_id: UUID, shape: Any, what: str, of: UUID | None = None
) -> Response:
    entry = checked(shape, request)
    require_password(request, entry.pop("password", ""))
    common = {
        "case_id": case_id,
        "record_id": entry.pop("id"),
        "reason": entry.pop("why"),
        "rests_on": entry.pop("rests_on", None),
    }
    if what == "identification":
        step = entry.pop("step_id")
        made = amending.amend_identity(request.user, step_id=step, entry=entry, **common)
    else:
        version = entry.pop("version")
        made = amending.amend_record(
            request.user, what=what, of=of, version=version, entry=entry, **common
        )
    return Response(AddendumOutput(made).data, status=201)


class CauseAndManner(APIView):
    """Amendments of cause and manner."""

    @extend_schema(
        operation_id="amend_cause_and_manner",
        request=AmendCauseAndManner,
        responses={201: AddendumOutput, **REFUSALS_OF_A_PASSWORD},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Change cause and manner of a signed case; the first version is kept and printed."""
        return _amend(request, case_id, AmendCauseAndManner, "cause-and-manner")


class TheDecedent(APIView):
    """Amendments of who the decedent is."""

    @extend_schema(
        operation_id="amend_decedent",
        request=AmendDecedent,
        responses={201: AddendumOutput, **REFUSALS_OF_A_PASSWORD},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Change what a signed case says of the decedent."""
        return _amend(request, case_id, AmendDecedent, "decedent")


class Identity(APIView):
    """Steps of identification after the signature."""

    @extend_schema(
        operation_id="amend_identification",
        request=AmendIdentity,
        responses={201: AddendumOutput, **REFUSALS_OF_A_PASSWORD},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Add a step of identification to a signed case."""
        return _amend(request, case_id, AmendIdentity, "identification")


class OneSpecimen(APIView):
    """Amendments of a specimen."""

    @extend_schema(
        operation_id="amend_specimen",
        request=AmendSpecimen,
        responses={201: AddendumOutput, **REFUSALS_OF_A_PASSWORD},
    )
    def post(self, request: Request, case_id: UUID, specimen_id: UUID) -> Response:
        """Change what a signed case says of a specimen."""
        return _amend(request, case_id, AmendSpecimen, "specimen", of=specimen_id)

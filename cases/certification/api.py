"""API of cause and manner."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.access import Act
from cases.certification import actions
from cases.certification.cautions import cautions_on
from cases.certification.items import other_items_left
from cases.certification.models import Certification
from cases.certification.queries import age_in_years, certification_of, kind_of_examination
from cases.course import case_frame
from me_office.audit.errors import NotKnown
from me_office.shell.api import REFUSALS, checked


class CertificationInput(serializers.ModelSerializer[Certification]):
    """What a client sends."""

    id = serializers.UUIDField()
    version = serializers.IntegerField(min_value=0)
    reason = serializers.CharField(required=False, allow_blank=True, default="")

    class Meta:
        model = Certification
        fields = ["id", "version", *actions.FIELDS, "reason"]
        validators: list[Any] = []


class CertificationOutput(serializers.ModelSerializer[Certification]):
    """What stands."""

    stated_by = serializers.CharField(source="stated_by.printed_name")
    manner_words = serializers.CharField(help_text="The manner as the certificate words it")
    cautions = serializers.SerializerMethodField()
    items_left = serializers.SerializerMethodField()

    class Meta:
        model = Certification
        fields = [
            "id", "version", *actions.FIELDS, "manner_words", "stated_at", "stated_by",
            "cautions", "items_left",
        ]  # fmt: skip

    def get_cautions(self, record: Certification) -> list[str]:
        """Return what a certifier may want to look at again."""
        return cautions_on(
            _entry_of(record),
            age_years=age_in_years(record),
            sex=record.case.decedent.sex,
            kind=kind_of_examination(record),
        )

    def get_items_left(self, record: Certification) -> list[str]:
        """Return the items of the certificate that are asked and not stated."""
        decedent = record.case.decedent
        return other_items_left(_entry_of(record), sex=decedent.sex, age_years=age_in_years(record))


def _entry_of(record: Certification) -> dict[str, Any]:
    return {name: getattr(record, name) for name in actions.FIELDS}


class CauseAndManner(APIView):
    """The opinion on cause and manner of one case."""

    @extend_schema(
        operation_id="cause_and_manner_read", responses={200: CertificationOutput, **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """Return the opinion that stands."""
        case_frame(request.user, case_id, current="cause_and_manner", act=Act.SEE)
        standing = certification_of(case_id)
        if standing is None:
            raise NotKnown("Cause and manner are not stated yet.")
        return Response(CertificationOutput(standing).data)

    @extend_schema(
        operation_id="cause_and_manner_state",
        request=CertificationInput,
        responses={200: CertificationOutput, **REFUSALS},
    )
    def put(self, request: Request, case_id: UUID) -> Response:
        """State or change the opinion; `version` 0 states it for the first time."""
        entry = checked(CertificationInput, request)
        saved = actions.state_cause_and_manner(
            request.user,
            case_id=case_id,
            record_id=entry.pop("id"),
            version=entry.pop("version"),
            reason=entry.pop("reason"),
            entry=entry,
        )
        return Response(CertificationOutput(saved).data)

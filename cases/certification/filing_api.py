"""API of what goes with a certificate: items of others, follow-up, the registrar, the worksheet."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.views import APIView

from cases.api.records import the_many, the_one
from cases.api.serializers import KEPT, VOIDABLE, ReasonInput, record_shapes
from cases.api.shared import CASE, framed
from cases.certification import filing, queries
from cases.certification.filing_views import worksheet_answer
from cases.certification.models import FollowUp, Particulars
from cases.certification.queries import Sheet, Stated
from cases.models import Case
from me_office.accounts.requests import StaffApiRequest
from me_office.shell.api import REFUSALS
from me_office.shell.endpoints import adds, at, changes, lists, reads
from me_office.shell.shapes import NewShape, ReadShape

ParticularsInput, ParticularsOutput = record_shapes(
    "Particulars", Particulars, "Items of the certificate that others state.", shown=KEPT
)
FollowUpInput, FollowUpOutput = record_shapes(
    "FollowUp", FollowUp, "What a certificate waits for, and when somebody asks again.",
    shown=VOIDABLE,
)  # fmt: skip


class CertificateRowOutput(serializers.Serializer[Any]):
    """One item of the certificate; `text` is empty where it is not stated."""

    item = serializers.CharField()
    label = serializers.CharField()  # type: ignore[assignment]
    text = serializers.CharField()


class ItemChangeOutput(serializers.Serializer[Any]):
    """An item that reads otherwise than it was stated."""

    item = serializers.CharField()
    label = serializers.CharField()  # type: ignore[assignment]
    was = serializers.CharField()
    now = serializers.CharField()


class RegistrarInput(NewShape, ReadShape):
    """A statement to the registrar; `version` is that of the opinion that was read."""

    certified_on = serializers.DateField()
    reason = serializers.CharField(required=False, allow_blank=True, default="")


class RegistrarOutput(serializers.Serializer[Any]):
    """The certificate as it was stated; `amends` is the date of the statement that it amends."""

    id = serializers.UUIDField(source="statement.id")
    version = serializers.IntegerField(source="statement.version")
    number = serializers.IntegerField(source="statement.number")
    certified_on = serializers.DateField(source="statement.certified_on")
    certifier = serializers.CharField(source="statement.certifier")
    stated_at = serializers.DateTimeField(source="statement.stated_at")
    stated_by = serializers.CharField(source="statement.stated_by.printed_name")
    why = serializers.CharField(source="statement.why")
    amends = serializers.SerializerMethodField()
    said = CertificateRowOutput(source="statement.said", many=True)
    changes = ItemChangeOutput(many=True)

    @extend_schema_field(OpenApiTypes.DATE)
    def get_amends(self, told: Stated) -> str | None:
        """Return when the statement was certified that this one amends."""
        return told.before.certified_on.isoformat() if told.before else None


class CertificateOutput(serializers.Serializer[Any]):
    """Every item of the certificate as recorded, and what changed since it was stated."""

    rows = CertificateRowOutput(many=True)
    changes = ItemChangeOutput(many=True)


class VoidedStatementOutput(NewShape):
    """A statement to the registrar that was withdrawn, with the reason."""

    number = serializers.IntegerField()
    void_reason = serializers.CharField()


def _told(case_id: UUID) -> list[Stated]:
    return queries.statements_told(queries.statements_of(case_id))


def _statements(case: Case) -> list[Stated]:
    return _told(case.pk)


def _last(made: Any) -> Stated:
    return next(one for one in _told(made.case_id) if one.statement.pk == made.pk)


def _sheet(case: Case) -> Sheet:
    return queries.sheet_of(case)


@extend_schema(
    operation_id="certificate_worksheet",
    responses={(200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY), **REFUSALS},
)
def worksheet_pdf(self: APIView, request: StaffApiRequest, case_id: UUID) -> Any:
    """Return the worksheet as PDF."""
    return worksheet_answer(request.user, case_id)


routes = [
    the_one("certificate_particulars", "certificate-particulars", "Items that others state",
        queries.particulars_of, filing.record_particulars, ParticularsInput, ParticularsOutput),
    *the_many("certificate_follow_ups", "What the certificate waits for", queries.follow_ups_of,
        filing.record_follow_up, filing.void_follow_up, FollowUpInput, FollowUpOutput),
    at(f"{CASE}/certificate/", "certificate",
       get=reads("certificate_read", framed("cause_and_manner"), _sheet, CertificateOutput,
           "Return every item of the certificate as it is recorded.")),
    at(f"{CASE}/certificate/statements/", "certificate-statements",
       get=lists("certificate_statements_list", framed("cause_and_manner"), _statements,
           RegistrarOutput, "List what was stated to the registrar, the first statement first."),
       post=adds("certificate_state", filing.state_to_registrar, RegistrarInput, RegistrarOutput,
           "Freeze the certificate as it is stated to the registrar.", shown=_last)),
    at(f"{CASE}/certificate/statements/<uuid:record_id>/void/", "void-certificate-statement",
       post=changes("certificate_statement_void", filing.withdraw_registrar_statement, ReasonInput,
           VoidedStatementOutput, "Withdraw the last statement to the registrar.")),
    at(f"{CASE}/certificate/worksheet.pdf", "certificate-worksheet", get=worksheet_pdf),
]  # fmt: skip

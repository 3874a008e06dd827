"""API of requests and subpoenas."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from rest_framework import serializers
from rest_framework.parsers import MultiPartParser

from cases.api.shared import CASE, framed, key
from cases.court import actions, authorizing, closing, counseling, demanding, fees, paper, queries
from cases.court.models import (
    Authority,
    Closing,
    Counsel,
    Demand,
    FeeRule,
    Invoice,
    Original,
    RecordsRequest,
    Release,
    RequestCase,
)
from cases.models import Case
from findings.calculations.counting import Unit
from me_office.accounts.models import Staff
from me_office.audit.models import Record
from me_office.shell.endpoints import adds, at, changes, lists, reads, saves, tells
from me_office.shell.shapes import NewShape, ReadShape, ReasonShape, Shape, sent_shape, shape_of
from me_office.worded import as_choices

REQUEST = f"{CASE}/requests/<uuid:request_id>"
DemandFirst = shape_of(
    "DemandFirst", Demand, demanding.DEMAND_FIELDS, "A demand that comes with its request."
)


class CountingFirst(serializers.Serializer[Any]):
    """By what rule the due day is counted from the day of service, while the request is logged."""

    rule_key = serializers.CharField(max_length=36)
    amount = serializers.IntegerField(min_value=0)
    unit = serializers.ChoiceField(choices=as_choices(Unit))
    way = serializers.CharField(max_length=60, required=False, allow_blank=True, default="")


RequestInput = sent_shape(
    "RequestInput", RecordsRequest,
    ("id", *actions.REQUEST_FIELDS, "demands", "further", "counting"),
    "What came, thing by thing in `demands`; `further` are keys of other cases that the same paper "
    "asks for. With `counting` the due day is counted from the day of service, in place of "
    "`due_on`. `id` is made by the client.",
    demands=DemandFirst(many=True, required=False),
    further=serializers.ListField(child=serializers.UUIDField(), required=False),
    counting=CountingFirst(required=False, allow_null=True),
)  # fmt: skip
RequestChange = sent_shape(
    "RequestChange", RecordsRequest, ("version", "reason", *actions.REQUEST_FIELDS),
    "A correction, with the version that was read and the reason.",
    reason=serializers.CharField(write_only=True),
)  # fmt: skip


def _shapes(
    name: str, model: type[Record], fields: tuple[str, ...], says: str, *, printed: str,
    numbered: tuple[str, ...] = (),
) -> tuple[Shape, Shape]:  # fmt: skip
    """Return what is sent of a part of a request, and what is printed of it."""
    return (
        shape_of(
            f"{name}Input", model, ("id", "version", "reason", *fields), says,
            id=serializers.UUIDField(), version=serializers.IntegerField(min_value=0, default=0),
            reason=serializers.CharField(
                required=False, allow_blank=True, default="", write_only=True
            ),
        ),
        shape_of(f"{name}Output", model, ("id", "version", *numbered, *fields), printed),
    )  # fmt: skip


class WithdrawInput(ReasonShape):
    """Closes a request without an answer."""


ReleaseOutput = shape_of(
    "ReleaseOutput", Release,
    ("id", "version", "request", "packet_id", "packet_sha256", *actions.RELEASE_FIELDS),
    "A packet that was handed over.",
)  # fmt: skip
RequestOutput = shape_of(
    "RequestOutput", RecordsRequest,
    ("id", "version", "state", *actions.REQUEST_FIELDS, "voided_at", "void_reason", "releases"),
    "A request with what was released for it.",
    releases=ReleaseOutput(many=True, source="made_releases"),
)  # fmt: skip


ClosingOutput = shape_of(
    "RequestClosingOutput", Closing, ("id", "version", "request", *closing.CLOSING_FIELDS),
    "How a request was answered without a packet.",
)  # fmt: skip
ClosingInput = sent_shape(
    "RequestClosingInput", Closing, ("id", "version", *closing.CLOSING_FIELDS),
    "How a request is answered without a packet; `version` is the request’s.",
)  # fmt: skip
DemandInput, DemandOutput = _shapes(
    "Demand", Demand, demanding.DEMAND_FIELDS,
    "A demand; `version` 0 makes it, a later one corrects it, with the reason.",
    printed="One thing that a request asks for; its number is never given again.",
    numbered=("number",),
)  # fmt: skip
CounselInput, CounselOutput = _shapes(
    "Counsel", Counsel, counseling.COUNSEL_FIELDS,
    "Counsel; `version` 0 makes the entry, a later one corrects it, with the reason.",
    printed="A lawyer or firm in the matter.",
)  # fmt: skip
OriginalOutput = shape_of(
    "OriginalOutput", Original,
    ("id", "version", "file_name", "pages", "sha256", "media_type", "voided_at", "void_reason"),
    "The paper of a request; with `voided_at` one that was replaced.",
    sha256=serializers.CharField(source="file.sha256"),
    media_type=serializers.CharField(source="file.media_type"),
)  # fmt: skip


class OriginalInput(NewShape):
    """The paper as a file: PDF, JPEG or PNG, sent as multipart/form-data."""

    upload = serializers.FileField(allow_empty_file=True)
    reason = serializers.CharField(required=False, allow_blank=True, default="")


AuthorityInput, AuthorityOutput = _shapes(
    "Authority", Authority, authorizing.AUTHORITY_FIELDS,
    "Authority; `version` 0 makes the record, a later one changes it, with the reason.",
    printed="By what right somebody asks, and how that was checked.",
)  # fmt: skip
FeeInput, FeeOutput = _shapes(
    "Fee", FeeRule, fees.FEE_FIELDS,
    "A fee; `version` 0 makes it, a later one changes it, with the reason.",
    printed="What is charged for one thing.",
)  # fmt: skip
InvoiceOutput = shape_of(
    "InvoiceOutput", Invoice,
    ("id", "version", "number", *fees.INVOICE_FIELDS, "lines", "total", "currency",
     "waived_because", *fees.PAYMENT_FIELDS, "voided_at", "void_reason", "sha256"),
    "An invoice as it was sent; `sha256` is of its PDF.",
    sha256=serializers.CharField(source="file.sha256"),
)  # fmt: skip
InvoiceInput = shape_of(
    "InvoiceInput", Invoice, ("id", *fees.INVOICE_FIELDS, "quantities"),
    "An invoice; `quantities` says of fees, by their keys, how many.",
    id=serializers.UUIDField(),
    quantities=serializers.DictField(
        child=serializers.DecimalField(max_digits=9, decimal_places=2)
    ),
)  # fmt: skip


class PaymentInput(ReadShape):
    """When and by what an invoice was paid."""

    paid_on = serializers.DateField()
    paid_how = serializers.ChoiceField(choices=Invoice.PAID[1:])
    paid_note = serializers.CharField(max_length=160, required=False, allow_blank=True, default="")
    reason = serializers.CharField(
        default="", allow_blank=True, help_text="Required where a payment is corrected"
    )


FurtherCaseOutput = shape_of(
    "FurtherCaseOutput", RequestCase, ("id", "version", "case"),
    "A further case that a request asks for.",
)  # fmt: skip


class FurtherCaseInput(NewShape):
    """Names a further case by its key."""

    further_case = serializers.UUIDField()


def _further(told: tuple[Staff, Case], request_id: UUID) -> list[RequestCase]:
    actor, case = told
    return queries.further_cases_of(actor, queries.request_of(case.pk, request_id))


def _with_actor(actor: Staff, case_id: UUID) -> tuple[Staff, Case]:
    return actor, framed("court")(actor, case_id)


def _with_releases(asked: RecordsRequest) -> RecordsRequest:
    return queries.request_of(asked.case_id, asked.pk)


routes = [
    at(f"{CASE}/requests/", "requests",
       get=lists("requests_list", key(framed("court")), queries.requests_of, RequestOutput,
           "Return the case's requests, open ones first."),
       post=adds("requests_log", actions.log_request, RequestInput, RequestOutput,
           "Log a request; the same id again gets the same request.", shown=_with_releases)),
    at(f"{REQUEST}/", "request",
       get=reads("requests_read", key(framed("court")), queries.request_of, RequestOutput,
           "Return the request."),
       put=changes("requests_change", actions.change_request, RequestChange, RequestOutput,
           "Correct an open request.", shown=_with_releases)),
    at(f"{REQUEST}/withdraw/", "withdraw-request",
       post=changes("requests_withdraw", actions.withdraw_request, WithdrawInput, RequestOutput,
           "Withdraw the request, with the reason.", shown=_with_releases)),
    at(f"{REQUEST}/answered/", "close-request",
       post=adds("requests_close", closing.answer_without_packet, ClosingInput, ClosingOutput,
           "Record that the request is answered and no packet goes out for it.")),
    at(f"{REQUEST}/demands/", "demands",
       get=lists("demands_list", key(framed("court")), queries.demands_in_case, DemandOutput,
           "Return the demands of the request that stand."),
       post=saves("demands_record", demanding.record_demand, DemandInput, DemandOutput,
           "Add a demand, or correct one.")),
    at(f"{REQUEST}/demands/<uuid:record_id>/withdraw/", "withdraw-demand",
       post=changes("demands_withdraw", demanding.withdraw_demand, WithdrawInput, DemandOutput,
           "Withdraw a demand, with the reason.")),
    at(f"{REQUEST}/counsel/", "counsel",
       get=lists("counsel_list", key(framed("court")), queries.counsel_in_case, CounselOutput,
           "Return who appears in the matter."),
       post=saves("counsel_record", counseling.record_counsel, CounselInput, CounselOutput,
           "Add counsel, or correct an entry.")),
    at(f"{REQUEST}/counsel/<uuid:record_id>/withdraw/", "withdraw-counsel",
       post=changes("counsel_withdraw", counseling.withdraw_counsel, WithdrawInput, CounselOutput,
           "Withdraw an entry of counsel, with the reason.")),
    at(f"{REQUEST}/cases/", "further-cases",
       get=lists("further_cases_list", _with_actor, _further, FurtherCaseOutput,
           "Return the further cases of the request that the person may know of."),
       post=adds("further_cases_add", counseling.add_request_case, FurtherCaseInput,
           FurtherCaseOutput, "Note that the request asks for a further case.")),
    at(f"{REQUEST}/cases/<uuid:record_id>/remove/", "remove-further-case",
       post=changes("further_cases_remove", counseling.remove_request_case, WithdrawInput,
           FurtherCaseOutput, "Note that the request does not ask for this case after all.")),
    at(f"{REQUEST}/originals/", "originals", parsers=[MultiPartParser],
       get=lists("originals_list", key(framed("court")), queries.originals_in_case, OriginalOutput,
           "Return the papers of the request, the one that stands first."),
       post=adds("originals_attach", paper.attach, OriginalInput, OriginalOutput,
           "Attach the paper of the request; one that stands is replaced, with the reason.")),
    at(f"{REQUEST}/authority/", "authority",
       get=reads("authority_read", key(framed("court")), queries.authority_in_case, AuthorityOutput,
           "Return by what right somebody asks.", absent="Nothing is recorded of it yet."),
       post=saves("authority_record", authorizing.record_authority, AuthorityInput, AuthorityOutput,
           "Record by what right somebody asks, and how it was checked.")),
    at("fees/", "fees",
       get=tells("fees_list", queries.fees_told, FeeOutput, "Return the fees of the office."),
       post=saves("fees_record", fees.record_fee, FeeInput, FeeOutput,
           "Put a fee on the office's list, or change one.")),
    at("fees/<uuid:record_id>/withdraw/", "withdraw-fee",
       post=changes("fees_withdraw", fees.withdraw_fee, WithdrawInput, FeeOutput,
           "Take a fee off the list, with the reason.")),
    at(f"{REQUEST}/invoices/", "invoices",
       get=lists("invoices_list", key(framed("court")), queries.invoices_in_case, InvoiceOutput,
           "Return the invoices of the request."),
       post=adds("invoices_issue", fees.issue_invoice, InvoiceInput, InvoiceOutput,
           "Number an invoice, print it and keep it as it is sent.")),
    at(f"{REQUEST}/invoices/<uuid:record_id>/pay/", "pay-invoice",
       post=changes("invoices_pay", fees.record_payment, PaymentInput, InvoiceOutput,
           "Record when and by what an invoice was paid.")),
    at(f"{REQUEST}/invoices/<uuid:record_id>/waive/", "waive-invoice",
       post=changes("invoices_waive", fees.waive_invoice, WithdrawInput, InvoiceOutput,
           "Note that an invoice need not be paid, with the reason.")),
    at(f"{REQUEST}/invoices/<uuid:record_id>/withdraw/", "withdraw-invoice",
       post=changes("invoices_withdraw", fees.withdraw_invoice, WithdrawInput, InvoiceOutput,
           "Withdraw an invoice that was wrong.")),
]  # fmt: skip

"""API of answers to requests."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from rest_framework import serializers

from cases import access
from cases.access import Act, require_role
from cases.answers import actions, delivering, queries
from cases.answers.comparing import Differs
from cases.answers.models import Answer, CertificateWording, Delivery, PageSeries
from cases.answers.since import differs_now
from cases.api.shared import CASE, framed, key
from cases.court.models import Release
from me_office.accounts.models import Staff
from me_office.shell.endpoints import adds, asks_for, at, changes, lists, reads, tells
from me_office.shell.shapes import NewShape, ReadShape, ReasonShape, sent_shape, shape_of

PageSeriesOutput = shape_of(
    "PageSeriesOutput", PageSeries, ("id", "version", *actions.SERIES_FIELDS, "next", "voided_at"),
    "How pages are numbered, and the next number.",
)  # fmt: skip
PageSeriesInput = sent_shape(
    "PageSeriesInput", PageSeries, ("id", "of", *actions.SERIES_FIELDS),
    "Numbers the pages of later answers anew; `of` is the series that was read.",
    of=serializers.UUIDField(allow_null=True, default=None),
)  # fmt: skip


class FoundPageOutput(serializers.Serializer[Any]):
    """What the office knows of one page number."""

    words = serializers.CharField(help_text="The number as it is stamped")
    state = serializers.ChoiceField(choices=["found", "unused", "not given"])
    case_id = serializers.UUIDField(source="run.case_id", default=None)
    answer_id = serializers.UUIDField(source="run.answer_id", default=None)
    label = serializers.CharField(source="part.label", default="")  # type: ignore[assignment]
    page_of_document = serializers.IntegerField()
    page_of_answer = serializers.IntegerField()


class RequestAnswerInput(NewShape):
    """Asks for the answer to a request; `id` is made by the client."""

    request_id = serializers.UUIDField()
    with_certificate = serializers.BooleanField(default=True)
    with_exhibit_list = serializers.BooleanField(default=True)
    camera_notes = serializers.BooleanField(
        default=True, help_text="Originals, unchanged; else copies without the camera's notes"
    )


class VersionInput(ReadShape):
    """The version that was read."""


class RequestAnswerOutput(serializers.ModelSerializer[Answer]):
    """An answer as it stands, with how far its making is."""

    percent = serializers.IntegerField()
    step = serializers.CharField()

    class Meta:
        model = Answer
        fields = [
            "id", "version", "number", "request", "state", "percent", "step", "failure",
            *actions.ANSWER_FIELDS, "decided", "decided_at", "built_at", "sha256", "size_bytes",
            "pages", "photographs", "files", "withheld", "voided_at",
        ]  # fmt: skip


DeliveryInput = sent_shape(
    "DeliveryInput", Delivery,
    ("id", "version", *delivering.DELIVERY_FIELDS, "answers", "still_due", "note"),
    "Records how an answer leaves the office; `version` is the request's.",
    answers=serializers.ChoiceField(choices=Release.ANSWERS, default="whole"),
    still_due=serializers.CharField(default="", allow_blank=True),
    note=serializers.CharField(default="", allow_blank=True),
)  # fmt: skip


class DeliveryOutput(serializers.ModelSerializer[Delivery]):
    """A delivery; of a download the token of its address and its code, told once."""

    token = serializers.CharField(read_only=True)
    code = serializers.CharField(read_only=True)

    class Meta:
        model = Delivery
        fields = ["id", "version", "answer", "release", *delivering.DELIVERY_FIELDS,
                  "differed", "called_back_at", "called_back_why", "token", "code"]  # fmt: skip


class AnswerDiffersOutput(serializers.Serializer[Any]):
    """One thing that stands otherwise now than in a built answer."""

    words = serializers.CharField()
    firm = serializers.BooleanField(help_text="It keeps the answer in the office in any case")


class CallBackInput(ReasonShape):
    """Closes the address of a delivery."""


WordingOutput = shape_of(
    "WordingOutput", CertificateWording, ("id", "version", "number", *actions.WORDING_FIELDS),
    "How the custodian's certificate reads.",
)  # fmt: skip
WordingInput = sent_shape(
    "WordingInput", CertificateWording, ("id", "edition", *actions.WORDING_FIELDS),
    "Another wording of the certificate; `edition` is the one that was read, 0 for the standard.",
    edition=serializers.IntegerField(min_value=0),
)  # fmt: skip


def _wordings(actor: Staff) -> list[CertificateWording]:
    require_role(actor, Act.SEE)
    return queries.certificate_wordings()


def _as_it_stands(answer: Answer) -> Answer:
    return queries.answer_of(answer.case_id, answer.pk)


def _differs(actor: Staff, case_id: UUID, answer_id: UUID) -> list[Differs]:
    access.case_for(actor, Act.SEE, case_id)
    found = queries.answer_of(case_id, answer_id)
    return differs_now(found, actor) if found.is_built else []


def _series(actor: Staff) -> list[PageSeries]:
    require_role(actor, Act.SEE)
    return queries.all_page_series()


def _found(actor: Staff, number: str) -> list[queries.FoundPage]:
    require_role(actor, Act.SEE)
    found = queries.find_page(actor, number)
    return [found] if found else []


routes = [
    at(f"{CASE}/answers/", "answers",
       get=lists("answers_list", key(framed("court")), queries.answers_of, RequestAnswerOutput,
           "Return the case's answers to requests, newest first."),
       post=asks_for("answers_request", actions.request_answer, RequestAnswerInput,
           RequestAnswerOutput,
           "Ask for the answer to a request; the same id again gets the same answer.",
           shown=_as_it_stands)),
    at(f"{CASE}/answers/<uuid:answer_id>/", "answer",
       get=reads("answers_read", key(framed("court")), queries.answer_of, RequestAnswerOutput,
           "Return an answer and how far its making is.")),
    at(f"{CASE}/answers/<uuid:answer_id>/retry/", "retry-answer",
       post=changes("answers_retry", actions.retry_answer, VersionInput, RequestAnswerOutput,
           "Try again to build an answer that failed.", shown=_as_it_stands)),
    at(f"{CASE}/answers/<uuid:answer_id>/leave/", "leave-answer",
       post=changes("answers_leave", actions.leave_answer, VersionInput, RequestAnswerOutput,
           "Dismiss an answer that was not built.", shown=_as_it_stands)),
    at(f"{CASE}/answers/<uuid:answer_id>/deliver/", "deliver-answer",
       post=adds("answers_deliver", delivering.deliver_answer, DeliveryInput, DeliveryOutput,
           "Record how an answer leaves the office; its request is answered.")),
    at(f"{CASE}/answers/<uuid:answer_id>/differences/", "answer-differences",
       get=tells("answers_differences", _differs, AnswerDiffersOutput,
           "Return what stands otherwise now than when an answer was built.")),
    at(f"{CASE}/deliveries/<uuid:delivery_id>/call-back/", "call-back-delivery",
       post=changes("deliveries_call_back", delivering.call_back_delivery, CallBackInput,
           DeliveryOutput, "Close the address of a delivery at once.")),
    at("custodian-certificate/", "custodian-certificate",
       get=tells("certificate_wordings_list", _wordings, WordingOutput,
           "Return the office's own wordings of the certificate, newest first."),
       post=adds("certificate_wording_replace", actions.replace_certificate_wording, WordingInput,
           WordingOutput, "Put another wording of the certificate in place.")),
    at("page-numbers/series/", "page-series",
       get=tells("page_series_list", _series, PageSeriesOutput,
           "Return how the office has numbered pages, the present way first."),
       post=adds("page_series_replace", actions.replace_page_series, PageSeriesInput,
           PageSeriesOutput, "Number the pages of later answers anew.")),
    at("page-numbers/<str:number>/", "page-number",
       get=tells("page_number_find", _found, FoundPageOutput,
           "Return what stands on a numbered page; nothing where it is no page number.")),
]  # fmt: skip

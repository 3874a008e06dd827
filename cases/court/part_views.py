"""Pages of the parts of a request: demands, counsel and further cases are added and withdrawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from cases.access import Act
from cases.course import CaseFrame, case_frame
from cases.court import counseling, demanding, queries
from cases.court.forms import CounselForm, DemandForm, FurtherCaseForm
from cases.court.models import Counsel, Demand, RecordsRequest
from cases.models import CaseRecord
from me_office.accounts.requests import StaffRequest
from me_office.shell.confirming import Confirmation, confirming
from me_office.shell.forms import RecordForm, answer_done, answer_form, submitted

PAGE = "court:request"
Answer = Callable[..., HttpResponse]


@dataclass(frozen=True)
class PartKind:
    """A kind of part of a request: its form, its acts, and what it is called."""

    model: type[CaseRecord]
    form: type[RecordForm]
    one: Callable[[RecordsRequest, UUID], Any]
    record: Callable[..., Any]
    withdraw: Callable[..., Any]
    words: str
    fields: str
    intro: str


DEMAND = PartKind(
    Demand, DemandForm, queries.demand_of, demanding.record_demand, demanding.withdraw_demand,
    "demand", "kind title words page",
    "Each thing that the request asks for is answered by itself.",
)  # fmt: skip
COUNSEL = PartKind(
    Counsel, CounselForm, queries.counsel_one, counseling.record_counsel,
    counseling.withdraw_counsel, "counsel", "side name firm appears_for address telephone email",
    "Who appears in the matter, and for whom.",
)  # fmt: skip


def _frame(
    request: StaffRequest, case_id: UUID, request_id: UUID
) -> tuple[CaseFrame, RecordsRequest]:
    frame = case_frame(request.user, case_id, current="court", act=Act.HANDLE_REQUEST)
    return frame, queries.request_of(case_id, request_id)


def _begins(of: PartKind, asked: RecordsRequest) -> dict[str, str]:
    if of is DEMAND:
        return {"kind": "preservation" if asked.kind == "preservation" else "documents"}
    return {}


def _adding(of: PartKind) -> Answer:
    @require_http_methods(["GET", "POST"])
    def add(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
        frame, asked = _frame(request, case_id, request_id)
        form = of.form(request.POST or None, initial=_begins(of, asked))
        keys = {"case_id": case_id, "request_id": request_id}
        saved = submitted(request, form, of.record, **keys, version=0)
        if saved:
            return answer_done(request, f"Added: {saved}.", PAGE, **keys)
        context = {"frame": frame, "asked": asked, "of": of}
        return answer_form(request, "court/part_form.html", context, form)

    return add


def _changing(of: PartKind) -> Answer:
    @require_http_methods(["GET", "POST"])
    def change(
        request: StaffRequest, case_id: UUID, request_id: UUID, record_id: UUID
    ) -> HttpResponse:
        frame, asked = _frame(request, case_id, request_id)
        form = of.form(request.POST or None, instance=of.one(asked, record_id))
        keys = {"case_id": case_id, "request_id": request_id}
        saved = submitted(request, form, of.record, **keys, record_id=record_id)
        if saved:
            return answer_done(request, f"Corrected: {saved}.", PAGE, **keys)
        context = {
            "frame": frame,
            "asked": asked,
            "of": of,
            "record": of.one(asked, record_id),
            "table": of.model._meta.db_table,
        }
        return answer_form(request, "court/part_form.html", context, form)

    return change


def withdrawal_of_part(
    asked: RecordsRequest, words: str, sentence: str, *, done: str, **more: Any
) -> Confirmation:
    """Return what is said where a part of a request is withdrawn; `words` name it."""
    keys = {"case_id": asked.case_id, "request_id": asked.pk}
    return Confirmation(
        f"Withdraw {words}", sentence, "Withdraw it", back=reverse(PAGE, kwargs=keys), done=done,
        intro=f"{asked.named}.", **more,
    )  # fmt: skip


def _withdrawing(of: PartKind) -> Answer:
    @require_http_methods(["GET", "POST"])
    def withdraw(request: StaffRequest, case_id: UUID, **keys: UUID) -> HttpResponse:
        frame, asked = _frame(request, case_id, keys["request_id"])
        record = of.one(asked, keys["record_id"])
        said = withdrawal_of_part(
            asked,
            f"{of.words} {record}" if of is COUNSEL else f"{of.words} {record.number}",
            f"{record} will be withdrawn from the request. It stays in the history.",
            done=f"Withdrawn: {record}.",
        )
        return confirming(request, record, of.withdraw, said, frame=frame, case_id=case_id, **keys)

    return withdraw


add_demand, change_demand = _adding(DEMAND), _changing(DEMAND)
withdraw_demand = _withdrawing(DEMAND)
add_counsel, change_counsel = _adding(COUNSEL), _changing(COUNSEL)
withdraw_counsel = _withdrawing(COUNSEL)


@require_http_methods(["GET", "POST"])
def add_case(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Note that a request asks for a further case."""
    frame, asked = _frame(request, case_id, request_id)
    form = FurtherCaseForm(request.POST or None, actor=request.user)
    keys = {"case_id": case_id, "request_id": request_id}
    saved = submitted(request, form, counseling.add_request_case, **keys)
    if saved:
        return answer_done(request, f"Added: case {saved.case.label}.", PAGE, **keys)
    return answer_form(request, "court/add_case.html", {"frame": frame, "asked": asked}, form)


@require_http_methods(["GET", "POST"])
def remove_case(request: StaffRequest, case_id: UUID, **keys: UUID) -> HttpResponse:
    """Note that a request does not ask for a further case after all."""
    frame, asked = _frame(request, case_id, keys["request_id"])
    tied = queries.further_case_of(request.user, asked, keys["record_id"])
    label, act = tied.case.label, counseling.remove_request_case
    said = withdrawal_of_part(
        asked,
        f"case {label}",
        f"Case {label} will no longer belong to this request. That it did stays in the history.",
        done=f"Removed: case {label}.",
    )
    return confirming(request, tied, act, said, frame=frame, case_id=case_id, **keys)

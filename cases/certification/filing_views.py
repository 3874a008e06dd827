"""Pages of what goes with a certificate: items of others, follow-up, registrar, worksheet."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act
from cases.certification import filing, queries
from cases.certification.cautions import FOLLOW_UP_HELP, REGISTRAR_HELP
from cases.certification.forms import FollowUpForm, ParticularsForm, RegistrarForm
from cases.certification.models import FollowUp, RegistrarStatement
from cases.certification.printing import print_worksheet
from cases.course import case_frame
from cases.forms.scene import VoidForm
from cases.views.confirming import confirms
from cases.views.entries import RecordKind, voiding
from me_office.accounts.models import Staff
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import NotKnown
from me_office.shell.confirming import Confirmation
from me_office.shell.exports import shown_pdf
from me_office.shell.forms import answer_done, answer_form, submitted

PAGE = "certification:cause-and-manner"
STEP = "cause_and_manner"
FOLLOW_UP = RecordKind(
    FollowUp, FollowUpForm, Act.KEEP_CERTIFICATE, filing.record_follow_up, filing.void_follow_up,
    "follow-up",
)  # fmt: skip


@require_GET
def worksheet(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Answer with every item of the certificate as PDF."""
    return worksheet_answer(request.user, case_id)


def worksheet_answer(actor: Staff, case_id: UUID) -> HttpResponse:
    """The worksheet as PDF, for the page and the API alike."""
    frame = case_frame(actor, case_id, current="certificate worksheet as PDF")
    sheet = queries.sheet_of(frame.case)
    printed = print_worksheet(frame.case, sheet, by=actor, at=timezone.now())
    return shown_pdf(printed.pdf, f"certificate-worksheet-{slugify(frame.case.label)}")


@require_http_methods(["GET", "POST"])
def particulars(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Record the items that family, funeral home and registrar state."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.KEEP_CERTIFICATE)
    record = queries.particulars_of(frame.case)
    form = ParticularsForm(request.POST or None, instance=record)
    if submitted(request, form, filing.record_particulars, case_id=case_id):
        return answer_done(request, "Saved: the items that others state.", PAGE, case_id=case_id)
    context = {"frame": frame, "record": record, "table": "certification_particulars"}
    return answer_form(request, "certification/particulars.html", context, form)


@require_http_methods(["GET", "POST"])
def follow_up(request: StaffRequest, case_id: UUID, record_id: UUID | None = None) -> HttpResponse:
    """Record one thing that the certificate waits for, or that it came."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.KEEP_CERTIFICATE)
    record = queries.follow_up_of(frame.case, record_id) if record_id else None
    form = FollowUpForm(request.POST or None, instance=record)
    saved = submitted(request, form, filing.record_follow_up, case_id=case_id)
    if saved:
        return answer_done(request, f"Saved: {saved}.", PAGE, case_id=case_id)
    context = {
        "frame": frame,
        "record": record,
        "table": "certification_followup",
        "follow_up_help": FOLLOW_UP_HELP.say(),
    }
    return answer_form(request, "certification/follow_up.html", context, form)


@require_http_methods(["GET", "POST"])
def void_follow_up(request: StaffRequest, case_id: UUID, record_id: UUID) -> HttpResponse:
    """Withdraw what is not awaited after all, with the reason."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.KEEP_CERTIFICATE)
    record = queries.follow_up_of(frame.case, record_id)
    return voiding(request, frame, FOLLOW_UP, record, page=PAGE)


@require_http_methods(["GET", "POST"])
def registrar(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """State the certificate as it stands to the registrar, or what changed since."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.STATE_TO_REGISTRAR)
    sheet = queries.sheet_of(frame.case)
    if sheet.certification is None:
        raise NotKnown("Cause and manner are not stated yet.")
    form = RegistrarForm(
        request.POST or None,
        certification=sheet.certification,
        amends=sheet.last is not None,
    )
    made = submitted(request, form, filing.state_to_registrar, case_id=case_id)
    if made:
        return answer_done(
            request, f"Kept as it was stated: {str(made).lower()}.", PAGE, case_id=case_id
        )
    context = {
        "frame": frame,
        "certification": sheet.certification,
        "last": sheet.last,
        "changes": sheet.changes,
        "registrar_help": REGISTRAR_HELP.say(),
    }
    return answer_form(request, "certification/registrar.html", context, form)


@confirms(STEP, Act.STATE_TO_REGISTRAR, queries.statement_of, filing.withdraw_registrar_statement)
def withdraw_statement(record: RegistrarStatement) -> Confirmation:
    """Withdraw a statement to the registrar that was recorded by mistake, with the reason."""
    return Confirmation(
        "Void this statement to the registrar",
        f"{record} is withdrawn: it stays in the history, and what it amended stands again.",
        "Void it",
        back=reverse(PAGE, kwargs={"case_id": record.case_id}),
        done=f"Withdrawn: {str(record).lower()}.",
        form_class=VoidForm,
    )

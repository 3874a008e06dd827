"""Pages of certificates, for administrators, and of a case's signed documents."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Any
from uuid import UUID

from django.conf import settings
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_GET, require_http_methods, require_safe

from cases.access import Act, may
from cases.course import case_frame
from cases.review.rules import digest_of
from cases.signatures import actions, queries, sealing
from cases.signatures import second as actions_second
from cases.signatures.checking import check_document
from cases.signatures.forms import ImportForm, IssueForm, MakeForm, SecondForm, StampsForm
from cases.signatures.rules import AGREED, state_words
from cases.signatures.second import being_made, content_of, waiting_for_second
from evidence.store.serving import send_file
from me_office.accounts.actions import require_administrator
from me_office.accounts.requests import StaffRequest
from me_office.audit import looks
from me_office.audit.errors import known
from me_office.shell.confirming import Confirmation, confirming
from me_office.shell.forms import answer_done, answer_form, submitted

PAGE = "signatures:certificates"


@require_GET
def certificates(request: StaffRequest) -> HttpResponse:
    """List who signs with which certificate, and every certificate that is kept."""
    require_administrator(request.user)
    listed = queries.certificates()
    looks.note_list(request.user, "list of certificates", rows=len(listed), asked={})
    now = timezone.now()
    context = {
        "authority": queries.authority(),
        "holders": queries.holders(),
        "certificates": [(one, state_words(one, now)) for one in listed],
        "has_secret": sealing.has_secret(),
        "stamps_at": settings.TIMESTAMP_URL,
        "stamps": queries.stamp_authorities(),
    }
    return render(request, "signatures/certificates.html", context)


@dataclass(frozen=True)
class Way:
    """One way in which a certificate comes into the office."""

    title: str
    sentence: str
    button: str
    form: type[MakeForm]
    act: Any
    done: str


WAYS = {
    "authority": Way(
        "Make the office’s authority",
        "A key pair is made here, and its private key is kept sealed. The authority issues "
        "certificates to the people who sign; whoever checks a signature needs its root "
        "certificate from you. It is made once.",
        "Make the authority",
        MakeForm,
        actions.make_authority,
        "The office has its authority.",
    ),
    "issue": Way(
        "Issue a certificate",
        "The office’s authority issues a certificate to one person. From then on reports that "
        "this person signs carry a digital signature. The private key is kept here, sealed; it "
        "is used only for what the person signed with their password.",
        "Issue it",
        IssueForm,
        actions.issue_certificate,
        "The certificate is issued.",
    ),
    "import": Way(
        "Import a certificate",
        "A person’s certificate of another authority is kept here with its private key, sealed. "
        "Ask the person first: whoever keeps the server could use the key.",
        "Import it",
        ImportForm,
        actions.import_certificate,
        "The certificate is imported.",
    ),
    "time-stamps": Way(
        "Trust a time-stamp authority",
        "Time stamps are taken only if they are of an authority whose root certificate is kept "
        "here.",
        "Trust it",
        StampsForm,
        actions.trust_time_stamps,
        "The authority of time stamps is trusted.",
    ),
}


@require_http_methods(["GET", "POST"])
def add(request: StaffRequest, way: str) -> HttpResponse:
    """Make the authority, issue or import a certificate, or trust time stamps."""
    require_administrator(request.user)
    chosen = WAYS[way]
    more: dict[str, Any] = {}
    if issubclass(chosen.form, IssueForm):
        more["people"] = [one.person for one in queries.holders()]
        more["initial"] = {"person_id": request.GET.get("person", "")}
    form = chosen.form(request.POST or None, request.FILES or None, actor=request.user, **more)
    if submitted(request, form, chosen.act):
        return answer_done(request, chosen.done, PAGE)
    return answer_form(request, "signatures/add.html", {"way": chosen}, form)


@require_http_methods(["GET", "POST"])
def revoke(request: StaffRequest, certificate_id: UUID) -> HttpResponse:
    """Revoke a certificate."""
    require_administrator(request.user)
    one, back = queries.certificate_of(certificate_id), reverse(PAGE)
    said = Confirmation(
        "Revoke a certificate",
        "It signs nothing more, and its private key is removed for good. What it signed before "
        "stays as it is; the list of revoked certificates names it from now on.",
        "Revoke it",
        back=back,
        done="The certificate is revoked.",
        intro=str(one),
        up=("Certificates", back),
        form_class=partial(MakeForm, actor=request.user),
    )
    act = actions.revoke_certificate
    return confirming(request, one, act, said, certificate_id=certificate_id)


@require_safe
def documents(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the signed documents of a case with their signatures; `check` checks one anew."""
    frame = case_frame(request.user, case_id, current="report")
    shown = queries.documents_of(case_id)
    wanted = request.GET.get("check", "")
    checked = next((check_document(one) for one in shown if str(one.pk) == wanted), None)
    context = {
        "frame": frame,
        "documents": shown,
        "checked": checked,
        "checked_key": wanted if checked else "",
        "now": timezone.now(),
        "waiting": waiting_for_second(case_id),
        "being_made": being_made(case_id),
        "may_sign": may(request.user, Act.SIGN_SECOND, frame.case),
    }
    return render(request, "signatures/documents.html", context)


@require_http_methods(["GET", "POST"])
def sign_second(request: StaffRequest, case_id: UUID, addendum_id: UUID) -> HttpResponse:
    """Show an addendum whole, and let another pathologist sign it."""
    frame = case_frame(request.user, case_id, current="report", act=Act.SIGN_SECOND)
    addendum = known(
        next((one for one in waiting_for_second(case_id) if one.pk == addendum_id), None),
        "addendum that waits for a second signature",
    )
    form = SecondForm(
        request.POST or None,
        actor=request.user,
        initial={"sha256": digest_of(content_of(addendum))},
    )
    if submitted(
        request, form, actions_second.sign_second, case_id=case_id, addendum_id=addendum_id
    ):
        return answer_done(
            request,
            "Signed as second pathologist. Its PDF is made now.",
            "signatures:documents",
            case_id=case_id,
        )
    context = {"frame": frame, "addendum": addendum, "statement": AGREED}
    return answer_form(request, "signatures/second.html", context, form)


@require_safe
def document_pdf(request: StaffRequest, case_id: UUID, document_id: UUID) -> HttpResponseBase:
    """Send a signed document as it is kept."""
    frame = case_frame(request.user, case_id, current="signed document as PDF")
    one = queries.document_of(case_id, document_id)
    what = slugify(str(one.addendum)) if one.addendum else "signed-report"
    name = f"{what}-{slugify(frame.case.label)}.pdf"
    return send_file(request, one.file, filename=name, as_attachment=False)

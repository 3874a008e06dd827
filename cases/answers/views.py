"""Pages of answers to requests, and of the numbers of their pages."""

from __future__ import annotations

import functools
from datetime import timedelta
from uuid import UUID

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
    require_safe,
)
from django.views.decorators.vary import vary_on_headers

from cases import access
from cases.access import Act, decision_on, may_somewhere, require_role
from cases.answers import actions, delivering, queries, rules
from cases.answers.certificate import SOURCE
from cases.answers.chosen import chosen_items, why_not_ready
from cases.answers.files import stored
from cases.answers.forms import (
    AnswerForm,
    DeliverForm,
    FindPageForm,
    SeriesForm,
    WordingForm,
)
from cases.answers.models import Answer, Delivery
from cases.answers.records import document_address, later_words, record_address
from cases.answers.since import differs_now, require_may_leave
from cases.course import case_frame
from cases.court.marking import orders_of
from cases.court.queries import request_of, testimony_asked_of
from cases.models import Case
from cases.views.confirming import confirms
from evidence.store import open_part
from me_office.accounts.requests import StaffRequest
from me_office.audit import looks
from me_office.audit.actions import note_access
from me_office.audit.errors import NotKnown
from me_office.jobs.forms import tried_again
from me_office.shell.confirming import Confirmation
from me_office.shell.forms import answer_done, answer_form, is_part, submitted
from me_office.shell.ranges import send_bytes

# What is proposed for the end of an address.
FIRST_END = timedelta(days=14)


@require_GET
def find_page(request: StaffRequest) -> HttpResponse:
    """Tell what stands on a page of a packet that the office once sent."""
    require_role(request.user, Act.SEE)
    asked = request.GET.get("number", "")
    form = FindPageForm(request.GET if asked else None)
    context: dict[str, object] = {
        "series": queries.page_series(),
        "may_change": may_somewhere(request.user, Act.KEEP_CLERK_LISTS),
        "found": None,
    }
    if form.is_valid():
        found = queries.find_page(request.user, form.cleaned_data["number"])
        rows = int(found is not None and found.state != "not given")
        looks.note_list(request.user, "page number", rows=rows, asked={"number": asked[:40]})
        if found is None:
            form.add_error("number", "The office numbers no pages in this way.")
        else:
            context |= {"found": found}
            if found.part is not None:
                context |= {
                    "record": record_address(found.part, found.page_of_document),
                    "document": document_address(found.part, found.page_of_document),
                    "later": later_words(found.part),
                }
    return answer_form(request, "answers/find_page.html", context, form)


@require_http_methods(["GET", "POST"])
def page_series(request: StaffRequest) -> HttpResponse:
    """Show how pages were and are numbered; a clerk chooses another prefix."""
    require_role(request.user, Act.SEE)
    may_change = may_somewhere(request.user, Act.KEEP_CLERK_LISTS)
    every = queries.all_page_series()
    standing = next((one for one in every if not one.is_voided), None)
    of = standing.pk if standing else None
    digits = standing.digits if standing else rules.DEFAULT_DIGITS
    form = SeriesForm(request.POST or None, initial={"prefix": "", "digits": digits, "of": of})
    if may_change:
        saved = submitted(request, form, actions.replace_page_series)
        _read_again(form, "of", of)
        if saved:
            return answer_done(request, f"The next page is {saved}.", "answers:page-series")
    elif request.method == "POST":
        require_role(request.user, Act.KEEP_CLERK_LISTS)
    context = {"every": every, "standing": standing, "may_change": may_change}
    return answer_form(request, "answers/page_series.html", context, form)


@require_http_methods(["GET", "POST"])
def certificate(request: StaffRequest) -> HttpResponse:
    """Show how the custodian's certificate reads; a clerk puts another wording in its place."""
    require_role(request.user, Act.SEE)
    may_change = may_somewhere(request.user, Act.KEEP_CLERK_LISTS)
    every = queries.certificate_wordings()
    edition = every[0].number if every else 0
    initial = {
        "words": queries.certificate_words(),
        "law": every[0].law if every else "",
        "edition": edition,
    }
    form = WordingForm(request.POST or None, initial=initial)
    if may_change:
        saved = submitted(request, form, actions.replace_certificate_wording)
        _read_again(form, "edition", edition)
        if saved:
            return answer_done(request, f"{saved} goes into later answers.", "answers:certificate")
    elif request.method == "POST":
        require_role(request.user, Act.KEEP_CLERK_LISTS)
    context = {
        "every": every,
        "words": queries.certificate_words(),
        "may_change": may_change,
        "source": SOURCE,
    }
    return answer_form(request, "answers/certificate.html", context, form)


def _read_again(form: SeriesForm | WordingForm, name: str, now: object) -> None:
    """Send what stands now the next time, where the person is shown it beside their own words."""
    if form.is_stale:
        form.data = form.data.copy()
        form.data[name] = "" if now is None else str(now)


@require_GET
def answers(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """List what went out, or is ready to, in answer to the case's requests."""
    frame = case_frame(request.user, case_id, current="court")
    return render(
        request, "answers/answers.html", {"frame": frame, "answers": queries.answers_of(case_id)}
    )


@require_http_methods(["GET", "POST"])
def ask(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Ask for the packet that answers a request, as it was decided and approved."""
    frame = case_frame(request.user, case_id, current="court", act=Act.BUILD_ANSWER)
    asked = request_of(case_id, request_id)
    form = AnswerForm(request.POST or None)
    saved = submitted(request, form, actions.request_answer, case_id=case_id, request_id=request_id)
    if saved:
        return redirect("answers:answer", case_id=case_id, answer_id=saved.pk)
    chosen = chosen_items(asked, request.user)
    context = {
        "frame": frame,
        "asked": asked,
        "lacks": why_not_ready(asked, request.user),
        "going": sum(1 for one in chosen if one.goes_out),
        "kept": sum(1 for one in chosen if not one.goes_out),
    }
    return answer_form(request, "answers/ask.html", context, form)


@require_GET
@vary_on_headers("HX-Request")
def answer(request: StaffRequest, case_id: UUID, answer_id: UUID) -> HttpResponse:
    """Show what is in an answer, its pages, and how it left the office."""
    if is_part(request):
        # Asked every second while it is made: one look at the page is noted, not each of these.
        shown = queries.answer_of(case_id, answer_id)
        access.require(request.user, Act.SEE, shown.case)
        return render(request, "answers/_answer.html", _shown(request, shown))
    frame = case_frame(request.user, case_id, current="court")
    context = _shown(request, queries.answer_of(case_id, answer_id))
    return render(request, "answers/answer.html", {"frame": frame, **context})


def _shown(request: StaffRequest, shown: Answer) -> dict[str, object]:
    differs = (
        differs_now(shown, request.user) if shown.is_built and not shown.is_voided else []
    )  # fmt: skip
    return {
        "answer": shown,
        "differs": differs,
        "is_firm": any(one.firm for one in differs),
        "parts": queries.parts_of(shown, request.user) if shown.is_built else [],
        "unused": queries.unused_runs([shown.pk]) if shown.attempts > 1 or shown.failure else [],
        "deliveries": queries.deliveries_of(shown),
        "build": decision_on(request.user, Act.BUILD_ANSWER, shown.case),
    }


@require_POST
def retry_answer(request: StaffRequest, case_id: UUID, answer_id: UUID) -> HttpResponse:
    """Try again to build an answer that failed, or leave it."""
    tried_again(
        request, actions.retry_answer, actions.leave_answer, case_id=case_id, answer_id=answer_id
    )
    return redirect("answers:answer", case_id=case_id, answer_id=answer_id)


@require_safe
def download_answer(request: StaffRequest, case_id: UUID, answer_id: UUID) -> HttpResponseBase:
    """Send a built answer, or from where a broken download stopped; note who fetched it."""
    fetched = queries.answer_of(case_id, answer_id)
    access.require(request.user, Act.BUILD_ANSWER, fetched.case)
    actions.require_all_cases(request.user, fetched.sent_cases)
    if not fetched.is_built:
        raise NotKnown("This answer is not built yet.")
    if not queries.is_released(fetched):  # what was released stays what it was
        require_may_leave(fetched, request.user)
    if request.method == "GET":
        what = "answer fetched, in part" if "Range" in request.headers else "answer fetched"
        note_access(request.user, case_id=case_id, what=what, record_id=fetched.pk)
    return send_bytes(request, stored(fetched), functools.partial(open_part, fetched.path))


@require_http_methods(["GET", "POST"])
def deliver(request: StaffRequest, case_id: UUID, answer_id: UUID) -> HttpResponse:
    """Record how an answer leaves the office; of a download show address and code, once."""
    frame = case_frame(request.user, case_id, current="court", act=Act.BUILD_ANSWER)
    shown = queries.answer_of(case_id, answer_id)
    is_released = queries.is_released(shown)
    is_sent = request.method == "POST"
    # What is sent is compared by the action: here only what is shown.
    differs = [] if is_sent or not shown.is_built else differs_now(shown, request.user)
    initial = {
        "version": shown.request.version,
        "to_whom": shown.request.party,
        "ends_at": timezone.localtime() + FIRST_END,
    }
    form = DeliverForm(request.POST or None, initial=initial, is_released=is_released,
                       differs=is_sent or bool(differs))  # fmt: skip
    saved = submitted(
        request, form, delivering.deliver_answer, case_id=case_id, answer_id=answer_id
    )
    if saved and saved.method == "download":
        address = (
            request.build_absolute_uri(reverse("answers:pick-up", args=[saved.token]))
            if saved.token
            else ""
        )
        context = {
            "frame": frame,
            "delivery": saved,
            "address": address,
            "code": rules.code_words(saved.code),
        }
        told = render(request, "answers/delivered.html", context)
        told["Cache-Control"] = "no-store"
        return told
    if saved:
        return answer_done(
            request,
            f"Recorded: {saved}.",
            "answers:answer",
            case_id=case_id,
            answer_id=answer_id,
        )
    if is_sent and shown.is_built:
        differs = differs_now(shown, request.user)
    context = {
        "frame": frame,
        "answer": shown,
        "is_released": is_released,
        "orders": orders_of(shown.request),
        "testimony": [] if is_released else testimony_asked_of(shown.request),
        "differs": differs,
        "is_firm": any(one.firm for one in differs),
    }
    return answer_form(request, "answers/deliver.html", context, form)


def _delivery(case: Case, delivery_id: UUID) -> Delivery:
    return queries.delivery_of(case.pk, delivery_id)


@confirms("court", Act.BUILD_ANSWER, _delivery, delivering.call_back_delivery)
def call_back(delivery: Delivery) -> Confirmation:
    """Close the address of a delivery, with the reason."""
    keys = {"case_id": delivery.case_id, "answer_id": delivery.answer_id}
    return Confirmation(
        "Close the address",
        "The address closes at once and for good, and a download that is under way stops. What was "
        "downloaded before stays with whoever has it.",
        "Close it now",
        back=reverse("answers:answer", kwargs=keys),
        done="The address is closed.",
        in_step=False,
        stop=False,
    )

"""Pages on which it is decided what may go out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.text import slugify
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
    require_safe,
)

from cases.access import Act, case_for, may, require
from cases.appearances.queries import dates_for
from cases.course import CaseFrame, case_frame
from cases.court.models import Demand, RecordsRequest
from cases.court.page import read_request_page
from cases.court.queries import request_of
from cases.decisions import actions, enclosing, queries, ready
from cases.decisions.enclosed_rules import ending_of
from cases.decisions.forms import (
    AnswerForm,
    ApartForm,
    ApproveForm,
    AskForm,
    DecideForm,
    EncloseForm,
    ReachForm,
    SettleForm,
    StopForm,
    outcome_only,
)
from cases.decisions.models import Approval, LookAsked, Reach, Stop
from cases.decisions.proposal_rules import kinds_named, others_named
from cases.decisions.queries import Standing
from cases.decisions.rules import ItemKind
from cases.decisions.shown import DemandPage, Range, goes_out, may_approve_now
from evidence.store.serving import send_file
from me_office.accounts.requests import StaffRequest
from me_office.audit.actions import note_access
from me_office.audit.errors import NotAllowed, NotKnown, Refused, known, known_of_office
from me_office.audit.ids import new_id, uuid_in
from me_office.shell.confirming import ReasonForm
from me_office.shell.exports import exported
from me_office.shell.forms import OfficeFormMixin, answer_done, answer_form, submitted


@dataclass(frozen=True)
class _Opened:
    """A request that somebody opened, with where its pages are."""

    request: StaffRequest
    frame: CaseFrame
    asked: RecordsRequest

    @property
    def keys(self) -> dict[str, UUID]:
        """By what its addresses are made."""
        return {"case_id": self.asked.case_id, "request_id": self.asked.pk}

    @property
    def page_url(self) -> str:
        """The request's own page."""
        return reverse("court:request", kwargs=self.keys)

    def demand_url(self, demand: Demand) -> str:
        """The page of one of its demands."""
        return reverse("decisions:demand", kwargs={**self.keys, "demand_id": demand.pk})

    def form(
        self, form: OfficeFormMixin, title: str, save: str, back: str, **more: Any
    ) -> HttpResponse:
        """Answer with a page that is one form."""
        context = {"frame": self.frame, "asked": self.asked, "title": title, "save_label": save,
                   "back_url": back, **more}  # fmt: skip
        return answer_form(self.request, "decisions/form.html", context, form)


def _opened(
    request: StaffRequest, case_id: UUID, request_id: UUID, act: Act = Act.DECIDE_RELEASE
) -> _Opened:
    frame = case_frame(request.user, case_id, current="court", act=act)
    asked = request_of(case_id, request_id)
    asked.case = frame.case
    return _Opened(request, frame, asked)


@require_GET
def demand(request: StaffRequest, case_id: UUID, request_id: UUID, demand_id: UUID) -> HttpResponse:
    """Show what a demand reaches, what is proposed, and what was decided."""
    frame = case_frame(request.user, case_id, current="court")
    page = read_request_page(request.user, frame, request_id, current=demand_id)
    asked = page.asked
    found = queries.demand_of(asked, demand_id)
    standing = queries.standing_on_page(asked, request.user)
    shown = DemandPage(standing, found)
    may_decide = may(request.user, Act.DECIDE_RELEASE, frame.case) and asked.is_open
    context = {
        "frame": frame,
        "page": page,
        "shown": shown,
        "demand": found,
        "may_decide": may_decide,
        "asks_records": found.kind == queries.ASKS_RECORDS,
        "any_records": any(one.kind == queries.ASKS_RECORDS for one in standing.demands),
        "named": _named(shown) if may_decide else [],
        "going": goes_out(standing),
        "may_approve": may_approve_now(request.user, standing),
        "dates": dates_for(asked) if found.kind == "testimony" else (),
        "may_date": may(request.user, Act.KEEP_APPEARANCE, frame.case) and asked.is_open,
    }
    return render(request, "decisions/demand.html", context)


def _named(shown: DemandPage) -> list[dict[str, str]]:
    """What the demand's words seem to name and nobody chose yet, each to be chosen in a touch."""
    chosen = {(one.kind, one.words) for one in shown.reaches}
    kinds = {kind for kind, _ in chosen}
    texts = (shown.demand.title, shown.demand.words)
    offered = [
        {"kind": kind.value, "words": "", "label": kind.words}
        for kind in kinds_named(*texts)
        if kind is not ItemKind.OTHER and kind.value not in kinds
    ]
    offered += [
        {"kind": ItemKind.OTHER.value, "words": words, "label": words}
        for words in (one[:1].upper() + one[1:] for one in others_named(*texts))
        if (ItemKind.OTHER.value, words) not in chosen
    ]
    return offered


@require_http_methods(["GET", "POST"])
def decide(request: StaffRequest, case_id: UUID, request_id: UUID, demand_id: UUID) -> HttpResponse:
    """Decide about a range, a single item, or one undecided item after the other."""
    opened = _opened(request, case_id, request_id)
    found = queries.demand_of(opened.asked, demand_id)
    form = DecideForm(request.POST or None)
    saved = submitted(request, form, actions.decide_items, **opened.keys, demand_id=demand_id)
    shown = DemandPage(queries.standing_of(opened.asked, request.user), found)
    back = opened.demand_url(found)
    if saved:
        left = shown.undecided
        messages.success(request, f"Decided: {saved}.")
        if form.cleaned_data["onward"] and left:
            return redirect(f"{request.path}?next=1")
        return redirect(f"{back}#{saved.kind}-{saved.item}".replace(" ", "-"))
    chosen = _chosen(request, shown, form)
    if chosen is None:
        messages.info(request, "Nothing waits here. The page shows what was decided.")
        return redirect(back)
    if form.is_bound:
        form.show_now(chosen.tokens)
    else:
        _begin(form, chosen, request)
    context = {
        "chosen": chosen,
        "demand": found,
        "left": len(shown.undecided) if form["onward"].value() else 0,
        "replaces": chosen.decision is not None and not chosen.is_changed,
        "log_looks": shown.looks,
        "no_grounds": not shown.standing.grounds,
    }
    return opened.form(form, f"Decide on {chosen.called}", "Save the decision", back, **context)


def _chosen(request: StaffRequest, shown: DemandPage, form: DecideForm) -> Range | None:
    """Return what an address or a form that was refused is about."""
    if form.is_bound:
        names = {one.name for one in form.cleaned_data.get("items", ())}
        rows = [row for row in shown.rows if row.item.name in names]
        return Range(rows) if rows else None
    if "next" in request.GET:
        left = shown.undecided
        return Range(left[:1]) if left else None
    if "item" in request.GET:
        return shown.range_from(request.GET["item"], single=True)
    return shown.range_from(request.GET.get("range", ""))


def _begin(form: DecideForm, chosen: Range, request: StaffRequest) -> None:
    """Begin with what was decided, else with what is proposed."""
    form.fields["items"].initial = chosen.tokens
    form.fields["onward"].initial = "1" if "next" in request.GET else ""
    made, proposal = chosen.decision, chosen.proposal
    if made is not None:
        form.initial.update(outcome=made.outcome, ground=made.ground_id, held_by=made.held_by,
                            note=made.note)  # fmt: skip
    elif proposal.outcome is not None:
        outcome_only(form, proposal.outcome.value)
        ground = queries.ground_numbered(proposal.ground)
        form.initial["ground"] = ground.pk if ground else None


@require_http_methods(["GET", "POST"])
def reach(request: StaffRequest, case_id: UUID, request_id: UUID, demand_id: UUID) -> HttpResponse:
    """Choose which records a demand reaches."""
    opened = _opened(request, case_id, request_id)
    found = queries.demand_of(opened.asked, demand_id)
    cases = queries.cases_open_of(opened.asked, request.user)
    form = ReachForm(request.POST or None, cases=cases)
    saved = submitted(request, form, actions.reach_records, **opened.keys, demand_id=demand_id)
    back = opened.demand_url(found)
    if saved:
        return answer_done(request, f"Demand {found.number} reaches: {saved}.", back)
    title = f"Records that demand {found.number} reaches"
    return opened.form(form, title, "Add these records", back, intro=found.title)


def _by_hand(opened: _Opened, reach_id: UUID) -> tuple[Reach, bool]:
    """Return what was named by hand, and whether something is enclosed for it already."""
    reach = queries.reach_by_hand(opened.asked, reach_id)
    require(opened.request.user, Act.DECIDE_RELEASE, reach.case)
    return reach, reach.enclosures.filter(voided_at=None).exists()


@require_http_methods(["GET", "POST"])
def enclose(request: StaffRequest, case_id: UUID, request_id: UUID, reach_id: UUID) -> HttpResponse:
    """Attach a file to something that was named by hand."""
    opened = _opened(request, case_id, request_id)
    named, replaces = _by_hand(opened, reach_id)
    form = EncloseForm(request.POST or None, request.FILES or None, replaces=replaces)
    saved = submitted(request, form, enclosing.attach, **opened.keys, reach_id=reach_id)
    back = opened.demand_url(named.demand)
    if saved:
        return answer_done(request, f"Attached: {saved}. Now decide about it.", back)
    title = f"Attach a file: {named}"
    intro = "The file is kept unchanged, with its SHA-256. A decision made before is made again."
    return opened.form(form, title, "Attach the file", back, intro=intro, is_upload=True)


@require_http_methods(["GET", "POST"])
def apart(request: StaffRequest, case_id: UUID, request_id: UUID, reach_id: UUID) -> HttpResponse:
    """Say to whom something that was named by hand is handed, apart from the packet."""
    opened = _opened(request, case_id, request_id)
    named, replaces = _by_hand(opened, reach_id)
    form = ApartForm(request.POST or None, replaces=replaces)
    saved = submitted(request, form, enclosing.hand_over_apart, **opened.keys, reach_id=reach_id)
    back = opened.demand_url(named.demand)
    if saved:
        return answer_done(request, f"Recorded: {saved}. Now decide about it.", back)
    title = f"Hand over separately: {named}"
    intro = "The answer’s list of contents says to whom it was handed, and when."
    return opened.form(form, title, "Record the handover", back, intro=intro)


@require_safe
def enclosed_file(
    request: StaffRequest, case_id: UUID, request_id: UUID, record_id: UUID
) -> HttpResponseBase:
    """Send a file that was attached to something named by hand; that it was fetched is noted."""
    case_for(request.user, Act.SEE, case_id)
    one = queries.enclosure_of(request_of(case_id, request_id), record_id)
    case_for(request.user, Act.SEE, one.case_id)
    if one.file is None:
        raise NotKnown("It was handed over separately; no file is kept.")
    if request.method == "GET":
        note_access(request.user, case_id=one.case_id, what="attached file", record_id=one.pk)
    name = f"attached-{one.file.sha256[:12]}.{ending_of(one.file.media_type)}"
    return send_file(request, one.file, filename=name)


@require_http_methods(["GET", "POST"])
def take_away(
    request: StaffRequest, case_id: UUID, request_id: UUID, record_id: UUID
) -> HttpResponse:
    """Take back what was enclosed for something named by hand."""
    opened = _opened(request, case_id, request_id)
    record = queries.enclosure_of(opened.asked, record_id)
    require(request.user, Act.DECIDE_RELEASE, record.case)
    intro = "It then goes out in no answer. The file itself is kept."
    return _taking_back(
        opened, record, enclosing.withdraw_enclosure, f"Remove: {record}", "Remove it",
        opened.demand_url(record.reach.demand), intro,
    )  # fmt: skip


@require_http_methods(["GET", "POST"])
def leave_out(
    request: StaffRequest, case_id: UUID, request_id: UUID, record_id: UUID
) -> HttpResponse:
    """Take back that a demand reaches some records."""
    opened = _opened(request, case_id, request_id)
    rows = Reach.objects.active().filter(request=opened.asked, pk=record_id)
    record = known(rows.select_related("demand").first(), "choice")
    intro = f"Demand {record.demand.number} no longer reaches them. What was decided is kept."
    return _taking_back(
        opened, record, actions.leave_out_records, f"Leave out: {record}", "Leave them out",
        opened.demand_url(record.demand), intro,
    )  # fmt: skip


def _taking_back(
    opened: _Opened,
    record: Any,
    act: Callable[..., Any],
    title: str,
    save: str,
    back: str,
    intro: str,
) -> HttpResponse:
    form = ReasonForm(opened.request.POST or None, record=record)
    keys = {name: value for name, value in opened.keys.items() if _takes(act, name)}
    if submitted(opened.request, form, act, **keys, record_id=record.pk):
        return answer_done(opened.request, f"{title}: done.", back)
    return opened.form(form, title, save, back, intro=intro)


def _takes(act: Callable[..., Any], name: str) -> bool:
    from me_office.audit.actions import parameters

    return name in parameters(act)


@require_POST
def difference(
    request: StaffRequest, case_id: UUID, request_id: UUID, demand_id: UUID
) -> HttpResponse:
    """Set aside what one earlier release sent."""
    opened = _opened(request, case_id, request_id)
    found = queries.demand_of(opened.asked, demand_id)
    try:
        saved = actions.set_aside_sent(
            request.user,
            case_id=case_id,
            request_id=request_id,
            demand_id=demand_id,
            record_id=_posted_key(request),
            sent=request.POST.get("sent", ""),
        )
        messages.success(request, f"Left out: what was {saved.note}.")
    except Refused as error:
        messages.error(request, error.message)
    return redirect(opened.demand_url(found))


def _posted_key(request: StaffRequest) -> UUID:
    return uuid_in(request.POST.get("record_id", "")) or new_id()


@require_http_methods(["GET", "POST"])
def ask(request: StaffRequest, case_id: UUID, request_id: UUID, demand_id: UUID) -> HttpResponse:
    """Ask a named person to look."""
    opened = _opened(request, case_id, request_id)
    found = queries.demand_of(opened.asked, demand_id)
    form = AskForm(request.POST or None, case=opened.frame.case)
    saved = submitted(request, form, actions.ask_to_look, **opened.keys, demand_id=demand_id)
    back = opened.demand_url(found)
    if saved:
        return answer_done(request, f"Asked: {saved.asked_of}.", back)
    title = f"Ask somebody to look, demand {found.number}"
    return opened.form(form, title, "Ask", back, intro=found.title)


def _look_of(asked: RecordsRequest, record_id: UUID) -> LookAsked:
    rows = LookAsked.objects.active().filter(request=asked, pk=record_id)
    return known(rows.select_related("asked_of", "demand", "created_by").first(), "question")


@require_http_methods(["GET", "POST"])
def answer(request: StaffRequest, case_id: UUID, request_id: UUID, record_id: UUID) -> HttpResponse:
    """Answer what one was asked to look at."""
    opened = _opened(request, case_id, request_id, Act.APPROVE_RELEASE)
    look = _look_of(opened.asked, record_id)
    if look.asked_of_id != request.user.pk:
        raise NotAllowed(f"{look.asked_of} was asked, and answers in person.")
    form = AnswerForm(request.POST or None, record=look)
    back = opened.demand_url(look.demand)
    if submitted(request, form, actions.answer_look, **opened.keys, record_id=record_id):
        return answer_done(request, "Your answer is recorded.", back)
    about = f"{look.label}. " if look.label else f"{look.demand.title}. "
    intro = f"{about}{look.created_by} asks: {look.words}"
    return opened.form(form, "Answer a question", "Record my answer", back, intro=intro)


@require_http_methods(["GET", "POST"])
def withdraw_look(
    request: StaffRequest, case_id: UUID, request_id: UUID, record_id: UUID
) -> HttpResponse:
    """Take back a question."""
    opened = _opened(request, case_id, request_id)
    look = _look_of(opened.asked, record_id)
    return _taking_back(
        opened, look, actions.withdraw_look, f"Take back the question to {look.asked_of}",
        "Take it back", opened.demand_url(look.demand), look.words,
    )  # fmt: skip


@require_http_methods(["GET", "POST"])
def approve(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Show everything that was decided to the second person, who approves it."""
    opened = _opened(request, case_id, request_id, Act.APPROVE_RELEASE)
    standing = queries.standing_of(opened.asked, request.user)
    form = ApproveForm(request.POST or None, initial={"digest": standing.digest})
    if submitted(request, form, actions.approve_release, **opened.keys):
        return answer_done(request, "Approved, as it stands.", opened.page_url)
    context = {
        "frame": opened.frame,
        "asked": opened.asked,
        "standing": standing,
        "demands": [DemandPage(standing, one) for one in standing.demands],
        "going": goes_out(standing),
        "log": ready.log_of(standing),
        "decided_by_you": request.user.pk in standing.deciders,
    }
    return answer_form(request, "decisions/approve.html", context, form)


@require_http_methods(["GET", "POST"])
def end_approval(
    request: StaffRequest, case_id: UUID, request_id: UUID, record_id: UUID
) -> HttpResponse:
    """Take back an approval."""
    opened = _opened(request, case_id, request_id, Act.APPROVE_RELEASE)
    rows = Approval.objects.active().filter(request=opened.asked, pk=record_id)
    record = known(rows.first(), "approval")
    intro = "The answer can then not be built until somebody approves it again."
    return _taking_back(
        opened, record, actions.end_approval, "Take back the approval", "Take it back",
        opened.page_url, intro,
    )  # fmt: skip


@require_http_methods(["GET", "POST"])
def note_stop(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Note what keeps answers of the case back."""
    opened = _opened(request, case_id, request_id)
    form = StopForm(request.POST or None, asked=opened.asked)
    saved = submitted(request, form, actions.note_stop, case_id=case_id)
    if saved:
        return answer_done(request, f"Noted: {saved.get_kind_display()}.", opened.page_url)
    intro = "No answer of the case is built until somebody decides about it, for each request."
    return opened.form(
        form, "Note what keeps answers back", "Note it", opened.page_url, intro=intro
    )


@require_http_methods(["GET", "POST"])
def settle_stop(request: StaffRequest, case_id: UUID, request_id: UUID, stop: str) -> HttpResponse:
    """Decide that a stop does not keep the answer back."""
    opened = _opened(request, case_id, request_id)
    standing = queries.standing_of(opened.asked, request.user)
    found = known_of_office(
        next((one for one in standing.stops if one.key == stop), None), "stop for this request"
    )
    form = SettleForm(request.POST or None)
    if submitted(request, form, actions.settle_stop, **opened.keys, stop=stop):
        return answer_done(request, "Decided: it does not keep the answer back.", opened.page_url)
    return opened.form(
        form, "Decide about what keeps the answer back", "It may go out", opened.page_url,
        intro=found.words,
    )  # fmt: skip


@require_http_methods(["GET", "POST"])
def lift_stop(
    request: StaffRequest, case_id: UUID, request_id: UUID, record_id: UUID
) -> HttpResponse:
    """Lift what kept answers back."""
    opened = _opened(request, case_id, request_id)
    rows = Stop.objects.active().filter(case=case_id, pk=record_id)
    record = known(rows.first(), "stop")
    return _taking_back(
        opened, record, actions.lift_stop, f"Lift: {record.get_kind_display()}", "Lift it",
        opened.page_url, f"{record.why}. It keeps no answer of the case back any more.",
    )  # fmt: skip


@require_GET
def withheld(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Show the log of what is kept back."""
    frame = case_frame(request.user, case_id, current="court")
    asked = request_of(case_id, request_id)
    standing = queries.standing_of(asked, request.user)
    context = {"frame": frame, "asked": asked, "log": ready.log_of(standing)}
    return render(request, "decisions/withheld.html", context)


@require_GET
def withheld_csv(request: StaffRequest, case_id: UUID, request_id: UUID) -> StreamingHttpResponse:
    """Send the log of what is kept back as CSV."""
    case_frame(request.user, case_id, current="court")
    asked = request_of(case_id, request_id)
    rows = ready.log_lines(_standing(asked, request))
    name = f"withheld-{slugify(asked.cause_number or str(asked.pk))}"
    return exported(
        request.user, "log of what is kept back", rows, asked={"request": str(asked.pk)}, name=name
    )


def _standing(asked: RecordsRequest, request: StaffRequest) -> Standing:
    return queries.standing_of(asked, request.user)

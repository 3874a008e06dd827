"""Pages of short keys and of the office's words."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse, JsonResponse
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, may_somewhere, require_role
from cases.drafting import actions, queries
from cases.drafting.forms import OfficeWordForm, ShortKeyForm
from cases.drafting.models import ShortKey
from findings.forms import VoidForm
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import NotAllowed
from me_office.shell.confirming import Confirmation, confirming
from me_office.shell.forms import answer_done, answer_form, submitted


@require_GET
def keys(request: StaffRequest) -> HttpResponse:
    """Answer with the texts of the person's short keys, for the page on which they type."""
    require_role(request.user, Act.SEE)
    answer = JsonResponse({"texts": queries.texts_for(request.user)})
    answer["Cache-Control"] = "no-store"
    return answer


@require_http_methods(["GET", "POST"])
def short_keys(request: StaffRequest) -> HttpResponse:
    """Show the person's short keys and the office's; add one."""
    require_role(request.user, Act.SEE)
    may_share = may_somewhere(request.user, Act.KEEP_OFFICE_TEXTS)
    form = ShortKeyForm(request.POST or None, may_share=may_share)
    made = submitted(request, form, actions.keep_short_key)
    if made:
        return answer_done(request, f"Saved: {made}.", "drafting:short-keys")
    known = queries.short_keys_for(request.user)
    context = {
        "own": [one for one in known if one.owner_id],
        "shared": [one for one in known if not one.owner_id],
        "may_share": may_share,
    }
    return answer_form(request, "drafting/short_keys.html", context, form)


@require_http_methods(["GET", "POST"])
def short_key(request: StaffRequest, record_id: UUID) -> HttpResponse:
    """Change a short key, with what it was before."""
    record = _changeable(request, record_id)
    form = ShortKeyForm(request.POST or None, instance=record)
    saved = submitted(request, form, actions.keep_short_key, record_id=record_id)
    if saved:
        return answer_done(request, f"Saved: {saved}.", "drafting:short-keys")
    context = {"record": record, "acts": queries.history_of(record)}
    return answer_form(request, "drafting/short_key.html", context, form)


@require_http_methods(["GET", "POST"])
def void_short_key(request: StaffRequest, record_id: UUID) -> HttpResponse:
    """Withdraw a short key, with the reason."""
    record = _changeable(request, record_id)
    said = Confirmation(
        f"Withdraw {record}",
        f"{record} will no longer become a text. What was written with it stays.",
        "Withdraw the short key",
        back=reverse("drafting:short-keys"),
        done=f"Withdrawn: {record}.",
        stop=False,
        form_class=VoidForm,
    )
    return confirming(request, record, actions.void_short_key, said, record_id=record.pk)


@require_http_methods(["GET", "POST"])
def words(request: StaffRequest) -> HttpResponse:
    """Show the words that the office spells so; add one."""
    require_role(request.user, Act.SEE)
    form = OfficeWordForm(request.POST or None, initial={"word": request.GET.get("word", "")[:60]})
    made = submitted(request, form, actions.add_office_word)
    if made:
        return answer_done(request, f"“{made}” is no longer asked about.", "drafting:words")
    context = {
        "words": queries.office_words(),
        "may_add": may_somewhere(request.user, Act.KEEP_OFFICE_TEXTS),
    }
    return answer_form(request, "drafting/words.html", context, form)


@require_http_methods(["GET", "POST"])
def void_word(request: StaffRequest, record_id: UUID) -> HttpResponse:
    """Withdraw a word, with the reason."""
    require_role(request.user, Act.KEEP_OFFICE_TEXTS)
    record = queries.office_word_of(record_id)
    said = Confirmation(
        f"Withdraw “{record}”",
        f"“{record}” will be asked about again where a report has it.",
        "Withdraw the word",
        back=reverse("drafting:words"),
        done=f"“{record}” is asked about again.",
        stop=False,
        form_class=VoidForm,
    )
    return confirming(request, record, actions.void_office_word, said, record_id=record.pk)


def _changeable(request: StaffRequest, record_id: UUID) -> ShortKey:
    record = queries.short_key_of(request.user, record_id)
    if record.owner_id is None and not may_somewhere(request.user, Act.KEEP_OFFICE_TEXTS):
        raise NotAllowed("A pathologist or supervisor changes the short keys of the office.")
    return record

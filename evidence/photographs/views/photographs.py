"""Pages of the photograph log."""

from __future__ import annotations

from copy import copy
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, decision_on, may
from cases.course import CaseFrame, case_frame
from cases.models import Case
from cases.views.confirming import confirms
from cases.views.parts import part_of
from evidence.custody.queries import custody_of
from evidence.items.pages import Withdrawal, of_numbered
from evidence.photographs import actions
from evidence.photographs import queries as photograph_queries
from evidence.photographs.forms import FindForm, LinkForm, OutlineForm, PhotographForm
from evidence.photographs.models import Photograph
from evidence.photographs.outlines import overlay_of
from evidence.photographs.pointed_out import pointed_out
from me_office.accounts.requests import StaffRequest
from me_office.accounts.roles import Role
from me_office.audit.ids import uuid_in
from me_office.shell.forms import answer_done, answer_form, is_part, submitted
from me_office.shell.templatetags.office import moment

PICTURE = "photographs"


def _filter_of(request: StaffRequest) -> photograph_queries.LogFilter:
    asked = request.GET
    places = {value for value, _ in Photograph.PLACES}
    views = {value for value, _ in Photograph.VIEWS}
    after = asked.get("after", "")
    return photograph_queries.LogFilter(
        place=asked.get("place", "") if asked.get("place") in places else "",
        view=asked.get("view", "") if asked.get("view") in views else "",
        scale=asked.get("scale", "") if asked.get("scale") in {"with", "without"} else "",
        without_finding=asked.get("finding") == "none",
        finding_id=uuid_in(asked.get("finding", "")),
        undescribed=asked.get("words") == "none",
        words=asked.get("q", "").strip()[:80],
        after=int(after) if after.isdecimal() and len(after) < 9 else 0,
    )


def _choices(request: StaffRequest) -> list[list[dict[str, object]]]:
    """The filters as words; choosing one keeps the others, choosing it again takes it away."""
    offered = [
        [("place", value, words) for value, words in Photograph.PLACES],
        [("view", value, words) for value, words in Photograph.VIEWS],
        [("scale", "with", "with scale"), ("scale", "without", "without scale")],
        [("finding", "none", "without finding"), ("words", "none", "not described")],
    ]
    return [[_choice(request, *each) for each in group] for group in offered]


def _choice(request: StaffRequest, name: str, value: str, words: str) -> dict[str, object]:
    query = request.GET.copy()
    query.pop("after", None)
    chosen = query.get(name) == value
    if chosen:
        del query[name]
    else:
        query[name] = value
    return {"words": words, "url": f"?{query.urlencode()}", "chosen": chosen}


def _next_url(request: StaffRequest, page: photograph_queries.PhotographPage) -> str:
    if page.next_after is None:
        return ""
    query = request.GET.copy()
    query["after"] = str(page.next_after)
    return f"?{query.urlencode()}"


@require_GET
def photographs(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the photograph log of a case; for htmx only the pictures that follow."""
    frame = case_frame(request.user, case_id, current=PICTURE)
    page = photograph_queries.photograph_page(frame.case, _filter_of(request))
    context = {"frame": frame, "page": page, "next_url": _next_url(request, page)}
    if is_part(request):
        answer = render(request, "evidence/_photograph_cells.html", context)
    else:
        context |= _about_log(request, frame)
        answer = render(request, "evidence/photographs.html", context)
    patch_vary_headers(answer, ["HX-Request"])
    return answer


def _about_log(request: StaffRequest, frame: CaseFrame) -> dict[str, object]:
    found = pointed_out(frame.case)
    one = uuid_in(request.GET.get("finding", ""))
    return {
        "choices": _choices(request),
        "find_form": FindForm(initial={"q": request.GET.get("q", "").strip()[:80]}),
        "kept": [(name, value) for name, value in request.GET.items() if name not in LEFT_OUT],
        "of_finding": photograph_queries.finding_of(frame.case, one) if one else None,
        "filtered": bool(set(request.GET) - {"after"}),
        "first_url": request.path if "after" in request.GET else "",
        "gaps": found.missing,
        "missing_groups": found.groups,
        "proposals": len(found.proposals),
        "may_add": may(request.user, Act.PHOTOGRAPH, frame.case),
    }


# What looking for words begins anew, while the other filters stay.
LEFT_OUT = {"q", "after"}


@require_http_methods(["GET", "POST"])
def photograph(request: StaffRequest, case_id: UUID, photograph_id: UUID) -> HttpResponse:
    """Show one photograph with its line in the log, and change the line."""
    frame = case_frame(request.user, case_id, current=PICTURE)
    shown = photograph_queries.photograph_of(frame.case, photograph_id)
    # A form fills its record while it checks; the page goes on showing what is stored.
    form = PhotographForm(request.POST or None, instance=copy(shown))
    saved = submitted(
        request, form, actions.describe_photograph, case_id=case_id, photograph_id=photograph_id
    )
    if saved:
        return answer_done(
            request,
            f"Photograph {saved.number} saved.",
            "evidence:photograph",
            case_id=case_id,
            photograph_id=photograph_id,
        )
    context = one_photograph(request, frame, shown)
    return answer_form(request, "evidence/photograph.html", context, form)


def one_photograph(request: StaffRequest, frame: CaseFrame, shown: Photograph) -> dict[str, object]:
    """Return what the page of one photograph shows."""
    before, after = photograph_queries.neighbors(frame.case, shown.number)
    links = shown.active_links
    may_change = may(request.user, Act.PHOTOGRAPH, frame.case) and not shown.is_voided
    linked = {link.finding_id for link in links}
    findings = photograph_queries.findings_to_link(frame.case) if may_change else []
    to_link = [finding for finding in findings if finding.pk not in linked]
    supervisor = request.user.has_role(Role.SUPERVISOR)
    return {
        "frame": frame,
        "photograph": shown,
        "before": before,
        "after": after,
        "custody": custody_of(shown.item),
        "may_change": may_change,
        "may_redact": may(request.user, Act.PREPARE_EXHIBITS, frame.case),
        "veiled": shown.graphic and not may_change,
        "overlay": overlay_of(shown, links, selected=uuid_in(request.GET.get("finding", ""))),
        "on_chart": ",".join(str(link.finding_id) for link in links),
        "draw_form": OutlineForm(auto_id="id_drawn_%s") if may_change else None,
        "all_series": photograph_queries.series_of(frame.case, photograph_id=shown.pk),
        "described": _described(shown),
        "original": _original(shown),
        "link_form": LinkForm(findings=to_link) if to_link else None,
        "looks": photograph_queries.looks_at(shown) if supervisor else None,
        "why_locked": ""
        if may_change
        else decision_on(request.user, Act.PHOTOGRAPH, frame.case).why,
    }


def _described(shown: Photograph) -> list[tuple[str, Any]]:
    return [
        ("Photographer", shown.photographer),
        ("Taken at", moment(shown.taken_at)),
        ("Place", shown.get_place_display()),
        ("Region", shown.region),
        ("Scale", "in the picture" if shown.with_scale else "not in the picture"),
    ]


def _original(shown: Photograph) -> list[tuple[str, Any]]:
    camera = shown.exif
    return [
        ("SHA-256", shown.file.sha256),
        ("Stored", moment(shown.file.stored_at)),
        ("Camera", f"{camera.get('make', '')} {camera.get('model', '')}".strip()),
        ("Serial number", camera.get("serial", "")),
        ("Lens", camera.get("lens", "")),
        ("Camera's clock", f"{camera.get('taken', '')} {camera.get('taken_offset', '')}".strip()),
    ]


@part_of("evidence:photograph", "photograph_id")
def preview(request: StaffRequest, case: Case, photograph_id: UUID) -> HttpResponse:
    """Show the picture alone, or what stands for it: asked again until the copy is made."""
    shown = photograph_queries.photograph_of(case, photograph_id)
    large = "large" in request.GET
    context = {"photograph": shown, "case": case, "large": large, "veiled": shown.graphic}
    if large and may(request.user, Act.PHOTOGRAPH, case):
        context["veiled"] = False
    return render(request, "evidence/_picture.html", context)


@confirms(PICTURE, Act.PHOTOGRAPH, photograph_queries.photograph_of, actions.void_photograph)
def withdraw_photograph(shown: Photograph) -> Withdrawal:
    """Withdraw a photograph; its file stays in the store."""
    says = (
        f"Photograph {shown.number} will no longer count in this case. Its number is not used "
        "again, its file stays in the store, and the history keeps it."
    )
    keys = {"case_id": shown.case_id, "photograph_id": shown.pk}
    back = reverse("evidence:photograph", kwargs=keys)
    then = reverse("evidence:photographs", kwargs={"case_id": shown.case_id})
    return of_numbered("photograph", shown.number, says, back=back, then=then)


@part_of("evidence:photographs", end="?finding={finding_id}")
def finding_thread(request: StaffRequest, case: Case, finding_id: UUID) -> HttpResponse:
    """The photographs of one finding, for the thread beside the body chart."""
    finding = photograph_queries.finding_of(case, finding_id)
    context = {
        "case": case,
        "finding": finding,
        "photographs": photograph_queries.photographs_of_finding(case, finding),
        "may_add": may(request.user, Act.PHOTOGRAPH, case) and not finding.is_voided,
    }
    return render(request, "evidence/_finding_thread.html", context)

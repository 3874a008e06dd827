"""What the chart page shows: one context for every panel beside the chart."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any
from urllib.parse import parse_qs, urlsplit
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import NoReverseMatch, reverse
from django.utils.cache import patch_vary_headers
from django.utils.safestring import SafeString, mark_safe

from cases.access import Act, decision_on
from cases.course import CaseFrame, case_frame
from findings import queries
from findings.body.drawing import Mark, chart_svg
from findings.body.marks import CLASSES
from findings.chart import queries as chart_queries
from findings.chart import tabs as chart_views
from findings.chart.placing import drawn_line_words, share_of_surface
from findings.chart.presence import EVERY_SECONDS
from findings.computing.fitting import fitting_finding
from findings.models import Examination, Finding
from findings.models import Mark as MarkRow
from findings.paths import queries as path_queries
from findings.paths import wound_paths
from findings.postmortem import lividity
from findings.postmortem import queries as postmortem_queries
from findings.questions import queries as question_queries
from findings.rules import FindingClass, MarkKind, offers_path
from findings.words import queries as word_queries
from findings.words import vocabulary
from findings.words.layers import Layer
from findings.words.plain import plainly
from findings.words.sentences import begin_small, share_words
from me_office.accounts.requests import StaffRequest
from me_office.audit.models import Record
from me_office.shell.forms import OfficeFormMixin, is_part, say_needed


@dataclass(frozen=True)
class ListRow:
    """One finding as the list beside the chart shows it."""

    finding: Finding
    css: str
    size: str
    seen: str
    current: bool
    lit: bool


@lru_cache(maxsize=128)
def _drawn(body: str, view: str, marks: tuple[Mark, ...]) -> str:
    # Placing labels takes longer than everything else on the page; the same marks on the same
    # view give the same drawing, so each process keeps the last ones.
    svg = chart_svg(body, view, marks, standalone=False)
    # The drawing stands at the top of its room, so that the inset has space below a wide one.
    return svg.replace(" viewBox=", ' preserveAspectRatio="xMidYMin meet" viewBox=', 1)


@lru_cache(maxsize=512)
def _share(body: str, view: str, kind: str, points: tuple[tuple[float, float], ...]) -> float:
    return share_of_surface(body, view, kind, points) or 0.0


def drawing(body: str, view: str, marks: list[Mark], selected: Iterable[int] = ()) -> SafeString:
    """The chart of a view with the findings of the numbers in `selected` marked as such."""
    svg = _drawn(body, view, tuple(marks))
    numbers = "|".join(str(number) for number in selected)
    if numbers:
        svg = re.sub(
            rf'(class="mark(?:-label)? [^"]*)(" data-number="(?:{numbers})")',
            r"\1 is-selected\2",
            svg,
        )
    return mark_safe(svg)  # noqa: S308 - made by our own drawing, which escapes what it is given


def klass_css(klass: str) -> str:
    """The style class of a class of finding: the chart and the list share it."""
    return f"mark-{klass.replace(' ', '-')}"


def show(
    request: StaffRequest,
    case_id: UUID,
    *,
    finding_id: UUID | None = None,
    panel: str = "detail",
    form: OfficeFormMixin | None = None,
    lit: Collection[UUID] = (),
    **more: Any,
) -> HttpResponse:
    """Answer with the chart page, or for htmx with its work part, and one panel beside the chart.

    The findings in `lit` light up beside the selected one: those that one photograph shows.

    `form` is the panel's form; with errors the answer is 422, and 409 when it is stale.
    """
    frame = case_frame(request.user, case_id, current="examination")
    examination = queries.examination_of(frame.case)
    if examination is None:
        return redirect("findings:examination", case_id=case_id)
    context = _context(request, frame, examination, finding_id, lit)
    context |= {"panel": f"findings/_panel_{panel}.html", "form": form, **more}
    context["reason_field"] = reason_of(form, examination)
    status = 200
    if form is not None and form.is_bound and form.errors:
        status = 409 if form.is_stale else 422
    part = is_part(request)
    template = "findings/_chart_work.html" if part else "findings/chart.html"
    response = render(request, template, context, status=status)
    patch_vary_headers(response, ["HX-Request"])
    if part and request.method == "GET":
        response["HX-Push-Url"] = _with_view(request, context["view"])
    return response


def _with_view(request: StaffRequest, view: str) -> str:
    """The address with the view in it, so that the next finding is shown there if it can be."""
    path = request.get_full_path()
    return path if "view" in request.GET else f"{path}{'&' if '?' in path else '?'}view={view}"


def examined(request: StaffRequest, case_id: UUID, form: Any = None) -> dict[str, Any] | None:
    """What a page of a part of the examination shows of the whole; None before it is opened.

    The case's frame, the examination, whether the person may record and why not, and the form's
    field for the reason.
    """
    frame = case_frame(request.user, case_id, current="examination")
    examination = queries.examination_of(frame.case)
    if examination is None:
        return None
    decision = decision_on(request.user, Act.EXAMINE, frame.case)
    return {
        "frame": frame,
        "examination": examination,
        "reason_field": reason_of(form, examination),
        "may_examine": decision.allowed,
        "why_not": decision.why,
    }


def reason_of(form: Any, examination: Examination) -> Any:
    """The form's field for the reason, if it asks for one; it says when one is needed."""
    if form is None or "reason" not in form.fields:
        return None
    if examination.ended_at is not None:
        say_needed(form, "required, as the examination has ended", "reason")
    return form["reason"]


def _context(
    request: StaffRequest,
    frame: CaseFrame,
    examination: Examination,
    finding_id: UUID | None,
    lit: Collection[UUID],
) -> dict[str, Any]:
    findings = queries.findings_of(frame.case)
    selected = next((one for one in findings if one.pk == finding_id), None)
    decision = decision_on(request.user, Act.EXAMINE, frame.case)
    lit_findings = [one for one in findings if one.pk in lit]
    chart = _chart(request, frame, examination, findings, selected, lit_findings)
    return {
        "frame": frame,
        # Whoever leaves a form comes back to what it was about.
        "back_url": chart_url(frame.case.pk, finding_id, chart["view"])
        + ("#finding" if finding_id else "#findings"),
        "examination": examination,
        "selected": selected,
        "rows": [
            ListRow(
                one,
                klass_css(one.klass),
                one.size_words,
                "" if one.size_words else _short(one),
                one is selected,
                one in lit_findings,
            )
            for one in findings
        ],
        "lit": lit_findings,
        "present_every": EVERY_SECONDS,
        "voided": queries.voided_findings_of(frame.case),
        "total": queries.injury_counts_of(findings),
        "may_examine": decision.allowed,
        "probe_hole": question_queries.probe_hole_question(examination, findings),
        "why_not": decision.why,
        **chart,
        **_about(selected, findings),
        **_words(),
    }


def _short(finding: Finding) -> str:
    """The first line of what was seen; the style sheet shortens it to the room there is."""
    return finding.seen_as.strip().split("\n")[0][:80]


def _chart(
    request: StaffRequest,
    frame: CaseFrame,
    examination: Examination,
    findings: list[Finding],
    selected: Finding | None,
    lit: list[Finding],
) -> dict[str, Any]:
    marks = chart_queries.chart_marks(frame.case, findings=findings)
    body = examination.chart_body
    view = request.GET.get("view") or request.POST.get("view")
    view = chart_views.known_view(view or _view_of(request, selected, body, marks))
    opposite = chart_views.OPPOSITE[view]
    numbers = [one.number for one in (*lit, *([selected] if selected else []))]
    drawn, inset = drawing(body, view, marks, numbers), drawing(body, opposite, marks, numbers)
    return {
        "view": view,
        "view_title": chart_views.title_of(view),
        "schematic": chart_views.is_schematic(view),
        "tabs": chart_views.tabs(view),
        "tabs_within": chart_views.tabs_within(view),
        "menu": chart_views.menu(view),
        "menu_word": chart_views.menu_word(view),
        "chart": drawn,
        "marks_here": drawn.count('<g class="mark mark-'),
        "opposite": opposite,
        "opposite_title": chart_views.title_of(opposite),
        "opposite_marks": inset.count('<g class="mark mark-'),
        "inset": inset,
        "legend": [
            (look.title, look.css)
            for look in CLASSES.values()
            if f'<g class="mark {look.css} ' in drawn
        ],
    }


def _view_of(
    request: StaffRequest, finding: Finding | None, body: str, marks: Iterable[Mark]
) -> str:
    """The view that is open, as long as the finding is seen in it; else that of its first mark."""
    there = request.htmx.current_url or ""
    open_view = parse_qs(urlsplit(there).query).get("view", [""])[0]
    placed = list(finding.marks.all()) if finding else []
    if finding is None or not placed:
        return open_view or chart_views.FIRST_VIEW
    if open_view in chart_views.ALL_VIEWS:
        seen = f'" data-number="{finding.number}"'
        if seen in _drawn(body, open_view, tuple(marks)):
            return open_view
    return placed[0].view


def _about(selected: Finding | None, findings: list[Finding]) -> dict[str, Any]:
    if selected is None:
        return {}
    group = selected.impact_group
    with_it = [
        one.number for one in findings if group and one.impact_group == group and one != selected
    ]
    order = {layer.value: place for place, layer in enumerate(Layer)}
    marks = list(selected.marks.all())
    area = next((mark for mark in marks if mark.kind == "area"), None)
    case_id = selected.case_id
    return {
        "standard_sentence": queries.standard_sentence_of(selected),
        "apart": queries.changed_since_worded(selected),
        # A text that is older than the comparison is only known to be older.
        "older": selected.sentence_is_older and not selected.sentence_from,
        "layers": sorted(selected.layers.all(), key=lambda one: order[one.layer]),
        "interpretations": list(selected.interpretations.all()),
        "mark_rows": [(mark, _line_words(selected, mark), _area_words(mark)) for mark in marks],
        "paths": path_queries.path_rows(selected),
        "path_limits": wound_paths.LIMITS,
        "fitting": fitting_finding(selected),
        "offers_path": offers_path(selected.mechanism, selected.term),
        "place_small": begin_small(selected.place),
        "position_words": queries.position_words(selected),
        "questions": question_queries.questions_about(selected),
        "replaced_by": [
            (old, ", ".join(begin_small(new) for new in vocabulary.replaced_by(old)))
            for old in (selected.term, selected.mechanism)
            if vocabulary.replaced_by(old)
        ],
        "has_wound": not queries.wound_in(selected).is_empty,
        "grouped_with": with_it,
        "derived_place": queries.place_of(marks[0]) if marks else "",
        "share": share_words(
            _share(
                selected.examination.chart_body,
                area.view,
                area.kind,
                tuple((u, v) for u, v in area.points),
            )
        )
        if area
        else "",
        "lividity_caution": _lividity_caution(selected),
        "color_caution": vocabulary.bruise_caution(
            selected.klass, selected.term, selected.seen_as, selected.colour
        ),
        "plain_words": plainly(selected),
        "photographs_url": finding_url(
            "evidence:finding-thread", case_id=case_id, finding_id=selected.pk
        ),
        "history_url": history_url(case_id, selected),
    }


def _line_words(finding: Finding, mark: MarkRow) -> str:
    length = finding.examination.crown_heel_cm
    if mark.kind != MarkKind.LINE:
        return ""
    return drawn_line_words(mark.view, mark.points, float(length) if length else None)


def _area_words(mark: MarkRow) -> str:
    return "" if mark.area_percent is None else share_words(float(mark.area_percent))


def _lividity_caution(finding: Finding) -> str:
    if not lividity.is_lividity(finding.term):
        return ""
    found = postmortem_queries.scene_lividity(finding.examination)
    return lividity.lividity_caution(found, finding.place, finding.seen_as)


def history_url(case_id: UUID, record: Record) -> str:
    """Where to read who changed a record; empty when the office runs without that part."""
    table = type(record)._meta.db_table
    return finding_url("history:record-history", case_id=case_id, table=table, record_id=record.pk)


def finding_url(name: str, **kwargs: Any) -> str:
    """The address of a page of another part of the office; empty where it runs without that."""
    try:
        return reverse(name, kwargs=kwargs)
    except NoReverseMatch:
        return ""  # this office runs without that part


def _words() -> dict[str, Any]:
    return {
        "term_lists": [(one.value, vocabulary.terms_of(one.value)) for one in FindingClass],
        "all_terms": sorted({term for terms in vocabulary.TERMS.values() for term in terms}),
        "mechanisms": vocabulary.MECHANISMS,
        # Read only where the lists are printed.
        "office_terms": word_queries.office_terms(),
    }


def chart_url(case_id: UUID, finding_id: UUID | None = None, view: str = "") -> str:
    """The chart with a finding selected."""
    asked = "&".join(
        f"{name}={value}" for name, value in (("finding", finding_id), ("view", view)) if value
    )
    return reverse("findings:chart", args=[case_id]) + (f"?{asked}" if asked else "")

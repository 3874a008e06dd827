"""Everything a report or a packet says, read from the case file in a fixed number of statements."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils import timezone

from cases.exhibits.models import Redaction
from cases.exhibits.queries import redactions_in_force
from cases.models import Case
from cases.review.content import report_content
from cases.review.late import LateResult, late_results
from cases.review.lines import Lines
from cases.review.models import Addendum, Report, ReportDraft, ReviewDecision, SignedPdf
from cases.review.queries import addenda_of
from cases.review.rules import ReportState, canonical_of
from cases.signatures.keeping import Plan, plan_kept
from cases.signatures.queries import document_of_report
from evidence.custody.queries import ItemCustody, custody_record
from evidence.measuring.models import Measurement
from evidence.measuring.overlays import overlay_svg, overlay_words
from evidence.measuring.queries import measurements_in
from evidence.photographs.models import Photograph
from evidence.photographs.queries import PacketPhotograph, photographs_for_packet
from findings.body import drawing
from findings.body.views import SCHEMATICS, VIEWS, body_model, view_title
from me_office.audit.guard import tables_that
from me_office.audit.models import AuditEvent
from me_office.audit.queries import told_of

# The whole body from the front and the back is always drawn; other views when they hold a mark.
ALWAYS_DRAWN = ("anterior", "posterior")
WHOLE_BODY = frozenset({"anterior", "posterior", "left", "right"})


@dataclass(frozen=True)
class Chart:
    """One view of the body chart with its marks, as a drawing that stands alone."""

    view: str
    title: str
    svg: str
    alternative: str
    whole_body: bool


@dataclass(frozen=True)
class Material:
    """What a report prints and a packet holds."""

    case: Case
    report: Report | None
    draft: ReportDraft | None
    decision: ReviewDecision | None
    content: dict[str, Any]
    addenda: Sequence[Addendum]
    late_results: Sequence[LateResult]
    charts: Sequence[Chart]
    photographs: Sequence[PacketPhotograph]
    withdrawn_photographs: Sequence[Photograph]
    redactions: Mapping[UUID, Redaction]
    measurements: Sequence[Measurement]
    custody: Sequence[ItemCustody]
    read_at: datetime
    name: str
    signed_pdf: SignedPdf | None = None
    # Who signed with which certificate, and the code by which the document is known.
    plan: Plan | None = None

    @property
    def lines(self) -> Mapping[str, Lines]:
        """Where the passages stand in the signed report; empty until its PDF is kept."""
        return self.signed_pdf.places if self.signed_pdf else {}

    @property
    def is_signed(self) -> bool:
        """Tell whether the content is what was signed."""
        return self.decision is not None

    def measured_on(self, photograph: Photograph) -> list[Measurement]:
        """Return what was measured on a photograph."""
        return [one for one in self.measurements if one.photograph_id == photograph.pk]

    def overlay_of(self, one: PacketPhotograph) -> str:
        """Return the drawing that lies over a photograph: outlines and measured lines."""
        links = one.photograph.active_links
        return overlay_svg(one.photograph, links, self.measured_on(one.photograph))

    def overlay_words_of(self, one: PacketPhotograph) -> str:
        """Say what is drawn over a photograph; empty for nothing."""
        links = one.photograph.active_links
        return overlay_words(links, self.measured_on(one.photograph))


def material_of(case_id: UUID) -> Material:
    """Read what the report of a case prints; signed or sent content as it was frozen."""
    case = Case.objects.select_related("decedent").get(pk=case_id)
    report = Report.objects.filter(case=case).select_related("author").first()
    draft = _draft_of(report)
    decision = getattr(draft, "decision", None) if draft else None
    content = draft.content if draft else report_content(case.pk)
    withdrawn = Photograph.objects.filter(case=case, voided_at__isnull=False)
    addenda = addenda_of(case.pk)
    kept = getattr(draft, "signed_pdf", None) if decision else None
    document = document_of_report(kept)
    return Material(
        case=case,
        report=report,
        draft=draft,
        decision=decision,
        content=content,
        addenda=addenda,
        late_results=late_results(case.pk, addenda) if decision else [],
        charts=charts_of(content["chart"]),
        photographs=photographs_for_packet(case),
        withdrawn_photographs=list(withdrawn.order_by("number")),
        redactions=redactions_in_force(case),
        measurements=measurements_in(case),
        custody=custody_record(case),
        read_at=timezone.now(),
        name=case.decedent.full_name,
        signed_pdf=kept,
        plan=plan_kept(document) if document else None,
    )


def as_signed(material: Material) -> Material:
    """Return what was signed and nothing that came later or is only kept beside it."""
    facts = {fact["label"]: fact["text"] for fact in material.content["facts"]}
    return replace(
        material,
        addenda=[],
        late_results=[],
        photographs=[],
        withdrawn_photographs=[],
        redactions={},
        measurements=[],
        custody=[],
        # The decedent's name may have been amended since.
        name=facts.get("Decedent", material.name),
        signed_pdf=None,
    )


def _draft_of(report: Report | None) -> ReportDraft | None:
    """Return the draft that was signed or is in review; what is being written has none."""
    if report is None or report.state not in {ReportState.SIGNED, ReportState.SUBMITTED}:
        return None
    drafts = ReportDraft.objects.filter(report=report).order_by("-number")
    found: ReportDraft | None = drafts.select_related(
        "decision__decided_by", "created_by", "signed_pdf__file"
    ).first()
    return found


def charts_of(chart: dict[str, Any]) -> list[Chart]:
    """Draw the views of a report's body chart: front, back, and every other that holds a mark."""
    body = chart["body"]
    if not body:
        return []
    marks = [
        drawing.Mark(
            number=mark["number"],
            klass=mark["klass"].replace(" ", "_"),
            kind=mark["kind"],
            view=mark["view"],
            points=tuple((float(u), float(v)) for u, v in mark["points"]),
            letter=mark.get("letter", ""),
        )
        for mark in chart["marks"]
    ]
    placed = {mark.view for mark in marks}
    named = {entry["number"]: entry for entry in chart["legend"]}
    shown = [key for key in (*VIEWS, *SCHEMATICS) if key in placed or key in ALWAYS_DRAWN]
    return [_chart(body, key, marks, named) for key in shown]


def _chart(body: str, key: str, marks: list[drawing.Mark], named: dict[int, Any]) -> Chart:
    seen = [mark for mark in marks if drawing.mark_in_view(body, mark, key) is not None]
    words = [_mark_words(named[number]) for number in dict.fromkeys(mark.number for mark in seen)]
    title = view_title(key)
    of_whom = f"Body chart, {body_model(body).title.lower()}, {title.lower()}"
    return Chart(
        view=key,
        title=title,
        svg=drawing.chart_svg(body, key, marks, standalone=True),
        alternative=f"{of_whom}. {'; '.join(words) if words else 'No marks'}.",
        whole_body=key in WHOLE_BODY,
    )


def _mark_words(entry: dict[str, Any]) -> str:
    where = f", {entry['place']}" if entry["place"] else ""
    size = f", {entry['size']}" if entry["size"] else ""
    return f"Mark {entry['number']}: {entry['term'].lower()}{where}{size}"


def signed_bytes(content: dict[str, Any]) -> bytes:
    """Return the report's content in the form whose SHA-256 was signed (`digest_of`)."""
    return canonical_of(content)


LEFT_OUT = "left out: metadata was not requested"
KEPT_INSIDE = "left out: it stays in the office"
# What author and reviewers say to each other in rows that are told otherwise.
INSIDE_COLUMNS = {
    ReportDraft._meta.db_table: ("note",),
    ReviewDecision._meta.db_table: ("causes",),
}


def events_of(case_id: UUID, *, camera_notes: bool = True) -> list[dict[str, Any]]:
    """Return every change of the case file, oldest first, without what concerns staff machines.

    Work notes are no part of it (`Record.work_notes`), nor is what stays in the office
    (`stays_inside` of a model).
    Without `camera_notes` what cameras wrote (the place, the serial number) stays out of it too.
    """

    def told(event: AuditEvent) -> dict[str, Any]:
        changes = dict(event.changes)
        inside = INSIDE_COLUMNS.get(event.table, ())
        # Why a draft was sent back is said to its author; what is said at the end is printed.
        returned = changes.get("outcome", [""])[-1] == "returned"
        if returned and event.table == ReviewDecision._meta.db_table:
            inside = (*inside, "words")
        changes |= {name: KEPT_INSIDE for name in inside if name in changes}
        if not camera_notes and "exif" in changes:
            changes["exif"] = LEFT_OUT
        return changes

    return [
        {
            "number": event.pk,
            "at": event.at.isoformat(),
            "who": event.actor_name,
            "roles": event.actor_roles,
            "act": event.act,
            "reason": event.reason,
            "operation": event.operation,
            "table": event.table,
            "record": event.record_id,
            "changes": told(event),
            "through": event.source,
        }
        for event in told_of(case_id)
        .exclude(table__in=tables_that("stays_inside"))
        .order_by("id")
        .iterator(500)
    ]

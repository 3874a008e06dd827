"""Reads of report and review."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime
from functools import cache
from typing import Any
from uuid import UUID

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import Exists, OuterRef, Prefetch, QuerySet, Subquery, TextField, Value
from django.db.models.functions import Cast, Coalesce, JSONObject, NullIf

from cases.course import count_of
from cases.models import (
    Case,
    Identification,
    JurisdictionDecision,
    Medication,
    NotDone,
    Place,
    SceneReading,
)
from cases.review.models import Addendum, CommentReply, Report, ReportDraft, ReviewComment
from cases.review.rules import Readiness
from cases.review.scene import MEDICATION_WORDS, PLACE_WORDS, READING_WORDS
from evidence.gaps.queries import keys_of_case
from evidence.gaps.rules import LogGap, Seen, missing_pictures
from evidence.measuring.models import MeasurementUse
from evidence.photographs.models import Photograph, PhotographFinding
from evidence.photographs.queries import shots_from, shots_of_case
from findings.models import Finding
from findings.organs.models import OrganWeight
from findings.postmortem.models import Lividity, Rigor
from findings.rules import FindingClass
from findings.systems.models import MicroscopicSlide, SystemPart
from me_office.audit.errors import known
from me_office.prepared import PreparedRows

LIVIDITY_WORDS = ("region", "state", "blanching", "colour", "note")
RIGOR_WORDS = ("joint", "stage", "note")
ORGAN_WORDS = ("organ", "weight_g", "seen_as")
SYSTEM_WORDS = ("part", "decision", "why", "said")
SLIDE_WORDS = ("number", "label", "tissue", "stain", "seen", "read_by", "read_on")


def report_of(case_id: UUID) -> Report | None:
    """Return the report's own words and state, or None."""
    return Report.objects.filter(case_id=case_id).select_related("author").first()


def case_to_report_on(case_id: UUID) -> Any:
    """Return the case with all that a report reads of it once, in one statement.

    With it come the records that a case has at most one of (None where there is none), the
    latest decision on jurisdiction (`decision_...`), what is stated as not done (`no_visit_why`,
    `not_here_why`), the latest step of identification
    (`identity_...`, None where there is none), `review_shown` (which photograph, by its number,
    shows which finding), `review_measured` (which finding took its size from which photograph),
    `review_lividity`, `review_rigor`, `review_organs`, `review_systems`, `review_slides` (their
    rows), `review_unanswered`, and for
    `missing_pictures_in` the `review_shots`, `review_seen` and `review_set_aside`.
    """
    case: Any = _cases_to_report_on().one(Case, case_id)
    if case is None:
        raise Case.DoesNotExist(f"There is no case {case_id}.")
    examination = getattr(case, "examination", None)
    if examination is not None:
        examination.systems_said = [row["said"] for row in case.review_systems if row["said"]]
    return case


@cache
def _cases_to_report_on() -> PreparedRows:
    return PreparedRows(_to_report_on)


def _to_report_on(case_id: UUID) -> QuerySet[Any]:
    decided = JurisdictionDecision.objects.active().order_by("-decided_at", "-id")
    stated = NotDone.objects.active()
    identified = Identification.objects.active().order_by("-made_at", "-id")
    return (
        Case.objects.select_related(
            "decedent",
            "investigator",
            "pathologist",
            "report_of_death",
            "body_receipt",
            "certification",
            "scene",
            "report__author",
            "examination__pathologist",
        )
        .annotate(
            **_latest(decided, "decision", "outcome", "decided_at", "ground"),
            **_latest(identified, "identity", "identity", "method", "made_by", "made_at", "basis"),
            **_latest(stated.filter(kind=NotDone.SCENE), "no_visit", "why"),
            **_latest(stated.filter(kind=NotDone.BODY), "not_here", "why"),
            review_shown=_shown_findings(),
            review_measured=_measured_findings(),
            review_shots=shots_of_case(),
            review_seen=_seen_findings(),
            review_set_aside=keys_of_case(),
            review_lividity=_standing_rows(Lividity, *LIVIDITY_WORDS),
            review_rigor=_standing_rows(Rigor, *RIGOR_WORDS),
            review_places=_standing_rows(Place, *PLACE_WORDS),
            review_readings=_standing_rows(SceneReading, *READING_WORDS),
            review_medication=_standing_rows(Medication, *MEDICATION_WORDS),
            review_organs=_standing_rows(OrganWeight, *ORGAN_WORDS),
            review_systems=_standing_rows(SystemPart, *SYSTEM_WORDS),
            review_slides=_standing_rows(MicroscopicSlide, *SLIDE_WORDS),
            review_unanswered=count_of(_unanswered()),
        )
        .filter(pk=case_id)
        .order_by()
    )


def _unanswered() -> Any:
    """Return the comments to which a draft's author said nothing, and which nobody resolved."""
    by_author = CommentReply.objects.active().filter(
        comment=OuterRef("pk"), created_by=OuterRef("draft__created_by")
    )
    open_ones = ReviewComment.objects.active().filter(answer="", resolved_at=None)
    return open_ones.filter(~Exists(by_author))


def _said_to() -> ArraySubquery:
    """Return the replies to a comment: key of who said it, name, when, words; in their order."""
    name = Coalesce(NullIf("created_by__display_name", Value("")), "created_by__username")
    rows = CommentReply.objects.active().filter(comment=OuterRef("pk"))
    said = JSONObject(by="created_by_id", name=name, at="created_at", words="words")
    return ArraySubquery(rows.order_by("created_at", "pk").values(said=said))


def _latest(rows: Any, prefix: str, *names: str) -> dict[str, Subquery]:
    of_case = rows.filter(case=OuterRef("pk"))
    return {f"{prefix}_{name}": Subquery(of_case.values(name)[:1]) for name in names}


def _standing_rows(model: Any, *names: str) -> ArraySubquery:
    rows = model.objects.active().filter(case=OuterRef("pk")).order_by("created_at", "pk")
    # As text: a decimal keeps its digits on the way through JSON.
    texts = {name: Cast(name, TextField()) for name in names}
    return ArraySubquery(rows.values(row=JSONObject(**texts)))


def _shown_findings() -> ArraySubquery:
    links = PhotographFinding.objects.active().filter(
        case=OuterRef("pk"), photograph__voided_at=None
    )
    shown = JSONObject(
        finding="finding_id", photograph="photograph__number", photograph_id="photograph_id"
    )
    return ArraySubquery(links.order_by("photograph__number", "id").values(shown=shown))


def _measured_findings() -> ArraySubquery:
    """Return from which measurements findings took their size, the latest last."""
    uses = MeasurementUse.objects.active().filter(
        case=OuterRef("pk"), measurement__voided_at=None, measurement__photograph__voided_at=None
    )
    measured = JSONObject(
        finding="finding_id",
        dimension="dimension",
        photograph="measurement__photograph__number",
        photograph_id="measurement__photograph_id",
        measurement="measurement__number",
        result="measurement__result",
        scale_kind="measurement__scale_kind",
        method_version="measurement__method_version",
    )
    return ArraySubquery(uses.order_by("created_at", "id").values(measured=measured))


def _seen_findings() -> ArraySubquery:
    rows = Finding.objects.active().filter(case=OuterRef("pk"))
    seen = JSONObject(id="id", number="number", term="term", klass="klass")
    return ArraySubquery(rows.order_by("number").values(seen=seen))


def missing_pictures_in(case: Any) -> list[LogGap]:
    """Return which pictures are missing and not set aside, from what was read with the case."""
    seen = [
        Seen(UUID(row["id"]), row["number"], row["term"], row["klass"] == FindingClass.INJURY)
        for row in case.review_seen
    ]
    missing = missing_pictures(shots_from(case.review_shots), seen)
    return [one for one in missing if one.key not in case.review_set_aside]


def liver_read_at(case: Any) -> list[datetime]:
    """Return when the active liver temperatures were read, from what was read with the case."""
    return [
        datetime.fromisoformat(row["read_at"])
        for row in case.review_readings
        if row["kind"] == "liver"
    ]


def photograph_keys_in(case: Any) -> dict[int, str]:
    """Return the keys of the photographs that the report names, by their numbers."""
    return {row["photograph"]: row["photograph_id"] for row in case.review_shown}


def photograph_keys(case_id: UUID) -> dict[int, UUID]:
    """Return the keys of a case's photographs by their numbers; one statement."""
    rows = Photograph.objects.active().filter(case=case_id)
    return dict(rows.values_list("number", "pk"))


def sent_drafts(case_id: UUID) -> list[ReportDraft]:
    """Return all drafts, newest first, with their decisions and without what they say."""
    rows = ReportDraft.objects.filter(case_id=case_id)
    rows = rows.select_related("decision__decided_by", "review")
    return list(rows.defer("content").order_by("-number"))


def signed_draft(case_id: UUID) -> ReportDraft | None:
    """Return the draft that was signed with its decision and its kept PDF, or None."""
    drafts = ReportDraft.objects.filter(case_id=case_id, decision__isnull=False)
    found: ReportDraft | None = (
        drafts.exclude(decision__outcome="returned")
        .select_related("decision", "signed_pdf")
        .order_by("-number")
        .first()
    )
    return found


def signed_content(case_id: UUID) -> dict[str, Any] | None:
    """Return the text that was signed, as it was frozen, or None."""
    drafts = ReportDraft.objects.filter(case_id=case_id).exclude(decision__outcome="returned")
    found: dict[str, Any] | None = (
        drafts.order_by("-number").values_list("content", flat=True).first()
    )
    return found


def draft_numbered(case_id: UUID, number: int) -> ReportDraft:
    """Return one draft with its comments and decision, in two statements. Raises NotKnown."""
    return known(_whole_drafts(case_id).filter(number=number).first(), "draft")


def drafts_of(case_id: UUID) -> list[ReportDraft]:
    """Return all drafts, newest first, with their comments and decisions; three statements."""
    return list(_whole_drafts(case_id))


def comments_of(case_id: UUID) -> list[ReviewComment]:
    """Return the comments on all drafts of a case with their replies, oldest first."""
    rows = ReviewComment.objects.active().filter(case_id=case_id)
    return list(rows.prefetch_related("replies").order_by("created_at", "id"))


def _whole_drafts(case_id: UUID) -> QuerySet[ReportDraft]:
    return (
        ReportDraft.objects.filter(case_id=case_id)
        .select_related("decision__decided_by", "created_by", "report", "review__reviewer")
        .prefetch_related(
            Prefetch(
                "comments",
                ReviewComment.objects.filter(voided_at=None)
                .select_related("created_by", "answered_by", "resolved_by")
                .annotate(said=_said_to())
                .order_by("created_at", "id"),
            )
        )
        .order_by("-number")
    )


def addenda_of(case_id: UUID) -> list[Addendum]:
    """Return addenda and amendments in their order."""
    return list(
        Addendum.objects.filter(case_id=case_id, voided_at=None)
        .select_related("made_by", "rests_on")
        .prefetch_related("passages")
        .order_by("number")
    )


def readiness_of(case: Case) -> Readiness:
    """Return what the rules need to know before the report may go to review."""
    return readiness_in(case_to_report_on(case.pk))


def readiness_in(case: Any) -> Readiness:
    """Return the same from what `case_to_report_on` has read."""
    examination = getattr(case, "examination", None)
    report = getattr(case, "report", None)
    return Readiness(
        examination_opened=examination is not None,
        examination_ended=bool(examination and examination.ended_at),
        circumstances_reviewed=bool(examination and examination.circumstances_reviewed),
        cause_stated=getattr(case, "certification", None) is not None,
        opinion_written=bool(report and report.opinion.strip()),
        unanswered_comments=case.review_unanswered,
    )


def passages_of(content: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Yield every passage of a report's content, in reading order."""
    for section in content["sections"]:
        yield from section["passages"]


def leads_of(content: dict[str, Any]) -> dict[str, str]:
    """Return what each passage is called, by its key: its own lead, or its section's title."""
    return {
        passage["key"]: passage.get("lead") or section["title"]
        for section in content["sections"]
        for passage in section["passages"]
    }


def passage_text(content: dict[str, Any], key: str) -> str | None:
    """Return the text of one passage, or of a section's title, or None when there is none."""
    for section in content["sections"]:
        if section["key"] == key:
            return str(section["title"])
    for passage in passages_of(content):
        if passage["key"] == key:
            lead = f"{passage['lead']}: " if passage.get("lead") else ""
            return f"{lead}{passage['text']}"
    return None


CAUSE_KEYS = frozenset({"cause", "contributing", "manner"})


def written_before(addenda: Iterable[Addendum], content: dict[str, Any]) -> dict[str, Addendum]:
    """Return, by key, which amendment of cause or manner an opinion's passage was written before.

    The opinion and its basis are words of the signing: they may say what an amendment took back.
    """
    last: dict[str, int] = {}
    of_cause: Addendum | None = None
    for addendum in addenda:
        keys = {passage.key for passage in addendum.passages.all()}
        last |= dict.fromkeys(keys, addendum.number)
        if keys & CAUSE_KEYS:
            of_cause = addendum
    if of_cause is None:
        return {}
    opinion = (passage["key"] for passage in passages_of(content))
    return {
        key: of_cause
        for key in opinion
        if (key == "basis" or key.startswith("opinion-")) and last.get(key, 0) < of_cause.number
    }


def amended_passages(addenda: list[Addendum]) -> dict[str, list[dict[str, Any]]]:
    """Return, by the key of a passage of the signed text, what amendments made of it, in order."""
    found: dict[str, list[dict[str, Any]]] = {}
    for addendum in addenda:
        for passage in addendum.passages.all():
            found.setdefault(passage.key, []).append({"addendum": addendum, "words": passage.words})
    return found

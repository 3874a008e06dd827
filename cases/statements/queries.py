"""Reads of statements, their pages and passages, and of what the record holds beside them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db.models import Count, Exists, OuterRef, Prefetch, Q, QuerySet
from django.utils import timezone

from cases.exhibits.models import Exhibit
from cases.models import Case
from cases.queries import locked_after_case
from cases.rules.case import Certainty
from cases.statements import comparing
from cases.statements.comparing import Difference, Recorded, differences
from cases.statements.models import PassageLink, Statement, StatementPage, StatementPassage
from cases.statements.rules import MOST_LINES, Line, Place
from evidence.photographs.models import Photograph
from findings.models import Finding, Mark
from findings.questions.sides import the_one_side
from me_office.audit.errors import Refused, known
from me_office.jobs.queries import with_progress
from me_office.jobs.rules import JobState

# Of one finding or topic; what is more is counted and found in the statements.
MOST = 50


@dataclass(frozen=True)
class Said:
    """Words of a passage, where they stand, and where their figures differ from the record's.

    `where` is "Deposition 2 Dec 2026, p. 31:4-9". `differences` point out and judge nothing.
    """

    words: str
    where: str
    speaker: str
    statement_id: UUID
    page: int
    passage_id: UUID
    differences: tuple[Difference, ...] = ()
    how_kept: str = ""

    @property
    def difference(self) -> str:
        """The differences in sentences; empty where no figure differs."""
        return " ".join(one.words for one in self.differences)


def statements_of(case: Case) -> list[Statement]:
    """Return the case's statements by their day, each with its number of `marked` passages."""
    marked = Count("passages", filter=Q(passages__voided_at=None), distinct=True)
    rows = Statement.objects.active().filter(case=case).select_related("file", "created_by")
    return list(with_progress(rows.annotate(marked=marked)).order_by("given_on", "id"))


def statement_of(case: Case, statement_id: UUID) -> Statement:
    """Return a statement of the case with its file, `percent` and `step`. Raises NotKnown."""
    rows = Statement.objects.active().filter(case=case, pk=statement_id)
    found: Statement = known(
        with_progress(rows.select_related("file", "created_by")).first(), "statement"
    )
    return found


def statement_for_update(case: Case, statement_id: UUID) -> Statement:
    """Return a statement of the case, locked. Raises NotKnown."""
    rows = Statement.objects.active().select_for_update(of=("self",))
    found: Statement = known(rows.filter(case=case, pk=statement_id).first(), "statement")
    return found


def statement_to_read_for_update(request_id: UUID, *, case: Case | None = None) -> Statement:
    """Return a statement that a worker reads, locked after its case. Raises NotKnown.

    Of a case that is locked already, one that was not withdrawn.
    """
    rows = Statement.objects.filter(pk=request_id).select_related("case")
    if case is not None:
        rows = rows.filter(voided_at=None)
    return locked_after_case(rows, "statement", case=case)


def page_numbers(statement: Statement) -> list[int]:
    """Return the numbers of a statement's pages, in their order."""
    return list(statement.pages.order_by("number").values_list("number", flat=True))


def page_of(statement: Statement, number: int) -> StatementPage:
    """Return a page by its number. Raises NotKnown."""
    return known(statement.pages.filter(number=number).first(), "page")


def words_at(statement: Statement, place: Place) -> str:
    """Return the words of a place, a line each, as the file has them. Raises Refused."""
    first, last = place.first, place.last
    pages = statement.pages.filter(number__range=(first.page, last.page)).order_by("number")
    lines = [
        (Line(page.number, number), words)
        for page in pages[: MOST_LINES + 1]
        for number, words in page.lines
    ]
    at = [line for line, _ in lines]
    for end in (first, last):
        if end not in at:
            raise Refused(f"There is no line {end.page}:{end.line}.", field="lines")
    chosen = [words for line, words in lines if first <= line <= last]
    if len(chosen) > MOST_LINES:
        raise Refused(f"{len(chosen)} lines are chosen; at most {MOST_LINES}.", field="lines")
    if not any(chosen):
        raise Refused("These lines hold no words.", field="lines")
    return "\n".join(chosen)


def passage_for_update(case: Case, passage_id: UUID) -> StatementPassage:
    """Return a passage of the case, locked. Raises NotKnown."""
    rows = StatementPassage.objects.active().select_for_update(of=("self",))
    rows = rows.filter(case=case, pk=passage_id, statement__voided_at=None)
    return known(rows.first(), "passage")


def passage_of(case: Case, passage_id: UUID) -> StatementPassage:
    """Return a passage of the case with its statement and links. Raises NotKnown."""
    return known(_with_links(_passages(case)).filter(pk=passage_id).first(), "passage")


def with_links(passage: StatementPassage) -> StatementPassage:
    """Return a passage read anew with `active_links`, also one that was withdrawn."""
    return _with_links(StatementPassage.objects.filter(pk=passage.pk)).get()


def passages_of(
    case: Case, statement_id: UUID | None = None, *, page: int | None = None
) -> list[StatementPassage]:
    """Return passages with `active_links`, by place; those that touch a page; two statements."""
    rows = _with_links(_passages(case))
    if statement_id is not None:
        rows = rows.filter(statement=statement_id)
    if page is not None:
        rows = rows.filter(from_page__lte=page, to_page__gte=page)
    return list(rows.order_by("statement__given_on", "from_page", "from_line", "id"))


def _passages(case: Case) -> QuerySet[StatementPassage]:
    rows = StatementPassage.objects.active().filter(case=case, statement__voided_at=None)
    return rows.select_related("statement")


def _with_links(rows: QuerySet[StatementPassage]) -> QuerySet[StatementPassage]:
    links: Prefetch[str, QuerySet[PassageLink], str] = Prefetch(
        "links", _links().order_by("finding__number", "photograph__number", "id"),
        to_attr="active_links",
    )  # fmt: skip
    return rows.prefetch_related(links)


def _links() -> QuerySet[PassageLink]:
    """Links that count, to what was not withdrawn."""
    rows = PassageLink.objects.active().exclude(finding__voided_at__isnull=False)
    rows = rows.exclude(photograph__voided_at__isnull=False)
    rows = rows.exclude(exhibit__voided_at__isnull=False)
    return rows.select_related("finding", "photograph", "exhibit__exhibit_set")


def require_in_case(
    case: Case,
    findings: Sequence[UUID],
    photographs: Sequence[UUID],
    exhibits: Sequence[UUID],
) -> None:
    """Refuse keys of what is not in the case, or was withdrawn. Raises Refused."""
    for model, keys, name in (
        (Finding, findings, "findings"),
        (Photograph, photographs, "photographs"),
        (Exhibit, exhibits, "exhibits"),
    ):
        rows: QuerySet[Any] = model.objects.active().filter(case=case, pk__in=set(keys))
        if keys and rows.count() != len(set(keys)):
            raise Refused(f"One of these {name} is not in this case.", field=name)


def said_about(case: Case, finding_ids: Collection[UUID]) -> dict[UUID, list[Said]]:
    """Return, by finding, what was said of it before, the earliest statement first.

    Two statements for any number of findings; at most MOST passages a finding.
    """
    links = list(_said_links(case).filter(finding__in=set(finding_ids)))
    recorded = recorded_of([link.finding for link in links if link.finding is not None])
    found: dict[UUID, list[Said]] = {}
    for link in links:
        if link.finding_id is None:
            continue
        said = found.setdefault(link.finding_id, [])
        if len(said) < MOST:
            said.append(said_in(link.passage, recorded[link.finding_id]))
    return found


def said_on_photographs(case: Case, photograph_ids: Collection[UUID]) -> dict[UUID, list[Said]]:
    """Return, by photograph, what was said of it before; one statement. Nothing is compared."""
    found: dict[UUID, list[Said]] = {}
    for link in _said_links(case).filter(photograph__in=set(photograph_ids)):
        if link.photograph_id is not None:
            found.setdefault(link.photograph_id, []).append(said_in(link.passage, None))
    return {key: said[:MOST] for key, said in found.items()}


def said_on_exhibits(case: Case, exhibit_ids: Collection[UUID]) -> dict[UUID, list[Said]]:
    """Return, by exhibit, what was said of it before; one statement. Nothing is compared."""
    found: dict[UUID, list[Said]] = {}
    for link in _said_links(case).filter(exhibit__in=set(exhibit_ids)):
        if link.exhibit_id is not None:
            found.setdefault(link.exhibit_id, []).append(said_in(link.passage, None))
    return {key: said[:MOST] for key, said in found.items()}


def said_by_topic(case: Case) -> dict[str, list[Said]]:
    """Return, by topic, what was said; figures of topics that the record holds are compared."""
    figures = topics_in_record(case)
    found: dict[str, list[Said]] = {}
    for link in _said_links(case).exclude(topic="").order_by("topic", *_BY_PLACE):
        told = figures.get(link.topic.casefold())
        said = found.setdefault(link.topic, [])
        if len(said) < MOST:
            said.append(said_in(link.passage, told))
    return found


_BY_PLACE = ("passage__statement__given_on", "passage__from_page", "passage__from_line", "id")


def _said_links(case: Case) -> QuerySet[PassageLink]:
    rows = _links().filter(case=case, passage__voided_at=None, passage__statement__voided_at=None)
    return rows.select_related("passage__statement", "finding", "photograph", "exhibit").order_by(
        *_BY_PLACE
    )


def said_in(passage: StatementPassage, recorded: Recorded | None) -> Said:
    """Return a passage as what was said, compared with what is recorded."""
    statement = passage.statement
    return Said(
        words=passage.words,
        where=f"{statement.label}, p. {passage.place}",
        speaker=statement.speaker,
        statement_id=statement.pk,
        page=passage.from_page,
        passage_id=passage.pk,
        differences=tuple(differences(passage.words, recorded)) if recorded else (),
        how_kept=statement.get_taken_down_display(),
    )


def recorded_of(findings: Sequence[Finding]) -> dict[UUID, Recorded]:
    """Return the figures that the record holds of findings, by finding; one statement."""
    marks: dict[UUID, list[Mark]] = {}
    rows = Mark.objects.active().filter(finding__in={one.pk for one in findings}, count_low__gte=1)
    for mark in rows.order_by("created_at", "id"):
        marks.setdefault(mark.finding_id, []).append(mark)
    return {one.pk: _recorded(one, marks.get(one.pk, [])) for one in findings}


def _recorded(finding: Finding, marks: Sequence[Mark]) -> Recorded:
    named = {
        comparing.LENGTH: finding.length_cm,
        comparing.WIDTH: finding.width_cm,
        comparing.DEPTH: finding.depth_cm,
        comparing.ABOVE_HEEL: finding.above_heel_cm,
        comparing.BELOW_TOP: finding.below_top_cm,
        comparing.FROM_MIDLINE: finding.midline_cm,
    }
    counted = None
    if len(marks) == 1 and marks[0].count_low is not None:
        counted = (marks[0].count_low, marks[0].count_high)
    side = the_one_side(finding.place or finding.region)
    return Recorded(
        sizes={name: Decimal(value) for name, value in named.items() if value is not None},
        impacts_kind=finding.impacts_kind,
        impacts=finding.impacts,
        marks=counted,
        sides=frozenset({side} if side else ()),
    )


def topics_in_record(case: Case) -> dict[str, Recorded]:
    """Return the figures of a case that a topic may be compared with, by their names.

    Of what was read with the case and its examination; names are in small letters.
    """
    examination = getattr(case, "examination", None)
    receipt = getattr(case, "body_receipt", None)
    report = getattr(case, "report_of_death", None)
    times = {
        "time found": report and report.found_at,
        "time of pronouncement": report and report.pronounced_at,
        "last known alive": report and report.last_alive_at,
        "examination began": examination and examination.began_at,
        "body received": receipt and receipt.received_at,
    }
    certainty = {
        "time found": report and report.found_certainty,
        "last known alive": report and report.last_alive_certainty,
    }
    figures = {}
    for name, at in times.items():
        sure = certainty.get(name, Certainty.EXACT)
        # A stretch of time has no one minute that something said could differ from.
        if at is not None and sure in {Certainty.EXACT, Certainty.ABOUT}:
            local = timezone.localtime(at)
            about = "about " if sure == Certainty.ABOUT else ""
            figures[name] = Recorded(
                of_topic=True,
                minutes=local.hour * 60 + local.minute,
                minutes_about=bool(about),
                words=f"{name}, {about}{local:%H:%M}",
            )
    if examination is not None and examination.crown_heel_cm is not None:
        figures["body length"] = Recorded(
            of_topic=True,
            sizes={"body length": examination.crown_heel_cm},
            words=f"body length {examination.length_words}",
        )
    if examination is not None and examination.body_weight_kg is not None:
        figures["body weight"] = Recorded(
            of_topic=True,
            weight=examination.body_weight_kg,
            words=f"body weight {examination.weight_words}",
        )
    return figures


def case_to_compare(case_id: UUID) -> Case:
    """Return a case with what its topics are compared with; one statement. Raises NotKnown."""
    rows = Case.objects.filter(pk=case_id).select_related(
        "examination", "body_receipt", "report_of_death"
    )
    return known(rows.first(), "case")


# Topics under which the record holds a figure that what was said can be compared with.
COMPARED = (
    *("Time found", "Time of pronouncement", "Last known alive", "Examination began"),
    *("Body received", "Body length", "Body weight"),
)


def to_link(case: Case) -> tuple[list[Finding], list[Exhibit]]:
    """Return the findings and exhibits that a passage may be about; two statements."""
    findings = Finding.objects.active().filter(case=case).order_by("number")
    exhibits = Exhibit.objects.active().filter(case=case, exhibit_set__voided_at=None)
    exhibits = exhibits.select_related("exhibit_set").order_by("exhibit_set", "position", "id")
    return list(findings), list(exhibits)


def photographs_numbered(case: Case, numbers: Collection[int]) -> dict[int, UUID]:
    """Return the keys of photographs by their numbers; one statement."""
    rows = Photograph.objects.active().filter(case=case, number__in=set(numbers))
    return dict(rows.values_list("number", "pk"))


def topics_to_offer(case: Case) -> list[str]:
    """Return the topics of the case, then those whose figures are compared; one statement."""
    used = topics_of(case)
    there = {one.casefold() for one in used}
    return [*used, *(one for one in COMPARED if one.casefold() not in there)]


def topics_of(case: Case) -> list[str]:
    """Return the topics that passages of the case are linked to, by their letters."""
    rows = _links().filter(case=case, passage__voided_at=None, passage__statement__voided_at=None)
    return list(rows.exclude(topic="").order_by("topic").values_list("topic", flat=True).distinct())


def findings_said(case: Case) -> list[Finding]:
    """Return the findings of which something was said before, by number; one statement."""
    said = PassageLink.objects.active().filter(
        finding=OuterRef("pk"), passage__voided_at=None, passage__statement__voided_at=None
    )
    rows = Finding.objects.active().filter(Exists(said), case=case)
    return list(rows.order_by("number"))


def is_waiting(statements: Sequence[Statement]) -> bool:
    """Tell whether one of the statements is being read."""
    return any(one.state in {JobState.WAITING, JobState.MAKING} for one in statements)

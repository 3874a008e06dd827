"""Reads of answers, of the numbers of their pages, and of what became of each."""

from __future__ import annotations

from dataclasses import dataclass, field
from uuid import UUID

from django.db.models import Q, QuerySet

from cases.access import cases_open_to
from cases.answers import rules
from cases.answers.models import Answer, NumberedPages, PageRun, PageSeries
from cases.models import Case
from cases.queries import locked_after_case, reserve_key
from me_office.accounts.models import Staff
from me_office.audit.errors import known
from me_office.jobs.queries import with_progress
from me_office.jobs.rules import UNDER_WAY

# Whoever makes the office's first series, or replaces it, waits for others who do.
_SERIES_KEY = UUID("5e71e500-0000-7000-8000-000000000001")


def series_for_update() -> PageSeries | None:
    """Return how the office numbers pages now, locked; None before anybody chose."""
    active = PageSeries.objects.active()
    found: PageSeries | None = active.select_for_update().first()
    if found is not None:
        return found
    # Nobody chose yet, or it was replaced while this waited for it.
    reserve_key(_SERIES_KEY)
    again: PageSeries | None = active.select_for_update().first()
    return again


def page_series() -> PageSeries | None:
    """Return how the office numbers pages now."""
    found: PageSeries | None = PageSeries.objects.active().first()
    return found


def all_page_series() -> list[PageSeries]:
    """Return every way in which the office has numbered pages, the present one first."""
    return list(PageSeries.objects.select_related("created_by").order_by("-created_at", "id"))


def answer_for_update(answer_id: UUID, *, case: Case | None = None) -> Answer:
    """Return an answer, locked after its case. Raises NotKnown."""
    rows = Answer.objects.filter(pk=answer_id).select_related("case", "created_by", "request")
    return locked_after_case(rows, "answer", case=case)


def answer_under_way(request_id: UUID) -> Answer | None:
    """Return the answer that is being made for a request, or None."""
    rows = Answer.objects.active().filter(request=request_id, state__in=UNDER_WAY)
    found: Answer | None = rows.first()
    return found


def answer_with_person(answer_id: UUID) -> Answer | None:
    """Return an answer with the person who asked for it, or None."""
    found: Answer | None = Answer.objects.select_related("created_by").filter(pk=answer_id).first()
    return found


def answer_to_build(answer_id: UUID) -> Answer:
    """Return an answer with its request and the person who asked. Raises NotKnown."""
    rows = Answer.objects.select_related("case__decedent", "request", "created_by")
    return known(rows.filter(pk=answer_id).first(), "answer")


def answer_of(case_id: UUID, answer_id: UUID) -> Answer:
    """Return an answer of the case with its progress. Raises NotKnown."""
    return known(_whole().filter(case=case_id, pk=answer_id).first(), "answer")


def answers_of(case_id: UUID) -> list[Answer]:
    """Return the case's answers, newest first."""
    return list(_whole().filter(case=case_id).order_by("-number"))


def _whole() -> QuerySet[Answer]:
    return with_progress(Answer.objects.select_related("case", "request", "created_by"))


def parts_of(answer: Answer, actor: Staff | None = None) -> list[NumberedPages]:
    """Return which documents stand on which pages of an answer, in their order.

    With an actor, those of the cases that they may know of.
    """
    rows = NumberedPages.objects.filter(answer=answer).select_related("run__series", "case")
    if actor is not None:
        rows = rows.filter(case__in=cases_open_to(actor))
    return list(rows.order_by("first"))


def answers_to(request_id: UUID) -> list[Answer]:
    """Return the answers to a request, newest first."""
    return list(_whole().filter(request=request_id).order_by("-number"))


@dataclass(frozen=True)
class FoundPage:
    """What the office knows of one page number."""

    words: str
    series: PageSeries
    number: int
    run: PageRun | None = None
    part: NumberedPages | None = None
    # Of a number that was given: where it stands in its document and in the whole.
    page_of_document: int = 0
    page_of_answer: int = 0
    # Sentences on what came later: a newer version, an amendment.
    later: list[str] = field(default_factory=list)

    @property
    def state(self) -> str:
        """Whether it stands on a page: "found", "unused", "not given"."""
        if self.run is None:
            return "not given"
        return "found" if self.part is not None else "unused"


def find_page(actor: Staff, typed: str) -> FoundPage | None:
    """Return what is known of a page number as it was typed; None where it is no page number.

    A page of a case that the person may not know of is told as one that was never given.
    """
    every = {series.prefix: series for series in PageSeries.objects.all()}
    read = rules.read_page_number(typed, list(every))
    if read is None:
        return None
    series, number = every[read[0]], read[1]
    words = rules.page_words(series.prefix, series.digits, number)
    run = (
        PageRun.objects.filter(series=series, first__lte=number)
        .filter(case__in=cases_open_to(actor))
        .select_related("answer__request", "case__decedent", "series")
        .order_by("-first")
        .first()
    )
    if run is None or run.last < number:
        return FoundPage(words, series, number)
    part = (
        NumberedPages.objects.filter(run=run, first__lte=number)
        .select_related("case__decedent")
        .order_by("-first")
        .first()
    )
    if part is None or part.last < number:
        return FoundPage(words, series, number, run)
    if not cases_open_to(actor).filter(pk=part.case_id).exists():
        return FoundPage(words, series, number)
    return FoundPage(
        words,
        series,
        number,
        run,
        part,
        page_of_document=number - part.first + 1,
        page_of_answer=number - run.first + 1,
    )


def unused_runs(answer_ids: list[UUID]) -> list[PageRun]:
    """Return the numbers that attempts took which ended without a packet; one statement."""
    rows = PageRun.objects.filter(Q(parts=None), answer__in=answer_ids)
    return list(rows.select_related("series").order_by("first"))

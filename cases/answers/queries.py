"""Reads of answers, of the numbers of their pages, and of what became of each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import cache
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery
from django.utils import timezone

from cases.access import cases_open_to
from cases.answers import rules
from cases.answers.certificate import STANDARD
from cases.answers.models import (
    Answer,
    CertificateWording,
    Delivery,
    NumberedPages,
    Opening,
    PageRun,
    PageSeries,
)
from cases.court.models import Release
from cases.court.rules import RequestState
from cases.decisions.proposal_rules import Earlier
from cases.models import Case
from cases.queries import locked_after_case, reserve_key
from me_office.accounts.models import Staff
from me_office.audit.errors import known
from me_office.jobs.queries import with_progress
from me_office.jobs.rules import UNDER_WAY, JobState
from me_office.prepared import PreparedLists
from me_office.shell.templatetags.office import day

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


def certificate_wording() -> CertificateWording | None:
    """Return the office's own wording of the certificate; None where it has none."""
    rows = CertificateWording.objects.active().select_related("created_by")
    return rows.order_by("-number").first()


def certificate_wordings() -> list[CertificateWording]:
    """Return every edition of the office's own wording, the newest first."""
    return list(CertificateWording.objects.select_related("created_by").order_by("-number"))


def certificate_words() -> str:
    """Return how the certificate reads now."""
    own = certificate_wording()
    return own.words if own else STANDARD


def sent_in_answers(cases: Sequence[Case]) -> list[Earlier]:
    """Return what answers sent of these cases before, the earliest first; one statement."""
    rows = _sent().objects(Release, [case.pk for case in cases])
    return [
        Earlier(
            str(row.pk),
            f"sent on {day(row.released_at)} to {row.released_to}",
            frozenset((one[0], one[1]) for one in row.__dict__["sent"] or ()),
        )
        for row in rows
    ]


@cache
def _sent() -> PreparedLists:
    return PreparedLists(_sent_of)


def _sent_of(cases: Sequence[UUID]) -> QuerySet[Release]:
    return (
        Release.objects.active()
        .filter(
            packet_id__in=Answer.objects.filter(
                Q(case__in=cases) | Q(parts__case__in=cases)
            ).values("pk"),
        )
        .annotate(
            sent=Subquery(Answer.objects.filter(pk=OuterRef("packet_id")).values("sent_items")[:1])
        )
        .order_by("released_at", "id")
    )


def released_of(answers: Sequence[Answer]) -> set[UUID]:
    """Return which of these answers have left the office; one statement."""
    rows = Release.objects.active().filter(packet_id__in=[one.pk for one in answers])
    return set(rows.values_list("packet_id", flat=True))


def open_addresses(answers: Sequence[Answer]) -> list[Delivery]:
    """Return the addresses of these answers that open now, by their own end; one statement."""
    rows = Delivery.objects.active().filter(
        answer__in=answers, method="download", called_back_at=None, ends_at__gt=timezone.now()
    )
    return list(rows.order_by("created_at", "id"))


def is_released(answer: Answer) -> bool:
    """Tell whether an answer has left the office before."""
    return Release.objects.active().filter(packet_id=answer.pk).exists()


def delivery_for_update(case: Case, delivery_id: UUID) -> Delivery:
    """Return a delivery of the case, locked. Raises NotKnown."""
    rows = Delivery.objects.select_for_update(of=("self",)).filter(case=case, pk=delivery_id)
    return known(rows.first(), "delivery")


def delivery_of(case_id: UUID, delivery_id: UUID) -> Delivery:
    """Return a delivery of the case. Raises NotKnown."""
    rows = Delivery.objects.select_related("answer").filter(case=case_id, pk=delivery_id)
    return known(rows.first(), "delivery")


def delivery_at(token_sha256: str) -> Delivery | None:
    """Return the delivery whose address has this digest, with its answer; None for none."""
    rows = Delivery.objects.active().select_related("answer__case", "answer__request__case")
    found: Delivery | None = rows.filter(token_sha256=token_sha256).first()
    return found


@dataclass(frozen=True)
class DeliveryShown:
    """A delivery with what its address does now, and who was there."""

    delivery: Delivery
    opens: str
    openings: list[Opening]
    more: bool = False


OPENINGS_SHOWN = 20


def deliveries_of(answer: Answer) -> list[DeliveryShown]:
    """Return how an answer left the office, the earliest first; two statements."""
    rows = list(Delivery.objects.active().filter(answer=answer).select_related("created_by"))
    by_delivery: dict[UUID, list[Opening]] = {row.pk: [] for row in rows}
    latest = Opening.objects.filter(delivery__in=rows).order_by("-at", "-id")
    for one in latest[: OPENINGS_SHOWN * max(1, len(rows))]:
        by_delivery[one.delivery_id].append(one)
    now = timezone.now()
    return [
        DeliveryShown(
            row,
            rules.opens(
                ends_at=row.ends_at, called_back=row.called_back_at is not None, now=now
            ).value
            if row.ends_at
            else "",
            by_delivery[row.pk][:OPENINGS_SHOWN],
            len(by_delivery[row.pk]) > OPENINGS_SHOWN,
        )
        for row in rows
    ]


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


# A page of the time line shows the newest; all stand with the delivery.
MOST_OPENINGS = 60


def openings_of_request(
    request_id: UUID, since: datetime | None, until: datetime | None
) -> list[Opening]:
    """Return the newest openings of a request's downloads between two moments; one statement."""
    rows = Opening.objects.filter(delivery__answer__request=request_id)
    if since is not None:
        rows = rows.filter(at__gte=since)
    if until is not None:
        rows = rows.filter(at__lt=until)
    return list(rows.select_related("delivery").order_by("-at", "-id")[:MOST_OPENINGS])


def not_sent(request_id: UUID) -> list[Answer]:
    """Return the answers to a request that left the office in no way yet, newest first."""
    sent = Delivery.objects.active().filter(answer=OuterRef("pk"))
    return list(
        _whole().filter(~Exists(sent), request=request_id, voided_at=None).order_by("-number")
    )


def answers_to_hand_over(actor: Staff, *, most: int) -> list[Answer]:
    """Return answers that wait for a clerk, the earliest due first; one statement.

    Built ones are to be handed over, failed ones to be tried again. Of several to one request only
    the newest waits.
    """
    sent = Delivery.objects.active().filter(answer=OuterRef("pk"))
    newer = Answer.objects.active().filter(
        request=OuterRef("request"), number__gt=OuterRef("number")
    )
    rows = Answer.objects.active().filter(
        ~Exists(sent),
        ~Exists(newer),
        state__in=[JobState.MADE.value, JobState.FAILED.value],
        request__state=RequestState.OPEN.value,
        case__in=cases_open_to(actor),
    )
    rows = rows.select_related("case__decedent", "request")
    return list(rows.order_by("request__due_on", "id")[:most])


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

"""Holding back what an author concluded from a reviewer who is to conclude first.

While a draft is under review, and its case is one for which the office asks for an independent
opinion, whoever is asked to review it (or, where nobody was named, every pathologist who had no
part in it) is not told cause, manner and opinion: not by a page, the API, a search or a list. It
ends when they record their opinion, or say that they know the author's already.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render

from cases.access import Act, decision_on
from cases.models import Case
from cases.review.authorship import parts_written_by
from cases.review.models import DraftReview, IndependentOpinion
from cases.rules.case import CaseState
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.around import Around
from me_office.prepared import PreparedRows
from me_office.statements import COMMON_PRACTICE, statement

HELD_BACK = statement(
    "review.held-back",
    "Cause, manner and the author’s opinion are held back until you have recorded your own: an "
    "opinion that was formed without the other is worth more as a check.",
    where="Review",
    source=COMMON_PRACTICE,
)
# Sections of a draft that tell what its author concluded.
HIDDEN_SECTIONS = frozenset({"opinion", "summary"})
# What stays open: the record itself, from first call to results, and the review's own pages.
OPEN_ROOMS = frozenset(
    {
        "findings", "computing", "evidence", "gaps", "measuring", "custody", "results",
        "findings_api", "computing_api", "evidence_api", "gaps_api", "measuring_api",
        "custody_api", "results_api", "cases", "cases_api",
    }
)  # fmt: skip
OPEN_PAGES = frozenset(
    {
        "review:review", "review:comment", "review:reply", "review:resolve",
        "review:reopen-comment", "review:return", "review:sign", "review:give", "review:opinion",
        "review:sheet", "review_api:opinions", "review_api:sheets",
        "review_api:reviewer",
    }
)  # fmt: skip


def reviews_held_from(person_id: UUID) -> QuerySet[DraftReview]:
    """Return the open reviews whose author's opinion the person is not told, as far as rows say.

    Where nobody was named it holds for those alone who had no part in the report.
    """
    given = IndependentOpinion.objects.active().filter(case=OuterRef("case"), created_by=person_id)
    return DraftReview.objects.filter(
        Q(reviewer=person_id) | Q(reviewer=None),
        ~Exists(given),
        asks_opinion=True,
        case__state=CaseState.IN_REVIEW.value,
        draft__decision=None,
    )


@cache
def _reviewer_it_is_held_from() -> PreparedRows:
    def rows_of(person_id: UUID, case_id: UUID) -> QuerySet[Any]:
        return reviews_held_from(person_id).filter(case=case_id).values_list("reviewer_id")[:1]

    return PreparedRows(rows_of, keys=2)


def is_held_from(actor: Staff, case_id: UUID) -> bool:
    """Tell whether cause and manner of a case are held back from a person.

    A pathologist's every page of a case asks it.
    """
    for (named,) in _reviewer_it_is_held_from().tuples(actor.pk, case_id):
        return named == actor.pk or not parts_written_by(actor.pk, case_id)
    return False


def without_opinion(content: Mapping[str, Any]) -> dict[str, Any]:
    """Return a draft's content without what tells the author's conclusions."""
    kept = [one for one in content["sections"] if one["key"] not in HIDDEN_SECTIONS]
    return {**content, "sections": kept}


def is_open(view_name: str) -> bool:
    """Tell whether a page or endpoint of a case tells nothing of the author's conclusions."""
    return view_name in OPEN_PAGES or view_name.partition(":")[0] in OPEN_ROOMS


class HeldBack(Around):
    """Refuse, to whom they are held back from, the pages and endpoints that tell conclusions."""

    def process_view(
        self, request: HttpRequest, view: object, args: object, kwargs: Mapping[str, Any]
    ) -> HttpResponse | None:
        """Answer in the place of a page that would tell it."""
        case_id, match = kwargs.get("case_id"), request.resolver_match
        if case_id is None or match is None or is_open(match.view_name):
            return None
        person = request.user
        if not isinstance(person, Staff) or not person.has_role(Role.PATHOLOGIST):
            return None
        if not is_held_from(person, case_id):
            return None
        case = Case.objects.get(pk=case_id)
        if not decision_on(person, Act.SEE, case).known:
            return None
        if request.path.startswith("/api/"):
            return JsonResponse({"code": "held_back", "message": HELD_BACK.say()}, status=403)
        return render(request, "review/held.html", {"case": case}, status=403)

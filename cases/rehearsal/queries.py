"""Reads of own questions and of how a witness's answers came."""

from __future__ import annotations

from uuid import UUID

from django.db.models import Count, Q

from cases.exhibits.models import Exhibit, ExhibitSet
from cases.models import Case
from cases.rehearsal.models import OwnQuestion, RehearsalMark
from cases.rehearsal.rules import Outcome, Standing
from me_office.accounts.models import Staff
from me_office.audit.errors import known


def own_questions(exhibit_set: ExhibitSet, exhibit: Exhibit | None) -> list[OwnQuestion]:
    """Return the office's own questions on an exhibit, or on the set as a whole."""
    rows = OwnQuestion.objects.active().filter(exhibit_set=exhibit_set, exhibit=exhibit)
    return list(rows.select_related("created_by", "changed_by").order_by("created_at", "id"))


def own_questions_of(exhibit_set: ExhibitSet) -> list[OwnQuestion]:
    """Return the office's own questions on a set and on the exhibits that it has."""
    rows = OwnQuestion.objects.active().filter(exhibit_set=exhibit_set)
    rows = rows.filter(Q(exhibit=None) | Q(exhibit__voided_at=None))
    return list(rows.order_by("created_at", "id"))


def own_question_of(case: Case, question_id: UUID) -> OwnQuestion:
    """Return an active own question of the case. Raises NotKnown."""
    rows = OwnQuestion.objects.active().filter(case=case, exhibit_set__voided_at=None)
    found: OwnQuestion = known(rows.filter(pk=question_id).first(), "question")
    return found


def own_question_for_update(case: Case, question_id: UUID) -> OwnQuestion:
    """Return an own question of the case, also a withdrawn one, locked. Raises NotKnown."""
    rows = OwnQuestion.objects.select_for_update(of=("self",)).filter(case=case, pk=question_id)
    found: OwnQuestion = known(rows.first(), "question")
    return found


def outcomes_of(witness: Staff, exhibit_set: ExhibitSet) -> dict[UUID | None, dict[str, str]]:
    """Return how this witness's answers came last, by exhibit and question; one statement."""
    rows = RehearsalMark.objects.active().filter(exhibit_set=exhibit_set, created_by=witness)
    last = rows.order_by("exhibit_id", "question", "-created_at", "-id")
    found: dict[UUID | None, dict[str, str]] = {}
    for exhibit_id, question, outcome in last.distinct("exhibit_id", "question").values_list(
        "exhibit_id", "question", "outcome"
    ):
        found.setdefault(exhibit_id, {})[question] = outcome
    return found


def standings_of(witness: Staff, exhibit_set: ExhibitSet) -> dict[UUID | None, Standing]:
    """Return how far this witness is with each exhibit, by what was asked so far."""
    found = {}
    for exhibit_id, outcomes in outcomes_of(witness, exhibit_set).items():
        came = sum(one == Outcome.CAME for one in outcomes.values())
        found[exhibit_id] = Standing(came, len(outcomes) - came)
    return found


def own_counts(exhibit_set: ExhibitSet) -> dict[UUID | None, int]:
    """Return how many own questions each exhibit has, and the set as a whole (None)."""
    rows = OwnQuestion.objects.active().filter(exhibit_set=exhibit_set)
    rows = rows.filter(Q(exhibit=None) | Q(exhibit__voided_at=None)).order_by()
    return dict(rows.values_list("exhibit_id").annotate(Count("pk")))

"""What cause and manner add to the course of a case."""

from __future__ import annotations

from datetime import datetime

from django.db.models import Case, CharField, F, OuterRef, Subquery, Value, When
from django.urls import reverse

from cases import access, course, worklists
from cases.certification.models import Certification
from cases.certification.rules import FORM_WORDS, Manner
from cases.worklists import Section, Waiting
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role

STATED = Certification.objects.filter(case=OuterRef("pk"))

IN_WORDS = Case(
    *(When(manner=manner.value, then=Value(words)) for manner, words in FORM_WORDS.items()),
    default=F("manner"),
    output_field=CharField(),
)

course.register(
    course.Step(
        key="cause_and_manner",
        title="Cause and manner",
        order=80,
        url_name="certification:cause-and-manner",
        words=lambda case, facts: facts["manner_words"] or "not stated",
        # Named without a prefix: the head line of every case page shows the words.
        annotations={
            "manner": Subquery(STATED.values("manner")[:1]),
            "manner_words": Subquery(STATED.values(words=IN_WORDS)[:1]),
        },
    )
)


def _pending(actor: Staff, now: datetime) -> list[Waiting]:
    """Cases whose manner is pending, also after sign-off: the longest pending first."""
    rows = (
        Certification.objects.filter(
            manner=Manner.PENDING.value, case__in=access.cases_open_to(actor)
        )
        .select_related("case__decedent", "stated_by")
        .order_by("created_at", "id")
    )
    if Role.SUPERVISOR not in actor.roles:
        rows = rows.filter(stated_by=actor)
    return [_pending_row(row, now) for row in rows[: worklists.LIMIT]]


def _pending_row(row: Certification, now: datetime) -> Waiting:
    days = (now - row.created_at).days
    signed = row.case.is_locked
    words = {"case_id": row.case_id}
    return Waiting(
        number=row.case.label,
        title=f"{row.case.decedent.full_name}: {row.case.heading}",
        detail=f"{row.stated_by}; {'signed, to be amended' if signed else row.case.state_words}",
        when="pending 1 day" if days == 1 else f"pending {days} days",
        url=(
            reverse("review:amend", kwargs={**words, "what": "cause-and-manner"})
            if signed
            else reverse("certification:cause-and-manner", kwargs=words)
        ),
    )


worklists.register(
    Section(
        "pending",
        "Manner of death pending",
        frozenset({Role.PATHOLOGIST, Role.SUPERVISOR}),
        25,
        _pending,
    )
)

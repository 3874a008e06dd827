"""What cause and manner add to the course of a case."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import (
    Case,
    CharField,
    F,
    IntegerField,
    OuterRef,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import JSONObject
from django.urls import reverse
from django.utils import timezone

from cases import access, course, worklists
from cases.certification.filled import stated_in
from cases.certification.models import Certification, FollowUp, RegistrarStatement
from cases.certification.rules import FORM_WORDS, Manner, follow_up_words
from cases.certification.sheet import ItemChange, certificate_rows, changes_since, stated_rows
from cases.worklists import Section, Waiting
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.models import rows_of
from me_office.shell.templatetags.office import day

# What was changed before is left to the page of its case: the list stays as quick as it is.
LATELY = timedelta(days=180)
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


def _waits() -> dict[str, Any]:
    """What a pending case waits for, and its next follow-up; in the statement of the list."""
    opened = FollowUp.objects.active().filter(case=OuterRef("case"), came_on=None)
    return {
        "next_follow_up": Subquery(
            opened.order_by("follow_up_on", "id").values("follow_up_on")[:1]
        ),
        "awaits": ArraySubquery(
            opened.order_by("follow_up_on", "id").values(
                said=JSONObject(awaited="awaited", details="details")
            )
        ),
    }


def _pending(actor: Staff, now: datetime) -> list[Waiting]:
    """Cases whose manner is pending, also after sign-off.

    First those whose follow-up passed, then those without a date, then the others; of each the
    earliest date, and the longest pending, first.
    """
    today = timezone.localdate(now)
    place = Case(
        When(next_follow_up__lt=today, then=0),
        When(next_follow_up=None, then=1),
        default=2,
        output_field=IntegerField(),
    )
    pending: QuerySet[Any] = rows_of(Certification).filter(
        manner=Manner.PENDING.value, case__in=access.cases_open_to(actor)
    )
    rows = (
        pending.select_related("case__decedent", "stated_by")
        .annotate(**_waits(), place=place)
        .order_by("place", "next_follow_up", "created_at", "id")
    )
    if Role.SUPERVISOR not in actor.roles:
        rows = rows.filter(stated_by=actor)
    return [_pending_row(row, now) for row in rows[: worklists.LIMIT]]


def _pending_row(row: Any, now: datetime) -> Waiting:
    days, today = (now - row.created_at).days, timezone.localdate(now)
    signed = row.case.is_locked
    words = {"case_id": row.case_id}
    awaits = ", ".join(FollowUp(**one).words for one in row.awaits)
    state = "signed, to be amended" if signed else row.case.state_words
    pending = "pending 1 day" if days == 1 else f"pending {days} days"
    passed = row.next_follow_up is not None and row.next_follow_up < today
    return Waiting(
        number=row.case.label,
        title=f"{row.case.decedent.full_name}: {row.case.heading}",
        detail="; ".join(
            part
            for part in (
                f"waits for {awaits}" if awaits else "",
                follow_up_words(row.next_follow_up, today),
                str(row.stated_by),
                state,
            )
            if part
        ),
        when=pending,
        url=(
            reverse("review:amend", kwargs={**words, "what": "cause-and-manner"})
            if signed
            else reverse("certification:cause-and-manner", kwargs=words)
        ),
        urgency="attention" if passed else "",
    )


def _to_state(actor: Staff, now: datetime) -> list[Waiting]:
    """Certificates that were stated to the registrar and read otherwise since, lately."""
    last = RegistrarStatement.objects.active().filter(case=OuterRef("case")).order_by("-number")
    rows: QuerySet[Any] = (
        rows_of(Certification)
        .filter(case__in=access.cases_open_to(actor), stated_at__gte=now - LATELY)
        .select_related("case__decedent", "stated_by")
        .annotate(
            of_version=Subquery(last.values("of_version")[:1]),
            last_said=Subquery(last.values("said")[:1]),
            certified_on=Subquery(last.values("certified_on")[:1]),
        )
        .filter(of_version__lt=F("version"))
        .order_by("stated_at", "id")
    )
    if Role.SUPERVISOR not in actor.roles:
        rows = rows.filter(stated_by=actor)
    found = [(row, _changed(row)) for row in rows[: worklists.LIMIT]]
    return [_to_state_row(row, changed) for row, changed in found if changed]


def _changed(row: Any) -> list[ItemChange]:
    return changes_since(row.last_said, stated_rows(certificate_rows(stated_in(row))))


def _to_state_row(row: Any, changed: list[ItemChange]) -> Waiting:
    items = ", ".join(dict.fromkeys(one.item for one in changed))
    return Waiting(
        number=row.case.label,
        title=f"{row.case.decedent.full_name}: {row.case.heading}",
        detail=f"changed since: item {items}",
        when=f"stated {day(row.certified_on)}",
        url=reverse("certification:registrar", kwargs={"case_id": row.case_id}),
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
worklists.register(
    Section(
        "certificates-changed",
        "Certificates changed since the registrar was told",
        frozenset({Role.PATHOLOGIST, Role.SUPERVISOR}),
        26,
        _to_state,
    )
)

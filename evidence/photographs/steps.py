"""What photographs add to the course of a case and to the worklists."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db.models import Exists, F, Q
from django.urls import reverse

from cases.access import cases_open_to
from cases.course import Step, count_of
from cases.course import register as register_step
from cases.models import Case
from cases.rules.case import CaseState
from cases.worklists import LIMIT, Section, Waiting
from cases.worklists import register as register_section
from evidence.photographs.models import Photograph
from evidence.photographs.queries import active_link
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.prepared import Facts
from me_office.shell.templatetags.office import short_moment


def _photographs() -> Any:
    return Photograph.objects.active()


def _photographs_without_finding() -> Any:
    # Pictures of the scene, of clothing and property, and overviews need not show a finding.
    near = _photographs().filter(place="examination", view__in=["mid-range", "close-up"])
    return near.filter(~Exists(active_link()))


def _photograph_words(case: Case, facts: Facts) -> str:
    if not facts["evidence_photographs"]:
        return "none yet"
    if not facts["evidence_without_finding"]:
        return str(facts["evidence_photographs"])
    return f"{facts['evidence_photographs']}, {facts['evidence_without_finding']} without finding"


def _undescribed(actor: Staff, now: datetime) -> list[Waiting]:
    """The pathologist's open cases with photographs that still lack words or a finding."""
    rows = (
        cases_open_to(actor)
        .filter(pathologist=actor, state=CaseState.OPEN)
        .select_related("decedent")
        .annotate(
            without_finding=count_of(_photographs_without_finding()),
            without_words=count_of(_photographs().filter(shows="")),
        )
        .filter(Q(without_finding__gt=0) | Q(without_words__gt=0))
        .order_by(F("reported_at"), "pk")[:LIMIT]
    )
    waiting = []
    for case in rows:
        parts = [
            (case.without_words, "not described", "words"),
            (case.without_finding, "without finding", "finding"),
        ]
        lacking = [part for part in parts if part[0]]
        page = reverse("evidence:photographs", kwargs={"case_id": case.pk})
        waiting.append(
            Waiting(
                number=case.number or "no number",
                title=case.decedent.full_name,
                detail="photographs: " + ", ".join(f"{n} {words}" for n, words, _ in lacking),
                when=short_moment(case.reported_at),
                url=f"{page}?{lacking[0][2]}=none",
                since=case.reported_at,
            )
        )
    return waiting


register_step(
    Step(
        key="photographs",
        title="Photographs",
        order=50,
        url_name="evidence:photographs",
        words=_photograph_words,
        annotations={
            "evidence_photographs": count_of(_photographs()),
            "evidence_without_finding": count_of(_photographs_without_finding()),
        },
    )
)
register_section(
    Section(
        key="evidence-photographs",
        title="Photographs to describe or link",
        roles=frozenset({Role.PATHOLOGIST}),
        order=40,
        rows=_undescribed,
        empty="Every photograph in your open cases is described and linked to a finding.",
    )
)

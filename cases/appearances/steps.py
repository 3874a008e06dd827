"""What dates in court add to the first page of whoever has to go there."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.urls import reverse
from django.utils.text import Truncator

from cases import worklists
from cases.appearances.actions import keeps_all
from cases.appearances.queries import ahead_of, asked_of
from cases.appearances.readiness import lacks_of, with_facts
from cases.appearances.rules import CALLED, near
from cases.worklists import Section, Waiting
from me_office.accounts.models import Staff
from me_office.accounts.roles import CASE_ROLES
from me_office.moments import local
from me_office.shell.templatetags.office import short_moment


def _row(row: Any, now: datetime) -> Waiting:
    lacks = lacks_of(row)
    soon = near(local(row.begins_at), local(now), ready=not lacks)
    leaves = f"leave {short_moment(row.leave_at)}" if row.leave_at else ""
    told = (CALLED.get(row.called_by, ""), leaves, row.length_words)
    page = reverse("appearances:appearances", kwargs={"case_id": row.case_id})
    over = [("how it went", _outcome(row))] if row.begins_at <= now else []
    return Waiting(
        number=row.case.label,
        title=f"{row}: {row.case.decedent.full_name}",
        detail=", ".join(part for part in told if part),
        when=soon.words,
        url=f"{page}#appearance-{row.pk}",
        urgency=soon.urgency,
        lacks=tuple(over or ((lack.words, lack.url) for lack in lacks)),
    )


def _outcome(row: Any) -> str:
    return reverse("appearances:testimony", kwargs={"case_id": row.case_id, "record_id": row.pk})


def _own(actor: Staff, now: datetime) -> list[Waiting]:
    return [_row(row, now) for row in with_facts(ahead_of(actor))[: worklists.LIMIT]]


worklists.register(Section("own-appearances", "Your dates in court", CASE_ROLES, 5, _own))


def _asked_row(row: Any) -> Waiting:
    keys = {"case_id": row.case_id, "record_id": row.pk}
    page = reverse("appearances:appearances", kwargs={"case_id": row.case_id})
    return Waiting(
        number=row.case.label,
        title=Truncator(row.asked_afterward).words(16),
        detail=f"{row}, {row.witness}: {row.case.decedent.full_name}",
        when=f"asked {short_moment(row.begins_at).partition(',')[0]}",
        url=f"{page}#appearance-{row.pk}",
        urgency="attention",
        lacks=(("what was done about it", reverse("appearances:settle", kwargs=keys)),),
    )


def _asked(actor: Staff, now: datetime) -> list[Waiting]:
    rows = asked_of(actor, everyones=keeps_all(actor))[: worklists.LIMIT]
    return [_asked_row(row) for row in rows]


worklists.register(Section("asked-in-court", "Asked for in court", CASE_ROLES, 6, _asked))

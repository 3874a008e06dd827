"""The doors through which an endpoint reads a case: who may not see it is refused there."""

from __future__ import annotations

from uuid import UUID

from cases.access import Act, case_for
from cases.course import case_frame
from cases.models import Case
from me_office.accounts.models import Staff
from me_office.audit.actions import note_access
from me_office.shell.endpoints import Door

CASE = "cases/<uuid:case_id>"


def seen(what: str, act: Act = Act.SEE) -> Door:
    """Let in who may see the case, or do more to it, and note what they looked at."""

    def door(actor: Staff, case_id: UUID) -> Case:
        case = case_for(actor, act, case_id)
        note_access(actor, case_id=case.pk, what=what)
        return case

    return door


def framed(step: str) -> Door:
    """Let in as the page of a step does: with the decedent and those assigned, read and noted."""
    return lambda actor, case_id: case_frame(actor, case_id, current=step).case


def key(door: Door) -> Door:
    """Let in as `door` does, for a query that asks for the case's key only."""
    return lambda actor, case_id: door(actor, case_id).pk


def unnoted(actor: Staff, case_id: UUID) -> Case:
    """Let in who may see the case, for what is asked again and again while a page is open."""
    return case_for(actor, Act.SEE, case_id)

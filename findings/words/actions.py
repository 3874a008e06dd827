"""The office's own vocabulary: terms added and withdrawn."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from cases import access
from cases.access import Act
from findings.words import vocabulary
from findings.words.models import OfficeTerm
from me_office.accounts.models import Staff
from me_office.audit import keys
from me_office.audit.actions import action, recorded_before, require_version, save_new, void
from me_office.audit.errors import NotKnown, Refused


@action
def add_office_term(
    actor: Staff, *, record_id: UUID, entry: Mapping[str, Any], reason: str = ""
) -> OfficeTerm:
    """Offer a term to everybody who records findings. `entry`: klass, term.

    Raises NotAllowed, Conflict, Refused, Invalid.
    """
    access.require_role(actor, Act.EXAMINE)
    keys.recall()
    words = " ".join(str(entry.get("term") or "").split())
    term = OfficeTerm(pk=record_id, klass=entry.get("klass") or "", term=words)
    there = recorded_before(term)
    if there is not None:
        return there
    curated = {
        one.lower()
        for klass, offered in vocabulary.TERMS.items()
        if klass == term.klass
        for one in offered
    }
    if words.lower() in curated:
        raise Refused("This term is already offered.", field="term")
    return save_new(actor, term)


@action
def void_office_term(actor: Staff, *, term_id: UUID, version: int, reason: str) -> OfficeTerm:
    """Withdraw a term: it is no longer offered; findings that use it keep it.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    access.require_role(actor, Act.EXAMINE)
    keys.recall()
    term = OfficeTerm.objects.filter(pk=term_id).select_for_update().first()
    if term is None:
        raise NotKnown("There is no such term.")
    require_version(term, version)
    return void(actor, term, reason=reason)

"""The office's own words for an explanation: given, changed, withdrawn."""

from __future__ import annotations

from uuid import UUID

from cases.access import Act
from cases.actions.entry import own_row, require_for_office
from cases.explanations.models import Explanation
from cases.explanations.shipped import shipped
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import NotKnown
from me_office.audit.fields import set_fields
from me_office.audit.records import (
    require_reason,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.entries import Entry

ENTERED = ("question", "words", "source")


@action
def change_explanation(
    actor: Staff, *, key: str, record_id: UUID, version: int, entry: Entry,
    reason: str,
) -> Explanation:  # fmt: skip
    """Say an explanation in the office's own words. `entry`: question, words, source.

    Version 0 is the text as it comes. Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid.
    """
    require_for_office(actor, Act.KEEP_EXPLANATIONS)
    if key not in shipped():
        raise NotKnown("There is no such explanation.")
    require_reason(reason)
    own = own_row(Explanation, key)
    if own is None or (own.pk == record_id and version == 0):  # or the same request again
        made = Explanation(pk=record_id, key=key)
        set_fields(made, entry, ENTERED)
        return save_new(actor, made)
    require_version(own, version)
    set_fields(own, entry, ENTERED)
    return save_next_version(actor, own)


@action
def withdraw_explanation(actor: Staff, *, key: str, version: int, reason: str) -> Explanation:
    """Withdraw the office's own words: the text as it comes is given again.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    require_for_office(actor, Act.KEEP_EXPLANATIONS)
    own = own_row(Explanation, key)
    if own is None:
        raise NotKnown("The office has no words of its own for this.")
    return void(actor, own, version=version, reason=reason)

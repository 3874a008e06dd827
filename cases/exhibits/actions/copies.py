"""A set once more, for the other side: from then on each goes its own way."""

from __future__ import annotations

from uuid import UUID

from cases.access import Act
from cases.actions.entry import case_to_change
from cases.exhibits import queries
from cases.exhibits.actions.sets import SET_FIELDS, check_request
from cases.exhibits.models import Exhibit, ExhibitPart, ExhibitSet
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.fields import set_fields
from me_office.audit.ids import new_id
from me_office.audit.records import VOIDING, recorded_before, save_new
from me_office.entries import Entry

# Three statements an exhibit, and one more a further photograph: a few seconds at most.
MOST_COPIED = 300


@action
def copy_exhibit_set(
    actor: Staff, *, case_id: UUID, set_id: UUID, record_id: UUID, entry: Entry, reason: str = ""
) -> ExhibitSet:
    """Make a set with the same photographs, order, numbers and words. `entry` holds SET_FIELDS.

    Rulings are not copied: they were made on the exhibits of the other set.
    Raises NotAllowed, NotKnown, Invalid, Refused, Conflict.
    """
    case = case_to_change(actor, Act.PREPARE_EXHIBITS, case_id)
    source = queries.set_for_update(case, set_id)
    made = ExhibitSet(pk=record_id, case=case)
    set_fields(made, entry, SET_FIELDS)
    check_request(made)
    there = recorded_before(made, assigned=VOIDING)
    if there is not None:
        return there
    exhibits = queries.exhibits_of(source)
    if len(exhibits) > MOST_COPIED:
        raise Refused(f"A set of up to {MOST_COPIED} exhibits can be copied.")
    save_new(actor, made, own_key=True)
    for one in exhibits:
        _copy(actor, one, made)
    return made


def _copy(actor: Staff, one: Exhibit, into: ExhibitSet) -> None:
    first, *further = one.photographs
    copy = Exhibit(
        pk=new_id(),
        case=into.case,
        exhibit_set=into,
        photograph=first,
        position=one.position,
        number=one.number,
        caption=one.caption,
        plain_words=one.plain_words,
    )
    save_new(actor, copy, own_key=True)
    for place, photograph in enumerate(further, start=2):
        part = ExhibitPart(
            pk=new_id(), case=into.case, exhibit=copy, photograph=photograph, place=place
        )
        save_new(actor, part, own_key=True)

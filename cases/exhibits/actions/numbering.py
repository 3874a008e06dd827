"""The order and the numbers of a whole set, each in one act."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from cases.access import Act
from cases.actions.entry import case_to_change
from cases.exhibits import queries
from cases.exhibits.models import Exhibit, ExhibitSet
from cases.exhibits.numbering import steps, wrong_number
from cases.exhibits.ordering import kept_positions
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Refused
from me_office.audit.records import require_version, save_next_version
from me_office.audit.tidy import one_line


@action
def renumber_exhibits(
    actor: Staff,
    *,
    case_id: UUID,
    set_id: UUID,
    version: int,
    numbers: Sequence[Mapping[str, Any]],
    reason: str = "",
) -> ExhibitSet:
    """Give every exhibit of a set its number; those they had are kept, to be given back.

    `numbers` names each exhibit of the set with the `version` that was read and its `number`.
    Raises NotAllowed, NotKnown, StaleRecord, Conflict, Refused.
    """
    case = case_to_change(actor, Act.PREPARE_EXHIBITS, case_id)
    changed = queries.set_for_update(case, set_id)
    require_version(changed, version)
    exhibits = queries.positions_in(changed)
    given = {str(one["exhibit"]): one for one in numbers}
    if given.keys() != {str(one.pk) for one in exhibits}:
        raise Conflict(
            "Exhibits were added or removed meanwhile. Look at the numbers again.", record=changed
        )
    for one in exhibits:
        require_version(one, given[str(one.pk)]["version"])
    wanted = [one_line(str(given[str(one.pk)]["number"])).strip() for one in exhibits]
    if wrong := wrong_number(wanted):
        raise Refused(wrong, field="numbers")
    before = [one.number for one in exhibits]
    if wanted == before:
        raise Refused("These are the numbers that the exhibits have.", field="numbers")
    for at, number in steps(before, wanted):
        exhibits[at].number = number
        save_next_version(actor, exhibits[at])
    changed.numbers_before = {
        str(one.pk): number for one, number in zip(exhibits, before, strict=True)
    }
    return save_next_version(actor, changed)


@action
def arrange_exhibits(
    actor: Staff,
    *,
    case_id: UUID,
    set_id: UUID,
    was: Sequence[UUID],
    order: Sequence[UUID],
    reason: str = "",
) -> ExhibitSet:
    """Put the exhibits of a set into an order; numbers stay. `was` is the order that was read.

    Raises NotAllowed, NotKnown, Conflict with what stands now.
    """
    case = case_to_change(actor, Act.PREPARE_EXHIBITS, case_id)
    arranged = queries.set_for_update(case, set_id)
    exhibits = {one.pk: one for one in queries.positions_in(arranged)}
    if list(order) == list(exhibits):
        return arranged
    if list(was) != list(exhibits) or sorted(order) != sorted(exhibits):
        raise Conflict(_both_orders(exhibits, order), record=arranged)
    ordered = [exhibits[key] for key in order]
    for one, position in zip(
        ordered, kept_positions([one.position for one in ordered]), strict=True
    ):
        if one.position != position:
            one.position = position
            save_next_version(actor, one)
    return arranged


def _both_orders(exhibits: Mapping[UUID, Exhibit], order: Sequence[UUID]) -> str:
    now = ", ".join(one.number for one in exhibits.values())
    yours = ", ".join(exhibits[key].number for key in order if key in exhibits)
    return f"Someone else changed this set. Its order is now {now}. Your order was {yours}."

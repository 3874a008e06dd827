"""Actions on the demands of a request: added, corrected, withdrawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from uuid import UUID, uuid5

from django.utils import timezone

from cases.actions.entry import names_entered, require_correction
from cases.court import queries
from cases.court.models import Demand, RecordsRequest
from cases.court.opening import request_to_change, withdraws_part
from cases.court.queries import part_for_update
from cases.court.rules import wrong_in_demand
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Invalid, Refused
from me_office.audit.fields import set_fields
from me_office.audit.keys import OTHER_WORDS
from me_office.audit.records import recorded_before, save_new, save_next_version
from me_office.entries import Entry

DEMAND_FIELDS = names_entered(Demand)


@action
def record_demand(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    version: int = 0,
    entry: Entry,
    reason: str = "",
) -> Demand:
    """Add a demand to an open request (version 0), or correct one, with the reason.

    Its number is the next of the request and is never given again. `entry` holds DEMAND_FIELDS.
    Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid, Conflict.
    """
    asked = request_to_change(actor, case_id, request_id)
    if version == 0:
        made = Demand(pk=record_id, case=asked.case, request=asked)
        set_fields(made, entry, DEMAND_FIELDS)
        # A retry may come after the demand was corrected by somebody: then it is a conflict.
        there = recorded_before(made, assigned=("number",))
        if there is not None:
            return there
        _require_open(asked)
        _check(made)
        made.number = queries.next_demand_number(asked)
        return save_new(actor, made, own_key=True)
    demand = part_for_update(Demand, asked, record_id, "demand")
    require_correction(demand, version, reason)
    _require_open(asked)
    set_fields(demand, entry, DEMAND_FIELDS)
    _check(demand)
    return save_next_version(actor, demand)


def number_first(
    actor: Staff, asked: RecordsRequest, demands: Sequence[Mapping[str, object]]
) -> None:
    """Write the demands that come with a request when it is logged. Raises Invalid."""
    for number, entry in enumerate(demands, start=1):
        made = _first(asked, number, entry)
        _check(made)
        save_new(actor, made, own_key=True)


def require_same(asked: RecordsRequest, demands: Sequence[Mapping[str, object]]) -> None:
    """Refuse a retry that brings other demands than those that came first. Raises Conflict."""
    for number, entry in enumerate(demands, start=1):
        if recorded_before(_first(asked, number, entry)) is None:
            raise Conflict(OTHER_WORDS, record=asked)
    if Demand.objects.filter(pk=first_key(asked.pk, len(demands) + 1)).exists():
        raise Conflict(OTHER_WORDS, record=asked)


def first_key(request_id: UUID, number: int) -> UUID:
    """Return the key of a demand that comes with its request: a retry makes the same one."""
    return uuid5(request_id, f"demand {number}")


def _first(asked: RecordsRequest, number: int, entry: Entry) -> Demand:
    made = Demand(
        pk=first_key(asked.pk, number), case_id=asked.case_id, request=asked, number=number
    )
    set_fields(made, entry, DEMAND_FIELDS)
    return made


def _check(demand: Demand) -> None:
    said = {name: getattr(demand, name) for name in DEMAND_FIELDS}
    wrong = wrong_in_demand(said, timezone.localdate())
    if wrong:
        raise Invalid(wrong)


def _require_open(asked: RecordsRequest) -> None:
    if not asked.is_open:
        raise Refused(f"The request is {asked.state}; its demands can no longer be changed.")


# The party no longer asks for it, the court struck it, it was a mistake.
withdraw_demand = withdraws_part("withdraw_demand", Demand, "demand", unless=_require_open)

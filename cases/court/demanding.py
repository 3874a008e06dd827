"""Actions on the demands of a request: added, corrected, withdrawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from uuid import UUID, uuid5

from django.utils import timezone

from cases.actions.entry import names_entered, refuse_wrong
from cases.court import queries
from cases.court.models import Demand, RecordsRequest
from cases.court.opening import records_part, withdraws_part
from cases.court.rules import wrong_in_demand
from me_office.accounts.models import Staff
from me_office.audit.errors import Conflict, Refused
from me_office.audit.fields import said_of, set_fields
from me_office.audit.keys import OTHER_WORDS
from me_office.audit.records import recorded_before, save_new
from me_office.entries import Entry

DEMAND_FIELDS = names_entered(Demand)


def _check(demand: Demand) -> None:
    refuse_wrong(wrong_in_demand(said_of(demand, DEMAND_FIELDS), timezone.localdate()))


def _require_open(asked: RecordsRequest, is_new: bool = False) -> None:
    if not asked.is_open:
        raise Refused(f"The request is {asked.state}; its demands can no longer be changed.")


# Its number is the next of the request and is never given again. `entry` holds DEMAND_FIELDS.
record_demand = records_part(
    "record_demand", Demand, "demand", DEMAND_FIELDS,
    unless=_require_open, check=_check,
    given=lambda asked: {"number": queries.next_demand_number(asked)},
)  # fmt: skip


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


# The party no longer asks for it, the court struck it, it was a mistake.
withdraw_demand = withdraws_part("withdraw_demand", Demand, "demand", unless=_require_open)

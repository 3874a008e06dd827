"""Taking, describing and withdrawing specimens."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from cases import access
from cases.access import Act
from cases.queries import case_for_update
from evidence.custody.opening import (
    close_and_hand_over,
    open_item,
    require_active,
    require_opened_so,
    void_item,
)
from evidence.items.models import Item
from evidence.specimens import queries
from evidence.specimens.models import Specimen
from evidence.specimens.site_rules import site_question
from me_office.accounts.models import Staff
from me_office.audit.actions import (
    action,
    recorded_before,
    require_reason,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.audit.errors import Refused
from me_office.audit.fields import set_fields

OF_OTHERS = ("taken_by", "taken_where", "label_time", "received_from")
DESCRIBED = (
    "material", "site", "site_reason", "amount", "unit", "container", "preservative", "purpose",
)  # fmt: skip


def require_site_asked(specimen: Specimen, *, field: str = "site_reason") -> None:
    """Ask about a site that does not go with the recorded sex; any answer is taken.

    An answer to a question that is no longer asked is dropped. Raises Refused beside `field`.
    """
    asked = site_question(specimen.case.decedent.sex, specimen.material, specimen.site)
    if not asked:
        specimen.site_reason = ""
    elif not specimen.site_reason.strip():
        raise Refused(asked, field=field)


@action
def take_specimen(
    actor: Staff, *, case_id: UUID, record_id: UUID, entry: Mapping[str, object], reason: str = ""
) -> Specimen:
    """Record a specimen with its item number, its numbered seal and its first transfer.

    `entry`: material, site, site_reason (where the site is asked about), amount, unit, container,
    preservative, purpose; collected_at, collected_by (staff, else the actor); seal_number;
    to_party or to_staff, handed_over_at, transfer_place, transfer_purpose.

    Raises NotKnown, NotAllowed, Conflict, Invalid, Refused.
    """
    case = case_for_update(case_id)
    access.require(actor, Act.TAKE_SPECIMEN, case)
    specimen = Specimen(
        pk=record_id, case=case, **{name: entry[name] for name in DESCRIBED if name in entry}
    )
    there = recorded_before(specimen, assigned=("item",))
    if there is not None:
        require_opened_so(there, entry)
        return there
    require_site_asked(specimen)
    specimen.item = open_item(actor, case, kind="specimen", title=str(specimen), entry=entry)
    save_new(actor, specimen)
    close_and_hand_over(actor, specimen.item, entry)
    return specimen


@action
def describe_specimen(
    actor: Staff,
    *,
    case_id: UUID,
    specimen_id: UUID,
    version: int,
    entry: Mapping[str, object],
    reason: str,
) -> Specimen:
    """Correct what is said about a specimen; it says why, because it is sealed by then.

    Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid.
    """
    case = case_for_update(case_id)
    access.require(actor, Act.TAKE_SPECIMEN, case)
    specimen = queries.specimen_for_update(case, specimen_id)
    require_version(specimen, version)
    require_active(specimen, "specimen")
    require_reason(reason)
    set_fields(specimen, entry, (*DESCRIBED, *(OF_OTHERS if specimen.is_of_others else ())))
    require_site_asked(specimen)
    save_next_version(actor, specimen)
    item = Item.objects.select_for_update().get(pk=specimen.item_id)
    item.title = str(specimen)[:160]
    save_next_version(actor, item)
    return specimen


@action
def void_specimen(
    actor: Staff, *, case_id: UUID, specimen_id: UUID, version: int, reason: str
) -> Specimen:
    """Withdraw a specimen and its item; seals and transfers stay on record.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case = case_for_update(case_id)
    access.require(actor, Act.TAKE_SPECIMEN, case)
    specimen = queries.specimen_for_update(case, specimen_id)
    require_version(specimen, version)
    why = require_reason(reason)
    voided = void(actor, specimen, reason=why)
    void_item(actor, specimen.item, reason=why)
    return voided

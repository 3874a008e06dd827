"""Taking, describing and withdrawing specimens."""

from __future__ import annotations

from uuid import UUID

from cases.access import Act
from cases.actions.entry import case_to_change
from evidence.custody.opening import (
    close_and_hand_over,
    correct_with_item,
    open_item,
    require_correctable,
    require_opened_so,
    voids_with_item,
)
from evidence.specimens import queries
from evidence.specimens.models import Specimen
from evidence.specimens.site_rules import site_question
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.fields import set_fields
from me_office.audit.records import recorded_before, save_new
from me_office.entries import Entry

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
    actor: Staff, *, case_id: UUID, record_id: UUID, entry: Entry, reason: str = ""
) -> Specimen:
    """Record a specimen with its item number, its numbered seal and its first transfer.

    `entry`: material, site, site_reason (where the site is asked about), amount, unit, container,
    preservative, purpose; collected_at, collected_by (staff, else the actor); seal_number;
    to_party or to_staff, handed_over_at, transfer_place, transfer_purpose.

    Raises NotKnown, NotAllowed, Conflict, Invalid, Refused.
    """
    case = case_to_change(actor, Act.TAKE_SPECIMEN, case_id)
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
    actor: Staff, *, case_id: UUID, specimen_id: UUID, version: int, entry: Entry, reason: str
) -> Specimen:
    """Correct what is said about a specimen; it says why, because it is sealed by then.

    Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid.
    """
    case = case_to_change(actor, Act.TAKE_SPECIMEN, case_id)
    specimen = queries.specimen_for_update(case, specimen_id)
    require_correctable(specimen, "specimen", version, reason)
    set_fields(specimen, entry, (*DESCRIBED, *(OF_OTHERS if specimen.is_of_others else ())))
    require_site_asked(specimen)
    return correct_with_item(actor, specimen, str(specimen))


void_specimen = voids_with_item(
    "void_specimen", Act.TAKE_SPECIMEN, queries.specimen_for_update, key="specimen_id"
)

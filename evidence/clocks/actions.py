"""Setting what is known of a camera's clock."""

from __future__ import annotations

from uuid import UUID

from cases.access import Act
from cases.actions.entry import case_to_change
from evidence.clocks import queries
from evidence.clocks.models import CameraClock
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import NotKnown, Refused
from me_office.audit.fields import set_fields
from me_office.audit.records import require_reason, require_version, save_new, save_next_version
from me_office.entries import Entry
from me_office.environment.checks import known_zones

KNOWN = ("zone", "ahead_seconds", "known_from")


@action
def set_camera_clock(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    camera: str,
    serial: str,
    version: int,
    entry: Entry,
    reason: str = "",
) -> CameraClock:
    """Say to which zone a camera's clock was set and how far ahead it ran.

    Version 0 says it first; a change names the version that was read and the reason.
    Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid.
    """
    case = case_to_change(actor, Act.PHOTOGRAPH, case_id)
    if entry.get("zone") not in known_zones():
        raise Refused("Choose the time zone.", field="zone")
    if (camera, serial) not in queries.cameras_in(case):
        raise NotKnown("No photograph of this case is from that camera.")
    clock: CameraClock | None = (
        CameraClock.objects.active()
        .select_for_update(of=("self",))
        .filter(case=case, camera=camera, serial=serial)
        .first()
    )
    if clock is None or (clock.pk == record_id and version == 0):  # or the same request again
        made = CameraClock(pk=record_id, case=case, camera=camera, serial=serial)
        set_fields(made, entry, KNOWN)
        return save_new(actor, made)
    require_version(clock, version)
    require_reason(reason)
    set_fields(clock, entry, KNOWN)
    return save_next_version(actor, clock)

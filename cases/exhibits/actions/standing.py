"""The exhibit with which most changes of one begin."""

from __future__ import annotations

from uuid import UUID

from cases.exhibits import queries
from cases.exhibits.models import Exhibit
from cases.models import Case
from me_office.audit.errors import Refused
from me_office.audit.records import require_version


def standing_exhibit(case: Case, exhibit_id: UUID, version: int) -> Exhibit:
    """Return an exhibit that was read and is still in its set, locked with the set.

    Raises NotKnown, StaleRecord, Refused.
    """
    exhibit = queries.exhibit_for_update(case, exhibit_id)
    require_version(exhibit, version)
    if exhibit.is_voided:
        raise Refused("This exhibit was removed from its set.")
    queries.set_for_update(case, exhibit.exhibit_set_id)
    return exhibit

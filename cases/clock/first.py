"""The count of a due day that is made while its request is logged."""

from __future__ import annotations

from uuid import UUID, uuid5

from cases.clock.actions import count_due_day
from cases.clock.models import DueCount
from cases.court.counted import COUNTING_FIELDS, keep_counts_with
from cases.court.models import RecordsRequest
from me_office.accounts.models import Staff
from me_office.audit.errors import Conflict
from me_office.audit.fields import said_of
from me_office.entries import Entry

OTHER_COUNT = "A request with this key was logged with another count of its due day."


def first_key(request_id: UUID) -> UUID:
    """Return the key of the count that comes with its request: a retry makes the same one."""
    return uuid5(request_id, "count of the due day")


class FirstCount:
    """Keeps the count beside the request, in the same act."""

    def keep_first(self, actor: Staff, asked: RecordsRequest, entry: Entry) -> RecordsRequest:
        """Count from the day of service, with the closures of the request's court."""
        said = {name: entry[name] for name in COUNTING_FIELDS}
        said |= {"trigger_on": asked.served_on, "court": asked.court}
        kept = count_due_day(
            actor,
            case_id=asked.case_id,
            request_id=asked.pk,
            record_id=first_key(asked.pk),
            entry=said,
        )
        return kept.request

    def require_same(self, asked: RecordsRequest, entry: Entry | None) -> None:
        """Compare what was said of the count with what was said first."""
        kept = DueCount.objects.filter(pk=first_key(asked.pk)).first()
        first = said_of(kept, COUNTING_FIELDS) if kept else None
        if first != (dict(entry) if entry else None):
            raise Conflict(OTHER_COUNT, record=asked)


keep_counts_with(FirstCount())

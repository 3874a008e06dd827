"""Every change to marks made in court."""

from __future__ import annotations

from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import case_to_change, withdraws
from cases.exhibits import queries
from cases.exhibits.mark_rules import check_marked, checked_strokes
from cases.exhibits.models import CourtMark, Exhibit, Redaction
from evidence.photographs.models import Photograph
from evidence.photographs.queries import photograph_of
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.fields import set_fields
from me_office.audit.records import save_new
from me_office.entries import Entry

MARK_FIELDS = ("strokes", "marked_at", "marked_by")


@action
def keep_court_mark(
    actor: Staff,
    *,
    case_id: UUID,
    exhibit_id: UUID,
    record_id: UUID,
    photograph_id: UUID,
    entry: Entry,
    redaction_id: UUID | None = None,
    reason: str = "",
) -> CourtMark:
    """Keep what was drawn over an exhibit before a court. `entry` holds MARK_FIELDS.

    `redaction_id` is the redacted copy that was shown, if one was. An exhibit that was removed
    from its set since was shown all the same, and so was a photograph that it held before.
    Raises NotAllowed, NotKnown, Invalid, Refused, Conflict.
    """
    case = case_to_change(actor, Act.KEEP_COURT_MARK, case_id)
    exhibit = queries.exhibit_with_pictures(case, exhibit_id)
    kept = CourtMark(pk=record_id, case=case, exhibit=exhibit)
    kept.photograph = _photograph_shown(exhibit, photograph_id)
    kept.redaction = _redaction_shown(redaction_id, photograph_id)
    set_fields(kept, {**entry, "strokes": checked_strokes(entry.get("strokes"))}, MARK_FIELDS)
    made = save_new(actor, kept)
    check_marked(made.marked_at, now=timezone.now())
    return made


def _photograph_shown(exhibit: Exhibit, photograph_id: UUID) -> Photograph:
    shown = {photograph.pk: photograph for photograph in exhibit.photographs}
    if photograph_id in shown:
        return shown[photograph_id]
    # A device that was away goes on showing what the exhibit held when its page was loaded.
    if photograph_id not in queries.photographs_ever_in(exhibit):
        raise Refused("The exhibit does not show this photograph.", field="photograph")
    return photograph_of(exhibit.case, photograph_id)


def _redaction_shown(redaction_id: UUID | None, photograph_id: UUID) -> Redaction | None:
    if redaction_id is None:
        return None
    found = Redaction.objects.filter(pk=redaction_id, photograph=photograph_id).first()
    if found is None:
        raise Refused("This redacted copy is of another photograph.", field="redaction")
    return found


# One that was kept by mistake; the history shows it still.
void_court_mark = withdraws(
    "void_court_mark", Act.KEEP_COURT_MARK, queries.mark_for_update, key="mark_id"
)

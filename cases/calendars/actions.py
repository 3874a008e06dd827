"""Leave, feeds and what feeds may say: kept, renewed, withdrawn."""

from __future__ import annotations

from uuid import UUID

from cases import access
from cases.access import Act
from cases.actions.entry import refuse_wrong, require_correction, require_standing
from cases.calendars import rules
from cases.calendars.models import CalendarFeed, CalendarNames, Leave
from me_office.accounts.models import Staff
from me_office.audit import keys
from me_office.audit.actions import action
from me_office.audit.errors import NotAllowed, known_of_office
from me_office.audit.fields import said_of, set_fields
from me_office.audit.records import (
    VOIDING,
    recorded_before,
    require_reason,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.entries import Entry

LEAVE_FIELDS = ("person", "first_on", "last_on", "why")


def keeps_all_leave(actor: Staff) -> bool:
    """Tell whether somebody keeps the leave of others, too: who keeps all dates in court."""
    return access.may_somewhere(actor, Act.HANDLE_REQUEST)


@action
def keep_leave(
    actor: Staff, *, record_id: UUID, version: int, entry: Entry, reason: str = ""
) -> Leave:
    """Keep days on which somebody is away. `entry`: LEAVE_FIELDS; version 0 makes it.

    One's own, or as clerk or supervisor anybody's. Raises NotAllowed, NotKnown, StaleRecord,
    Conflict, Refused, Invalid.
    """
    access.require_role(actor, Act.SEE, called="keep leave")
    record = Leave(pk=record_id) if version == 0 else _leave(actor, record_id)
    if version:
        keys.recall()
        require_correction(record, version, reason)
    set_fields(record, entry, LEAVE_FIELDS)
    _require_own(actor, record)
    if not version:
        keys.recall()
    refuse_wrong(rules.wrong_in_leave(said_of(record, LEAVE_FIELDS)))
    if version:
        return save_next_version(actor, record)
    return save_new(actor, record)


@action
def withdraw_leave(actor: Staff, *, record_id: UUID, version: int, reason: str) -> Leave:
    """Withdraw leave. Raises NotAllowed, NotKnown, StaleRecord, Refused."""
    access.require_role(actor, Act.SEE, called="keep leave")
    record = _leave(actor, record_id)
    keys.recall()
    return void(actor, record, version=version, reason=reason)


@action
def open_calendar_feed(
    actor: Staff, *, record_id: UUID, secret_sha256: str, for_office: bool = False,
    reason: str = "",
) -> CalendarFeed:  # fmt: skip
    """Open a feed under a new address; the one before is closed with it.

    Only the digest of the address's secret comes here. The office's feed is opened by who may keep
    the rules of counting. Raises NotAllowed, Conflict.
    """
    _require_feed(actor, for_office)
    keys.recall()
    made = CalendarFeed(
        pk=record_id, owner=None if for_office else actor, secret_sha256=secret_sha256
    )
    there = recorded_before(made, assigned=VOIDING)
    if there is not None:
        return there
    standing = CalendarFeed.objects.active().select_for_update(of=("self",))
    before = standing.filter(owner=made.owner).first()
    if before is not None:
        void(actor, before, reason="Another address was made.")
    return save_new(actor, made, own_key=True)


@action
def close_calendar_feed(
    actor: Staff, *, record_id: UUID, version: int, reason: str = ""
) -> CalendarFeed:
    """Close a feed: its address is answered no more. Raises NotAllowed, NotKnown, StaleRecord."""
    rows = CalendarFeed.objects.select_for_update(of=("self",))
    feed = known_of_office(rows.filter(pk=record_id).first(), "calendar")
    if feed.owner_id not in {None, actor.pk}:
        known_of_office(None, "calendar")
    _require_feed(actor, feed.owner_id is None)
    keys.recall()
    require_standing(feed, version)
    return void(actor, feed, version=version, reason=reason or "Closed by its person.")


@action
def choose_calendar_names(
    actor: Staff, *, record_id: UUID, version: int, named: bool, reason: str
) -> CalendarNames:
    """Say whether feeds name decedents. Raises NotAllowed, StaleRecord, Refused."""
    access.require_role(actor, Act.KEEP_REVIEW_RULES, called="choose what calendars say")
    keys.recall()
    require_reason(reason)
    standing = CalendarNames.objects.active().select_for_update(of=("self",)).first()
    if standing is None or (standing.pk == record_id and version == 0):
        return save_new(actor, CalendarNames(pk=record_id, named=named))
    require_version(standing, version)
    standing.named = named
    return save_next_version(actor, standing)


def _require_feed(actor: Staff, for_office: bool) -> None:
    if for_office:
        access.require_role(actor, Act.KEEP_COUNTING, called="open the office’s calendar")
    else:
        access.require_role(actor, Act.SEE, called="open a calendar")


def _leave(actor: Staff, record_id: UUID) -> Leave:
    rows = Leave.objects.select_for_update(of=("self",)).select_related("person")
    found = known_of_office(rows.filter(pk=record_id).first(), "leave")
    _require_own(actor, found)
    return found


def _require_own(actor: Staff, record: Leave) -> None:
    if record.person_id != actor.pk and not keeps_all_leave(actor):
        raise NotAllowed("A records clerk or supervisor keeps the leave of others.")

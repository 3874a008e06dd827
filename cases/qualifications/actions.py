"""Recording the lines of a curriculum vitae, and issuing versions of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from uuid import UUID

from django.db.models import Max
from django.utils import timezone

from cases.actions.entry import names_entered, refuse_wrong, require_standing
from cases.qualifications import queries
from cases.qualifications.models import CurriculumVersion, ListedTestimony, Qualification
from cases.qualifications.rules import why_not_kept, wrong_in_qualification, wrong_in_testified
from cases.review.rules import digest_of
from me_office.accounts.models import Staff
from me_office.accounts.roles import CASE_ROLES, Role
from me_office.audit import keys
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, NotAllowed, Refused
from me_office.audit.fields import said_of, set_fields
from me_office.audit.models import Record
from me_office.audit.records import save_new, save_next_version, void
from me_office.entries import Entry

NAMES = names_entered(Qualification)
TESTIFIED_NAMES = names_entered(ListedTestimony)
# What the record of a date in court says is not entered a second time.
RECORDED_NAMES = ("kind", "on_day")


def may_keep(actor: Staff, person_id: UUID) -> bool:
    """Tell whether a page offers to change a person's curriculum vitae."""
    return not _why_not(actor, person_id)


def require_reader(actor: Staff) -> None:
    """Refuse who works on no cases. Raises NotAllowed."""
    if not actor.roles & CASE_ROLES:
        raise NotAllowed("Your account gives no access to curricula vitae.")


@action
def record_qualification(
    actor: Staff,
    *,
    person_id: UUID,
    record_id: UUID,
    version: int = 0,
    entry: Entry,
    reason: str = "",
) -> Qualification:
    """Record a line of a curriculum vitae; a later version changes it. `entry` holds NAMES.

    Raises NotAllowed, NotKnown, StaleRecord, Conflict, Refused, Invalid.
    """
    _require(actor, person_id)
    if version:
        line = queries.line_for_update(person_id, record_id)
        require_standing(line, version)
    else:
        line = Qualification(pk=record_id, person=queries.person_of(person_id))
    set_fields(line, entry, NAMES)
    _check(line, NAMES, wrong_in_qualification)
    return save_next_version(actor, line) if version else save_new(actor, line)


@action
def void_qualification(
    actor: Staff, *, person_id: UUID, record_id: UUID, version: int, reason: str
) -> Qualification:
    """Withdraw a line; versions that were issued keep it.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    _require(actor, person_id)
    line = queries.line_for_update(person_id, record_id)
    return void(actor, line, version=version, reason=reason)


@action
def list_testimony(
    actor: Staff,
    *,
    person_id: UUID,
    record_id: UUID,
    version: int = 0,
    appearance_id: UUID | None = None,
    entry: Entry,
    reason: str = "",
) -> ListedTestimony:
    """List a case in which the person testified; a later version changes the line.

    `entry` holds TESTIFIED_NAMES. With `appearance_id`, type and day are those of that date in
    court. Raises NotAllowed, NotKnown, StaleRecord, Conflict, Refused, Invalid.
    """
    _require(actor, person_id)
    if version:
        line = queries.testified_for_update(person_id, record_id)
        require_standing(line, version)
    else:
        line = ListedTestimony(pk=record_id, person=queries.person_of(person_id))
        if appearance_id is not None:
            line.appearance = queries.heard_of(actor, person_id, appearance_id)
    set_fields(line, entry, TESTIFIED_NAMES)
    if line.appearance is not None:
        recorded = queries.as_recorded(line.appearance)
        set_fields(line, {name: recorded[name] for name in RECORDED_NAMES}, RECORDED_NAMES)
    _check(line, TESTIFIED_NAMES, wrong_in_testified)
    return save_next_version(actor, line) if version else save_new(actor, line)


@action
def void_testimony_line(
    actor: Staff, *, person_id: UUID, record_id: UUID, version: int, reason: str
) -> ListedTestimony:
    """Withdraw a line of testimony; versions that were issued keep it.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    _require(actor, person_id)
    line = queries.testified_for_update(person_id, record_id)
    return void(actor, line, version=version, reason=reason)


@action
def issue_curriculum(
    actor: Staff,
    *,
    person_id: UUID,
    record_id: UUID,
    counted_on: date | None = None,
    reason: str = "",
) -> CurriculumVersion:
    """Issue the next version: the lines as they stand, and what the office counts through a day.

    Raises NotAllowed, NotKnown, Refused, Invalid, Conflict.
    """
    _require(actor, person_id)
    there = CurriculumVersion.objects.filter(pk=record_id).first()
    if there is not None:
        return _issued_before(there, person_id, counted_on)
    person = queries.person_of(person_id)
    today = timezone.localdate()
    through = counted_on or today
    if through > today:
        raise Refused(
            "The day through which is counted cannot be in the future.", field="counted_on"
        )
    lines = queries.lines_of(person.pk)
    if not lines:
        raise Refused("Record a line first: a license, a degree, an appointment.")
    listed = queries.testified_of(person.pk)
    if any(one.appearance and one.appearance.is_voided for one in listed):
        raise Refused(
            "A line of testimony lists a date in court that was voided since. Void that line first."
        )
    content = queries.content_of(person, through, lines, listed)
    issued = CurriculumVersion.objects.filter(person=person)
    last = issued.aggregate(last=Max("number"))["last"] or 0
    made = CurriculumVersion(
        pk=record_id,
        person=person,
        number=last + 1,
        counted_on=through,
        content=content,
        sha256=digest_of(content),
    )
    return save_new(actor, made, own_key=True)


def _issued_before(
    there: CurriculumVersion, person_id: UUID, counted_on: date | None
) -> CurriculumVersion:
    """Return the version of a retried request; one of another person or day is none."""
    same = there.person_id == person_id
    if not same or counted_on not in (None, there.counted_on):
        raise Conflict(
            "A record with this key has different content.", record=there if same else None
        )
    return there


def _check(
    line: Record, names: Sequence[str], wrong_in: Callable[..., Mapping[str, list[str]]]
) -> None:
    refuse_wrong(wrong_in(said_of(line, names), timezone.localdate()))


def _require(actor: Staff, person_id: UUID) -> None:
    if why_not := _why_not(actor, person_id):
        raise NotAllowed(why_not)
    keys.recall()


def _why_not(actor: Staff, person_id: UUID) -> str:
    return why_not_kept(
        supervises=actor.has_role(Role.SUPERVISOR),
        own=actor.pk == person_id,
        works_on_cases=actor.works_on_cases,
    )

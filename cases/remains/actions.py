"""Placing and lifting holds; the body's release and return."""

from __future__ import annotations

from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import (
    case_to_change,
    names_entered,
    refuse_wrong,
    require_correction,
    require_standing,
    save_as,
    save_entry,
    voids,
)
from cases.models import BodyReceipt, Case, Decedent
from cases.remains import queries
from cases.remains.models import BodyHold, BodyRelease, BodyReturn
from cases.remains.queries import Stay, movements_of, stays_of
from cases.remains.rules import (
    Movement,
    Way,
    is_here,
    last_movement,
    why_held,
    wrong_in_release,
    wrong_time,
)
from cases.rules import intake as intake_rules
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.fields import set_fields
from me_office.audit.records import VOIDING, recorded_before, require_reason, save_next_version
from me_office.audit.tidy import tidy
from me_office.entries import Entry

RELEASE_NAMES = names_entered(BodyRelease)
RETURN_NAMES = names_entered(BodyReturn)
HOLD_NAMES = names_entered(BodyHold)
NOT_COMPARED = ("stay", *VOIDING)


@action
def place_hold(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    version: int = 0,
    entry: Entry,
    reason: str = "",
) -> BodyHold:
    """Keep the body in the office until the hold is lifted; a later version changes an open one.

    A hold may be placed before the body comes in. Raises NotKnown, NotAllowed, StaleRecord,
    Conflict, Refused, Invalid.
    """
    case = case_to_change(actor, Act.HOLD_BODY, case_id)
    refuse_wrong(intake_rules.ahead_of_now({"placed_at": entry.get("placed_at")}, timezone.now()))
    if version:
        standing = queries.record_for_update(BodyHold, case, record_id)
        if standing.lifted_at is not None:
            raise Refused("This hold was lifted. Place a new one.")
    return save_entry(actor, BodyHold, case=case, record_id=record_id, version=version, entry=entry)


@action
def lift_hold(
    actor: Staff, *, case_id: UUID, record_id: UUID, version: int, reason: str
) -> BodyHold:
    """Lift a hold, with the reason. Raises NotKnown, NotAllowed, StaleRecord, Refused."""
    case = case_to_change(actor, Act.HOLD_BODY, case_id)
    hold = queries.record_for_update(BodyHold, case, record_id)
    require_standing(hold, version)
    if hold.lifted_at is not None:
        raise Refused("This hold was already lifted.")
    hold.lifted_why = require_reason(reason)
    hold.lifted_at, hold.lifted_by = timezone.now(), actor
    return save_next_version(actor, hold)


void_hold = voids("void_hold", BodyHold, Act.HOLD_BODY)


@action
def release_body(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    version: int = 0,
    entry: Entry,
    reason: str = "",
) -> BodyRelease:
    """Record that the body left the office; the actor released it unless said.

    An open hold refuses the release. Version 0 records it, a later one corrects it with a reason.
    Raises NotKnown, NotAllowed, StaleRecord, Conflict, Refused, Invalid.
    """
    case = case_to_change(actor, Act.RELEASE_BODY, case_id)
    stays = stays_of(case)
    if version:
        release = queries.record_for_update(BodyRelease, case, record_id)
        require_correction(release, version, reason)
        set_fields(release, entry, RELEASE_NAMES)
    else:
        release = BodyRelease(pk=record_id, case=case, released_by=actor, stay=len(stays) or 1)
        set_fields(release, entry, RELEASE_NAMES)
        there = recorded_before(release, assigned=NOT_COMPARED)
        if there is not None:
            return there
        _require_here(stays)
        held = why_held([hold.words for hold in queries.open_holds_of(case)])
        if held:
            raise Refused(held)
    _check_release(case, release, stays)
    saved = save_as(actor, release, version)
    _follow(case)
    return saved


@action
def return_body(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    version: int = 0,
    entry: Entry,
    reason: str = "",
) -> BodyReturn:
    """Record that a released body came back; the actor received it unless said.

    Raises NotKnown, NotAllowed, StaleRecord, Conflict, Refused, Invalid.
    """
    case = case_to_change(actor, Act.RELEASE_BODY, case_id)
    stays = stays_of(case)
    if version:
        came = queries.record_for_update(BodyReturn, case, record_id)
        require_correction(came, version, reason)
        set_fields(came, entry, RETURN_NAMES)
    else:
        came = BodyReturn(pk=record_id, case=case, received_by=actor, stay=len(stays) + 1)
        set_fields(came, entry, RETURN_NAMES)
        there = recorded_before(came, assigned=NOT_COMPARED)
        if there is not None:
            return there
        if not stays:
            raise Refused("The body was never received. Record its receipt first.")
        if stays[-1].release is None:
            raise Refused("The body is in the office; it was not released.")
    _check_moment(stays, Movement(Way.IN, came.stay, came.returned_at), "returned_at")
    saved = save_as(actor, came, version)
    _follow(case)
    return saved


def _after_no_release(release: BodyRelease) -> None:
    if BodyReturn.objects.active().filter(case=release.case, stay__gt=release.stay).exists():
        raise Refused("The body was returned after this release. Void its return first.")
    _follow(release.case)


def _after_no_return(came: BodyReturn) -> None:
    if BodyRelease.objects.active().filter(case=came.case, stay__gte=came.stay).exists():
        raise Refused("The body was released after this return. Void that release first.")
    _follow(came.case)


# What did not happen.
void_release = voids("void_release", BodyRelease, Act.RELEASE_BODY, then=_after_no_release)
void_return = voids("void_return", BodyReturn, Act.RELEASE_BODY, then=_after_no_return)


def wrong_in_receipt(receipt: BodyReceipt) -> dict[str, str]:
    """Return why a body cannot have been received at the time: it was released before."""
    first = (
        BodyRelease.objects.active()
        .filter(case_id=receipt.case_id, stay=1)
        .values_list("released_at", flat=True)
        .first()
    )
    if first is None or receipt.received_at is None:
        return {}
    came = Movement(Way.IN, 1, receipt.received_at)
    wrong = wrong_time([came, Movement(Way.OUT, 1, first)], came)
    return {"received_at": wrong} if wrong else {}


def _require_here(stays: list[Stay]) -> None:
    movements = movements_of(stays)
    if not stays:
        raise Refused("The body has not been received. Record its receipt first.")
    if not is_here(movements):
        raise Refused("The body is already released.")


def _check_release(case: Case, release: BodyRelease, stays: list[Stay]) -> None:
    _check_moment(stays, Movement(Way.OUT, release.stay, release.released_at), "released_at")
    stay = next(one for one in stays if one.number == release.stay)
    tidy(release)
    said = {name: getattr(release, name) for name in RELEASE_NAMES if name != "released_by"}
    identity = Decedent.objects.values_list("identity", flat=True).get(case=case)
    refuse_wrong(
        wrong_in_release(
            said, tag=stay.came_in.tag_number, identity=identity,
            released_by=str(release.released_by),
        )
    )  # fmt: skip


def _check_moment(stays: list[Stay], movement: Movement, field: str) -> None:
    if movement.at is None:
        return  # the table says that it is missing
    refuse_wrong(intake_rules.ahead_of_now({field: movement.at}, timezone.now()))
    others = [
        one for one in movements_of(stays) if (one.way, one.stay) != (movement.way, movement.stay)
    ]
    wrong = wrong_time([*others, movement], movement)
    refuse_wrong({field: wrong} if wrong else {})


def _follow(case: Case) -> None:
    """Keep on the case since when its body is in the office: what lists read."""
    last = last_movement(movements_of(stays_of(case)))
    since = last.at if last is not None and last.way is Way.IN else None
    Case.objects.filter(pk=case.pk).exclude(body_in_since=since).update(body_in_since=since)

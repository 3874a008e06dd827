"""Every change to exhibit sets and exhibits."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from cases.access import Act
from cases.actions.entry import case_to_change, withdraws
from cases.exhibits import queries
from cases.exhibits.actions.composites import photographs_in_order, place_parts, refuse_withdrawn
from cases.exhibits.actions.standing import standing_exhibit
from cases.exhibits.models import Exhibit, ExhibitSet
from cases.exhibits.rules import GAP, next_number, place_for, taken_number
from evidence.photographs.models import Photograph
from evidence.photographs.rules import behind_the_cover
from findings.words.plain import plain_words_for
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Refused
from me_office.audit.fields import set_fields
from me_office.audit.records import (
    VOIDING,
    recorded_before,
    require_version,
    save_new,
    save_next_version,
)
from me_office.entries import Entry

SET_FIELDS = ("title", "court", "cause_number", "request")
EXHIBIT_FIELDS = ("number", "caption", "plain_words")
# What the office fills in or moves later, so that a retried request is recognized all the same.
_GIVEN = ("position", *VOIDING)


@action
def make_exhibit_set(
    actor: Staff, *, case_id: UUID, record_id: UUID, entry: Entry, reason: str = ""
) -> ExhibitSet:
    """Begin a set of exhibits. `entry` holds SET_FIELDS.

    Raises NotAllowed, NotKnown, Invalid, Refused, Conflict.
    """
    case = case_to_change(actor, Act.PREPARE_EXHIBITS, case_id)
    made = ExhibitSet(pk=record_id, case=case)
    set_fields(made, entry, SET_FIELDS)
    check_request(made)
    return save_new(actor, made)


@action
def change_exhibit_set(
    actor: Staff, *, case_id: UUID, set_id: UUID, version: int, entry: Entry, reason: str = ""
) -> ExhibitSet:
    """Change what a set is called and what it is for.

    Raises NotAllowed, NotKnown, StaleRecord, Invalid, Refused.
    """
    case = case_to_change(actor, Act.PREPARE_EXHIBITS, case_id)
    changed = queries.set_for_update(case, set_id)
    require_version(changed, version)
    set_fields(changed, entry, SET_FIELDS)
    check_request(changed)
    return save_next_version(actor, changed)


def check_request(exhibit_set: ExhibitSet) -> None:
    """Refuse a request of another case. Raises Refused."""
    request = exhibit_set.request
    if request is not None and request.case_id != exhibit_set.case_id:
        raise Refused("This request is of another case.", field="request")


# What the set held stays in the history.
void_exhibit_set = withdraws(
    "void_exhibit_set", Act.PREPARE_EXHIBITS, queries.set_for_update, key="set_id"
)


@action
def add_exhibit(
    actor: Staff,
    *,
    case_id: UUID,
    set_id: UUID,
    record_id: UUID,
    photograph_id: UUID,
    entry: Entry,
    further: Sequence[UUID] = (),
    reason: str = "",
) -> Exhibit:
    """Put a photograph at the end of a set, with `further` ones of a composite behind it.

    `entry` holds EXHIBIT_FIELDS; what is left out is offered: the next number, the words of the
    photograph log, the plain words of the findings it shows.
    Raises NotAllowed, NotKnown, Invalid, Refused, Conflict.
    """
    case = case_to_change(actor, Act.PREPARE_EXHIBITS, case_id)
    exhibit_set = queries.set_for_update(case, set_id)
    shown = photographs_in_order(case, [photograph_id, *further])
    photograph, *rest = shown
    there = Exhibit.objects.filter(pk=record_id).first()
    made = Exhibit(pk=record_id, case=case, exhibit_set=exhibit_set, photograph=photograph)
    if there is not None:
        return _same_exhibit(there, made, entry, rest)
    refuse_withdrawn(shown)
    others = queries.positions_in(exhibit_set)
    if any(other.photograph_id == photograph.pk for other in others):
        raise Refused(f"{photograph} is already in the set.", field="photograph")
    made.number = next_number([other.number for other in others])
    made.caption = _caption_of(shown)[:240]
    made.plain_words = plain_words_for(queries.findings_shown(shown), longest=600)
    set_fields(made, entry, EXHIBIT_FIELDS)
    made.position = others[-1].position + GAP if others else GAP
    _check_number(made, others)
    saved = save_new(actor, made)
    place_parts(actor, saved, rest)
    return saved


def _caption_of(photographs: Sequence[Photograph]) -> str:
    words = [
        one.shows.strip() or behind_the_cover(one.view, one.region, one.shows)
        for one in photographs
    ]
    return words[0] if len(words) == 1 else f"{'; '.join(one.rstrip('.') for one in words)}."


def _same_exhibit(
    there: Exhibit, made: Exhibit, entry: Entry, further: Sequence[Photograph]
) -> Exhibit:
    """Return the exhibit of a retried request; what was left to the office is not compared."""
    set_fields(made, entry, EXHIBIT_FIELDS)
    offered = [name for name in EXHIBIT_FIELDS if name not in entry]
    same: Exhibit | None = recorded_before(made, assigned=(*_GIVEN, *offered))
    # Photographs that were added later or taken out since are no matter.
    ever = set(there.parts.values_list("photograph_id", flat=True))
    if same is None or not ever.issuperset(photograph.pk for photograph in further):
        raise Conflict(f"{there} has this key already.")
    return same


@action
def change_exhibit(
    actor: Staff, *, case_id: UUID, exhibit_id: UUID, version: int, entry: Entry, reason: str = ""
) -> Exhibit:
    """Change an exhibit's number, caption or plain words.

    Raises NotAllowed, NotKnown, StaleRecord, Invalid, Refused.
    """
    case = case_to_change(actor, Act.PREPARE_EXHIBITS, case_id)
    changed = standing_exhibit(case, exhibit_id, version)
    set_fields(changed, entry, EXHIBIT_FIELDS)
    _check_number(changed, queries.positions_in(changed.exhibit_set))
    return save_next_version(actor, changed)


@action
def move_exhibit(
    actor: Staff, *, case_id: UUID, exhibit_id: UUID, version: int, place: int, reason: str = ""
) -> Exhibit:
    """Make an exhibit the `place`-th of its set (1 is the first); its number stays.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.PREPARE_EXHIBITS, case_id)
    moved = standing_exhibit(case, exhibit_id, version)
    others = [one for one in queries.positions_in(moved.exhibit_set) if one.pk != moved.pk]
    position = place_for([other.position for other in others], place)
    if position is None:
        for index, other in enumerate(others, start=1):
            other.position = index * GAP
            save_next_version(actor, other)
        position = place_for([other.position for other in others], place)
    moved.position = position or GAP
    return save_next_version(actor, moved)


# The photograph stays in the log, the entry in the history.
remove_exhibit = withdraws(
    "remove_exhibit", Act.PREPARE_EXHIBITS, queries.exhibit_for_update, key="exhibit_id"
)


def _check_number(exhibit: Exhibit, others: Sequence[Exhibit]) -> None:
    numbers = [other.number for other in others if other.pk != exhibit.pk]
    if taken_number(exhibit.number, numbers):
        raise Refused(f"This set has an exhibit {exhibit.number} already.", field="number")

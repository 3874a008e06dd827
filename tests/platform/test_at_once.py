"""The race fixture sees a race that is there, and none where a lock prevents it."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

import pytest
from django.db import transaction

from me_office.accounts.models import Staff
from tests.conftest import Outcome
from tests.meeting import Meeting


class AlreadyNamed(Exception):
    """Somebody named them first."""

    code = "already_named"


def read_with_lock(staff_id: UUID) -> Staff:
    return Staff.objects.select_for_update().get(pk=staff_id)


def read_without_lock(staff_id: UUID) -> Staff:
    return Staff.objects.get(pk=staff_id)


def name_once(actor: str, *, staff_id: UUID, lock: bool) -> str:
    """Give a nameless person a name, unless somebody else did."""
    with transaction.atomic():
        person = read_with_lock(staff_id) if lock else read_without_lock(staff_id)
        if person.display_name:
            raise AlreadyNamed
        person.display_name = actor
        person.save()
    return actor


@pytest.fixture
def nameless(transactional_db: None) -> Staff:
    return Staff.objects.create(username="nameless")


@pytest.mark.parametrize(
    ("lock", "came_out"), [(True, ["already_named", "done"]), (False, ["done", "done"])]
)
def test_a_lock_lets_only_one_of_two_through_and_without_it_both(
    at_once: Callable[..., list[Outcome]], nameless: Staff, lock: bool, came_out: list[str]
) -> None:
    results = at_once(
        name_once,
        by=["Anna", "Ben"],
        staff_id=nameless.pk,
        lock=lock,
        meet_after=f"{__name__}.read_with{'' if lock else 'out'}_lock",
    )
    assert sorted(result.code for result in results) == came_out


def named_by(
    people: list[str], lock: bool, at_once: Callable[..., list[Outcome]], nameless: Staff
) -> tuple[list[str], Meeting]:
    """Name them as in `name_once`, everybody waiting for all others."""
    meeting = Meeting(len(people))
    with pytest.MonkeyPatch.context() as patch:
        meeting.put_after(patch, f"{__name__}.read_with{'' if lock else 'out'}_lock")
        results = at_once(name_once, by=people, staff_id=nameless.pk, lock=lock, meeting=meeting)
    return sorted(result.code for result in results), meeting


def test_whoever_is_held_back_is_not_waited_for(
    at_once: Callable[..., list[Outcome]], nameless: Staff
) -> None:
    """One holds the lock, the second waits for it, the third for its place behind the second."""
    codes, meeting = named_by(["Anna", "Ben", "Cleo"], True, at_once, nameless)
    assert codes == ["already_named", "already_named", "done"]
    assert (meeting.seen_held_back, meeting.all_met) == (True, False)


def test_whoever_may_still_come_is_waited_for(
    at_once: Callable[..., list[Outcome]], nameless: Staff
) -> None:
    codes, meeting = named_by(["Anna", "Ben", "Cleo"], False, at_once, nameless)
    assert codes == ["done"] * 3
    assert (meeting.seen_held_back, meeting.all_met) == (False, True)

"""The database keeps who holds an item and whether it is sealed, also past the service."""

from __future__ import annotations

import pytest
from django.db import connection

from evidence.custody.models import CustodyState, Seal, Transfer
from evidence.custody.steps import _in_my_hands, _unsealed
from evidence.items.models import Item
from me_office.accounts.roles import Role
from tests.builders import MOMENT, make_case, make_staff


@pytest.fixture
def item(db: None) -> Item:
    renn = make_staff(Role.EVIDENCE_TECHNICIAN)
    case = make_case(by=renn)
    return Item.objects.create(
        case=case, number=1, kind="specimen", title="Blood", created_by=renn, changed_by=renn
    )


def seal(item: Item) -> Seal:
    return Seal.objects.create(
        case=item.case,
        item=item,
        kind="numbered",
        number="S-1",
        applied_at=MOMENT,
        applied_by="D. Renn",
        created_by=item.created_by,
        changed_by=item.created_by,
    )


def test_a_new_item_is_loose_and_a_seal_closes_it(item):
    assert [row.title for row in _unsealed(item.created_by, MOMENT)] == ["Item 1, Blood"]
    seal(item)
    assert CustodyState.objects.get(item=item).sealed
    assert _unsealed(item.created_by, MOMENT) == []


@pytest.mark.parametrize(
    "said",
    [
        "broken_at = applied_at, broken_by = 'x', broken_why = 'y'",
        "voided_at = applied_at, voided_by_id = created_by_id, void_reason = 'y'",
    ],
    ids=["broken", "withdrawn"],
)
def test_a_seal_broken_or_withdrawn_by_raw_sql_leaves_the_item_loose(item, said):
    seal(item)
    with connection.cursor() as cursor:
        cursor.execute(f"UPDATE custody_seal SET {said}")
    state = CustodyState.objects.get(item=item)
    assert (state.loose, state.sealed) == (True, False)


def test_the_last_standing_transfer_says_who_holds_it(item):
    renn = item.created_by
    common = {
        "case": item.case,
        "item": item,
        "place": "Room 1",
        "purpose": "storage",
        "seal_state": "none",
        "created_by": renn,
        "changed_by": renn,
    }
    Transfer.objects.create(
        from_party="Dr. I. Vasko", to_party="D. Renn", to_staff=renn, at=MOMENT, **common
    )
    assert len(_in_my_hands(renn, MOMENT)) == 1
    later = Transfer.objects.create(
        from_party="D. Renn",
        to_party="Refrigerator 2",
        at=MOMENT.replace(hour=20),
        **common,
    )
    assert _in_my_hands(renn, MOMENT) == []
    Transfer.objects.filter(pk=later.pk).update(voided_at=MOMENT, voided_by=renn)
    assert CustodyState.objects.get(item=item).holder == renn
    # Of two at one moment the one counts that was entered last.
    Transfer.objects.create(from_party="D. Renn", to_party="Shelf 3", at=MOMENT, **common)
    state = CustodyState.objects.get(item=item)
    assert (state.holder, state.held_by) == (None, "Shelf 3")

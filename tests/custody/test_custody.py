"""Seals applied and broken, transfers recorded and withdrawn, and races for one item."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from cases.rules.case import CaseState
from evidence.custody import actions, queries
from evidence.custody.models import Seal, Transfer
from evidence.items.models import Item
from evidence.property import actions as property_actions
from evidence.specimens import actions as specimen_actions
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import MOMENT, make_case, make_staff
from tests.evidence.items import fill_with_specimens, specimen_entry, take
from tests.evidence.pictures import add, picture_bytes
from tests.evidence.things import RING

LATER = MOMENT + timedelta(hours=2)


def moved(**fields):
    return {
        "to_party": "Larch toxicology laboratory",
        "at": LATER,
        "place": "Loading dock",
        "purpose": "toxicology",
        "seal_state": "intact",
        **fields,
    }


@pytest.fixture
def specimen(vasko):
    return take(vasko, make_case())


def transfer(actor, specimen, *, version=1, record_id=None, reason="", **fields):
    return actions.record_transfer(
        actor,
        case_id=specimen.case_id,
        item_id=specimen.item_id,
        record_id=record_id or new_id(),
        version=version,
        entry=moved(**fields),
        reason=reason,
    )


def test_a_specimen_comes_with_item_seal_and_first_transfer(specimen, vasko):
    custody = queries.item_custody(specimen.case, specimen.item_id)
    assert (custody.item.number, custody.item.title) == (1, "Blood, Right femoral vein")
    assert custody.closing_seal.number == "TC 0417"
    assert custody.chain.holder == "Specimen refrigerator 2"
    first = custody.transfers[0]
    assert (first.from_party, first.from_staff) == ("Dr. I. Vasko", vasko)
    assert custody.chain.unbroken
    tables = set(AuditEvent.objects.filter(act="take_specimen").values_list("table", flat=True))
    assert {"evidence_specimen", "evidence_item", "custody_seal", "custody_transfer"} <= tables


def test_item_numbers_run_through_all_kinds_of_items(specimen, vasko):
    case = specimen.case
    assert add(vasko, case, picture_bytes()).item.number == 2
    held = property_actions.record_property(
        vasko,
        case_id=case.pk,
        record_id=new_id(),
        entry={**specimen_entry(vasko, seal_number="TC 2"), **RING},
    )
    assert held.item.number == 3


def test_the_same_specimen_twice_is_one_and_other_content_is_a_conflict(specimen, vasko):
    again = take(vasko, specimen.case, record_id=specimen.pk)
    assert again.pk == specimen.pk
    assert (Seal.objects.count(), Transfer.objects.count()) == (1, 1)
    with pytest.raises(Conflict):
        take(vasko, specimen.case, record_id=specimen.pk, material="Urine")
    # Its seal, its first transfer and its time are part of what was sent.
    for said in (
        {"seal_number": "TC 0418"}, {"to_party": "Specimen refrigerator 3"},
        {"transfer_place": "Scene"}, {"transfer_purpose": "toxicology"},
        {"handed_over_at": MOMENT + timedelta(minutes=21)}, {"collected_at": None},
    ):  # fmt: skip
        with pytest.raises(Conflict):
            take(vasko, specimen.case, record_id=specimen.pk, **said)
    same = {"seal_number": " TC  0417", "transfer_place": "Examination  room"}
    assert take(vasko, specimen.case, record_id=specimen.pk, **same).pk == specimen.pk


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"seal_number": ""}, "seal_number"),
        ({"to_party": ""}, "to_party"),
        ({"to_party": "Dr. I. Vasko"}, "to_party"),
        ({"transfer_place": ""}, "transfer_place"),
        ({"transfer_purpose": ""}, "transfer_purpose"),
        ({"handed_over_at": MOMENT - timedelta(minutes=1)}, "handed_over_at"),
        ({"collected_at": timezone.now() + timedelta(days=1)}, "collected_at"),
        ({"material": ""}, "material"),
        ({"amount": "-2"}, None),
    ],
)
def test_a_specimen_without_what_custody_needs_is_refused_as_a_whole(vasko, fields, field):
    with pytest.raises((Invalid, Refused)) as refused:
        take(vasko, make_case(), **fields)
    error = refused.value
    if field:
        assert field in getattr(error, "errors", {error.field: ""})
    assert Item.objects.count() == Seal.objects.count() == Transfer.objects.count() == 0


def test_a_seal_number_serves_one_item(specimen, vasko):
    with pytest.raises(Invalid) as refused:
        take(vasko, make_case())
    assert "in use on another item" in str(refused.value.errors)


def test_a_seal_number_that_two_items_bear_is_kept_with_why(specimen, vasko):
    why = "Two vendors' tape; both seals read again."
    for _ in range(2):  # a third of a kind is asked about as the second was
        with pytest.raises(Invalid) as refused:
            take(vasko, make_case())
        assert set(refused.value.errors) == {"seal_number", "seal_number_repeats"}
        take(vasko, make_case(), seal_number_repeats=why)
    assert sorted(Seal.objects.values_list("number_repeats", flat=True)) == ["", why, why]


def test_a_number_that_no_other_item_bears_takes_no_reason_and_stays_asked_about(vasko):
    with pytest.raises(Invalid) as refused:
        take(vasko, make_case(), seal_number_repeats="to be sure")
    assert list(refused.value.errors) == ["seal_number_repeats"]
    assert Seal.objects.count() == 0


def test_the_number_of_a_withdrawn_seal_is_free_and_asks_nothing(specimen, vasko):
    seal = Seal.objects.get()
    actions.void_seal(
        vasko,
        case_id=specimen.case_id,
        seal_id=seal.pk,
        version=seal.version,
        reason="read wrongly",
    )
    take(vasko, make_case(), seal_number=seal.number)
    assert Seal.objects.filter(voided_at=None).get().number_repeats == ""


def test_a_repeated_number_is_asked_about_where_an_item_is_sealed_again(specimen, vasko):
    first = Seal.objects.get()
    item = take(vasko, make_case(), seal_number="TC 0002").item
    second = item.seals.get()
    item.refresh_from_db()
    broken = {"broken_at": LATER, "broken_by": "Dr. I. Vasko", "broken_why": "Opened"}
    actions.break_seal(
        vasko, case_id=item.case_id, seal_id=second.pk, version=second.version, entry=broken
    )
    item.refresh_from_db()
    keys = {
        "case_id": item.case_id,
        "item_id": item.pk,
        "record_id": new_id(),
        "version": item.version,
    }
    entry = {"number": first.number, "applied_at": LATER, "applied_by": "Dr. I. Vasko"}
    with pytest.raises(Invalid) as refused:
        actions.apply_seal(vasko, **keys, entry=entry)
    assert set(refused.value.errors) == {"number", "number_repeats"}
    told = {**entry, "number_repeats": "Another vendor's series"}
    seal = actions.apply_seal(vasko, **keys, entry=told)
    assert actions.apply_seal(vasko, **keys, entry=told) == seal
    with pytest.raises(Conflict):
        actions.apply_seal(vasko, **keys, entry={**told, "number_repeats": "Other words"})


@pytest.mark.django_db
@pytest.mark.parametrize("role", [Role.INVESTIGATOR, Role.SUPERVISOR, Role.RECORDS_CLERK])
def test_roles_that_may_not_take_specimens_are_refused(role):
    with pytest.raises(NotAllowed):
        take(make_staff(role), make_case())


def test_a_correction_says_why_and_a_stale_one_is_refused(specimen, vasko):
    keys = {"case_id": specimen.case_id, "specimen_id": specimen.pk, "version": 1}
    with pytest.raises(Refused, match="Say why"):
        specimen_actions.describe_specimen(vasko, **keys, entry={"site": "Heart"}, reason="")
    changed = specimen_actions.describe_specimen(
        vasko, **keys, entry={"site": "Heart"}, reason="read wrongly"
    )
    assert (changed.version, Item.objects.get().title) == (2, "Blood, Heart")
    event = AuditEvent.objects.filter(table="evidence_specimen").last()
    assert (event.changes["site"], event.reason) == (
        ["Right femoral vein", "Heart"],
        "read wrongly",
    )
    with pytest.raises(StaleRecord):
        specimen_actions.describe_specimen(vasko, **keys, entry={"site": "X"}, reason="again")


def test_a_withdrawn_specimen_keeps_seal_and_transfers(specimen, vasko):
    keys = {"case_id": specimen.case_id, "specimen_id": specimen.pk}
    specimen_actions.void_specimen(vasko, **keys, version=1, reason="entered twice")
    record = queries.custody_record(specimen.case)
    assert record[0].item.is_voided
    assert record[0].transfers
    with pytest.raises(Refused, match="withdrawn"):
        specimen_actions.describe_specimen(vasko, **keys, version=2, entry={}, reason="x")
    with pytest.raises(Refused, match="withdrawn"):
        transfer(vasko, specimen, version=Item.objects.get().version)


def test_a_transfer_names_both_hands_and_leaves_its_event(specimen, renn):
    made = transfer(renn, specimen, reason="weekly run")
    assert (made.from_party, made.to_party) == (
        "Specimen refrigerator 2", "Larch toxicology laboratory",
    )  # fmt: skip
    event = AuditEvent.objects.filter(record_id=str(made.pk)).get()
    assert (event.act, event.actor_name, event.reason) == (
        "record_transfer",
        "D. Renn",
        "weekly run",
    )
    chain = queries.item_custody(specimen.case, specimen.item_id).chain
    assert (chain.holder, chain.unbroken) == ("Larch toxicology laboratory", True)


def test_a_member_of_staff_can_be_the_one_who_receives(specimen, renn):
    made = transfer(renn, specimen, to_party="", to_staff=renn)
    assert (made.to_party, made.to_staff) == ("D. Renn", renn)


def test_the_same_transfer_twice_is_one(specimen, renn):
    record_id = new_id()
    first = transfer(renn, specimen, record_id=record_id)
    again = transfer(renn, specimen, record_id=record_id)
    assert first.pk == again.pk
    assert Transfer.objects.count() == 2  # with the one that came with the specimen
    with pytest.raises(Conflict):
        transfer(renn, specimen, record_id=record_id, purpose="histology")


def test_a_transfer_of_an_item_that_moved_in_between_is_stale(specimen, renn):
    transfer(renn, specimen)
    with pytest.raises(StaleRecord):
        transfer(renn, specimen, at=LATER + timedelta(hours=1), to_party="Court")


def test_a_transfer_at_an_impossible_time_is_refused(specimen, renn):
    with pytest.raises(Refused) as refused:
        transfer(renn, specimen, at=MOMENT)
    assert refused.value.field == "at"


def test_a_signed_case_still_hands_its_items_on(specimen, renn):
    type(specimen.case).objects.filter(pk=specimen.case_id).update(
        state=CaseState.SIGNED, signed_at=MOMENT
    )
    assert transfer(renn, specimen).pk
    with pytest.raises(NotAllowed):
        take(renn, specimen.case, seal_number="TC 9")


def test_an_administrator_and_an_outsider_know_of_no_item(specimen, renn):
    with pytest.raises(NotKnown):
        transfer(make_staff(Role.ADMINISTRATOR), specimen)
    type(specimen.case).objects.filter(pk=specimen.case_id).update(restricted=True)
    with pytest.raises(NotKnown):
        transfer(renn, specimen)


def test_an_item_is_not_reached_through_another_case(specimen, renn):
    with pytest.raises(NotKnown):
        actions.record_transfer(
            renn,
            case_id=make_case().pk,
            item_id=specimen.item_id,
            record_id=new_id(),
            version=1,
            entry=moved(),
        )


def test_a_withdrawn_transfer_leaves_a_gap_that_is_named(specimen, renn):
    transfer(renn, specimen)
    wrong = Transfer.objects.order_by("at").first()
    with pytest.raises(Refused, match="Say why"):
        actions.void_transfer(
            renn, case_id=specimen.case_id, transfer_id=wrong.pk, version=1, reason=""
        )
    actions.void_transfer(
        renn, case_id=specimen.case_id, transfer_id=wrong.pk, version=1, reason="other item"
    )
    custody = queries.item_custody(specimen.case, specimen.item_id)
    assert [each.pk for each in custody.withdrawn] == [wrong.pk]
    with pytest.raises(StaleRecord):
        actions.void_transfer(
            renn, case_id=specimen.case_id, transfer_id=wrong.pk, version=1, reason="again"
        )


def break_it(actor, seal, *, version=1, **fields):
    entry = {"broken_at": LATER, "broken_by": "", "broken_why": "opened for sampling", **fields}
    return actions.break_seal(
        actor, case_id=seal.case_id, seal_id=seal.pk, version=version, entry=entry
    )


def test_a_broken_seal_says_who_when_and_why_and_opens_the_way_for_the_next(specimen, renn):
    seal = Seal.objects.get()
    broken = break_it(renn, seal)
    assert (broken.broken_by, broken.broken_why) == ("D. Renn", "opened for sampling")
    assert queries.item_custody(specimen.case, specimen.item_id).closing_seal is None
    keys = {"case_id": specimen.case_id, "item_id": specimen.item_id}
    entry = {"number": "TC 0500", "applied_at": LATER + timedelta(minutes=20)}
    record_id = new_id()
    new = actions.apply_seal(renn, **keys, record_id=record_id, version=2, entry=entry)
    assert actions.apply_seal(renn, **keys, record_id=record_id, version=2, entry=entry) == new
    assert queries.item_custody(specimen.case, specimen.item_id).closing_seal == new
    acts = AuditEvent.objects.filter(table="custody_seal").values_list("act", flat=True)
    assert list(acts) == ["take_specimen", "break_seal", "apply_seal"]


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"broken_why": " "}, "broken_why"),
        ({"broken_at": None}, "broken_at"),
        ({"broken_at": MOMENT - timedelta(days=1)}, "broken_at"),
    ],
)
def test_a_broken_seal_without_when_or_why_is_refused(specimen, renn, fields, field):
    with pytest.raises(Refused) as refused:
        break_it(renn, Seal.objects.get(), **fields)
    assert refused.value.field == field


def test_a_seal_is_not_broken_twice_and_not_from_an_old_page(specimen, renn):
    seal = Seal.objects.get()
    break_it(renn, seal)
    with pytest.raises(StaleRecord):
        break_it(renn, seal)
    with pytest.raises(Refused, match="already broken"):
        break_it(renn, seal, version=2)


def seal_again(actor, thing):
    entry = {"number": "TC 7", "applied_at": LATER}
    keys = {"case_id": thing.case_id, "item_id": thing.item_id, "record_id": new_id()}
    return actions.apply_seal(actor, **keys, version=1, entry=entry)


def test_a_second_seal_on_a_closed_item_is_refused(specimen, renn):
    with pytest.raises(Refused, match="closes this item"):
        seal_again(renn, specimen)


def test_a_wrongly_entered_seal_is_withdrawn_and_its_number_is_free(specimen, renn, vasko):
    seal = Seal.objects.get()
    actions.void_seal(
        renn, case_id=seal.case_id, seal_id=seal.pk, version=1, reason="number misread"
    )
    assert queries.item_custody(specimen.case, specimen.item_id).closing_seal is None
    assert take(vasko, make_case()).pk


def test_a_photographs_digest_is_neither_broken_nor_withdrawn_nor_sealed_over(vasko):
    photograph = add(vasko, make_case(), picture_bytes())
    seal = Seal.objects.get()
    with pytest.raises(Refused, match="bytes never change"):
        break_it(vasko, seal)
    with pytest.raises(Refused, match="not withdrawn"):
        actions.void_seal(vasko, case_id=seal.case_id, seal_id=seal.pk, version=1, reason="x")
    with pytest.raises(Refused, match="sealed by the digest"):
        seal_again(vasko, photograph)


def test_property_is_corrected_and_withdrawn_with_a_reason(vasko):
    case = make_case()
    entry = {**specimen_entry(vasko), **RING, "description": "Ring\nwith a stone"}
    record_id = new_id()
    keys = {"case_id": case.pk, "record_id": record_id}
    held = property_actions.record_property(vasko, **keys, entry=entry)
    assert property_actions.record_property(vasko, **keys, entry=entry).pk == held.pk
    assert held.item.title == "Ring"
    one = {"case_id": case.pk, "property_id": held.pk}
    with pytest.raises(Refused, match="Say why"):
        property_actions.describe_property(vasko, **one, version=1, entry={}, reason="")
    property_actions.describe_property(
        vasko, **one, version=1, entry={"description": "Two rings"}, reason="counted again"
    )
    with pytest.raises(StaleRecord):
        property_actions.void_property(vasko, **one, version=1, reason="x")
    property_actions.void_property(vasko, **one, version=2, reason="not his")
    assert Item.objects.get().is_voided
    for role in (Role.SUPERVISOR, Role.RECORDS_CLERK):
        with pytest.raises(NotAllowed):
            property_actions.record_property(
                make_staff(role), case_id=case.pk, record_id=new_id(), entry=entry
            )


def test_custody_of_sixty_items_reads_as_often_as_of_three(vasko):
    counted = []
    for how_many in (3, 60):
        case = make_case()
        fill_with_specimens(vasko, case, how_many)
        with CaptureQueriesContext(connection) as statements:
            assert len(queries.custody_record(case)) == how_many
        counted.append(len(statements))
    assert counted == [3, 3]


def race(at_once, specimen, people):
    return at_once(
        actions.record_transfer,
        by=people,
        each=[
            {"record_id": new_id(), "entry": moved(to_party="", to_staff=person, at=LATER + delay)}
            for person, delay in zip(people, (timedelta(0), timedelta(minutes=1)), strict=True)
        ],
        meet_after="evidence.custody.queries.chain_parts",
        case_id=specimen.case_id,
        item_id=specimen.item_id,
        version=1,
    )


def two_people():
    return [make_staff(Role.INVESTIGATOR, name=name) for name in ("L. Quill", "P. Sedge")]


def sealed_specimen():
    return take(make_staff(Role.PATHOLOGIST, name="Dr. I. Vasko"), make_case())


def test_two_people_cannot_both_take_the_same_item(at_once):
    specimen, people = sealed_specimen(), two_people()
    outcomes = race(at_once, specimen, people)
    assert sorted(outcome.code for outcome in outcomes) == ["done", "stale"]
    custody = queries.item_custody(specimen.case, specimen.item_id)
    assert len(custody.transfers) == 2
    assert custody.chain.holder in {"L. Quill", "P. Sedge"}
    assert custody.chain.unbroken


def test_without_the_guard_both_would_take_it(at_once, monkeypatch):
    """The control: the race is seen when locks and version check are removed."""
    specimen, people = sealed_specimen(), two_people()

    def unlocked_case(case_id):
        return type(specimen.case).objects.get(pk=case_id)

    def unlocked_item(case, item_id):
        return Item.objects.get(pk=item_id)

    monkeypatch.setattr("cases.queries.case_for_update", unlocked_case)
    monkeypatch.setattr(queries, "item_for_update", unlocked_item)
    monkeypatch.setattr(actions, "require_version", lambda record, version: None)
    outcomes = race(at_once, specimen, people)
    assert [outcome.code for outcome in outcomes] == ["done", "done"]
    custody = queries.item_custody(specimen.case, specimen.item_id)
    assert len(custody.transfers) == 3
    assert not custody.chain.unbroken

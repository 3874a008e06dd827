"""Writing a record: what the table refuses is said beside the field, and little is asked first."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from cases.models import Case, Medication
from evidence.custody.models import Seal
from evidence.items.models import Item
from evidence.specimens import actions
from me_office.accounts.roles import Role
from me_office.audit.errors import Invalid
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from me_office.audit.records import save_new, save_next_version
from tests.builders import MOMENT, make_case, make_staff
from tests.evidence.items import specimen_entry


def seal(case: Case, item: Item, number: str, **fields) -> Seal:
    """A seal that nobody has written yet."""
    values = {"kind": "numbered", "applied_at": MOMENT, "applied_by": "D. Renn", **fields}
    return Seal(case=case, item=item, number=number, **values)


def item_of(actor, case: Case) -> Item:
    """An item that can be sealed."""
    return save_new(actor, Item(case=case, number=1, kind="property", title="Keys"))


@pytest.mark.django_db
def test_a_record_with_its_known_records_is_written_without_asking_for_them():
    renn, case = make_staff(Role.EVIDENCE_TECHNICIAN), make_case()
    with CaptureQueriesContext(
        connection,
    ) as asked:
        save_new(renn, Medication(case=case, name="Lisinopril"), own_key=True)
    said = [each["sql"].split()[0] for each in asked]
    assert said == ["SAVEPOINT", "INSERT", "RELEASE"]


@pytest.mark.django_db
def test_a_record_named_by_its_key_alone_is_asked_for():
    renn = make_staff(Role.EVIDENCE_TECHNICIAN)
    with pytest.raises(Invalid) as refused:
        save_new(renn, Medication(case_id=new_id(), name="Lisinopril"))
    assert list(refused.value.errors) == ["case"]
    assert Medication.objects.count() == 0


@pytest.mark.django_db
def test_what_the_table_refuses_is_said_and_the_transaction_goes_on():
    renn, case = make_staff(Role.EVIDENCE_TECHNICIAN), make_case()
    item = item_of(renn, case)
    save_new(renn, seal(case, item, "TC 0417"))
    with pytest.raises(Invalid) as refused:
        save_new(renn, seal(case, item, "TC 0417"))
    assert refused.value.message == "This seal number is in use on another item."
    save_new(renn, seal(case, item, "TC 0418"))
    assert Seal.objects.count() == 2
    assert AuditEvent.objects.filter(table="custody_seal").count() == 2


@pytest.mark.django_db
def test_a_wrong_field_and_what_the_table_would_refuse_are_said_together():
    renn, case = make_staff(Role.EVIDENCE_TECHNICIAN), make_case()
    item = item_of(renn, case)
    save_new(renn, seal(case, item, "TC 0417"))
    with pytest.raises(Invalid) as refused:
        save_new(renn, seal(case, item, "TC 0417", applied_by=""))
    assert set(refused.value.errors) == {"applied_by", "__all__"}


@pytest.mark.django_db
def test_a_refused_change_leaves_the_version_that_was_read():
    renn, case = make_staff(Role.EVIDENCE_TECHNICIAN), make_case()
    kept = save_new(renn, seal(case, item_of(renn, case), "TC 0417"))
    kept.broken_at = MOMENT  # and neither who nor why
    with pytest.raises(Invalid, match="Say who broke the seal, when and why"):
        save_next_version(renn, kept)
    assert kept.version == 1
    assert Seal.objects.get().version == 1


def test_two_who_use_one_seal_number_at_the_same_time_are_not_both_believed(at_once):
    people = [make_staff(Role.EVIDENCE_TECHNICIAN) for _ in range(2)]
    each = [
        {"case_id": make_case().pk, "record_id": new_id(), "entry": specimen_entry(person)}
        for person in people
    ]
    results = at_once(
        actions.take_specimen,
        by=people,
        each=each,
        meet_after="evidence.items.rules.check_collected",
    )
    assert sorted(result.code for result in results) == ["done", "invalid"]
    lost = next(result.error for result in results if result.code == "invalid")
    # By the table where both wrote at once, by the question where one was done before.
    said = [word for words in lost.errors.values() for word in words]
    assert "This seal number is in use on another item." in said
    assert Seal.objects.count() == Item.objects.count() == 1

"""Taking in, describing, linking and withdrawing photographs."""

from __future__ import annotations

import hashlib
import io

import pytest
from django.core.files.storage import default_storage
from django.utils import timezone

from cases.rules.case import CaseState
from evidence import store
from evidence.custody.models import Seal, Transfer
from evidence.intake import checking as pictures
from evidence.items.models import Item
from evidence.photographs import actions
from evidence.photographs.models import Photograph
from evidence.photographs.queries import photograph_log
from evidence.store.models import StoredFile
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.evidence.pictures import (
    add,
    described,
    link_to,
    make_finding,
    picture_bytes,
    take_away,
    waiting_files,
)

pytestmark = pytest.mark.django_db


def test_a_photograph_comes_with_item_digest_and_first_transfer(vasko):
    case, content = make_case(), picture_bytes()
    photograph = add(vasko, case, content, photographer="P. Sedge")
    digest = hashlib.sha256(content).hexdigest()
    assert (photograph.number, photograph.item.number) == (1, 1)
    assert photograph.file.path == f"originals/{digest[:2]}/{digest}"
    with default_storage.open(photograph.file.path) as kept:
        assert kept.read() == content
    seal, transfer = Seal.objects.get(), Transfer.objects.get()
    assert (seal.kind, seal.number) == ("digest", digest)
    assert (transfer.from_party, transfer.to_party) == ("P. Sedge", "Office file store")
    assert transfer.purpose == "storage of the original"
    events = AuditEvent.objects.filter(act="add_photograph", case_id=case.pk)
    assert {event.table for event in events} >= {
        "evidence_item", "evidence_photograph", "custody_seal", "custody_transfer",
    }  # fmt: skip
    assert {event.actor_name for event in events} == {"Dr. I. Vasko"}


def test_photograph_numbers_run_without_gaps_and_are_not_given_again(vasko):
    case = make_case()
    first = add(vasko, case, picture_bytes(1))
    take_away(vasko, first, "finger on the lens")
    assert add(vasko, case, picture_bytes(2)).number == 2
    assert add(vasko, make_case(), picture_bytes(2)).number == 1


def test_the_same_request_twice_makes_one_photograph(vasko):
    case, record_id = make_case(), new_id()
    first = add(vasko, case, picture_bytes(), record_id=record_id)
    again = add(vasko, case, picture_bytes(), record_id=record_id)
    assert first.pk == again.pk
    assert Photograph.objects.count() == Item.objects.count() == Transfer.objects.count() == 1


def test_the_same_key_with_another_file_is_a_conflict(vasko):
    case, record_id = make_case(), new_id()
    add(vasko, case, picture_bytes(1), record_id=record_id)
    with pytest.raises(Conflict):
        add(vasko, case, picture_bytes(2), record_id=record_id)


def test_the_same_file_in_the_case_is_recognized_by_its_digest(vasko):
    case = make_case()
    add(vasko, case, picture_bytes(1))
    with pytest.raises(actions.AlreadyInCase, match="photograph 1 already") as refused:
        add(vasko, case, picture_bytes(1), name="copy.jpg")
    assert refused.value.photograph.number == 1
    assert Photograph.objects.count() == 1


def test_the_same_file_in_two_cases_is_kept_once(vasko):
    add(vasko, make_case(), picture_bytes(1))
    add(vasko, make_case(), picture_bytes(1))
    assert StoredFile.objects.count() == 1
    assert Photograph.objects.count() == 2


@pytest.fixture
def nothing_stays_behind():
    """Nothing may lie in the temporary place afterward that did not before."""
    before = waiting_files()
    yield
    assert waiting_files() == before


@pytest.mark.usefixtures("nothing_stays_behind")
@pytest.mark.parametrize("role", [Role.SUPERVISOR, Role.RECORDS_CLERK])
def test_roles_that_may_not_are_refused_and_leave_no_file(role):
    case, content = make_case(), picture_bytes(77)
    with pytest.raises(NotAllowed):
        add(make_staff(role), case, content)
    digest = hashlib.sha256(content).hexdigest()
    assert not default_storage.exists(f"originals/{digest[:2]}/{digest}")


def test_a_signed_case_takes_no_photograph(vasko):
    with pytest.raises(NotAllowed, match="signed and locked"):
        add(vasko, make_case(state=CaseState.SIGNED), picture_bytes())


def test_a_restricted_case_is_not_known_to_others(vasko):
    with pytest.raises(NotKnown):
        add(vasko, make_case(restricted=True), picture_bytes())


def test_a_time_in_the_future_is_refused_beside_its_field(vasko):
    from datetime import timedelta

    from django.utils import timezone

    with pytest.raises(Refused) as refused:
        add(vasko, make_case(), picture_bytes(), taken_at=timezone.now() + timedelta(hours=1))
    assert refused.value.field == "taken_at"
    assert Item.objects.count() == 0


def test_a_description_changes_and_the_file_does_not(vasko):
    case = make_case()
    photograph = add(vasko, case, picture_bytes())
    changed = actions.describe_photograph(
        vasko,
        case_id=case.pk,
        photograph_id=photograph.pk,
        version=1,
        entry=described(shows="Two contusions", view="close-up", with_scale=True),
        reason="looked at again",
    )
    assert (changed.version, changed.file_id) == (2, photograph.file_id)
    event = AuditEvent.objects.filter(record_id=str(photograph.pk)).last()
    assert event.changes["shows"] == ["Front of the chest", "Two contusions"]
    assert (event.act, event.reason) == ("describe_photograph", "looked at again")


def test_a_stale_description_is_refused(vasko):
    case = make_case()
    photograph = add(vasko, case, picture_bytes())
    keys = {"case_id": case.pk, "photograph_id": photograph.pk, "version": 1}
    actions.describe_photograph(vasko, **keys, entry={"shows": "One"})
    with pytest.raises(StaleRecord):
        actions.describe_photograph(vasko, **keys, entry={"shows": "Two"})


def test_a_finding_is_linked_once_and_unlinked_with_a_reason(vasko):
    case = make_case()
    photograph, finding = add(vasko, case, picture_bytes()), make_finding(case, vasko)
    keys = {"case_id": case.pk, "photograph_id": photograph.pk, "finding_id": finding.pk}
    record_id = new_id()
    link = actions.link_finding(vasko, record_id=record_id, **keys)
    assert actions.link_finding(vasko, record_id=record_id, **keys).pk == link.pk
    with pytest.raises(Refused, match="linked to finding 1 already"):
        actions.link_finding(vasko, record_id=new_id(), **keys)
    with pytest.raises(Refused, match="Say why"):
        actions.unlink_finding(vasko, case_id=case.pk, link_id=link.pk, version=1, reason=" ")
    actions.unlink_finding(
        vasko, case_id=case.pk, link_id=link.pk, version=1, reason="shows the other side"
    )
    actions.link_finding(vasko, record_id=new_id(), **keys)
    acts = AuditEvent.objects.filter(table="evidence_photographfinding").values_list(
        "act", "reason"
    )
    assert ("unlink_finding", "shows the other side") in list(acts)


def test_a_finding_of_another_case_is_not_known(vasko):
    case, other = make_case(), make_case()
    photograph = add(vasko, case, picture_bytes())
    with pytest.raises(NotKnown):
        link_to(vasko, photograph, make_finding(other, vasko))


def test_a_finding_can_be_named_when_the_photograph_is_added(vasko):
    case = make_case()
    finding = make_finding(case, vasko)
    photograph = add(vasko, case, picture_bytes(), finding_ids=[finding.pk])
    assert [link.finding for link in photograph.finding_links.all()] == [finding]


def test_what_a_photograph_shows_is_the_same_read_ahead_and_alone(vasko, django_assert_num_queries):
    case = make_case()
    findings = [make_finding(case, vasko, number=number) for number in (1, 2, 3)]
    kept, late, gone = findings
    photograph = add(vasko, case, picture_bytes(), finding_ids=[late.pk, gone.pk, kept.pk])
    photograph.finding_links.filter(finding=gone).update(
        voided_at=timezone.now(), voided_by=vasko, void_reason="another finding"
    )
    [listed] = photograph_log(case)
    with django_assert_num_queries(0):
        assert [link.finding for link in listed.active_links] == [kept, late]
    alone = Photograph.objects.get(pk=photograph.pk)
    with django_assert_num_queries(1):
        assert [link.finding for link in alone.active_links] == [kept, late]


def test_a_withdrawn_photograph_keeps_its_file_and_is_not_described(vasko):
    case = make_case()
    finding = make_finding(case, vasko)
    photograph = add(vasko, case, picture_bytes(), finding_ids=[finding.pk])
    keys = {"case_id": case.pk, "photograph_id": photograph.pk}
    voided = actions.void_photograph(vasko, **keys, version=1, reason="taken in another case")
    assert voided.is_voided and voided.item.pk and Item.objects.get().is_voided
    assert photograph.finding_links.filter(voided_at=None).count() == 0
    assert store.is_whole(photograph.file)
    with pytest.raises(Refused, match="withdrawn"):
        actions.describe_photograph(vasko, **keys, version=2, entry={"shows": "x"})
    assert add(vasko, case, picture_bytes()).number == 2


@pytest.mark.usefixtures("nothing_stays_behind")
def test_nothing_of_a_refused_file_stays(vasko):
    with (
        pytest.raises(Refused),
        store.receive(io.BytesIO(b"not a picture"), name="x.jpg") as incoming,
    ):
        pictures.check_picture(incoming)


@pytest.mark.usefixtures("nothing_stays_behind")
def test_what_is_refused_last_has_not_put_the_file_in_its_place(vasko):
    case, content = make_case(), picture_bytes(shade=17)
    sha256 = hashlib.sha256(content).hexdigest()
    with pytest.raises(NotKnown, match="no such finding"):
        add(vasko, case, content, finding_ids=[make_finding(make_case(), vasko).pk])
    assert Photograph.objects.count() == StoredFile.objects.count() == 0
    assert not default_storage.exists(f"originals/{sha256[:2]}/{sha256}")
    assert add(vasko, case, content).number == 1

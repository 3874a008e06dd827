"""Every change of sets, exhibits and redactions: it works and leaves its event, or is refused."""

from __future__ import annotations

import hashlib

import pytest
from django.core.files.storage import default_storage

from cases.exhibits import actions, queries
from cases.exhibits.models import Exhibit, ExhibitSet, Redaction, RedactionRequest
from evidence.store import digest_of
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.evidence.pictures import take_away
from tests.exhibits.builders import (
    FACE,
    link_contusion,
    make_exhibit,
    make_photograph,
    make_redaction,
    make_set,
)

pytestmark = pytest.mark.django_db


def numbers(exhibit_set):
    return [one.number for one in queries.exhibits_of(exhibit_set)]


def test_a_set_is_made_and_leaves_its_event(vasko, case):
    made = make_set(vasko, case, title="  Trial ", cause_number="26-CF-0117")
    assert (made.title, made.cause_number, made.version) == ("Trial", "26-CF-0117", 1)
    event = AuditEvent.objects.get(table="exhibits_exhibitset")
    assert (event.actor_name, event.act, event.case_id) == (
        "Dr. I. Vasko", "make_exhibit_set", case.pk,
    )  # fmt: skip


@pytest.mark.parametrize("role", [Role.INVESTIGATOR, Role.EVIDENCE_TECHNICIAN])
def test_other_roles_prepare_nothing(role, case, trial, vasko):
    somebody = make_staff(role)
    photograph = make_photograph(vasko, case)
    exhibit = make_exhibit(vasko, trial, photograph)
    redaction = make_redaction(vasko, photograph)
    keys = {"case_id": case.pk, "version": 1}
    one = {**keys, "exhibit_id": exhibit.pk}
    for attempt in (
        lambda: make_set(somebody, case),
        lambda: actions.change_exhibit_set(somebody, **keys, set_id=trial.pk, entry={}),
        lambda: actions.void_exhibit_set(somebody, **keys, set_id=trial.pk, reason="why"),
        lambda: make_exhibit(somebody, trial, photograph),
        lambda: actions.change_exhibit(somebody, **one, entry={}),
        lambda: actions.move_exhibit(somebody, **one, place=1),
        lambda: actions.remove_exhibit(somebody, **one, reason="why"),
        lambda: make_redaction(somebody, photograph),
        lambda: actions.void_redaction(somebody, **keys, redaction_id=redaction.pk, reason="why"),
    ):
        with pytest.raises(NotAllowed):
            attempt()
    assert ExhibitSet.objects.count() == Exhibit.objects.count() == Redaction.objects.count() == 1


def test_nothing_is_prepared_before_there_is_a_case_and_a_stranger_knows_of_none(vasko):
    with pytest.raises(NotAllowed):
        make_set(vasko, make_case(state="reported"))
    with pytest.raises(NotKnown):
        make_set(vasko, make_case(restricted=True))


def test_the_same_set_twice_is_one_and_other_content_a_conflict(vasko, case):
    key, entry = new_id(), {"title": "Trial"}
    first, again = (
        actions.make_exhibit_set(vasko, case_id=case.pk, record_id=key, entry=entry)
        for _ in range(2)
    )
    assert first.pk == again.pk
    assert ExhibitSet.objects.count() == 1
    with pytest.raises(Conflict):
        actions.make_exhibit_set(
            vasko, case_id=case.pk, record_id=key, entry={"title": "Deposition"}
        )


def test_a_set_is_changed_once_and_withdrawn_with_a_reason(vasko, case, trial):
    keys = {"case_id": case.pk, "set_id": trial.pk}
    actions.change_exhibit_set(vasko, **keys, version=1, entry={"title": "Deposition"})
    assert AuditEvent.objects.get(act="change_exhibit_set").changes["title"][1] == "Deposition"
    with pytest.raises(StaleRecord):
        actions.change_exhibit_set(vasko, **keys, version=1, entry={"title": "Inquest"})
    with pytest.raises(Refused, match="Say why"):
        actions.void_exhibit_set(vasko, **keys, version=2, reason=" ")
    actions.void_exhibit_set(vasko, **keys, version=2, reason="settled")
    assert AuditEvent.objects.get(act="void_exhibit_set").reason == "settled"
    with pytest.raises(NotKnown):
        actions.change_exhibit_set(vasko, **keys, version=3, entry={"title": "Inquest"})


def test_an_exhibit_comes_with_number_caption_and_plain_words(vasko, case, trial):
    photograph = make_photograph(vasko, case, shows="Right side of the back, close, with a scale.")
    link_contusion(vasko, case, photograph)
    made = make_exhibit(vasko, trial, photograph)
    assert (made.number, made.caption) == ("1", "Right side of the back, close, with a scale.")
    assert made.plain_words == "Contusion: a bruise."
    shown = queries.exhibits_of(trial)[0]
    assert [link.finding.number for link in shown.photograph.active_links] == [4]
    event = AuditEvent.objects.get(act="add_exhibit")
    assert (event.table, event.actor_name) == ("exhibits_exhibit", "Dr. I. Vasko")


def test_the_same_exhibit_twice_is_one_also_after_it_was_moved(vasko, case, trial):
    key = new_id()
    photographs = [make_photograph(vasko, case, seed) for seed in (1, 2)]

    def add(photograph):
        return actions.add_exhibit(
            vasko,
            case_id=case.pk,
            set_id=trial.pk,
            record_id=key,
            photograph_id=photograph.pk,
            entry={"number": "14"},
        )

    first = add(photographs[0])
    make_exhibit(vasko, trial, photographs[1])
    actions.move_exhibit(vasko, case_id=case.pk, exhibit_id=first.pk, version=1, place=2)
    assert add(photographs[0]).pk == first.pk
    assert Exhibit.objects.count() == 2
    with pytest.raises(Conflict):
        add(photographs[1])


def test_a_number_or_a_photograph_stands_once_in_a_set_and_may_in_another(vasko, case, trial):
    photographs = [make_photograph(vasko, case, seed) for seed in (1, 2)]
    make_exhibit(vasko, trial, photographs[0], number="14-A")
    with pytest.raises(Refused, match="exhibit 14-a already") as refused:
        make_exhibit(vasko, trial, photographs[1], number=" 14-a ")
    assert refused.value.field == "number"
    with pytest.raises(Refused, match="already in the set"):
        make_exhibit(vasko, trial, photographs[0])
    other = make_set(vasko, case, title="Deposition")
    assert make_exhibit(vasko, other, photographs[0], number="14-A").number == "14-A"


def test_a_removed_exhibit_frees_its_number_and_keeps_its_reason(vasko, case, trial):
    photographs = [make_photograph(vasko, case, seed) for seed in (1, 2)]
    gone = make_exhibit(vasko, trial, photographs[0], number="3")
    keys = {"case_id": case.pk, "exhibit_id": gone.pk}
    with pytest.raises(StaleRecord):
        actions.remove_exhibit(vasko, **keys, version=5, reason="excluded")
    actions.remove_exhibit(vasko, **keys, version=1, reason="excluded by the court")
    assert AuditEvent.objects.get(act="remove_exhibit").reason == "excluded by the court"
    make_exhibit(vasko, trial, photographs[1], number="3")
    assert numbers(trial) == ["3"]
    with pytest.raises(Refused, match="removed"):
        actions.change_exhibit(vasko, **keys, version=2, entry={"caption": "again"})
    with pytest.raises(Refused, match="already voided"):
        actions.remove_exhibit(vasko, **keys, version=2, reason="twice")


def test_an_exhibit_is_changed_and_a_stale_or_taken_number_is_refused(vasko, case, trial):
    one, two = (make_exhibit(vasko, trial, make_photograph(vasko, case, n)) for n in (1, 2))
    keys = {"case_id": case.pk, "exhibit_id": two.pk}
    changed = actions.change_exhibit(
        vasko, **keys, version=1, entry={"number": "2-B", "caption": "The back"}
    )
    assert (changed.number, changed.caption, changed.version) == ("2-B", "The back", 2)
    assert AuditEvent.objects.get(act="change_exhibit").changes["number"] == ["2", "2-B"]
    with pytest.raises(StaleRecord):
        actions.change_exhibit(vasko, **keys, version=1, entry={"number": "5"})
    with pytest.raises(Refused, match="exhibit 1 already"):
        actions.change_exhibit(vasko, **keys, version=2, entry={"number": one.number})


def test_the_order_is_changed_without_touching_the_others(vasko, case, trial):
    made = [make_exhibit(vasko, trial, make_photograph(vasko, case, n)) for n in (1, 2, 3)]
    keys = {"case_id": case.pk, "exhibit_id": made[2].pk}
    actions.move_exhibit(vasko, **keys, version=1, place=1)
    assert numbers(trial) == ["3", "1", "2"]
    with pytest.raises(StaleRecord):
        actions.move_exhibit(vasko, **keys, version=1, place=2)
    made[0].refresh_from_db()
    assert made[0].version == 1
    actions.move_exhibit(vasko, **keys, version=2, place=3)
    assert numbers(trial) == ["1", "2", "3"]


def test_where_no_room_is_left_all_are_numbered_anew(vasko, case, trial):
    made = [make_exhibit(vasko, trial, make_photograph(vasko, case, n)) for n in (1, 2, 3)]
    for position, exhibit in enumerate(made, start=1):
        exhibit.position = position
        exhibit.save()
    actions.move_exhibit(vasko, case_id=case.pk, exhibit_id=made[2].pk, version=1, place=2)
    assert numbers(trial) == ["1", "3", "2"]


def test_a_withdrawn_photograph_becomes_no_exhibit_and_is_not_presented(vasko, case, trial):
    photographs = [make_photograph(vasko, case, seed) for seed in (1, 2)]
    make_exhibit(vasko, trial, photographs[0])
    for photograph in photographs:
        take_away(vasko, photograph)
    with pytest.raises(Refused, match="withdrawn"):
        make_exhibit(vasko, trial, photographs[1])
    with pytest.raises(Refused, match="withdrawn"):
        make_redaction(vasko, photographs[1])
    assert queries.exhibits_to_present(trial) == []


def test_a_redaction_keeps_what_was_done_and_leaves_the_original_alone(vasko, case):
    photograph = make_photograph(vasko, case)
    with default_storage.open(photograph.file.path) as kept:
        before = kept.read()
    made = make_redaction(vasko, photograph, reason="Face of a bystander")
    with default_storage.open(photograph.file.path) as kept:
        assert kept.read() == before
    photograph.refresh_from_db()
    assert digest_of(photograph.file.path) == photograph.file.sha256
    assert made.parent_sha256 == hashlib.sha256(before).hexdigest()
    assert made.file.path.startswith("derived/")
    assert (made.regions, made.why) == ([FACE], "Face of a bystander")
    assert "cover rectangle 40,30 80,70" in made.operations[1]
    assert "Pillow" in made.software
    event = AuditEvent.objects.get(table="exhibits_redaction")
    assert (event.act, event.reason) == ("finish_redaction", "Face of a bystander")


def test_a_redaction_sent_twice_is_one_and_other_regions_are_a_conflict(vasko, case):
    photograph, key = make_photograph(vasko, case), new_id()
    first, again = (make_redaction(vasko, photograph, record_id=key) for _ in range(2))
    assert first.pk == again.pk
    assert Redaction.objects.count() == 1
    with pytest.raises(Conflict):
        make_redaction(vasko, photograph, {**FACE, "manner": "blur"}, record_id=key)


def test_a_new_redaction_replaces_the_one_that_was_read(vasko, case):
    photograph = make_photograph(vasko, case)
    first = make_redaction(vasko, photograph)
    with pytest.raises(StaleRecord):
        make_redaction(vasko, photograph, version=0)
    second = make_redaction(vasko, photograph, version=1, reason="Number plate too")
    first.refresh_from_db()
    assert first.void_reason == "Replaced: Number plate too"
    assert queries.active_redaction(photograph) == second
    assert len(queries.redactions_of(case)) == 2


def test_a_redaction_is_refused_without_reason_or_region(vasko, case):
    photograph = make_photograph(vasko, case)
    with pytest.raises(Refused, match="Say why"):
        make_redaction(vasko, photograph, reason=" ")
    with pytest.raises(Refused, match="outside the picture") as refused:
        make_redaction(vasko, photograph, {**FACE, "points": [[0, 0], [900, 9]]})
    assert refused.value.field == "regions"
    assert Redaction.objects.count() == 0


def test_a_redaction_is_taken_back_with_a_reason_and_stays_in_the_log(vasko, case):
    photograph = make_photograph(vasko, case)
    made = make_redaction(vasko, photograph)
    keys = {"case_id": case.pk, "redaction_id": made.pk}
    with pytest.raises(StaleRecord):
        actions.void_redaction(vasko, **keys, version=9, reason="ruled admissible")
    actions.void_redaction(vasko, **keys, version=1, reason="ruled admissible")
    assert AuditEvent.objects.get(act="void_redaction").reason == "ruled admissible"
    assert queries.active_redaction(photograph) is None
    assert [one.void_reason for one in queries.redactions_of(case)] == ["ruled admissible"]
    assert default_storage.exists(made.file.path)
    with pytest.raises(StaleRecord):
        make_redaction(vasko, photograph, version=1)


def test_two_people_cannot_both_redact_a_photograph_unseen(at_once):
    anna, ben = make_staff(Role.PATHOLOGIST), make_staff(Role.SUPERVISOR)
    case = make_case(by=anna)
    photograph = make_photograph(anna, case)
    from cases.exhibits import redacting

    results = at_once(
        redacting.ask,
        by=[anna, ben],
        each=[{"record_id": new_id()}, {"record_id": new_id()}],
        case_id=case.pk,
        photograph_id=photograph.pk,
        version=0,
        entries=[FACE],
        reason="Face of a bystander",
    )
    assert sorted(result.code for result in results) == ["done", "refused"]
    assert RedactionRequest.objects.count() == 1

"""Who works on a case, and who alone may see it."""

from __future__ import annotations

import pytest

from cases import actions
from cases.access import cases_open_to, is_on_team
from cases.models import TeamMember
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff

pytestmark = pytest.mark.django_db


@pytest.fixture
def thorne() -> Staff:
    return make_staff(Role.SUPERVISOR, name="M. Thorne")


def fresh(person: Staff) -> Staff:
    """The person as the next request reads them."""
    return Staff.objects.get(pk=person.pk)


def restricted_case(thorne, *members, **fields):
    case = make_case(**fields)
    return actions.restrict_case(
        thorne, case_id=case.pk, version=1, members=members, reason="family of a board member"
    )


def test_a_supervisor_assigns_both(thorne):
    quill, vasko = make_staff(Role.INVESTIGATOR), make_staff(Role.PATHOLOGIST, name="Dr. I. Vasko")
    case = make_case()
    saved = actions.assign_case(
        thorne, case_id=case.pk, version=1, entry={"investigator": quill, "pathologist": vasko},
        reason="on call",
    )  # fmt: skip
    assert (saved.investigator, saved.pathologist) == (quill, vasko)
    event = AuditEvent.objects.filter(table="cases_case", operation="update").last()
    assert (event.actor_name, event.act, event.reason) == ("M. Thorne", "assign_case", "on call")


def test_what_is_not_named_stays_and_none_takes_away(thorne):
    quill, vasko = make_staff(Role.INVESTIGATOR), make_staff(Role.PATHOLOGIST)
    case = make_case(investigator=quill, pathologist=vasko)
    saved = actions.assign_case(thorne, case_id=case.pk, version=1, entry={"pathologist": None})
    assert (saved.investigator, saved.pathologist) == (quill, None)


def test_an_assignment_is_refused_by_role_stale_and_by_rule(thorne):
    case, vasko = make_case(), make_staff(Role.PATHOLOGIST)
    call = {"case_id": case.pk, "version": 1}
    with pytest.raises(NotAllowed):
        actions.assign_case(make_staff(Role.INVESTIGATOR), entry={"pathologist": vasko}, **call)
    with pytest.raises(StaleRecord):
        actions.assign_case(thorne, entry={"pathologist": vasko}, case_id=case.pk, version=2)
    with pytest.raises(Refused) as caught:
        actions.assign_case(thorne, entry={"investigator": vasko}, **call)
    assert caught.value.field == "investigator"


def test_restricting_names_the_team_in_rows_and_permissions(thorne):
    quill, vasko, clerk = (
        make_staff(Role.INVESTIGATOR), make_staff(Role.PATHOLOGIST), make_staff(Role.RECORDS_CLERK),
    )  # fmt: skip
    case = restricted_case(thorne, clerk, investigator=quill, pathologist=vasko)
    members = set(TeamMember.objects.active().values_list("member_id", flat=True))
    assert members == {thorne.pk, quill.pk, vasko.pk, clerk.pk}
    assert all(is_on_team(fresh(person), case) for person in (thorne, quill, vasko, clerk))
    assert not cases_open_to(make_staff(Role.PATHOLOGIST)).exists()


def test_the_permission_is_written_to_the_trail_with_its_reason(thorne):
    clerk = make_staff(Role.RECORDS_CLERK)
    restricted_case(thorne, clerk)
    events = AuditEvent.objects.filter(table="guardian_userobjectpermission")
    assert {(event.actor_name, event.act, event.reason) for event in events} == {
        ("M. Thorne", "restrict_case", "family of a board member")
    }


def test_restricting_is_refused_without_reason_by_role_stale_and_twice(thorne):
    case = make_case()
    call = {"case_id": case.pk, "version": 1}
    with pytest.raises(Refused):
        actions.restrict_case(thorne, reason="", **call)
    with pytest.raises(NotAllowed):
        actions.restrict_case(make_staff(Role.PATHOLOGIST), reason="board", **call)
    with pytest.raises(StaleRecord):
        actions.restrict_case(thorne, reason="board", case_id=case.pk, version=5)
    with pytest.raises(Refused):
        actions.restrict_case(
            thorne, reason="board", members=[make_staff(Role.ADMINISTRATOR)], **call
        )
    assert not TeamMember.objects.exists()
    actions.restrict_case(thorne, reason="board", **call)
    with pytest.raises(Refused):
        actions.restrict_case(fresh(thorne), reason="board", case_id=case.pk, version=2)


def test_opening_a_case_again_dissolves_the_team(thorne):
    clerk = make_staff(Role.RECORDS_CLERK)
    case = restricted_case(thorne, clerk)
    opened = actions.unrestrict_case(
        fresh(thorne), case_id=case.pk, version=2, reason="no longer needed"
    )
    assert not opened.restricted
    assert not TeamMember.objects.active().exists()
    assert not is_on_team(fresh(clerk), case)
    assert TeamMember.objects.first().void_reason == "no longer needed"


def test_opening_is_refused_without_reason_by_role_stale_and_when_open(thorne):
    vasko = make_staff(Role.PATHOLOGIST)
    case = restricted_case(thorne, vasko)
    thorne, vasko = fresh(thorne), fresh(vasko)
    with pytest.raises(Refused):
        actions.unrestrict_case(thorne, case_id=case.pk, version=2, reason=" ")
    with pytest.raises(NotAllowed):
        actions.unrestrict_case(vasko, case_id=case.pk, version=2, reason="open it")
    with pytest.raises(StaleRecord):
        actions.unrestrict_case(thorne, case_id=case.pk, version=1, reason="open it")
    with pytest.raises(Refused):
        actions.unrestrict_case(thorne, case_id=make_case().pk, version=1, reason="open it")


def test_a_person_joins_and_leaves_the_team(thorne):
    case, clerk, key = restricted_case(thorne), make_staff(Role.RECORDS_CLERK), new_id()
    thorne = fresh(thorne)
    call = {"case_id": case.pk, "member": clerk, "record_id": key, "reason": "asked for the file"}
    added = actions.add_team_member(thorne, **call)
    assert actions.add_team_member(thorne, **call).pk == added.pk
    assert cases_open_to(fresh(clerk)).get() == case
    actions.remove_team_member(thorne, record_id=added.pk, version=1, reason="file is sent")
    assert not cases_open_to(fresh(clerk)).exists()
    event = AuditEvent.objects.filter(
        table="guardian_userobjectpermission", operation="delete"
    ).get()
    assert (event.act, event.reason) == ("remove_team_member", "file is sent")


def test_a_person_can_join_again_after_leaving(thorne):
    case, clerk = restricted_case(thorne), make_staff(Role.RECORDS_CLERK)
    thorne = fresh(thorne)
    first = actions.add_team_member(thorne, case_id=case.pk, member=clerk)
    actions.remove_team_member(thorne, record_id=first.pk, version=1, reason="done")
    actions.add_team_member(thorne, case_id=case.pk, member=clerk)
    assert is_on_team(fresh(clerk), case)


def test_joining_is_refused_by_role_by_rule_and_for_another_person_under_the_key(thorne):
    vasko, clerk = make_staff(Role.PATHOLOGIST), make_staff(Role.RECORDS_CLERK)
    case, key = restricted_case(thorne, vasko), new_id()
    thorne, vasko = fresh(thorne), fresh(vasko)
    with pytest.raises(NotAllowed):
        actions.add_team_member(vasko, case_id=case.pk, member=clerk)
    with pytest.raises(NotKnown):
        actions.add_team_member(make_staff(Role.SUPERVISOR), case_id=case.pk, member=clerk)
    with pytest.raises(Refused):
        actions.add_team_member(thorne, case_id=make_case().pk, member=clerk)
    with pytest.raises(Refused):
        actions.add_team_member(thorne, case_id=case.pk, member=vasko)
    actions.add_team_member(thorne, case_id=case.pk, member=clerk, record_id=key)
    with pytest.raises(Conflict):
        actions.add_team_member(
            thorne, case_id=case.pk, member=make_staff(Role.RECORDS_CLERK), record_id=key
        )


def test_leaving_is_refused_for_the_assigned_the_last_supervisor_stale_and_by_role(thorne):
    vasko, clerk = make_staff(Role.PATHOLOGIST), make_staff(Role.RECORDS_CLERK)
    case = restricted_case(thorne, clerk, pathologist=vasko)
    thorne = fresh(thorne)
    of = {one.member_id: one.pk for one in TeamMember.objects.all()}
    for person, why in ((vasko, "assigned"), (thorne, "supervisor")):
        with pytest.raises(Refused, match=why):
            actions.remove_team_member(
                thorne, record_id=of[person.pk], version=1, reason="off the team"
            )
    with pytest.raises(StaleRecord):
        actions.remove_team_member(thorne, record_id=of[clerk.pk], version=3, reason="off")
    with pytest.raises(NotAllowed):
        actions.remove_team_member(fresh(vasko), record_id=of[clerk.pk], version=1, reason="off")
    assert is_on_team(fresh(clerk), case)


def test_on_a_restricted_case_only_the_team_is_assigned(thorne):
    case, vasko = restricted_case(thorne), make_staff(Role.PATHOLOGIST)
    thorne = fresh(thorne)
    with pytest.raises(Refused, match="team"):
        actions.assign_case(thorne, case_id=case.pk, version=2, entry={"pathologist": vasko})
    actions.add_team_member(thorne, case_id=case.pk, member=vasko)
    saved = actions.assign_case(thorne, case_id=case.pk, version=2, entry={"pathologist": vasko})
    assert saved.pathologist == vasko

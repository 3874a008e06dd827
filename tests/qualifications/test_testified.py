"""The list of testimony: from dates in court that took place and by hand, in version and PDF."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.actions import restrict_case
from cases.appearances import actions as appearances
from cases.qualifications import actions, queries
from cases.qualifications.models import ListedTestimony
from cases.qualifications.printing import curriculum_values, print_curriculum
from cases.qualifications.rules import first_listed
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.appearances.builders import appear, in_days, was_heard
from tests.builders import as_person, make_case, make_staff
from tests.qualifications.test_curricula import add_line, issue

pytestmark = pytest.mark.django_db


def heard_entry(**said: Any) -> dict[str, Any]:
    """A trial of last month, as it is entered by hand."""
    return {
        "kind": "trial",
        "on_day": timezone.localdate() - timedelta(days=30),
        "caption": "State v. Doe",
        "court": "Alder County Superior Court",
        "cause_number": "CR-24-118",
        "called_by": "prosecution",
        **said,
    }


def list_it(by, person=None, **said) -> ListedTestimony:
    appearance = said.pop("appearance", None)
    return actions.list_testimony(
        by,
        person_id=(person or by).pk,
        record_id=new_id(),
        appearance_id=appearance and appearance.pk,
        entry=heard_entry(**said),
    )


def test_who_keeps_the_list_and_what_it_leaves_in_the_trail(vasko, clerk):
    line = list_it(vasko)
    assert list_it(make_staff(Role.SUPERVISOR), vasko, caption="State v. Roe").person == vasko
    keys = {"person_id": vasko.pk, "record_id": line.pk}
    for other in (clerk, make_staff(Role.PATHOLOGIST)):
        with pytest.raises(NotAllowed):
            list_it(other, vasko)
        with pytest.raises(NotAllowed):
            actions.void_testimony_line(other, **keys, version=1, reason="why")
    entry = heard_entry(caption="State v. Low")
    changed = actions.list_testimony(vasko, **keys, version=1, entry=entry)
    assert (changed.caption, changed.version) == ("State v. Low", 2)
    with pytest.raises(StaleRecord):
        actions.list_testimony(vasko, **keys, version=1, entry=heard_entry())
    actions.void_testimony_line(vasko, **keys, version=2, reason="entered twice")
    with pytest.raises(Refused):
        actions.list_testimony(vasko, **keys, version=3, entry=heard_entry())
    told = AuditEvent.objects.filter(record_id=str(line.pk)).order_by("id")
    assert [(one.act, one.case_id) for one in told] == [
        ("list_testimony", None), ("list_testimony", None), ("void_testimony_line", None),
    ]  # fmt: skip


def test_a_line_names_its_case_and_a_day_that_was(vasko):
    today = timezone.localdate()
    for wrong, field in (
        ({"caption": "", "cause_number": ""}, "caption"),
        ({"on_day": today + timedelta(days=1)}, "on_day"),
        ({"on_day": date(1929, 12, 31)}, "on_day"),
        ({"court": ""}, "court"),
        ({"kind": "meeting"}, "kind"),
    ):
        with pytest.raises(Invalid) as refused:
            list_it(vasko, **wrong)
        assert field in refused.value.errors
    for good in (
        {"caption": ""}, {"cause_number": ""}, {"on_day": today}, {"on_day": date(1930, 1, 1)},
    ):  # fmt: skip
        list_it(vasko, **good)
    with transaction.atomic(), pytest.raises(DatabaseError):
        ListedTestimony.objects.update(caption="", cause_number="")


def test_a_date_in_court_is_listed_once_with_the_type_and_day_of_the_record(vasko):
    case = make_case(by=vasko)
    was = was_heard(vasko, case, begins_at=in_days(-3, "23:30"))
    key = new_id()
    given = {
        "person_id": vasko.pk,
        "record_id": key,
        "appearance_id": was.pk,
        "entry": heard_entry(kind="deposition", on_day=date(2020, 1, 1)),
    }
    line = actions.list_testimony(vasko, **given)
    assert (line.kind, line.on_day) == ("trial", timezone.localdate() - timedelta(days=3))
    assert actions.list_testimony(vasko, **given).pk == key
    assert queries.not_listed(vasko, vasko.pk) == []
    with pytest.raises((Invalid, Conflict)):
        actions.list_testimony(vasko, **{**given, "record_id": new_id()})
    actions.list_testimony(
        vasko, person_id=vasko.pk, record_id=key, version=1, entry=heard_entry(kind="hearing")
    )
    assert queries.testified_line(vasko.pk, key).kind == "trial"
    actions.void_testimony_line(
        vasko, person_id=vasko.pk, record_id=key, version=2, reason="as a witness of fact"
    )
    assert queries.not_listed(vasko, vasko.pk) == [was]
    assert list_it(vasko, appearance=was).appearance == was


def test_only_what_took_place_of_ones_own_and_is_open_is_offered(vasko, clerk):
    case, closed = make_case(by=vasko), make_case(by=vasko)
    was = was_heard(vasko, case, kind="deposition", begins_at=in_days(-9))
    hidden = was_heard(vasko, closed, begins_at=in_days(-8))
    others = [
        was_heard(vasko, case, kind="meeting", begins_at=in_days(-9)),
        was_heard(clerk, case, kind="hearing", begins_at=in_days(-9)),
        appear(vasko, case, begins_at=in_days(-9)),
    ]
    boss = make_staff(Role.SUPERVISOR)
    assert queries.not_listed(boss, vasko.pk) == [hidden, was]
    restrict_case(boss, case_id=closed.pk, version=closed.version, reason="asked for")
    second = make_staff(Role.PATHOLOGIST, Role.SUPERVISOR)
    seen = queries.not_listed(second, vasko.pk)
    assert was in seen and set(seen) <= {was, hidden}
    for other in others:
        with pytest.raises(NotKnown):
            list_it(vasko, appearance=other)


def test_a_version_lists_four_years_and_says_what_it_leaves_out(vasko):
    add_line(vasko)
    today = timezone.localdate()
    first = first_listed(today)
    for day, caption in ((first, "In"), (first - timedelta(days=1), "Out"), (today, "Now")):
        list_it(vasko, on_day=day, caption=caption)
    case, other = make_case(by=vasko), make_case(by=vasko)
    day_one = was_heard(vasko, case, begins_at=in_days(-3))
    was_heard(vasko, case, begins_at=in_days(-2))  # the second day of the same trial
    was_heard(vasko, other, begins_at=in_days(-2))
    list_it(vasko, appearance=day_one, caption="State v. Marrow")
    said = issue(vasko).content["testified"]
    assert [one["caption"] for one in said["lines"]] == ["Now", "State v. Marrow", "In"]
    assert (said["earlier"], said["not_listed"]) == (1, 1)
    earlier = issue(vasko, counted_on=today - timedelta(days=1)).content["testified"]
    assert [one["caption"] for one in earlier["lines"]] == ["State v. Marrow", "In", "Out"]


def test_the_pdf_prints_the_list_and_one_of_before_there_was_a_list_says_nothing(vasko):
    add_line(vasko)
    list_it(vasko, caption="State v. Doe #[x] $", cause_number="")
    version = issue(vasko)
    printed = curriculum_values(version)["testified"]
    assert printed["rows"][0]["caption"] == "State v. Doe #[x] $"
    assert "26(a)(2)(B)(v)" in printed["says"]
    assert print_curriculum(version).pages == 1
    del version.content["testified"]
    assert curriculum_values(version)["testified"] is None
    assert print_curriculum(version).pages == 1


def test_the_pages_list_change_and_void_and_the_last_version_no_longer_does(client, clerk, vasko):
    case = make_case(by=vasko)
    was = was_heard(vasko, case, begins_at=in_days(-3))
    add_line(vasko)
    issue(vasko)
    page = reverse("qualifications:person", args=[vasko.pk])
    client.force_login(vasko)
    from_record = reverse("qualifications:list-testimony", args=[vasko.pk, was.pk])
    shown = client.get(page).content.decode()
    assert from_record in shown and "office records testimony in these years: 1 case" in shown
    form = client.get(from_record).content.decode()
    assert was.cause_number in form and 'name="on_day"' not in form
    said = {
        "caption": "", "court": was.court, "cause_number": "", "called_by": "prosecution",
        "record_id": str(new_id()), "version": "0", "request_key": str(new_id()),
    }  # fmt: skip
    wrong = client.post(from_record, said)
    assert wrong.status_code == 422
    assert "Enter the name of the case" in wrong.content.decode()
    said = {**said, "caption": "State v. Marrow", "request_key": str(new_id())}
    assert client.post(from_record, said).status_code == 302
    shown = client.get(page).content.decode()
    assert "State v. Marrow" in shown and from_record not in shown
    assert "Curriculum vitae changed since" in shown
    line = ListedTestimony.objects.get()
    edit = reverse("qualifications:edit-testimony", args=[vasko.pk, line.pk])
    add = reverse("qualifications:add-testimony", args=[vasko.pk])
    assert 'name="on_day"' in client.get(add).content.decode()
    appearances.void_appearance(
        vasko, record_id=was.pk, version=was.version, reason="another witness"
    )
    assert "was voided since" in client.get(page).content.decode()
    with pytest.raises(Refused):
        issue(vasko)
    withdraw = reverse("qualifications:withdraw-testimony", args=[vasko.pk, line.pk])
    client.force_login(clerk)
    assert "State v. Marrow" in client.get(page).content.decode()
    for address in (edit, add, withdraw):
        assert client.get(address).status_code == 403
    client.force_login(vasko)
    list_it(vasko, caption="State v. Roe")
    gone = {"version": "1", "reason": "void", "request_key": str(new_id())}
    assert client.post(withdraw, gone).status_code == 302
    last = issue(vasko)
    assert [one["caption"] for one in last.content["testified"]["lines"]] == ["State v. Roe"]
    assert "Curriculum vitae changed since" not in client.get(page).content.decode()
    other = ListedTestimony.objects.get(voided_at=None)
    actions.void_testimony_line(
        vasko, person_id=vasko.pk, record_id=other.pk, version=1, reason="no expert there"
    )
    # What was withdrawn since makes the version no longer current, as what was added does.
    assert "Curriculum vitae changed since" in client.get(page).content.decode()


def test_the_page_asks_as_much_for_sixty_lines_as_for_three(client, vasko):
    client.force_login(vasko)
    page, counts = reverse("qualifications:person", args=[vasko.pk]), []
    for more in (3, 57):
        ListedTestimony.objects.bulk_create(
            ListedTestimony(person=vasko, created_by=vasko, changed_by=vasko, **heard_entry())
            for _ in range(more)
        )
        client.get(page)
        with CaptureQueriesContext(connection) as asked:
            client.get(page)
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_the_api_does_the_same(vasko):
    client = as_person(vasko)
    was = was_heard(vasko, make_case(by=vasko), begins_at=in_days(-3))

    def url(name, **keys):
        return reverse(f"qualifications_api:{name}", kwargs={"person_id": vasko.pk, **keys})

    def send(where, body):
        return client.post(where, body, content_type="application/json")

    key = str(new_id())
    body = {"court": "Superior Court", "caption": "State v. Doe", "called_by": "defense"}
    made = send(url("testimony"), {"id": key, "version": 0, "appearance": str(was.pk), **body})
    assert (made.status_code, made.json()["kind"]) == (201, "trial")
    assert [one["appearance"] for one in client.get(url("testimony")).json()] == [str(was.pk)]
    gone = send(url("void-testimony", record_id=key), {"version": 1, "reason": "twice"})
    assert gone.json()["voided_at"]
    assert client.get(url("testimony")).json() == []

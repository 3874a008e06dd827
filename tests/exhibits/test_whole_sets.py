"""What is done to a whole set in one act: numbers and order."""

from __future__ import annotations

import json
from datetime import date

import pytest
from django.urls import reverse

from cases.exhibits import actions, queries
from cases.exhibits.models import Exhibit, ExhibitSet
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.evidence.pictures import add
from tests.exhibits.builders import make_exhibit, make_set, noisy_picture

SAVED = "Someone else saved"
pytestmark = pytest.mark.django_db


@pytest.fixture
def trial(vasko):
    """A set of four exhibits: 1, 2, 3, 4."""
    made = make_set(vasko, make_case(by=vasko))
    for seed in range(1, 5):
        make_exhibit(vasko, made, photograph(vasko, made.case, seed))
    return made


def photograph(by, case, seed):
    return add(by, case, noisy_picture(seed), name="DSC_0001.png", shows=f"The back, {seed}")


def exhibits(trial):
    return queries.exhibits_of(trial)


def numbers(trial):
    return [one.number for one in exhibits(trial)]


def renumber(by, trial, wanted, version=1, **changed):
    rows = [
        {"exhibit": str(one.pk), "version": one.version, "number": number}
        for one, number in zip(exhibits(trial), wanted, strict=False)
    ]
    rows = changed.get("rows", rows)
    return actions.renumber_exhibits(
        by, case_id=trial.case_id, set_id=trial.pk, version=version, numbers=rows
    )


def arrange(by, trial, order, was=None):
    """Put the exhibits of these numbers into this order."""
    keys = {one.number: one.pk for one in exhibits(trial)}
    return actions.arrange_exhibits(
        by,
        case_id=trial.case_id,
        set_id=trial.pk,
        was=[keys[number] for number in was or keys],
        order=[keys[number] for number in order],
    )


def test_numbers_change_places_in_one_act_and_are_given_back(vasko, trial):
    renumber(vasko, trial, ["2", "1", " 14-A ", "14-B"])
    assert numbers(trial) == ["2", "1", "14-A", "14-B"]
    told = AuditEvent.objects.filter(act="renumber_exhibits")
    assert told.values("transaction").distinct().count() == 1
    assert told.filter(table="exhibits_exhibitset").count() == 1
    trial.refresh_from_db()
    before = [trial.numbers_before[str(one.pk)] for one in exhibits(trial)]
    assert before == ["1", "2", "3", "4"]
    renumber(vasko, trial, before, version=2)
    assert numbers(trial) == before


def test_numbers_that_cannot_be_are_refused_and_nothing_is_changed(vasko, trial):
    other = make_staff(Role.INVESTIGATOR)
    rows = [{"exhibit": str(one.pk), "version": 1, "number": "9"} for one in exhibits(trial)]
    for attempt, error, words in (
        (lambda: renumber(vasko, trial, ["5", "6", "7", "5"]), Refused, "would have the number 5"),
        (lambda: renumber(vasko, trial, ["5", "6", "7", " "]), Refused, "needs a number"),
        (lambda: renumber(vasko, trial, ["1", "2", "3", "4"]), Refused, "that the exhibits have"),
        (lambda: renumber(vasko, trial, ["5", "6", "7", "8"], version=2), StaleRecord, SAVED),
        (lambda: renumber(vasko, trial, [], rows=rows[:3]), Conflict, "added or removed"),
        (lambda: renumber(vasko, trial, [], rows=[*rows[:3], {**rows[3], "version": 2}]),
         StaleRecord, SAVED),
        (lambda: renumber(other, trial, ["5", "6", "7", "8"]), NotAllowed, "may not"),
    ):  # fmt: skip
        with pytest.raises(error, match=words):
            attempt()
    assert numbers(trial) == ["1", "2", "3", "4"]


def test_an_order_is_saved_in_one_act_and_what_stays_is_not_touched(vasko, trial):
    arrange(vasko, trial, ["4", "1", "2", "3"])
    assert numbers(trial) == ["4", "1", "2", "3"]
    versions = {one.number: one.version for one in exhibits(trial)}
    assert versions == {"4": 2, "1": 1, "2": 1, "3": 1}
    # Sent again, it is what stands already.
    arrange(vasko, trial, ["4", "1", "2", "3"], was=["1", "2", "3", "4"])
    assert AuditEvent.objects.filter(act="arrange_exhibits").count() == 1


def test_two_who_change_the_order_see_both(client, vasko, trial):
    arrange(vasko, trial, ["4", "1", "2", "3"])
    keys = {one.number: str(one.pk) for one in exhibits(trial)}
    with pytest.raises(Conflict, match=r"now 4, 1, 2, 3\. Your order was 2, 1, 3, 4\."):
        arrange(vasko, trial, ["2", "1", "3", "4"], was=["1", "2", "3", "4"])
    client.force_login(make_staff(Role.RECORDS_CLERK))
    page = reverse("exhibits:arrange", kwargs={"case_id": trial.case_id, "set_id": trial.pk})
    sent = {
        "was": ",".join(keys[number] for number in "1234"),
        "order": ",".join(keys[number] for number in "2134"),
    }
    refused = client.post(page, sent)
    shown = refused.content.decode()
    assert refused.status_code == 409
    assert "Its order is now 4, 1, 2, 3. Your order was 2, 1, 3, 4." in shown
    assert f'name="order" value="{sent["order"]}"' in shown and "Use my order instead" in shown
    again = {**sent, "was": ",".join(keys[number] for number in "4123")}
    assert client.post(page, again, headers={"HX-Request": "true"}).status_code == 204
    assert numbers(trial) == ["2", "1", "3", "4"]
    garbled = client.post(page, {"was": "x", "order": "y"})
    assert (garbled.status_code, "could not be read" in garbled.content.decode()) == (422, True)


def test_a_set_is_numbered_by_its_page_and_by_the_api(client, vasko, trial):
    client.force_login(make_staff(Role.RECORDS_CLERK))
    keys = {"case_id": trial.case_id, "set_id": trial.pk}
    page = reverse("exhibits:numbers", kwargs=keys)
    third = exhibits(trial)[2]
    rule = f"{page}?before=D-&first=14&digits=3&joined={third.pk}"
    previewed = client.get(rule)
    assert [row.number for row in previewed.context["rows"]] == [
        "D-014", "D-015-A", "D-015-B", "D-016",
    ]  # fmt: skip
    assert "4 of 4 change" in previewed.content.decode()
    assert numbers(trial) == ["1", "2", "3", "4"], "a preview changes nothing"
    form = previewed.context["form"]
    sent = {"version": 1, "numbers": form.fields["numbers"].initial}
    assert client.post(rule, {**sent, "version": 9}).status_code == 409
    assert client.post(rule, {**sent, "numbers": '[{"exhibit": 1}]'}).status_code == 422
    assert client.post(rule, sent).status_code == 302
    assert numbers(trial) == ["D-014", "D-015-A", "D-015-B", "D-016"]
    # Opened again, the page offers the rule that stands.
    assert [row.changes for row in client.get(page).context["rows"]] == [False] * 4
    # What goes together is read from the numbers; those before come back by the same form.
    assert [row.joined for row in client.get(page).context["rows"]] == [False, False, True, False]
    back = client.get(f"{page}?as=before")
    assert [row.number for row in back.context["rows"]] == ["1", "2", "3", "4"]
    sent = {"version": 2, "numbers": back.context["form"].fields["numbers"].initial}
    assert client.post(f"{page}?as=before", sent).status_code == 302
    assert numbers(trial) == ["1", "2", "3", "4"]

    body = {"version": 3, "numbers": json.loads(sent["numbers"])}
    stale = client.put(
        reverse("exhibits_api:numbers", kwargs=keys), body, content_type="application/json"
    )
    assert (stale.status_code, stale.json()["code"]) == (409, "stale")
    order = [str(one.pk) for one in exhibits(trial)]
    body = {"was": order, "order": order[::-1]}
    address = reverse("exhibits_api:order", kwargs=keys)
    assert client.put(address, body, content_type="application/json").status_code == 200
    assert numbers(trial) == ["4", "3", "2", "1"]


def copy(by, trial, record_id=None, **entry):
    said = {"title": "Exhibits of the defense", "court": "", "cause_number": "", "request": None}
    return actions.copy_exhibit_set(
        by,
        case_id=trial.case_id,
        set_id=trial.pk,
        record_id=record_id or new_id(),
        entry={**said, **entry},
    )


def test_a_set_is_copied_for_the_other_side_and_each_goes_its_own_way(vasko, trial, monkeypatch):
    one, two, three, _ = exhibits(trial)
    Exhibit.objects.filter(pk=two.pk).update(plain_words="The back, seen from above.")
    actions.compose_exhibit(
        vasko, case_id=trial.case_id, exhibit_id=one.pk, version=1,
        photographs=[one.photograph_id, two.photograph_id],
    )  # fmt: skip
    actions.remove_exhibit(
        vasko, case_id=trial.case_id, exhibit_id=three.pk, version=1, reason="not needed"
    )
    entry = {"on_day": date(2026, 3, 2), "ruling": "admitted"}
    actions.record_ruling(
        vasko, case_id=trial.case_id, exhibit_id=one.pk, record_id=new_id(), entry=entry
    )
    key = new_id()
    made = copy(vasko, trial, key)
    assert copy(vasko, trial, key).pk == made.pk
    with pytest.raises(Conflict):
        copy(vasko, trial, key, title="Another")
    assert (
        AuditEvent.objects.filter(act="copy_exhibit_set").values("transaction").distinct().count()
        == 1
    )
    told = [(each.number, each.caption, [p.number for p in each.photographs], each.ruling)
            for each in exhibits(made)]  # fmt: skip
    assert [each.plain_words for each in exhibits(made)] == ["", "The back, seen from above.", ""]
    assert told == [
        ("1", "The back, 1", [1, 2], None),
        ("2", "The back, 2", [2], None),
        ("4", "The back, 4", [4], None),
    ]
    renumber(vasko, made, ["D-1", "D-2", "D-3"])
    assert (numbers(made), numbers(trial)) == (["D-1", "D-2", "D-3"], ["1", "2", "4"])
    with pytest.raises(NotAllowed):
        copy(make_staff(Role.INVESTIGATOR), trial)
    monkeypatch.setattr("cases.exhibits.actions.copies.MOST_COPIED", 2)
    with pytest.raises(Refused, match="up to 2 exhibits"):
        copy(vasko, trial)
    assert ExhibitSet.objects.count() == 2
    monkeypatch.setattr("cases.exhibits.actions.copies.MOST_COPIED", 3)
    assert numbers(copy(vasko, trial)) == ["1", "2", "4"]


def test_a_set_is_copied_by_its_page_and_by_the_api(client, trial):
    client.force_login(make_staff(Role.RECORDS_CLERK))
    keys = {"case_id": trial.case_id, "set_id": trial.pk}
    page = reverse("exhibits:copy-set", kwargs=keys)
    assert 'value="Circuit Court"' in client.get(page).content.decode()
    assert client.post(page, {"title": "", "record_id": new_id()}).status_code == 422
    made = client.post(page, {"title": "Defense", "record_id": new_id()})
    assert (made.status_code, made["Location"].endswith("/numbers/")) == (302, True)
    body = {"id": str(new_id()), "title": "Inquest"}
    address = reverse("exhibits_api:copy-set", kwargs=keys)
    assert client.post(address, body, content_type="application/json").status_code == 201
    assert {one.title for one in ExhibitSet.objects.all()} == {trial.title, "Defense", "Inquest"}
    assert Exhibit.objects.count() == 12


def test_two_who_number_a_set_at_once_leave_no_number_twice(at_once):
    anna, ben = make_staff(Role.PATHOLOGIST), make_staff(Role.SUPERVISOR)
    trial = make_set(anna, make_case(by=anna))
    for seed in (1, 2):
        make_exhibit(anna, trial, photograph(anna, trial.case, seed))
    rows = [
        {"exhibit": str(one.pk), "version": 1, "number": number}
        for one, number in zip(exhibits(trial), ("2", "1"), strict=True)
    ]
    results = at_once(
        actions.renumber_exhibits,
        by=[anna, ben],
        case_id=trial.case_id,
        set_id=trial.pk,
        version=1,
        numbers=rows,
    )
    assert sorted(result.code for result in results) == ["done", "stale"]
    assert numbers(trial) == ["2", "1"]
    assert Exhibit.objects.filter(number__startswith="renumbering").count() == 0

"""Rehearsing by pages and API: own questions, how answers came, who sees what."""

from __future__ import annotations

import re
from copy import deepcopy
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.exhibits.actions import remove_exhibit
from cases.exhibits.models import Exhibit
from cases.rehearsal import actions, queries
from cases.rehearsal.models import OwnQuestion, RehearsalMark
from cases.rehearsal.rules import Standing
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import as_person, make_case, make_staff
from tests.exhibits.builders import link_contusion, make_exhibit, make_photograph, make_set

pytestmark = pytest.mark.django_db
REHEARSE = {Role.PATHOLOGIST, Role.SUPERVISOR}
ASKED = {"question": "Could a child do this?", "answer": "The record does not say."}


@pytest.fixture(scope="module")
def _once(made_once: Any) -> tuple[Any, Exhibit]:
    def build() -> tuple[Any, Exhibit]:
        vasko = make_staff(Role.PATHOLOGIST, name="Dr. I. Vasko")
        case = make_case(by=vasko)
        photograph = make_photograph(vasko, case, shows="Right side of the back, close")
        link_contusion(vasko, case, photograph)
        return vasko, make_exhibit(vasko, make_set(vasko, case), photograph, number="14")

    built: tuple[Any, Exhibit] = made_once(build)
    return built


@pytest.fixture
def vasko_and_shown(db: None, _once: tuple[Any, Exhibit]) -> tuple[Any, Exhibit]:
    return deepcopy(_once)


@pytest.fixture
def vasko(vasko_and_shown: tuple[Any, Exhibit]) -> Any:
    return vasko_and_shown[0]


@pytest.fixture
def shown(vasko_and_shown: tuple[Any, Exhibit]) -> Exhibit:
    """An exhibit with a bruise."""
    return vasko_and_shown[1]


def own(by: Any, shown: Exhibit, **more: Any) -> OwnQuestion:
    keys = {"case_id": shown.case_id, "set_id": shown.exhibit_set_id, "exhibit_id": shown.pk}
    values = {**keys, "record_id": new_id(), "entry": ASKED, **more}
    return actions.add_own_question(by, **values)


def marked(by: Any, shown: Exhibit, question: str, outcome: str, **more: Any) -> RehearsalMark:
    keys = {"case_id": shown.case_id, "set_id": shown.exhibit_set_id, "exhibit_id": shown.pk}
    values = {**keys, "record_id": new_id(), "question": question, "outcome": outcome, **more}
    return actions.mark_answer(by, **values)


def url(name: str, shown: Exhibit, **keys: Any) -> str:
    of = {"case_id": shown.case_id}
    if name in {"change", "withdraw"}:
        return reverse(f"rehearsal:{name}", kwargs={**of, **keys})
    of["set_id"] = shown.exhibit_set_id
    if name in {"exhibit", "mark", "add"}:
        of["exhibit_id"] = shown.pk
    return reverse(f"rehearsal:{name}", kwargs=of)


def asks_in(page: str) -> list[str]:
    """Every question of a page with how its answer came last."""
    return re.findall(r'data-key="([^":]+)[^"]*" data-outcome="([^"]*)"', page)


def test_who_may_rehearse_and_who_may_not(shown: Exhibit, vasko: Any) -> None:
    kept = own(vasko, shown)
    pages = [url(name, shown) for name in ("rehearsal", "exhibit", "whole", "add", "add-whole")]
    pages += [url(name, shown, question_id=kept.pk) for name in ("change", "withdraw")]
    for role in Role:
        desk = as_person(make_staff(role))
        status = 200 if role in REHEARSE else 404 if role is Role.ADMINISTRATOR else 403
        assert {desk.get(page).status_code for page in pages} == {status}, role
        sent = desk.post(url("mark", shown), {"question": "what", "outcome": "came"})
        assert sent.status_code == (204 if role in REHEARSE else status), role
        whole = desk.get(reverse("exhibits:set", args=[shown.case_id, shown.exhibit_set_id]))
        assert (pages[0] in whole.content.decode()) == (role in REHEARSE), role
    assert RehearsalMark.objects.count() == len(REHEARSE)
    shown.case.restricted = True
    shown.case.save()
    assert {as_person(make_staff(Role.SUPERVISOR)).get(page).status_code for page in pages} == {404}


def test_what_did_not_come_is_kept_for_its_witness_alone(shown: Exhibit, vasko: Any) -> None:
    desk, key = as_person(vasko), new_id()
    sent = {"record_id": key, "request_key": new_id(), "question": "part", "outcome": "again"}
    for _ in range(2):
        assert desk.post(url("mark", shown), sent).status_code == 204
    assert desk.post(url("mark", shown), {**sent, "outcome": "came"}).status_code == 409
    for question, outcome in (("what", "again"), ("what", "came"), ("gone:1", "again")):
        marked(vasko, shown, question, outcome)
    asked = dict(asks_in(desk.get(url("exhibit", shown)).content.decode()))
    assert (asked["part"], asked["what"], asked["injury"]) == ("again", "came", "")
    assert "gone" not in asked
    assert queries.standings_of(vasko, shown.exhibit_set) == {shown.pk: Standing(1, 2)}
    whole = desk.get(url("rehearsal", shown)).content.decode()
    assert "1 came at once, 2 to come back to" in whole
    assert "Come back to exhibit 14" in whole
    other = as_person(make_staff(Role.SUPERVISOR))
    page = other.get(url("rehearsal", shown)).content.decode()
    assert "came at once," not in page
    assert set(dict(asks_in(other.get(url("exhibit", shown)).content.decode())).values()) == {""}


@pytest.mark.parametrize(
    ("sent", "status"),
    [({"question": "what", "outcome": "never"}, 422), ({"outcome": "came"}, 422),
     ({"question": "x" * 121, "outcome": "came"}, 422),
     ({"question": "x" * 120, "outcome": "came"}, 204)],
)  # fmt: skip
def test_a_note_that_says_nothing_is_refused(
    shown: Exhibit, vasko: Any, sent: dict[str, str], status: int
) -> None:
    assert as_person(vasko).post(url("mark", shown), sent).status_code == status
    with pytest.raises(Invalid):
        marked(vasko, shown, "what", "never")


def test_own_questions_are_added_changed_and_withdrawn_by_pages(shown: Exhibit, vasko: Any) -> None:
    desk, boss = as_person(vasko), make_staff(Role.SUPERVISOR)
    wrong = desk.post(url("add", shown), {"question": "", "answer": "Kept words"})
    assert (wrong.status_code, "Kept words" in wrong.content.decode()) == (422, True)
    form = {**ASKED, "record_id": new_id(), "request_key": new_id()}
    assert [desk.post(url("add", shown), form).status_code for _ in range(2)] == [302, 302]
    kept = OwnQuestion.objects.get()
    page = as_person(boss).get(url("exhibit", shown)).content.decode()
    assert "Could a child do this?" in page
    assert "Own answer, not made from the record" in page
    change = url("change", shown, question_id=kept.pk)
    typed = {**ASKED, "answer": "It cannot be said.", "version": 1}
    assert desk.post(change, typed).status_code == 302
    stale = as_person(boss).post(change, {**typed, "answer": "Other"})
    assert (stale.status_code, "You wrote" in stale.content.decode()) == (409, True)
    withdraw = url("withdraw", shown, question_id=kept.pk)
    assert desk.post(withdraw, {"version": 2, "reason": ""}).status_code == 422
    assert desk.post(withdraw, {"version": 2, "reason": "Ruled out"}).status_code == 302
    assert "Could a child do this?" not in desk.get(url("exhibit", shown)).content.decode()
    assert desk.get(change).status_code == 404
    acts = AuditEvent.objects.filter(table="rehearsal_ownquestion").order_by("id")
    assert [event.act for event in acts] == [
        "add_own_question", "change_own_question", "withdraw_own_question",
    ]  # fmt: skip


def test_a_question_on_the_set_is_asked_there_and_at_no_exhibit(shown: Exhibit, vasko: Any) -> None:
    desk = as_person(vasko)
    form = {"question": "Are you paid for this?", "answer": "By the county.", "record_id": new_id()}
    assert desk.post(url("add-whole", shown), form).status_code == 302
    assert "Are you paid" in desk.get(url("whole", shown)).content.decode()
    assert "Are you paid" not in desk.get(url("exhibit", shown)).content.decode()
    assert "1 own question" in desk.get(url("rehearsal", shown)).content.decode()
    key = f"own:{OwnQuestion.objects.get().pk}"
    sent = {"question": key, "outcome": "came"}
    assert desk.post(url("mark-whole", shown), sent).status_code == 204
    assert asks_in(desk.get(url("whole", shown)).content.decode()) == [("own", "came")]


def test_other_roles_stale_versions_and_other_sets_are_refused(
    shown: Exhibit, vasko: Any, clerk: Any
) -> None:
    kept = own(vasko, shown)
    for refused in (own, lambda by, at: marked(by, at, "what", "came")):
        with pytest.raises(NotAllowed):
            refused(clerk, shown)
    other = make_set(vasko, shown.case)
    with pytest.raises(NotKnown):
        own(vasko, shown, set_id=other.pk)
    keys = {"case_id": shown.case_id, "question_id": kept.pk}
    with pytest.raises(StaleRecord):
        actions.change_own_question(vasko, version=2, entry=ASKED, **keys)
    with pytest.raises(Conflict):
        own(vasko, shown, record_id=kept.pk, entry={**ASKED, "answer": "Other"})
    actions.withdraw_own_question(vasko, version=1, reason="Ruled out", **keys)
    for act, more in (
        (actions.change_own_question, {"entry": ASKED}),
        (actions.withdraw_own_question, {"reason": "Again"}),
    ):
        with pytest.raises(Refused):
            act(vasko, version=2, **keys, **more)
    standing = own(vasko, shown)
    assert queries.own_questions_of(shown.exhibit_set) == [standing]
    remove_exhibit(vasko, case_id=shown.case_id, exhibit_id=shown.pk, version=1, reason="Out")
    assert queries.own_questions_of(shown.exhibit_set) == []
    assert queries.own_counts(shown.exhibit_set) == {}
    with pytest.raises(NotKnown):
        own(vasko, shown)


def test_the_api_asks_adds_changes_withdraws_and_notes(shown: Exhibit, vasko: Any) -> None:
    desk = as_person(vasko)
    of = f"/api/cases/{shown.case_id}"
    into = f"{of}/exhibit-sets/{shown.exhibit_set_id}"
    asked = desk.get(f"{into}/exhibits/{shown.pk}/rehearsal/").json()
    assert asked[0]["asks"] == "What is this a picture of?"
    assert asked[0]["answer"][0]["words"] == "Right side of the back, close."
    body = {"id": str(new_id()), "exhibit": str(shown.pk), **ASKED}
    made = [desk.post(f"{into}/own-questions/", body, "application/json") for _ in range(2)]
    assert [one.status_code for one in made] == [201, 201]
    assert [row["id"] for row in desk.get(f"{into}/own-questions/").json()] == [body["id"]]
    one = f"{of}/own-questions/{body['id']}"
    new = {"version": 1, **ASKED, "answer": "No."}
    assert desk.put(f"{one}/", new, "application/json").json()["answer"] == "No."
    mark = {"id": str(new_id()), "question": "what", "outcome": "again", "exhibit": str(shown.pk)}
    assert desk.post(f"{into}/rehearsal-marks/", mark, "application/json").status_code == 201
    assert RehearsalMark.objects.get().exhibit_id == shown.pk
    away = {"version": 2, "reason": "Ruled out"}
    assert desk.post(f"{one}/withdraw/", away, "application/json").status_code == 200
    assert desk.get(f"{into}/own-questions/").json() == []
    clerk = as_person(make_staff(Role.RECORDS_CLERK))
    assert clerk.get(f"{into}/exhibits/{shown.pk}/rehearsal/").status_code == 403


def test_the_page_says_that_a_court_may_ask_for_the_notes(shown: Exhibit, vasko: Any) -> None:
    desk = as_person(vasko)
    for name in ("rehearsal", "exhibit", "whole", "add"):
        page = " ".join(desk.get(url(name, shown)).content.decode().split())
        assert "A court may ask for work notes, these among them." in page, name
        assert "is a question for counsel" in page, name


def test_pages_ask_as_many_statements_for_many_as_for_few(shown: Exhibit, vasko: Any) -> None:
    desk, counts = as_person(vasko), []
    for more in (2, 9):
        for n in range(more):
            photograph = make_photograph(vasko, shown.case, 100 * more + n)
            into = make_exhibit(vasko, shown.exhibit_set, photograph)
            marked(vasko, into, "what", "again")
            own(vasko, shown)
        for name in ("rehearsal", "exhibit"):
            with CaptureQueriesContext(connection) as asked:
                assert desk.get(url(name, shown)).status_code == 200
            counts.append(len(asked))
    assert counts[:2] == counts[2:]

"""A key is answered again after permission, and only where the same was sent."""

from __future__ import annotations

import inspect
import types
import uuid
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal
from enum import StrEnum
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from cases.actions import record_medication, record_reading, restrict_case
from cases.models import Case, Medication, Person
from evidence.store import Incoming
from me_office.accounts.roles import Role
from me_office.audit import keys
from me_office.audit.actions import action
from me_office.audit.context import RequestFacts, current_request
from me_office.audit.errors import Conflict, NotAllowed, NotKnown
from me_office.audit.ids import new_id
from me_office.audit.models import RequestAnswer
from me_office.audit.records import save_new
from tests.audit.acts import all_actions
from tests.builders import MOMENT, make_case, make_staff
from tests.cases.browsing import typed
from tests.cases.entries import seen_at_scene

# Done by a worker or the operator, under no client's key; or only as a part of another act.
KEYLESS = {
    *("begin_copy", "finish_copy", "fail_copy", "begin_redaction", "finish_redaction"),
    *("begin_exhibit_pdf", "finish_exhibit_pdf", "fail_exhibit_pdf"),
    *("keep_signed_pdf", "keep_signed_report", "keep_signed_addendum", "renew_certificate"),
    "finish_letter_mail",
    "fail_statement_reading",
    *("begin_redacted_document", "finish_redacted_document", "fail_redacted_document"),
    *("fail_redaction", "begin_packet", "finish_packet", "fail_packet", "fail_answer"),
    *("add_preview", "fail_preview", "add_tiles", "move_case"),
    *("open_first_account", "change_own_password"),
}


def under(key: uuid.UUID, call: Any, *args: Any, **sent: Any) -> Any:
    """Call an action as a request with a client's key would."""
    token = current_request.set(RequestFacts(source="api", request_key=key))
    try:
        return call(*args, **sent)
    finally:
        current_request.reset(token)


def note(key: uuid.UUID, actor: Any, case: Case, record_id: uuid.UUID, name: str) -> Medication:
    return under(
        key, record_medication, actor, case_id=case.pk, record_id=record_id, entry={"name": name}
    )


def reaches(function: Any, target: Any, seen: set[Any]) -> bool:
    """Tell whether a function of the project calls another, by whatever way."""
    function = inspect.unwrap(function)
    if function is target:
        return True
    if function in seen or not isinstance(function, types.FunctionType):
        return False
    seen.add(function)
    if function.__module__.split(".")[0] not in {"cases", "findings", "evidence", "me_office"}:
        return False
    names = function.__code__.co_names
    spaces = [function.__globals__]
    spaces += [vars(one) for one in map(spaces[0].get, names) if isinstance(one, types.ModuleType)]
    called = [space[name] for space in spaces for name in names if name in space]
    return any(reaches(one, target, seen) for one in called if inspect.isfunction(one))


def test_every_action_that_a_client_calls_asks_before_it_answers_again():
    found = all_actions()
    assert len(found) > 110
    deaf = {name for name, one in found.items() if not reaches(one, keys.recall, set())}
    assert deaf - KEYLESS == set()


@pytest.mark.django_db
def test_an_action_that_asks_nobody_is_not_done_twice_under_one_key():
    @action
    def note_blindly(actor, *, case, record_id, reason=""):
        return save_new(actor, Medication(pk=record_id, case=case, name="Lisinopril"))

    anna, case, key, record_id = make_staff(), make_case(), new_id(), new_id()
    under(key, note_blindly, anna, case=case, record_id=record_id)
    with pytest.raises(RuntimeError, match="never asked"):
        under(key, note_blindly, anna, case=case, record_id=record_id)


@pytest.mark.django_db
def test_the_same_key_with_other_content_is_a_conflict_with_what_was_saved():
    anna, case, key, record_id = make_staff(Role.INVESTIGATOR), make_case(), new_id(), new_id()
    first = note(key, anna, case, record_id, "Lisinopril")
    assert note(key, anna, case, record_id, "Lisinopril").pk == first.pk
    with pytest.raises(Conflict) as refused:
        note(key, anna, case, record_id, "Metoprolol")
    assert refused.value.record.name == "Lisinopril"
    with pytest.raises(Conflict):
        note(key, anna, case, new_id(), "Lisinopril")
    assert Medication.objects.count() == 1


@pytest.mark.django_db
def test_the_text_of_another_case_is_not_told_in_a_conflict():
    anna, key, record_id = make_staff(Role.INVESTIGATOR), new_id(), new_id()
    note(key, anna, make_case(), record_id, "Lisinopril")
    for sent in (key, new_id()):
        with pytest.raises(Conflict) as refused:
            note(sent, anna, make_case(), record_id, "Lisinopril")
        assert refused.value.record is None


@pytest.mark.django_db
def test_who_may_not_is_told_so_before_any_key_is_looked_at():
    anna, case, key, record_id = make_staff(Role.INVESTIGATOR), make_case(), new_id(), new_id()
    note(key, anna, case, record_id, "Lisinopril")
    with pytest.raises(NotAllowed):
        note(key, make_staff(Role.RECORDS_CLERK), case, record_id, "Lisinopril")
    with pytest.raises(NotKnown):
        note(key, make_staff(), case, record_id, "Lisinopril")
    with pytest.raises(Conflict, match="someone else"):
        note(key, make_staff(Role.INVESTIGATOR), case, record_id, "Lisinopril")
    restrict_case(
        make_staff(Role.SUPERVISOR), case_id=case.pk, version=1, members=[], reason="in the news"
    )
    with pytest.raises(NotKnown):
        note(key, anna, case, record_id, "Lisinopril")
    anna.groups.clear()
    Case.objects.filter(pk=case.pk).update(restricted=False)
    with pytest.raises(NotKnown):
        note(key, type(anna).objects.get(pk=anna.pk), case, record_id, "Lisinopril")


@pytest.mark.django_db
def test_a_retry_is_answered_though_the_act_itself_moved_the_case_on():
    anna, case, key, record_id = make_staff(Role.INVESTIGATOR), make_case(), new_id(), new_id()
    first = note(key, anna, case, record_id, "Lisinopril")
    Case.objects.filter(pk=case.pk).update(state="in review")
    assert note(key, anna, case, record_id, "Lisinopril").pk == first.pk
    with pytest.raises(NotAllowed):
        note(new_id(), anna, case, new_id(), "Lisinopril")


@pytest.mark.django_db
def test_a_key_that_was_used_for_another_act_is_a_conflict():
    anna, case, key = make_staff(Role.INVESTIGATOR), make_case(), new_id()
    note(key, anna, case, new_id(), "Lisinopril")
    reading = {"what": "rectal", "value_c": "31.5", "read_at": MOMENT}
    with pytest.raises(Conflict, match="something else"):
        under(
            key, record_reading, anna, case_id=case.pk, record_id=new_id(), entry=reading
        )  # fmt: skip


@pytest.mark.django_db
def test_what_was_sent_cannot_be_read_from_what_is_kept():
    anna, case = make_staff(Role.INVESTIGATOR), make_case()
    note(new_id(), anna, case, new_id(), "Lisinopril")
    kept = RequestAnswer.objects.get()
    assert len(kept.digest) == 64
    assert keys.digest_of({"password": "a"}) == keys.digest_of({})


@pytest.mark.django_db
def test_after_back_other_words_are_shown_beside_the_first_and_saved_when_asked(client: Client):
    case, quill = make_case(), make_staff(Role.INVESTIGATOR)
    client.force_login(quill)
    address = reverse("cases:add-entry", kwargs={"case_id": case.pk, "kind": "people"})
    form = client.get(address).context["form"]
    sent = {
        "record_id": str(form["record_id"].value()), "version": "0",
        "request_key": str(form["request_key"].value()), "part": "witness", "name": "Ann First",
    }  # fmt: skip
    assert client.post(address, sent).status_code == 302
    assert client.post(address, sent).status_code == 302
    back = client.post(address, {**sent, "name": "Ben Second"})
    words = back.content.decode()
    assert back.status_code == 409
    assert "Ann First" in words
    assert "Ben Second" in words
    assert "as another entry" in words
    again = back.context["form"]
    assert client.post(address, {**sent, **_hidden(again), "name": "Ben Second"}).status_code == 302
    assert sorted(Person.objects.values_list("name", flat=True)) == ["Ann First", "Ben Second"]


def _hidden(form: Any) -> dict[str, str]:
    return {name: form[name].value() for name in ("record_id", "version", "request_key")}


@pytest.mark.django_db
def test_after_back_other_words_for_what_a_case_has_once_replace_it_knowingly(client: Client):
    case = make_case()
    client.force_login(make_staff(Role.INVESTIGATOR))
    address = reverse("cases:edit-scene", kwargs={"case_id": case.pk})
    sent = typed(seen_at_scene(environment="A dry loft"))
    assert client.post(address, sent).status_code == 302
    back = client.post(address, {**sent, "environment": "A wet loft"})
    assert back.status_code == 409
    assert "A dry loft" in back.content.decode()
    assert "Saving again replaces" in back.content.decode()
    sent = {**sent, **_hidden(back.context["form"]), "environment": "A wet loft"}
    assert client.post(address, sent).status_code == 302
    case.refresh_from_db()
    assert case.scene.environment == "A wet loft"


@pytest.mark.django_db
def test_the_api_answers_other_content_with_what_was_saved(client: Client):
    case = make_case()
    client.force_login(make_staff(Role.INVESTIGATOR))
    key, address = str(new_id()), f"/api/cases/{case.pk}/medication/"
    body = {"id": str(new_id()), "version": 0, "name": "Lisinopril"}

    def post(**more: str) -> Any:
        return client.post(
            address, {**body, **more}, content_type="application/json",
            headers={"Idempotency-Key": key},
        )  # fmt: skip

    first, again, other = post(), post(), post(name="Metoprolol")
    assert first.json() == again.json()
    assert (other.status_code, other.json()["code"]) == (409, "conflict")
    assert other.json()["standing"]["name"] == "Lisinopril"


# --- What counts as the same -------------------------------------------------------------------


class Color(StrEnum):
    RED = "red"


@dataclass(frozen=True)
class Place:
    x: int
    y: int


def incoming(sha256: str, path: str = "incoming/a") -> Incoming:
    return Incoming(path=path, sha256=sha256, size_bytes=3, name="a.jpg")


NOON = datetime(2026, 11, 14, 12, 0, tzinfo=UTC)
SAME = [
    (Decimal("1.0"), Decimal("1.00")),
    (NOON, NOON.astimezone(timezone(timedelta(hours=-5)))),
    (Color.RED, "red"),
    ((1, 2), [1, 2]),
    ({"b": 1, "a": 2}, {"a": 2, "b": 1}),
    ({3, 1, 2}, {1, 2, 3}),
    (incoming("ab", "incoming/a"), incoming("ab", "incoming/b")),
    (Place(1, 2), Place(1, 2)),
]
OTHER = [
    (1, "1"), (True, 1), (None, ""), (Decimal("1.0"), Decimal("1.01")), (NOON, None),
    (NOON, NOON + timedelta(seconds=1)), ([1, 2], [2, 1]), ({"a": None}, {}), ("a", "a "),
    (incoming("ab"), incoming("ac")), (Place(1, 2), Place(2, 1)), ({1, 2}, {1, 2, 3}),
]  # fmt: skip


@pytest.mark.parametrize(("one", "other"), SAME)
def test_the_same_said_otherwise_is_the_same(one, other):
    assert keys.digest_of({"entry": one}) == keys.digest_of({"entry": other})


@pytest.mark.parametrize(("one", "other"), OTHER)
def test_what_differs_is_not_the_same(one, other):
    assert keys.digest_of({"entry": one}) != keys.digest_of({"entry": other})


def test_what_cannot_be_compared_is_not_taken_as_the_same():
    with pytest.raises(TypeError, match="generator"):
        keys.digest_of({"members": (n for n in range(3))})


@given(st.dictionaries(st.text(max_size=4), st.text(max_size=4), max_size=4), st.data())
def test_any_other_word_gives_another_digest(entry, data):
    changed = {**entry, data.draw(st.text(max_size=4)): data.draw(st.text(max_size=4))}
    same = keys.digest_of({"entry": entry}) == keys.digest_of({"entry": changed})
    assert same == (entry == changed)

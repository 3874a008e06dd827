"""Short keys and words of the office: kept, changed, withdrawn, by whom."""

from __future__ import annotations

import json

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.drafting import actions, queries
from cases.drafting.models import OfficeWord, ShortKey
from me_office.accounts.roles import Role
from me_office.audit.errors import (
    Conflict,
    Invalid,
    NotAllowed,
    NotKnown,
    Refused,
    StaleRecord,
)
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import as_person, make_staff

pytestmark = pytest.mark.django_db

TEXT = "Incision shows no hemorrhage beneath it."


def keep(by, *, version=0, record_id=None, key="nohem", text=TEXT, **more):
    return actions.keep_short_key(
        by, record_id=record_id or new_id(), version=version,
        entry={"key": key, "text": text, **more},
    )  # fmt: skip


def test_a_key_of_one_s_own_goes_before_the_office_s_and_is_nobody_else_s():
    vasko, sedge = make_staff(Role.PATHOLOGIST), make_staff(Role.INVESTIGATOR)
    keep(vasko, text="The office’s.", shared=True)
    mine = keep(sedge, text="Mine.", key="/NoHem")
    assert mine.key == "nohem" and mine.owner_id == sedge.pk
    assert queries.texts_for(sedge) == {"nohem": "Mine."}
    assert queries.texts_for(vasko) == {"nohem": "The office’s."}
    with pytest.raises(NotKnown):
        keep(vasko, record_id=mine.pk, version=1)
    answer = as_person(sedge).get(reverse("drafting:keys"))
    assert answer.json() == {"texts": {"nohem": "Mine."}}
    assert answer["Cache-Control"] == "no-store"


def test_a_key_under_which_somebody_else_keeps_their_own_tells_nothing_of_it():
    vasko, amadi = make_staff(Role.PATHOLOGIST), make_staff(Role.PATHOLOGIST)
    kept = keep(vasko)
    with pytest.raises(Conflict) as refused:
        keep(amadi, record_id=kept.pk, text="Tell me.")
    assert refused.value.record is None
    with pytest.raises(Conflict) as own:
        keep(vasko, record_id=kept.pk, text="Tell me.")
    assert own.value.record == kept


def test_only_pathologists_and_supervisors_keep_those_of_the_office():
    shared = keep(make_staff(Role.SUPERVISOR), shared=True)
    for role in (Role.INVESTIGATOR, Role.RECORDS_CLERK, Role.EVIDENCE_TECHNICIAN):
        person = make_staff(role)
        with pytest.raises(NotAllowed):
            keep(person, key="other", shared=True)
        with pytest.raises(NotAllowed):
            keep(person, record_id=shared.pk, version=1)
        with pytest.raises(NotAllowed):
            actions.void_short_key(person, record_id=shared.pk, version=1, reason="No")
        with pytest.raises(NotAllowed):
            actions.add_office_word(person, record_id=new_id(), entry={"word": "parchmented"})
        assert keep(person).owner_id == person.pk
    with pytest.raises(NotAllowed):
        keep(make_staff(Role.ADMINISTRATOR))


def test_a_change_keeps_what_was_and_a_stale_one_is_refused():
    vasko = make_staff(Role.PATHOLOGIST)
    made = keep(vasko)
    assert keep(vasko, record_id=made.pk).version == 1  # the same request again
    with pytest.raises(Conflict):
        keep(vasko, record_id=made.pk, text="Other")
    with pytest.raises(Invalid):
        keep(vasko)  # the same key twice
    keep(vasko, record_id=made.pk, version=1, text="No hemorrhage.")
    with pytest.raises(StaleRecord):
        keep(vasko, record_id=made.pk, version=1, text="Third.")
    event = AuditEvent.objects.filter(table="drafting_shortkey").last()
    assert event.act == "keep_short_key" and event.changes["text"] == [TEXT, "No hemorrhage."]
    page = as_person(vasko).get(reverse("drafting:short-key", args=[made.pk])).content.decode()
    assert f"<del>{TEXT}</del>" in page
    actions.void_short_key(vasko, record_id=made.pk, version=2, reason="Not used.")
    with pytest.raises(Refused):
        keep(vasko, record_id=made.pk, version=3)
    assert queries.texts_for(vasko) == {} and keep(vasko).version == 1


def test_bad_input_is_said_beside_its_field_and_the_rest_stays():
    vasko = make_staff(Role.PATHOLOGIST)
    answer = as_person(vasko).post(
        reverse("drafting:short-keys"), {"key": "no hem", "text": "The text that stays."}
    )
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "without blanks" in page and "The text that stays." in page
    assert not ShortKey.objects.exists()


def test_words_are_added_once_and_withdrawn():
    vasko = make_staff(Role.PATHOLOGIST)
    client = as_person(vasko)
    answer = client.post(reverse("drafting:words"), {"word": "Wischnewsky's"})
    assert answer.status_code == 302
    word = OfficeWord.objects.get()
    assert word.word == "Wischnewsky’s"
    again = client.post(reverse("drafting:words"), {"word": "wischnewsky’S"})
    assert again.status_code == 422 and "already" in again.content.decode()
    asked = client.get(reverse("drafting:words"), {"word": "bogginess"}).content.decode()
    assert 'value="bogginess"' in asked
    gone = client.post(
        reverse("drafting:void-word", args=[word.pk]), {"version": 1, "reason": "Misspelled."}
    )
    assert gone.status_code == 302 and queries.office_words() == []


def test_the_interface_does_the_same():
    client, key = as_person(make_staff(Role.PATHOLOGIST)), str(new_id())
    body = {"id": key, "version": 0, "key": "nohem", "text": TEXT, "shared": True}

    def post(address, said):
        return client.post(address, json.dumps(said), content_type="application/json")

    assert post("/api/drafting/short-keys/", body).status_code == 201
    later = post("/api/drafting/short-keys/", {**body, "version": 1, "text": "Other."})
    assert later.status_code == 200, later.content
    (read,) = client.get("/api/drafting/short-keys/").json()
    assert (read["text"], read["shared"], read["version"]) == ("Other.", True, 2)
    gone = post(f"/api/drafting/short-keys/{key}/void/", {"version": 2, "reason": "Done."})
    assert gone.status_code == 200 and client.get("/api/drafting/short-keys/").json() == []
    word = {"id": str(new_id()), "word": "bogginess"}
    assert post("/api/drafting/words/", word).status_code == 201
    assert [one["word"] for one in client.get("/api/drafting/words/").json()] == ["bogginess"]


def test_both_lists_take_as_many_statements_for_three_as_for_sixty():
    vasko = make_staff(Role.PATHOLOGIST)
    client, counts = as_person(vasko), []
    for n, more in enumerate((3, 57)):
        by = {"created_by": vasko, "changed_by": vasko}
        ShortKey.objects.bulk_create(
            ShortKey(key=f"k{n}-{i}", text="x", owner=vasko if i % 2 else None, **by)
            for i in range(more)
        )
        OfficeWord.objects.bulk_create(
            OfficeWord(word="w" + "ab"[n] * (i + 1), **by) for i in range(more)
        )
        for page in ("drafting:short-keys", "drafting:words"):
            with CaptureQueriesContext(connection) as asked:
                client.get(reverse(page))
            counts.append((page, len(asked)))
    assert counts[:2] == counts[2:]

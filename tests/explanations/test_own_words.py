"""The office says an explanation in its own words: who may, once, never past what was read."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.explanations import queries
from cases.explanations.actions import change_explanation, withdraw_explanation
from cases.explanations.shipped import shipped
from me_office.accounts.roles import Role
from me_office.audit.errors import Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import as_person, make_staff

pytestmark = pytest.mark.django_db
OURS = {
    "question": "Why is there a ruler?",
    "words": "It shows how large things are.",
    "source": "the office's own rule",
}
WHY = "Shorter for a jury"


@pytest.fixture
def vasko():
    return make_staff(Role.PATHOLOGIST, name="I. Vasko")


def say(who, key="scale", *, record_id=None, version=0, reason=WHY, **more):
    return change_explanation(
        who,
        key=key,
        record_id=record_id or new_id(),
        version=version,
        entry={**OURS, **more},
        reason=reason,
    )


def test_own_words_are_given_in_place_of_the_standard_text_and_can_go_again(vasko):
    key = new_id()
    made = say(vasko, record_id=key)
    assert say(vasko, record_id=key).pk == made.pk, "the same once more is the same"
    shown = {one.key: one for one in queries.explanations()}
    assert (shown["scale"].words, shown["scale"].version) == (OURS["words"], 1)
    assert (shown["views"].words, shown["views"].version) == (shipped()["views"].words, 0)
    assert list(shown) == list(shipped())
    again = say(vasko, record_id=key, version=1, words="Size.")
    assert (again.version, queries.explanation_of("scale").words) == (2, "Size.")
    withdraw_explanation(vasko, key="scale", version=2, reason="The standard text is better")
    assert queries.explanation_of("scale").words == shipped()["scale"].words
    assert say(vasko).version == 1, "and may be given anew"
    first = AuditEvent.objects.filter(table="explanations_explanation").first()
    assert (first.actor_name, first.act, first.reason) == ("I. Vasko", "change_explanation", WHY)
    told = {(one.what, one.reason) for one in queries.earlier_words("scale")}
    assert told == {
        ("changed an explanation", WHY),
        ("withdrew an explanation", "The standard text is better"),
    }
    assert queries.earlier_words("views") == []


def test_nobody_writes_over_what_they_did_not_read(vasko):
    made = say(vasko)
    for version in (0, 2):
        with pytest.raises(StaleRecord):
            say(vasko, version=version)
    with pytest.raises(StaleRecord):
        withdraw_explanation(vasko, key="scale", version=2, reason=WHY)
    assert say(vasko, record_id=made.pk, version=1, words="New").version == 2


@pytest.mark.parametrize(
    "role", [Role.INVESTIGATOR, Role.RECORDS_CLERK, Role.EVIDENCE_TECHNICIAN, Role.ADMINISTRATOR]
)
def test_others_may_read_and_not_change(role, vasko):
    other = make_staff(role)
    say(vasko)
    with pytest.raises(NotAllowed):
        say(other, "views")
    with pytest.raises(NotAllowed):
        withdraw_explanation(other, key="scale", version=1, reason=WHY)
    page = as_person(other)
    assert "Change<" not in page.get(reverse("explanations:all")).content.decode()
    assert page.get(reverse("explanations:one", args=["scale"])).status_code == 403
    assert page.get(reverse("explanations:withdraw", args=["scale"])).status_code == 403


def test_what_is_lacking_is_refused(vasko):
    with pytest.raises(Refused):
        say(vasko, reason=" ")
    for name in OURS:
        with pytest.raises(Invalid):
            say(vasko, **{name: " "})
    with pytest.raises(NotKnown):
        say(vasko, "something-else")
    with pytest.raises(NotKnown):
        withdraw_explanation(vasko, key="scale", version=1, reason=WHY)


def test_the_page_changes_and_goes_back_to_the_standard_text():
    page = as_person(make_staff(Role.SUPERVISOR))
    everything, one = reverse("explanations:all"), reverse("explanations:one", args=["scale"])
    assert shipped()["scale"].question in page.get(everything).content.decode()
    assert shipped()["scale"].words[:40] in page.get(one).content.decode()
    assert page.post(one, OURS).status_code == 422
    assert page.post(one, {**OURS, "version": 0, "reason": WHY}).url == f"{everything}#scale"
    assert "own words, version 1" in page.get(everything).content.decode()
    stale = page.post(one, {**OURS, "words": "Other", "version": 0, "reason": WHY})
    assert (stale.status_code, OURS["words"] in stale.content.decode()) == (409, True)
    assert WHY in page.get(one).content.decode(), "the history of the words stands below"
    gone = reverse("explanations:withdraw", args=["scale"])
    assert page.post(gone, {"version": 1, "reason": ""}).status_code == 422
    assert page.post(gone, {"version": 1, "reason": WHY}).status_code == 302
    assert page.get(gone).status_code == 404
    assert page.get(reverse("explanations:one", args=["other"])).status_code == 404


def test_the_api_lists_changes_and_withdraws(vasko):
    client = as_person(vasko)
    address = "/api/explanations/scale/"
    sent = {"id": str(new_id()), "version": 0, "reason": WHY, **OURS}
    made = client.post(address, sent, content_type="application/json")
    assert (made.status_code, made.json()["words"]) == (200, OURS["words"])
    stale = {**sent, "id": str(new_id()), "words": "Other"}
    assert client.post(address, stale, content_type="application/json").status_code == 409
    listed = client.get("/api/explanations/").json()
    assert listed[0] == {"key": "scale", "version": 1, **OURS}
    body = {"version": 1, "reason": WHY}
    gone = client.post(f"{address}void/", body, content_type="application/json")
    assert gone.status_code == 200
    assert client.get("/api/explanations/").json()[0]["version"] == 0


def test_a_page_of_them_costs_the_same_with_and_without_own_words(vasko):
    page, counts = as_person(vasko), []
    for keys in (["scale"], [key for key in shipped() if key != "scale"]):
        for key in keys:
            say(vasko, key)
        with CaptureQueriesContext(connection) as asked:
            page.get(reverse("explanations:all"))
        counts.append(len(asked))
    assert counts[0] == counts[1]

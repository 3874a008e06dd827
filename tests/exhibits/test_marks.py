"""Marks made in court: kept by whoever may, once, shown on the exhibit's page, in no packet."""

from __future__ import annotations

import json
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.exhibits import actions, queries
from cases.exhibits.models import CourtMark
from cases.models import Case
from cases.packets.material import events_of
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.exhibits.builders import make_exhibit, make_photograph, make_redaction, make_set

pytestmark = pytest.mark.django_db
STROKES = [{"tool": "circle", "points": [[0.25, 0.25], [0.5, 0.75]]}]


@pytest.fixture
def exhibit(vasko):
    trial = make_set(vasko, make_case(by=vasko))
    return make_exhibit(vasko, trial, make_photograph(vasko, trial.case), number="14")


def keep(by, exhibit, *, record_id=None, photograph=None, redaction_id=None, **entry):
    values = {"strokes": STROKES, "marked_at": timezone.now(), "marked_by": "witness", **entry}
    return actions.keep_court_mark(
        by,
        case_id=exhibit.case_id,
        exhibit_id=exhibit.pk,
        record_id=record_id or new_id(),
        photograph_id=(photograph or exhibit.photograph).pk,
        redaction_id=redaction_id,
        entry=values,
    )


def url(name, exhibit, **keys):
    into = {"case_id": exhibit.case_id, "set_id": exhibit.exhibit_set_id, "exhibit_id": exhibit.pk}
    return reverse(f"exhibits:{name}", kwargs={**into, **keys})


def test_a_mark_is_kept_and_leaves_its_event_but_nothing_that_goes_out(vasko, exhibit):
    at = timezone.now() - timedelta(hours=1)
    mark = keep(vasko, exhibit, marked_at=at)
    assert (mark.strokes, mark.marked_at, mark.exhibit) == (STROKES, at, exhibit)
    clock = timezone.localtime(at).strftime("%H:%M").removeprefix("0")
    assert str(mark) == f"Mark made in court by the witness, {clock}"
    event = AuditEvent.objects.get(table="exhibits_courtmark")
    assert (event.act, event.actor_name) == ("keep_court_mark", "Dr. I. Vasko")
    tables = {told["table"] for told in events_of(exhibit.case_id)}
    assert "exhibits_exhibit" in tables
    assert "exhibits_courtmark" not in tables


def test_who_testifies_keeps_marks_and_a_technician_does_not(exhibit):
    roles = (Role.INVESTIGATOR, Role.PATHOLOGIST, Role.SUPERVISOR, Role.RECORDS_CLERK)
    drawn = timezone.now()
    kept = [
        keep(make_staff(role), exhibit, marked_at=drawn - timedelta(minutes=ago))
        for ago, role in zip((2, 0, 3, 1), roles, strict=True)
    ]
    by_time = [kept[place] for place in (2, 0, 3, 1)]
    assert queries.marks_on(exhibit) == by_time, "by when they were drawn, not kept"
    other = make_staff(Role.EVIDENCE_TECHNICIAN)
    with pytest.raises(NotAllowed):
        keep(other, exhibit)
    with pytest.raises(NotAllowed):
        actions.void_court_mark(
            other, case_id=exhibit.case_id, mark_id=kept[0].pk, version=1, reason="not mine"
        )
    assert CourtMark.objects.active().count() == 4


def test_a_mark_sent_twice_is_one_and_other_content_is_a_conflict(vasko, exhibit):
    key, at = new_id(), timezone.now()
    first = keep(vasko, exhibit, record_id=key, marked_at=at)
    assert keep(vasko, exhibit, record_id=key, marked_at=at) == first
    with pytest.raises(Conflict):
        keep(vasko, exhibit, record_id=key, marked_at=at, marked_by="counsel")
    assert CourtMark.objects.get().version == 1


def test_only_what_was_shown_can_be_marked(vasko, exhibit):
    other = make_photograph(vasko, exhibit.case, seed=2)
    redacted = make_redaction(vasko, exhibit.photograph)
    for wrong in (
        {"photograph": other},
        {"redaction_id": make_redaction(vasko, other).pk},
        {"strokes": []},
        {"marked_at": timezone.now() + timedelta(hours=1)},
    ):
        with pytest.raises(Refused):
            keep(vasko, exhibit, **wrong)
    for wrong in ({"marked_by": "juror"}, {"marked_at": None}):
        with pytest.raises(Invalid):
            keep(vasko, exhibit, **wrong)
    assert not CourtMark.objects.exists()
    assert keep(vasko, exhibit, redaction_id=redacted.pk).redaction == redacted
    # The court saw it, whatever became of the exhibit since; another case's is not known.
    actions.remove_exhibit(
        vasko, case_id=exhibit.case_id, exhibit_id=exhibit.pk, version=1, reason="excluded"
    )
    keep(vasko, exhibit)
    exhibit.case_id = make_case(by=vasko).pk
    with pytest.raises(NotKnown):
        keep(vasko, exhibit)


def test_a_device_that_was_away_marks_what_the_exhibit_showed_when_its_page_was_loaded(
    vasko, exhibit
):
    case, first = exhibit.case, exhibit.photograph
    second, third, never = (make_photograph(vasko, case, seed=seed) for seed in (2, 3, 4))
    alone = {"case_id": case.pk, "exhibit_id": exhibit.pk}
    key = new_id()
    drawn = keep(vasko, exhibit, record_id=key, marked_at=timezone.now())
    for version, photographs in enumerate(([first, second], [third]), start=1):
        keys = [photograph.pk for photograph in photographs]
        actions.compose_exhibit(vasko, **alone, version=version, photographs=keys)
    assert keep(vasko, exhibit, record_id=key, marked_at=drawn.marked_at) == drawn
    for shown in (first, second, third):
        assert keep(vasko, exhibit, photograph=shown).photograph == shown
    with pytest.raises(Refused, match="does not show"):
        keep(vasko, exhibit, photograph=never)


def test_a_signed_case_takes_marks_and_one_that_is_only_reported_none(vasko, exhibit):
    signed = Case.objects.filter(pk=exhibit.case_id)
    signed.update(state="signed", signed_at=timezone.now())
    keep(vasko, exhibit)
    exhibit.case_id = make_case(by=vasko, state="reported").pk
    with pytest.raises(NotAllowed):
        keep(vasko, exhibit)


def test_a_mark_is_withdrawn_with_the_reason(vasko, exhibit):
    mark = keep(vasko, exhibit)
    given = {"case_id": exhibit.case_id, "mark_id": mark.pk, "reason": "a slip of the hand"}
    with pytest.raises(StaleRecord):
        actions.void_court_mark(vasko, **given, version=2)
    assert actions.void_court_mark(vasko, **given, version=1).void_reason == "a slip of the hand"
    assert queries.marks_on(exhibit) == []


def test_the_screen_sends_a_mark_once_and_the_page_shows_it(client, vasko, exhibit):
    client.force_login(vasko)
    key = str(new_id())
    sent = {
        "record_id": key,
        "request_key": key,
        "photograph": str(exhibit.photograph_id),
        "redaction": "",
        "strokes": json.dumps(STROKES),
        "marked_at": "2026-11-28T19:32:07.250Z",
        "marked_by": "counsel",
    }
    for _ in range(2):
        answer = client.post(url("keep-mark", exhibit), sent)
        assert (answer.status_code, f"saved-{key}" in answer.cookies) == (201, True)
    mark = CourtMark.objects.get()
    for wrong in ({"strokes": "[]"}, {"strokes": "no"}, {"marked_at": "noon"}, {"photograph": "1"}):
        other = {"record_id": str(new_id()), "request_key": str(new_id())}
        answer = client.post(url("keep-mark", exhibit), {**sent, **other, **wrong})
        assert (answer.status_code, list(answer.cookies)) == (422, []), wrong
    page = client.get(url("exhibit", exhibit)).content.decode()
    assert "Marked in court by counsel, 14:32" in page
    assert 'cx="60.0" cy="60.0" rx="20.0" ry="30.0"' in page
    away = url("withdraw-mark", exhibit, mark_id=mark.pk)
    assert away in page
    other = make_set(vasko, make_case(by=vasko))
    elsewhere = url("withdraw-mark", exhibit, mark_id=mark.pk, set_id=other.pk)
    assert client.get(elsewhere).status_code == 404
    client.post(away, {"version": 1, "reason": "not the witness's hand"})
    assert "Marked in court by" not in client.get(url("exhibit", exhibit)).content.decode()
    assert client.get(away).status_code == 404
    client.force_login(make_staff(Role.EVIDENCE_TECHNICIAN))
    assert client.post(url("keep-mark", exhibit), sent).status_code == 422
    assert CourtMark.objects.count() == 1


def test_a_mark_is_shown_over_the_picture_of_a_composite_on_which_it_was_drawn(
    client, vasko, exhibit
):
    second = make_photograph(vasko, exhibit.case, seed=2)
    keys = [exhibit.photograph_id, second.pk]
    actions.compose_exhibit(
        vasko, case_id=exhibit.case_id, exhibit_id=exhibit.pk, version=1, photographs=keys
    )
    keep(vasko, exhibit, photograph=second)
    client.force_login(vasko)
    page = client.get(url("exhibit", exhibit)).content.decode()
    over = page[page.index("Marked in court by") :]
    assert f'/photographs/{second.pk}/screen/" alt="Exhibit 14, with what was drawn' in over
    assert "no longer shows" not in over
    alone = {"case_id": exhibit.case_id, "exhibit_id": exhibit.pk, "photographs": keys[:1]}
    actions.compose_exhibit(vasko, **alone, version=2)
    page = client.get(url("exhibit", exhibit)).content.decode()
    over = page[page.index("Marked in court by") :]
    assert "The exhibit no longer shows this photograph." in over
    assert "/screen/" not in over


def test_a_mark_is_shown_over_what_the_court_saw_or_over_nothing(client, vasko, exhibit):
    client.force_login(vasko)
    photograph = exhibit.photograph
    over = '/screen/" alt="Exhibit 14, with what was drawn'

    def page():
        shown = client.get(url("exhibit", exhibit)).content.decode()
        return shown[shown.index("Marked in court by") :]

    whole = keep(vasko, exhibit)
    assert over in page()
    first = make_redaction(vasko, photograph)
    assert over not in page() and "now shows a redacted copy of this photograph" in page()
    actions.void_court_mark(
        vasko, case_id=exhibit.case_id, mark_id=whole.pk, version=1, reason="a slip"
    )
    keep(vasko, exhibit, redaction_id=first.pk)
    assert over in page() and "as a redacted copy" in page() and "Download" not in page()
    copy = reverse("exhibits:redaction", args=[exhibit.case_id, first.pk])
    second = make_redaction(vasko, photograph, version=1)
    assert over not in page() and "now shows another redacted copy" in page() and copy in page()
    actions.void_redaction(
        vasko, case_id=exhibit.case_id, redaction_id=second.pk, version=1, reason="court's order"
    )
    assert over not in page() and "now shows the photograph in full" in page() and copy in page()


def test_the_page_of_an_exhibit_asks_as_much_for_sixty_marks_as_for_three(client, vasko, exhibit):
    client.force_login(vasko)
    counts = []
    for more in (3, 57):
        for _ in range(more):
            keep(vasko, exhibit)
        with CaptureQueriesContext(connection) as asked:
            client.get(url("exhibit", exhibit))
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_the_whole_way_of_a_mark_by_the_api(client, vasko, exhibit):
    client.force_login(vasko)
    case = {"case_id": exhibit.case_id}
    marks = reverse("exhibits_api:marks", kwargs={**case, "exhibit_id": exhibit.pk})
    body = {
        "id": str(new_id()),
        "photograph": str(exhibit.photograph_id),
        "strokes": STROKES,
        "marked_at": timezone.now().isoformat(),
        "marked_by": "witness",
    }

    def post(address, sent):
        return client.post(address, sent, content_type="application/json")

    made = post(marks, body)
    assert (made.status_code, made.json()["strokes"]) == (201, STROKES)
    assert post(marks, body).json() == made.json()
    assert [row["id"] for row in client.get(marks).json()] == [body["id"]]
    wrong = {**body, "id": str(new_id()), "strokes": []}
    assert post(marks, wrong).status_code == 422
    away = reverse("exhibits_api:withdraw-mark", kwargs={**case, "mark_id": body["id"]})
    assert post(away, {"version": 1, "reason": "a slip"}).json()["void_reason"] == "a slip"
    assert client.get(marks).json() == []

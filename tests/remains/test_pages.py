"""Pages and API of the body's release: who sees what, what bad input gets, bounded reads."""

from __future__ import annotations

import io
from datetime import datetime

import pikepdf
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.models import Case
from cases.remains import actions, queries
from cases.remains.models import BodyHold, BodyRelease
from cases.remains.printing import release_values
from cases.remains.steps import _body_words
from cases.worklists import sections_for
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff, set_back
from tests.cases.entries import ago
from tests.remains.builders import (
    body_in,
    bring_back,
    coming_back,
    hold,
    hold_entry,
    leaving,
    release,
    technician,
)

pytestmark = pytest.mark.django_db


def url(name, case, **keys):
    return reverse(f"remains:{name}", kwargs={"case_id": case.pk, **keys})


def api(name, case, **keys):
    return reverse(f"remains_api:{name}", kwargs={"case_id": case.pk, **keys})


def form_of(entry, version=0, **more):
    moments = {
        name: timezone.localtime(value).strftime("%Y-%m-%dT%H:%M")
        if isinstance(value, datetime)
        else value
        for name, value in entry.items()
    }
    keys = {"record_id": str(new_id()), "version": str(version), "request_key": str(new_id())}
    return {**keys, **moments, **more}


def test_a_body_is_held_lifted_released_and_brought_back_on_its_pages(client):
    case, boss = body_in(), make_staff(Role.SUPERVISOR)
    client.force_login(boss)
    assert "Release the body" in client.get(url("remains", case)).content.decode()
    sent = client.post(url("add-hold", case), form_of(hold_entry()))
    assert sent.status_code == 302
    page = client.get(url("remains", case)).content.decode()
    assert "On hold" in page and ">Release the body<" not in page
    refused = client.post(url("add-release", case), form_of(leaving()))
    assert refused.status_code == 422
    assert "A hold is open: law enforcement" in refused.content.decode()
    held = BodyHold.objects.get(case=case)
    assert f"{url('remains', case)}#hold-{held.pk}" in refused.content.decode()
    assert f'id="hold-{held.pk}"' in page
    lift = url("lift-hold", case, record_id=held.pk)
    assert client.post(lift, form_of({}, version=1, reason="")).status_code == 422
    assert client.post(lift, form_of({}, version=1, reason="agreed")).status_code == 302
    assert client.post(url("add-release", case), form_of(leaving())).status_code == 302
    made = BodyRelease.objects.get(case=case)
    page = client.get(url("remains", case)).content.decode()
    assert "Lowe &amp; Daughter" in page and "Record a return of the body" in page
    overview = client.get(reverse("cases:case", args=[case.pk])).content.decode()
    assert "<dt>Body</dt>" in overview and "Body kept at" not in overview
    wrong = client.post(
        url("edit-release", case, record_id=made.pk),
        form_of(leaving(tag_number="T-9"), version=1, reason="misread"),
    )
    assert wrong.status_code == 422 and "received with tag T-118" in wrong.content.decode()
    assert client.post(url("add-return", case), form_of(coming_back())).status_code == 302
    page = client.get(url("remains", case)).content.decode()
    assert "In the office, stay 2" in page and "Released, stay 1" in page
    overview = client.get(reverse("cases:case", args=[case.pk])).content.decode()
    story = overview[overview.index("What happened") : overview.index("Latest changes")]
    assert story.index("Body received<") < story.index("Body released<")
    assert story.index("Body released<") < story.index("Body received again<")
    assert "to Lowe &amp; Daughter" in story and "exhumation; order of the county" in story
    body = client.get(reverse("cases:body", args=[case.pk])).content.decode()
    assert "Who changed it" not in body
    assert body.count("<h2>Who changed the receipt") == 1
    assert body.count("<h2>Who changed the decedent") == 1
    assert "Who changed the release of stay 1" in page and "Who changed it" not in page
    assert f">{coming_back()['kept_at']}</a>" in overview
    assert client.get(url("edit-release", case, record_id=new_id())).status_code == 404


@pytest.mark.parametrize(
    ("role", "moves", "holds"),
    [
        (Role.INVESTIGATOR, True, True),
        (Role.PATHOLOGIST, False, True),
        (Role.RECORDS_CLERK, False, False),
        (Role.EVIDENCE_TECHNICIAN, True, False),
    ],
)
def test_pages_offer_what_the_role_may_do(client, role, moves, holds):
    case = body_in()
    client.force_login(make_staff(role))
    page = client.get(url("remains", case)).content.decode()
    assert (">Release the body<" in page) is moves
    assert (">Place a hold<" in page) is holds
    assert client.get(url("add-release", case)).status_code == (200 if moves else 403)
    assert client.get(url("add-hold", case)).status_code == (200 if holds else 403)


def test_the_release_form_says_that_identity_is_not_confirmed(client):
    case = body_in(identity="tentative")
    client.force_login(technician())
    assert "Identity is tentative." in client.get(url("add-release", case)).content.decode()
    answer = client.post(url("add-release", case), form_of(leaving()))
    assert answer.status_code == 422
    assert "on what ground the body is released" in answer.content.decode()
    remark = leaving(identity_remark="County disposition by order 26-17.")
    assert client.post(url("add-release", case), form_of(remark)).status_code == 302


def test_the_api_calls_the_same_actions(client):
    case, boss = body_in(), make_staff(Role.SUPERVISOR)
    client.force_login(boss)
    kind = {"content_type": "application/json"}

    def sent(name, entry, **keys):
        body = {"id": str(new_id()), "version": 0, **entry}
        return client.post(api(name, case, **keys), body, **kind)

    held = sent("body-holds", hold_entry())
    assert held.status_code == 201
    refused = sent("body-releases", leaving())
    assert (refused.status_code, refused.json()["code"]) == (422, "refused")
    lifted = client.post(
        api("lift-hold", case, record_id=held.json()["id"]),
        {"version": 1, "reason": "agreed"},
        **kind,
    )
    assert lifted.json()["lifted_why"] == "agreed"
    wrong = sent("body-releases", leaving(tag_number="T-9"))
    assert "tag_number" in wrong.json()["errors"]
    made = sent("body-releases", leaving())
    assert (made.status_code, made.json()["stay"]) == (201, 1)
    assert made.json()["released_by"] == str(boss.pk)
    back = sent("body-returns", coming_back())
    assert back.json()["stay"] == 2
    assert [row["stay"] for row in client.get(api("body-releases", case)).json()] == [1]
    gone = client.post(
        api("void-body-returns", case, record_id=back.json()["id"]),
        {"version": 1, "reason": "another case"},
        **kind,
    )
    assert gone.json()["voided_at"]


def body_step(client, case) -> str:
    page = client.get(url("remains", case))
    return next(step.words for step in page.context["frame"].steps if step.key == "body")


def test_the_course_says_where_the_body_is(client):
    client.force_login(make_staff(Role.SUPERVISOR))
    assert body_step(client, make_case()) == "not received"
    case = body_in(hours=1)
    words = body_step(client, case)
    assert words.startswith("here since today") or words == "here 1 day"
    placed = hold(case)
    assert body_step(client, case).endswith(", on hold")
    actions.void_hold(
        make_staff(Role.SUPERVISOR), record_id=placed.pk, version=1, reason="of another case"
    )
    release(case, released_at=ago(minutes=50))
    assert body_step(client, case).startswith("released ")
    bring_back(case, returned_at=ago(minutes=40))
    assert body_step(client, case).startswith("here ")


def _rows(actor, key):
    section = next(one for one in sections_for(actor) if one.key == key)
    return section.rows(actor, timezone.now())


def test_the_first_page_lists_the_bodies_that_are_here_and_those_on_hold():
    boss = make_staff(Role.SUPERVISOR)
    long, short, gone = body_in(hours=24 * 15), body_in(hours=30), body_in()
    release(gone)
    here = _rows(boss, "bodies-here")
    assert [row.number for row in here] == [long.number, short.number]
    assert [row.urgency for row in here] == ["attention", ""]
    assert here[0].when == "15 days"
    assert [", on hold" in row.detail for row in here] == [False, False]
    secret = body_in()
    hold(secret)
    Case.objects.filter(pk=secret.pk).update(restricted=True)
    assert len(_rows(boss, "bodies-here")) == 2
    hold(short)
    assert [row.number for row in _rows(boss, "bodies-held")] == [short.number]
    assert [", on hold" in row.detail for row in _rows(boss, "bodies-here")] == [False, True]


@pytest.mark.parametrize("many", [3, 60])
def test_reads_take_the_same_number_of_statements_for_few_and_many(client, many):
    boss, case = make_staff(Role.SUPERVISOR), body_in()
    made = {"case": case, "created_by": boss, "changed_by": boss}
    BodyHold.objects.bulk_create(BodyHold(**hold_entry(), **made) for _ in range(many))
    now = timezone.now()
    rows = Case.objects.filter(pk=case.pk)
    set_back(rows, body_in_since=now)
    client.force_login(boss)
    client.get(url("remains", case))
    with CaptureQueriesContext(connection) as looked:
        assert client.get(url("remains", case)).status_code == 200
    assert len(looked) <= 16, [one["sql"][:90] for one in looked]
    with CaptureQueriesContext(connection) as listed:
        queries.bodies_here(boss)
        queries.held_bodies(boss)
    assert len(listed) <= 4


def test_a_case_of_before_has_words_too():
    case = body_in()
    facts = {"cases_received_at": ago(hours=2), "remains_released_at": None, "remains_holds": 0}
    case.body_in_since = None
    assert _body_words(case, facts).startswith("received ")


def test_the_release_is_printed_for_three_signatures(client):
    case = body_in()
    made = release(case, wrap="Bag #let x = 1, *seal* S-5102")
    client.force_login(make_staff(Role.RECORDS_CLERK))
    answer = client.get(url("release-form", case, record_id=made.pk))
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    with pikepdf.open(io.BytesIO(answer.content)) as pdf, pdf.open_metadata() as claims:
        # ISO 19005-3 and ISO 14289-1, as the file claims to be.
        assert (claims["pdfaid:part"], claims["pdfuaid:part"]) == ("3", "1")
    values = release_values(Case.objects.get(pk=case.pk), made, at=timezone.now())
    facts = {one["label"]: one["text"] for one in values["facts"]}
    assert facts["Tag, as read"] == "T-118; read again by P. Lowe, Lowe & Daughter"
    assert facts["Bag, wrap and seals"] == "Bag #let x = 1, *seal* S-5102"
    assert [words.split(" by ")[0] for words in values["signatures"]] == [
        "Released", "Tag read a second time", "Received",
    ]  # fmt: skip
    assert client.get(url("release-form", make_case(), record_id=made.pk)).status_code == 404

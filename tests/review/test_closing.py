"""An accepted case in which nothing was examined is closed without a report, and reopened.

What has to be settled before is the office's own rule (common practice).
"""

from __future__ import annotations

import itertools

import pytest
from django.urls import reverse

from cases import actions
from cases.certification.actions import state_cause_and_manner
from cases.models import BodyReceipt, Case, NotDone, Scene
from cases.review import closing
from cases.review.models import CaseClosing
from cases.review.rules import ClosingFacts, missing_before_closing
from findings.actions import open_examination
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff, set_back
from tests.cases.entries import ago, received, seen_at_scene
from tests.remains.builders import body_in, hold, release


@pytest.mark.parametrize(
    ("opened", "scene", "body", "here"), [*itertools.product([False, True], repeat=4)]
)
def test_each_thing_that_is_not_settled_keeps_the_case_open(opened, scene, body, here):
    lacking = " ".join(missing_before_closing(ClosingFacts(opened, scene, body, here)))
    assert ("examination" in lacking) is opened
    assert ("The scene" in lacking) is not scene
    assert ("neither received" in lacking) is not body
    assert ("in the office" in lacking) is here


def said(**more):
    return {
        "kind": "records",
        "certified_by": "Dr. E. Sorrel, attending",
        "why": "Hip fracture, long stay in hospital; chart read.",
    } | more


def settled() -> Case:
    """An open case without scene visit, whose body never came here."""
    case, lead = make_case(), make_staff(Role.SUPERVISOR)
    for kind in ("scene", "body"):
        actions.state_not_done(
            lead, case_id=case.pk, record_id=new_id(), kind=kind, reason="Died in the hospital."
        )
    return case


def close(case, by=None, *, version=1, key=None, **more):
    return closing.close_case(
        by or make_staff(Role.SUPERVISOR),
        case_id=case.pk,
        record_id=key or new_id(),
        version=version,
        entry=said(**more),
    )


def state_of(case) -> str:
    return Case.objects.get(pk=case.pk).state


@pytest.mark.django_db
def test_a_case_without_examination_is_closed_and_opened_again():
    case, boss, key = settled(), make_staff(Role.SUPERVISOR, name="M. Thorne"), new_id()
    made = close(case, boss, key=key)
    assert state_of(case) == "closed"
    event = AuditEvent.objects.get(table="review_caseclosing")
    assert (event.actor_name, event.act) == ("M. Thorne", "close_case")
    assert close(case, boss, key=key) == made
    with pytest.raises(Conflict):
        close(case, boss, key=key, why="Another reason.")
    with pytest.raises(StaleRecord):
        closing.reopen_case(boss, case_id=case.pk, version=2, reason="A bullet on the films.")
    with pytest.raises(Refused, match="Say why"):
        closing.reopen_case(boss, case_id=case.pk, version=1, reason=" ")
    again = closing.reopen_case(boss, case_id=case.pk, version=1, reason="A bullet on the films.")
    assert (state_of(case), again.reopened_why) == ("open", "A bullet on the films.")
    with pytest.raises(Refused, match="not closed"):
        closing.reopen_case(boss, case_id=case.pk, version=2, reason="again")
    close(case, boss, version=3)
    assert CaseClosing.objects.filter(case=case).count() == 2


@pytest.mark.django_db
def test_who_may_close_and_what_it_has_to_say():
    case = settled()
    for role in (Role.INVESTIGATOR, Role.PATHOLOGIST, Role.RECORDS_CLERK):
        with pytest.raises(NotAllowed):
            close(case, make_staff(role))
    with pytest.raises(StaleRecord):
        close(case, version=4)
    for more, field in (({"why": " "}, "why"), ({"certified_by": ""}, "certified_by")):
        with pytest.raises(Refused) as caught:
            close(case, **more)
        assert caught.value.field == field
    assert state_of(case) == "open"
    with pytest.raises(NotAllowed):
        close(make_case(state="declined"))


@pytest.mark.django_db
def test_an_examined_body_is_reported_and_a_body_that_is_here_is_released_first():
    case = settled()
    vasko = make_staff(Role.PATHOLOGIST)
    entry = {
        "kind": "external", "chart_body": "adult_male", "began_at": ago(hours=2),
        "place": "Room 1", "kind_reason": "No ground for more.",
    }  # fmt: skip
    open_examination(vasko, case_id=case.pk, record_id=new_id(), entry=entry)
    with pytest.raises(Refused, match="report has to be written"):
        close(case)
    held = body_in()
    actions.state_not_done(
        make_staff(Role.SUPERVISOR), case_id=held.pk, record_id=new_id(), kind="scene", reason="No."
    )
    with pytest.raises(Refused, match="in the office"):
        close(held)
    release(held)
    close(held, kind="released")
    assert hold(held).is_open, "the body's way goes on after closing"


@pytest.mark.django_db(transaction=True)
def test_of_two_who_close_at_once_one_does(at_once):
    case = settled()
    outcomes = at_once(
        closing.close_case,
        by=[make_staff(Role.SUPERVISOR), make_staff(Role.SUPERVISOR)],
        each=[{"record_id": new_id()}, {"record_id": new_id()}],
        case_id=case.pk,
        version=1,
        entry=said(),
        meet_after="cases.review.closing.closing_facts",
    )
    assert [one.code for one in outcomes].count("done") == 1
    assert CaseClosing.objects.count() == 1


@pytest.mark.django_db
def test_the_page_says_what_is_lacking_closes_and_opens_again(client):
    boss = make_staff(Role.SUPERVISOR)
    client.force_login(boss)
    fresh, case = make_case(), settled()

    def url(one):
        return reverse("review:close", kwargs={"case_id": one.pk})

    assert "neither received" in client.get(url(fresh)).content.decode()
    overview = reverse("cases:case", kwargs={"case_id": case.pk})
    assert "Close without a report" in client.get(overview).content.decode()

    def sent(**more):
        return {"record_id": str(new_id()), "version": "1", "request_key": str(new_id()), **more}

    wrong = client.post(url(case), sent(**said(certified_by="")))
    assert wrong.status_code == 422 and "Say who certifies" in wrong.content.decode()
    assert client.post(url(case), sent(**said())).status_code == 302
    page = client.get(overview)
    assert "Closed without a report." in page.content.decode()
    steps = {step.key: step.words for step in page.context["frame"].steps}
    assert (steps["report"], steps["review"]) == ("closed without", "none")
    assert "Reopen the case" in client.get(url(case)).content.decode()
    assert client.post(url(case), sent(reason="A bullet.")).status_code == 302
    assert state_of(case) == "open"
    assert "reopened" in client.get(url(case)).content.decode()
    client.force_login(make_staff(Role.INVESTIGATOR))
    assert client.get(url(case)).status_code == 403


@pytest.mark.django_db
def test_the_api_closes_lists_and_opens_again(client):
    case, kind = settled(), {"content_type": "application/json"}
    client.force_login(make_staff(Role.SUPERVISOR))
    many = reverse("review_api:closings", kwargs={"case_id": case.pk})
    made = client.post(many, {"id": str(new_id()), "version": 1, **said()}, **kind)
    assert (made.status_code, made.json()["case_state"]) == (201, "closed")
    reopen = reverse("review_api:reopen", kwargs={"case_id": case.pk})
    opened = client.post(reopen, {"version": 1, "reason": "A bullet."}, **kind)
    assert (opened.status_code, opened.json()["case_state"]) == (200, "open")
    assert [row["reopened_why"] for row in client.get(many).json()] == ["A bullet."]


def take_back(case, kind) -> None:
    stated = NotDone.objects.get(case=case, kind=kind)
    actions.void_not_done(
        make_staff(Role.SUPERVISOR), record_id=stated.pk, version=1, reason="of another case"
    )


@pytest.mark.django_db
def test_a_statement_or_record_that_was_withdrawn_settles_nothing():
    for kind, lacking in (("scene", "The scene is neither"), ("body", "The body is neither")):
        case = settled()
        take_back(case, kind)
        with pytest.raises(Refused) as caught:
            close(case)
        assert lacking in str(caught.value) and "." not in str(caught.value)[:-1], "that one alone"
    quill = make_staff(Role.INVESTIGATOR)
    case = settled()
    take_back(case, "scene")
    actions.record_scene(quill, case_id=case.pk, version=0, entry=seen_at_scene())
    set_back(Scene.objects.filter(case=case), voided_at=ago(hours=1))
    with pytest.raises(Refused, match="The scene is neither"):
        close(case)
    set_back(Scene.objects.filter(case=case), voided_at=None)
    take_back(case, "body")
    actions.receive_body(quill, case_id=case.pk, version=0, entry=received())
    set_back(BodyReceipt.objects.filter(case=case), voided_at=ago(hours=1))
    set_back(Case.objects.filter(pk=case.pk), body_in_since=None)
    with pytest.raises(Refused, match="The body is neither"):
        close(case, version=Case.objects.get(pk=case.pk).version)


@pytest.mark.django_db
def test_who_certifies_is_not_asked_where_the_office_has_stated_the_cause():
    case = settled()
    state_cause_and_manner(
        make_staff(Role.PATHOLOGIST), case_id=case.pk, record_id=new_id(), version=0,
        entry={"cause_a": "Pneumonia", "manner": "natural"},
    )  # fmt: skip
    assert close(case, certified_by="").certified_by == ""


@pytest.mark.django_db
def test_only_who_may_close_opens_again_and_a_late_retry_closes_nothing():
    case, boss, key = settled(), make_staff(Role.SUPERVISOR), new_id()
    made = close(case, boss, key=key)
    again = {"case_id": case.pk, "version": 1, "reason": "A bullet on the films."}
    for role in (Role.INVESTIGATOR, Role.PATHOLOGIST, Role.RECORDS_CLERK):
        with pytest.raises(NotAllowed):
            closing.reopen_case(make_staff(role), **again)
    closing.reopen_case(boss, **again)
    assert close(case, boss, key=key).pk == made.pk
    assert state_of(case) == "open"
    second = close(case, boss, version=3)
    assert [one.pk for one in closing.closings_of(case)] == [second.pk, made.pk]


@pytest.mark.django_db
@pytest.mark.parametrize("certifier", ["Dr. E. Sorrel, attending", ""])
def test_the_notice_on_a_closed_case_says_its_ground_and_who_certifies(client, certifier):
    case, reader = settled(), make_staff(Role.RECORDS_CLERK)
    first = close(case, certified_by="Somebody else", kind="other")
    closing.reopen_case(
        make_staff(Role.SUPERVISOR, name="M. Ardley"),
        case_id=case.pk,
        version=1,
        reason="Closed too early.",
    )
    assert first.kind == "other"
    if not certifier:
        state_cause_and_manner(
            make_staff(Role.PATHOLOGIST), case_id=case.pk, record_id=new_id(), version=0,
            entry={"cause_a": "Hip fracture", "manner": "accident"},
        )  # fmt: skip
    close(case, version=Case.objects.get(pk=case.pk).version, certified_by=certifier)
    client.force_login(reader, backend="me_office.accounts.backends.StaffBackend")
    for name in ("cases:case", "cases:body", "cases:scene", "cases:report"):
        page = client.get(reverse(name, args=[case.pk])).content.decode()
        notice = page[page.index("Closed without a report.</strong>") :][:600]
        assert "records were read; another physician certifies" in notice
        assert "Hip fracture, long stay" in notice
        assert (f"Certified by {certifier}." if certifier else "This office stated cause") in notice
        assert "Somebody else" not in notice
    overview = client.get(reverse("cases:case", args=[case.pk])).content.decode()
    story = overview[overview.index("What happened") : overview.index("Latest changes")]
    assert story.count("Closed without a report") == 2
    assert story.count("Case reopened") == story.count("<q>Closed too early.</q>") == 1
    assert "M. Ardley" in story[story.index("Case reopened") :].partition("Closed without")[0]

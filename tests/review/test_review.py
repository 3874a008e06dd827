"""Report, peer review, sign-off, addenda: who may, what is frozen, what is locked."""

from __future__ import annotations

import hashlib
import json
from typing import Any

import pytest
from django.urls import reverse

from cases.certification.actions import state_cause_and_manner
from cases.models import Case
from cases.review import actions
from cases.review.content import report_content
from cases.review.models import ReportDraft, ReviewComment
from cases.review.queries import passages_of
from cases.review.reported import from_outside
from cases.review.rules import Readiness, digest_of, missing_before_review
from findings.models import Examination, Finding
from findings.postmortem.models import Lividity, Rigor
from findings.postmortem.queries import postmortem_words
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.errors import NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import MOMENT, PASSWORD, as_person, make_case, make_staff, with_password


def examined(case: Case, by: Staff, **fields: Any) -> Examination:
    values = {
        "kind": "full autopsy",
        "chart_body": "adult_male",
        "began_at": MOMENT,
        "ended_at": MOMENT,
        "circumstances_reviewed": True,
        "external": "Well nourished.\nHair gray.",
        **fields,
    }
    return Examination.objects.create(
        case=case, pathologist=by, created_by=by, changed_by=by, **values
    )


def injured(case: Case, examination: Examination, by: Staff, number: int, **fields: Any) -> Finding:
    return Finding.objects.create(
        case=case,
        examination=examination,
        number=number,
        created_by=by,
        changed_by=by,
        **{"klass": "injury", "term": "Contusion", "place": "right lateral chest wall", **fields},
    )


def make_people() -> tuple[Staff, Staff]:
    """The pathologist who writes and the supervisor who signs off."""
    vasko = make_staff(Role.PATHOLOGIST, name="I. Vasko", credentials="MD")
    return vasko, make_staff(Role.PATHOLOGIST, Role.SUPERVISOR, name="M. Thorne")


def make_ready(people: tuple[Staff, Staff] | None = None) -> tuple[Case, Staff, Staff]:
    """A case whose report may be sent: (case, pathologist, supervisor)."""
    vasko, thorne = people or make_people()
    case = make_case()
    injured(case, examined(case, vasko), vasko, 1, length_mm=110, width_mm=65)
    state_cause_and_manner(
        vasko,
        case_id=case.pk,
        record_id=new_id(),
        version=0,
        entry={"cause_a": "Blunt force injuries of the chest", "manner": "accident"},
    )
    actions.write_report(
        vasko,
        case_id=case.pk,
        record_id=new_id(),
        version=0,
        entry={"opinion": "He died of the injuries of the chest.", "history": "", "summary": ""},
    )
    return case, vasko, thorne


def sent(case: Case, by: Staff) -> ReportDraft:
    known = [gap.key for gap in from_outside(case.pk).not_available]
    return actions.submit_report(
        by, case_id=case.pk, record_id=new_id(), version=1, note="First", acknowledged=known
    )


def send_back(by: Staff, draft: ReportDraft, words: str = "Once more, please.") -> None:
    actions.return_report(
        by, case_id=draft.case_id, record_id=new_id(), draft_id=draft.pk, words=words
    )


def comment_on(by: Staff, draft: ReportDraft, passage: str, comment: str) -> ReviewComment:
    return actions.comment_on_passage(
        by,
        case_id=draft.case_id,
        record_id=new_id(),
        draft_id=draft.pk,
        passage=passage,
        comment=comment,
    )


def signed(case: Case, author: Staff, reviewer: Staff) -> ReportDraft:
    draft = sent(case, author)
    actions.sign_off(
        reviewer, case_id=case.pk, record_id=new_id(), draft_id=draft.pk, sha256=draft.sha256
    )
    return draft


def test_what_is_lacking_before_review_is_said_in_sentences():
    nothing = Readiness(False, False, False, False, False, 2)
    lacking = missing_before_review(nothing)
    assert "The examination has not been opened." in lacking
    assert "2 comments are not answered." in lacking
    assert missing_before_review(Readiness(True, True, True, True, True, 0)) == []


def test_the_digest_is_sha256_of_sorted_json():
    # Against the standard library alone: FIPS 180-4 by hashlib over JSON with sorted keys.
    content = {"b": [1, "é"], "a": {"z": None}}
    by_hand = '{"a":{"z":null},"b":[1,"é"]}'
    assert json.loads(by_hand) == content
    assert digest_of(content) == hashlib.sha256(by_hand.encode()).hexdigest()


def test_the_report_reads_from_the_case_file(ready):
    case, _, _ = ready
    content = report_content(case.pk)
    texts = {passage["key"]: passage["text"] for passage in passages_of(content)}
    assert texts["cause"] == "Blunt force injuries of the chest"
    assert texts["manner"] == "accident"
    assert "11.0 × 6.5 cm contusion" in texts["finding-1"]
    assert texts["external-2"] == "Hair gray."
    assert content["chart"]["legend"][0]["size"] == "11.0 × 6.5 cm"


def test_the_report_is_read_in_a_fixed_number_of_statements(ready, django_assert_num_queries):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    case, vasko, _ = ready
    with CaptureQueriesContext(
        connection,
    ) as few:
        report_content(case.pk)
    examination = Examination.objects.get(case=case)
    for number in range(2, 60):
        injured(case, examination, vasko, number)
    with django_assert_num_queries(len(few)):
        report_content(case.pk)


def test_lividity_and_rigor_by_region_stand_in_the_report(ready):
    case, vasko, _ = ready
    examination = Examination.objects.get(case=case)
    common = {"case": case, "examination": examination, "created_by": vasko, "changed_by": vasko}
    Lividity.objects.create(region="buttocks", state="spared by pressure", **common)
    Lividity.objects.create(
        region="back of the trunk", state="present", blanching="fixed", colour="violet", **common
    )
    Rigor.objects.create(joint="jaw", stage="full", **common)
    texts = {p["key"]: p["text"] for p in passages_of(report_content(case.pk))}
    assert "back of the trunk" in texts["postmortem-1"]
    assert "violet" in texts["postmortem-1"]
    assert "jaw" in texts["postmortem-1"]
    assert texts["postmortem-1"].startswith(postmortem_words(case))


def test_sending_freezes_the_report_and_locks_the_file(sent_once):
    case, vasko, _, draft = sent_once
    case.refresh_from_db()
    assert (case.state, draft.number) == ("in review", 1)
    assert draft.sha256 == digest_of(draft.content)
    with pytest.raises(NotAllowed):
        actions.write_report(
            vasko, case_id=case.pk, record_id=new_id(), version=2, entry={"opinion": "Other"}
        )
    event = AuditEvent.objects.filter(table="review_reportdraft").get()
    assert (event.actor_name, event.act) == ("I. Vasko", "submit_report")


def test_sending_twice_makes_one_draft(ready):
    case, vasko, _ = ready
    key = new_id()
    first = actions.submit_report(vasko, case_id=case.pk, record_id=key, version=1)
    again = actions.submit_report(vasko, case_id=case.pk, record_id=key, version=1)
    assert first.pk == again.pk
    assert ReportDraft.objects.filter(case=case).count() == 1


def test_an_incomplete_report_is_not_sent(ready):
    case, vasko, _ = ready
    Examination.objects.filter(case=case).update(ended_at=None)
    with pytest.raises(Refused, match="no end"):
        sent(case, vasko)


def test_a_stale_report_is_refused(ready):
    case, vasko, _ = ready
    entry = {"opinion": "Second thought.", "history": "", "summary": ""}
    actions.write_report(vasko, case_id=case.pk, record_id=new_id(), version=1, entry=entry)
    with pytest.raises(StaleRecord):
        actions.write_report(vasko, case_id=case.pk, record_id=new_id(), version=1, entry=entry)


def test_comment_send_back_answer_send_again_and_sign(sent_once):
    case, vasko, thorne, draft = sent_once
    comment = comment_on(thorne, draft, "finding-1", "Which rib?")
    assert "contusion" in comment.quoted
    send_back(thorne, draft, "See the comment.")
    case.refresh_from_db()
    assert case.state == "open"
    with pytest.raises(Refused, match="1 comment is not answered"):
        actions.submit_report(vasko, case_id=case.pk, record_id=new_id(), version=3)
    actions.answer_comment(
        vasko, case_id=case.pk, comment_id=comment.pk, version=1, answer="The sixth."
    )
    second = actions.submit_report(vasko, case_id=case.pk, record_id=new_id(), version=3)
    decision = actions.sign_off(
        thorne, case_id=case.pk, record_id=new_id(), draft_id=second.pk, sha256=second.sha256
    )
    case.refresh_from_db()
    assert (case.state, decision.outcome, second.number) == ("signed", "signed", 2)
    assert case.signed_at is not None


def test_nobody_signs_off_an_own_report(ready):
    case, vasko, thorne = ready
    vasko.groups.add(*thorne.groups.all())
    vasko = Staff.objects.get(pk=vasko.pk)
    draft = sent(case, vasko)
    with pytest.raises(NotAllowed, match="You wrote this report"):
        actions.sign_off(
            vasko, case_id=case.pk, record_id=new_id(), draft_id=draft.pk, sha256=draft.sha256
        )


def test_what_was_not_read_is_not_signed(sent_once):
    case, _, thorne, draft = sent_once
    with pytest.raises(Refused, match="not the draft that you read"):
        actions.sign_off(
            thorne, case_id=case.pk, record_id=new_id(), draft_id=draft.pk, sha256="0" * 64
        )


def test_a_file_changed_behind_the_draft_is_not_signed(sent_once):
    case, _, thorne, draft = sent_once
    Finding.objects.filter(case=case).update(term="Abrasion")
    with pytest.raises(Refused, match="changed after this draft"):
        actions.sign_off(
            thorne, case_id=case.pk, record_id=new_id(), draft_id=draft.pk, sha256=draft.sha256
        )


def test_after_sign_off_only_an_addendum_changes_what_the_case_says(ready):
    case, vasko, thorne = ready
    signed(case, vasko, thorne)
    with pytest.raises(NotAllowed, match="signed and locked"):
        state_cause_and_manner(
            vasko, case_id=case.pk, record_id=new_id(), version=1, entry={"manner": "homicide"}
        )
    made = actions.add_addendum(
        vasko,
        case_id=case.pk,
        record_id=new_id(),
        entry={
            "kind": "amendment",
            "amends": "Manner of death: accident",
            "text": "The manner is undetermined.",
            "why": "New witness",
        },
        reason="New witness",
    )
    event = AuditEvent.objects.filter(table="review_addendum").get()
    assert (made.number, event.reason) == (1, "New witness")


@pytest.mark.parametrize("role", [Role.INVESTIGATOR, Role.EVIDENCE_TECHNICIAN, Role.RECORDS_CLERK])
def test_only_pathologist_and_supervisor_review(sent_once, role):
    *_, draft = sent_once
    with pytest.raises(NotAllowed):
        send_back(make_staff(role), draft)


# Pages


def test_signing_asks_for_the_password_beside_its_field(ready):
    case, vasko, thorne = ready
    with_password(thorne)
    draft = sent(case, vasko)
    page = as_person(thorne)
    entry = {
        "record_id": str(new_id()),
        "draft_id": str(draft.pk),
        "sha256": draft.sha256,
        "own_password": "open sesame",
    }
    refused = page.post(reverse("review:sign", kwargs={"case_id": case.pk}), entry)
    assert refused.status_code == 422
    assert "This is not your password." in refused.content.decode()
    assert "open sesame" not in refused.content.decode()
    done = page.post(
        reverse("review:sign", kwargs={"case_id": case.pk}), {**entry, "own_password": PASSWORD}
    )
    assert done.status_code == 302
    case.refresh_from_db()
    assert case.state == "signed"


def test_a_stale_report_shows_both_texts(ready):
    case, vasko, _ = ready
    entry = {"opinion": "What stands now.", "history": "", "summary": ""}
    actions.write_report(vasko, case_id=case.pk, record_id=new_id(), version=1, entry=entry)
    answer = as_person(vasko).post(
        reverse("review:report", kwargs={"case_id": case.pk}),
        {"version": "1", "record_id": str(new_id()), "opinion": "What I typed."},
    )
    page = answer.content.decode()
    assert answer.status_code == 409
    assert page.count("What I typed.") >= 2
    assert "What stands now." in page


def test_the_review_page_asks_a_fixed_number_of_statements(sent_once):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    case, _, thorne, draft = sent_once
    page = as_person(thorne)
    address = reverse("review:review", kwargs={"case_id": case.pk})
    counts = []
    for comments in (3, 60):
        for _ in range(comments):
            comment_on(thorne, draft, "cause", "Look.")
        with CaptureQueriesContext(connection) as statements:
            assert page.get(address).status_code == 200
        counts.append(len(statements))
    assert counts[0] == counts[1] <= 24
    assert ReviewComment.objects.count() == 63


def test_everybody_in_the_office_can_read(sent_once):
    case, _, _, _ = sent_once
    for role in (Role.INVESTIGATOR, Role.PATHOLOGIST, Role.SUPERVISOR, Role.RECORDS_CLERK):
        person = as_person(make_staff(role))
        for name in ("review:report", "review:review", "review:addenda"):
            answer = person.get(reverse(name, kwargs={"case_id": case.pk}))
            assert answer.status_code == 200, (role, name)


# API


def test_the_line_through_the_api(ready):
    case, vasko, thorne = ready
    for person in (vasko, thorne):
        with_password(person)
    address = f"/api/cases/{case.pk}"
    author, reviewer = as_person(vasko), as_person(thorne)
    draft = author.post(
        f"{address}/drafts/",
        {"id": str(new_id()), "version": 1, "password": PASSWORD},
        content_type="application/json",
    )
    assert draft.status_code == 201, draft.content
    refused = as_person(make_staff(Role.RECORDS_CLERK)).post(
        f"{address}/comments/",
        {"id": str(new_id()), "draft_id": draft.json()["id"], "passage": "cause", "comment": "?"},
        content_type="application/json",
    )
    assert (refused.status_code, refused.json()["code"]) == (403, "not_allowed")
    decided = reviewer.post(
        f"{address}/decisions/",
        {
            "id": str(new_id()),
            "draft_id": draft.json()["id"],
            "outcome": "signed",
            "sha256": draft.json()["sha256"],
            "password": PASSWORD,
        },
        content_type="application/json",
    )
    assert decided.status_code == 201, decided.content
    stale = author.put(
        f"{address}/report/",
        {"id": str(new_id()), "version": 1, "opinion": "Too late"},
        content_type="application/json",
    )
    assert (stale.status_code, "locked" in stale.json()["message"]) == (403, True)

"""A review made outside the office: who records it, what it came with, and what the rules ask."""

from __future__ import annotations

import hashlib
import json
from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from cases.course import moments_in
from cases.packets.material import events_of, material_of
from cases.packets.printing import report_values
from cases.review import outside
from cases.review.models import OutsideReview, ReportDraft, ReviewDecision
from cases.review.needs_rules import QUESTIONS
from evidence.store.models import StoredFile
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, OfficeError, Refused
from me_office.audit.ids import new_id
from tests.builders import PASSWORD, as_person, make_staff, with_password
from tests.review.peer import ACCIDENTS, answers, rule, send

pytestmark = pytest.mark.django_db
LETTER = b"%PDF-1.7 The signed form of the reviewer"
ASKED = {"kind": "own", "cause": "Injuries of the chest", "manner": "accident",
         "cause_agrees": True}  # fmt: skip


def named(**changed: Any) -> dict[str, Any]:
    return {
        "outside_name": "Dr. E. Lorne, MD",
        "outside_license": "K-4471",
        "outside_office": "Aldmoor District Medical Examiner",
        "outside_on": timezone.localdate(),
        "outside_document": "Signed review form, filed under correspondence",
        "words": "Agreed.",
        **changed,
    }


def finish_outside(actor, case, draft, letter: bytes = LETTER, **changed: Any) -> ReviewDecision:
    key = changed.pop("record_id", None) or new_id()
    return outside.record(
        actor, case_id=case.pk, record_id=key, draft_id=draft.pk, sha256=draft.sha256,
        upload=SimpleUploadedFile("form.pdf", letter), entry=named(**changed),
    )  # fmt: skip


def test_one_pathologist_finishes_with_an_outside_review(sent_once):
    case, vasko, thorne, draft = sent_once
    key = new_id()
    made = finish_outside(thorne, case, draft, record_id=key)
    case.refresh_from_db()
    assert (case.state, made.outcome) == ("signed", "outside")
    for part in ("Dr. E. Lorne, MD", "license K-4471", "Aldmoor", "Recorded by M. Thorne"):
        assert part in made.sentence
    assert finish_outside(thorne, case, draft, record_id=key).pk == made.pk
    with pytest.raises(Conflict):
        finish_outside(thorne, case, draft, record_id=key, outside_license="K-4472")
    printed = report_values(material_of(case.pk), with_photographs=False)["sign_off"]
    assert printed["author"] == "I. Vasko, MD"
    assert printed["review_heading"] == "Reviewed outside the office by"
    assert printed["review"] == made.sentence
    (told,) = (
        one
        for one in moments_in(case)
        if one.title == "Report reviewed outside the office and signed"
    )
    assert told.detail == (
        "draft 1, case file locked; reviewed by Dr. E. Lorne, MD, Aldmoor District Medical Examiner"
    )
    assert told.reason == ""
    page = as_person(vasko).get(reverse("review:report", kwargs={"case_id": case.pk}))
    assert "Signed text" in page.content.decode()
    assert "Current text" not in page.content.decode()


@pytest.mark.parametrize("name", outside.NAMES)
def test_an_outside_review_is_named_whole(sent_once, name):
    case, _, thorne, draft = sent_once
    with pytest.raises(Refused) as refused:
        finish_outside(thorne, case, draft, **{name: None})
    assert refused.value.field == name
    with pytest.raises(Refused, match="is in the future"):
        finish_outside(thorne, case, draft, outside_on=timezone.localdate() + timedelta(days=1))


def test_an_outside_review_is_of_a_draft_that_was_there(sent_once):
    case, _, thorne, draft = sent_once
    day = timezone.localdate()
    with pytest.raises(Refused, match="sent after this date") as refused:
        finish_outside(thorne, case, draft, outside_on=day - timedelta(days=1))
    assert refused.value.field == "outside_on"
    ReportDraft.objects.filter(pk=draft.pk).update(submitted_at=timezone.now() - timedelta(days=2))
    with pytest.raises(Refused, match="sent after this date"):
        finish_outside(thorne, case, draft, outside_on=day - timedelta(days=3))
    made = finish_outside(thorne, case, draft, outside_on=day - timedelta(days=2))
    assert made.outside_on == day - timedelta(days=2)


@pytest.mark.parametrize("name", ["I. Vasko, MD", "i vasko", "I. VASKO, MD, MPH", "I.\u00a0Vasko"])
def test_who_wrote_the_report_is_no_reviewer_from_outside(sent_once, name):
    # Peer review is by a pathologist who did not take part (common practice).
    case, _, thorne, draft = sent_once
    for person in (thorne, make_staff(Role.RECORDS_CLERK)):
        with pytest.raises(Refused, match="Vasko wrote this report") as refused:
            finish_outside(person, case, draft, outside_name=name)
        assert refused.value.field == "outside_name"
    make_staff(Role.PATHOLOGIST, name="E. Lorne")  # has the name, and had no part
    assert finish_outside(thorne, case, draft, outside_name="E. Lorne, MD").outcome == "outside"


@pytest.mark.parametrize("name", ["outside_license", "outside_office", "outside_document"])
def test_what_cannot_be_seen_names_nothing(sent_once, name):
    case, _, thorne, draft = sent_once
    with pytest.raises(Refused) as refused:
        finish_outside(thorne, case, draft, **{name: " \u200e\u2066 "})
    assert refused.value.field == name


def test_who_wrote_of_the_report_records_no_review_of_it(sent_once):
    case, vasko, _, draft = sent_once
    for person, said in (
        (vasko, "You wrote of this report"),
        (make_staff(Role.INVESTIGATOR), "record a review made outside"),
    ):
        with pytest.raises(NotAllowed, match=said):
            finish_outside(person, case, draft)
    assert not StoredFile.objects.exists()
    clerk = make_staff(Role.RECORDS_CLERK, name="F. Ostler")
    with pytest.raises(Refused, match="your own name"):
        finish_outside(clerk, case, draft, outside_name="F. Ostler, MD")
    assert "Recorded by F. Ostler" in finish_outside(clerk, case, draft).sentence


def test_the_reviewers_document_is_kept_and_told_by_its_digest(sent_once):
    case, _, thorne, draft = sent_once
    for letter in (b"", b"<svg onload=x>", b"PK"):
        with pytest.raises(Refused, match="neither a PDF nor a picture") as refused:
            finish_outside(thorne, case, draft, letter)
        assert refused.value.field == "upload"
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(outside, "MOST_BYTES", 9)
        with pytest.raises(Refused, match="larger"):
            finish_outside(thorne, case, draft)
    key = new_id()
    made = finish_outside(thorne, case, draft, record_id=key)
    digest = hashlib.sha256(LETTER).hexdigest()
    assert (made.outside_sha256, f"(SHA-256 {digest})" in made.sentence) == (digest, True)
    with pytest.raises(Conflict):
        finish_outside(thorne, case, draft, LETTER + b".", record_id=key)
    sent = as_person(thorne).get(reverse("review:outside-document", args=[case.pk]))
    assert b"".join(sent.streaming_content) == LETTER
    assert sent["Content-Disposition"].startswith("attachment")


def test_what_the_rules_ask_of_an_opinion_they_ask_of_another_office(ready):
    case, vasko, thorne = ready
    rule(thorne, **ACCIDENTS)
    draft = send(case, vasko)
    clerk = make_staff(Role.RECORDS_CLERK)
    for stated, field in (
        ({}, "kind"),
        ({**ASKED, "kind": "other"}, "kind"),
        ({**ASKED, "manner": "homicide"}, "settled_words"),
    ):
        with pytest.raises(Invalid) as refused:
            finish_outside(clerk, case, draft, **stated)
        assert list(refused.value.errors) == [field]
    assert not ReviewDecision.objects.exists()


def test_what_the_rules_ask_of_a_sheet_they_ask_of_another_office(ready):
    case, vasko, thorne = ready
    rule(thorne, sheet_manners=["accident"])
    draft = send(case, vasko)
    clerk = make_staff(Role.RECORDS_CLERK)
    for said, why in (
        ([], "9 questions"),
        (answers()[:8], "1 question of"),
        ([*answers()[:8], {"question": QUESTIONS[8].text, "answer": ""}], "1 question of"),
        ([{"question": "Another?", "answer": "yes"}], "not on the sheet"),
        (answers("no"), "Say in words"),
    ):
        with pytest.raises(OfficeError, match=why):
            finish_outside(clerk, case, draft, answers=said)
    finish_outside(clerk, case, draft, answers=answers())
    page = as_person(vasko).get(reverse("review:review", args=[case.pk])).content.decode()
    assert "As stated by Dr. E. Lorne, MD" in page
    assert page.count("<dd>yes</dd>") == 9


def test_what_another_office_stated_stays_inside_and_is_told_as_theirs(ready):
    case, vasko, thorne = ready
    rule(thorne, **ACCIDENTS)
    draft = send(case, vasko)
    clerk, key = make_staff(Role.RECORDS_CLERK, name="F. Ostler"), new_id()
    differs = {**ASKED, "cause": "Tell-tale cold", "cause_agrees": False,
               "settled_words": "Tell-tale talk"}  # fmt: skip
    made = finish_outside(clerk, case, draft, record_id=key, **differs)
    assert finish_outside(clerk, case, draft, record_id=key, **differs).pk == made.pk
    for other in ({"cause": "Heat"}, {"cause_agrees": True}, {"manner": "suicide"}):
        with pytest.raises(Conflict):
            finish_outside(clerk, case, draft, record_id=key, **{**differs, **other})
    kept = OutsideReview.objects.get()
    assert (kept.cause_agrees, kept.manner_agrees, kept.created_by) == (False, True, clerk)
    page = as_person(vasko).get(reverse("review:review", args=[case.pk])).content.decode()
    for words in ("As stated by Dr. E. Lorne, MD", "recorded by F. Ostler", "Tell-tale talk"):
        assert words in page
    told = json.dumps([*events_of(case.pk)])
    printed = str(report_values(material_of(case.pk), with_photographs=False))
    assert "Tell-tale" not in told + printed
    assert "Dr. E. Lorne" in told


def test_page_and_api_record_it_alike(ready):
    case, vasko, thorne = ready
    rule(thorne, **ACCIDENTS, sheet_manners=["accident"])
    draft = send(case, vasko)
    clerk = with_password(make_staff(Role.RECORDS_CLERK))
    page, here = as_person(clerk), reverse("review:outside", args=[case.pk])
    assert here in page.get(reverse("review:review", args=[case.pk])).content.decode()
    assert "required for an opinion formed before" in page.get(here).content.decode()
    assert "You wrote of this report" in as_person(vasko).get(here).content.decode()
    key = {"draft_id": str(draft.pk), "sha256": draft.sha256}

    def letter() -> SimpleUploadedFile:
        return SimpleUploadedFile("form.pdf", LETTER)

    form = {**named(), **key, "record_id": str(new_id()), "own_password": PASSWORD,
            **ASKED, "cause_agrees": "yes", "upload": letter()}  # fmt: skip
    lacking = page.post(here, form)
    assert lacking.status_code == 422
    assert lacking.content.decode().count("Answer this as the reviewer") >= 9
    wrong = page.post(here, {**form, "upload": letter(), "own_password": "no"})
    assert "This is not your password." in wrong.content.decode()
    body = {**named(), **key, "id": str(new_id()), "password": PASSWORD, **ASKED,
            "answers": json.dumps(answers()), "upload": letter()}  # fmt: skip
    there = reverse("review_api:outside-reviews", args=[case.pk])
    refused = page.post(there, {**body, "answers": "[[1]]"})
    assert refused.status_code == 422
    by_form = {f"answer_{n}": "yes" for n in range(1, 10)}
    form["request_key"] = str(new_id())
    for _ in range(2):  # a double click
        assert page.post(here, {**form, "upload": letter(), **by_form}).status_code == 302
    (read,) = page.get(there).json()
    assert (read["outside_name"], read["answers"]) == ("Dr. E. Lorne, MD", answers())
    again = page.post(there, {**body, "id": form["record_id"], "upload": letter()})
    assert again.status_code == 201
    other = page.post(there, {**body, "id": form["record_id"], "upload": letter(), "cause": "X"})
    assert other.status_code == 409


def test_the_pages_of_an_office_with_one_pathologist(ready):
    case, vasko, _ = ready
    with_password(vasko)
    page = as_person(vasko)
    address = {"case_id": case.pk}
    unsigned = page.post(
        reverse("review:submit", kwargs=address), {"version": 1, "record_id": str(new_id())}
    )
    assert unsigned.status_code == 422
    page.post(
        reverse("review:submit", kwargs=address),
        {"version": 1, "record_id": str(new_id()), "own_password": PASSWORD},
    )
    shown = page.get(reverse("review:review", kwargs=address)).content.decode()
    assert "Withdraw from review" in shown
    assert "Finish without peer review" not in shown
    draft = case.report.drafts.get()
    clerk = as_person(with_password(make_staff(Role.RECORDS_CLERK)))
    entry = {
        **named(), "record_id": str(new_id()), "draft_id": str(draft.pk),
        "sha256": draft.sha256, "own_password": PASSWORD,
        "upload": SimpleUploadedFile("form.pdf", LETTER),
    }  # fmt: skip
    assert clerk.post(reverse("review:outside", kwargs=address), entry).status_code == 302
    assert (
        "Reviewed outside the office by"
        in page.get(reverse("review:review", kwargs=address)).content.decode()
    )

"""Who signs: the author; then a peer, another office's reviewer, or by the office's rule nobody."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import override_settings
from django.urls import reverse
from django.utils import timezone

from cases.course import moments_in
from cases.packets.material import material_of
from cases.packets.printing import report_values
from cases.review import actions, finishing
from cases.review.content import report_content
from cases.review.models import Report, ReportDraft, ReviewDecision
from cases.review.reported import from_outside
from cases.review.signing import review_words, waiver_rule, why_not_waived
from findings.actions import record_examination
from findings.checks import kinds_are_known
from findings.models import Examination, Finding
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, Refused
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import PASSWORD, as_person, make_staff, with_password
from tests.review.test_review import send_back, sent

pytestmark = pytest.mark.django_db
RULE = "Rule 4 of the office: no peer review of external examinations"
WAIVED = override_settings(REVIEW_WAIVED_FOR=frozenset({"external"}), REVIEW_WAIVER_RULE=RULE)


def outside(**changed: Any) -> dict[str, Any]:
    return {
        "outside_name": "Dr. E. Lorne, MD",
        "outside_license": "K-4471",
        "outside_office": "Aldmoor District Medical Examiner",
        "outside_on": timezone.localdate(),
        "outside_document": "Signed review form, filed under correspondence",
        "words": "Agreed.",
        **changed,
    }


def finish_outside(actor, case, draft, **changed: Any) -> ReviewDecision:
    key = changed.pop("record_id", None) or new_id()
    return finishing.record_outside_review(
        actor, case_id=case.pk, record_id=key, draft_id=draft.pk, sha256=draft.sha256,
        entry=outside(**changed),
    )  # fmt: skip


def finish_without(actor, case, draft, words: str = "Natural death, records agree.", **more: Any):
    return finishing.finish_without_review(
        actor, case_id=case.pk, draft_id=draft.pk, sha256=draft.sha256, words=words,
        **{"record_id": new_id(), **more},
    )  # fmt: skip


def test_the_author_signs_with_name_and_statement(sent_once):
    _, vasko, _, draft = sent_once
    assert draft.signed_as == "I. Vasko, MD"
    assert "what I found" in draft.statement
    assert AuditEvent.objects.filter(table="review_reportdraft").get().actor_id == vasko.pk


def test_the_history_names_a_draft_by_its_number_alone(sent_once):
    case, vasko, _, _ = sent_once
    page = as_person(vasko).get(reverse("history:case-history", args=[case.pk])).content.decode()
    subject = page[page.index("New report draft") :][:200]
    assert "1" in subject and "I have read" not in subject


def test_a_supervisor_who_is_no_pathologist_signs_no_medical_review(sent_once):
    case, _, _, draft = sent_once
    lay = make_staff(Role.SUPERVISOR, name="A lay chief")
    with pytest.raises(NotAllowed, match="sign the peer review"):
        actions.sign_off(
            lay, case_id=case.pk, record_id=new_id(), draft_id=draft.pk, sha256=draft.sha256
        )
    page = as_person(lay).get(reverse("review:review", kwargs={"case_id": case.pk}))
    assert "Sign the review and lock" not in page.content.decode()
    assert "A pathologist who had no part in the report signs the review." in page.content.decode()


def test_a_pathologist_who_is_no_supervisor_reviews_a_colleague(sent_once):
    case, _, _, draft = sent_once
    peer = make_staff(Role.PATHOLOGIST, name="Dr. N. Amadi", credentials="MD")
    made = actions.sign_off(
        peer, case_id=case.pk, record_id=new_id(), draft_id=draft.pk, sha256=draft.sha256
    )
    assert made.sentence.startswith("Reviewed and signed by Dr. N. Amadi, MD, ")


def test_one_pathologist_finishes_with_an_outside_review(sent_once):
    case, vasko, _, draft = sent_once
    key = new_id()
    made = finish_outside(vasko, case, draft, record_id=key)
    case.refresh_from_db()
    assert (case.state, made.outcome) == ("signed", "outside")
    for part in ("Dr. E. Lorne, MD", "license K-4471", "Aldmoor", "Recorded by I. Vasko, MD"):
        assert part in made.sentence
    assert finish_outside(vasko, case, draft, record_id=key).pk == made.pk
    with pytest.raises(Conflict):
        finish_outside(vasko, case, draft, record_id=key, outside_license="K-4472")
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


@pytest.mark.parametrize("name", finishing.OUTSIDE_NAMES)
def test_an_outside_review_is_named_whole(sent_once, name):
    case, vasko, _, draft = sent_once
    with pytest.raises(Refused) as refused:
        finish_outside(vasko, case, draft, **{name: None})
    assert refused.value.field == name
    with pytest.raises(Refused, match="is in the future"):
        finish_outside(vasko, case, draft, outside_on=timezone.localdate() + timedelta(days=1))


def test_an_outside_review_is_of_a_draft_that_was_there(sent_once):
    case, vasko, _, draft = sent_once
    day = timezone.localdate()
    with pytest.raises(Refused, match="sent after this date") as refused:
        finish_outside(vasko, case, draft, outside_on=day - timedelta(days=1))
    assert refused.value.field == "outside_on"
    ReportDraft.objects.filter(pk=draft.pk).update(submitted_at=timezone.now() - timedelta(days=2))
    with pytest.raises(Refused, match="sent after this date"):
        finish_outside(vasko, case, draft, outside_on=day - timedelta(days=3))
    made = finish_outside(vasko, case, draft, outside_on=day - timedelta(days=2))
    assert made.outside_on == day - timedelta(days=2)


@pytest.mark.parametrize("name", ["I. Vasko, MD", "i vasko", "I. VASKO, MD, MPH", "I.\u00a0Vasko"])
def test_who_wrote_the_report_is_no_reviewer_from_outside(sent_once, name):
    # Peer review is by a pathologist who did not take part (common practice).
    case, vasko, _, draft = sent_once
    for person in (vasko, make_staff(Role.SUPERVISOR)):
        with pytest.raises(Refused, match="Vasko wrote this report") as refused:
            finish_outside(person, case, draft, outside_name=name)
        assert refused.value.field == "outside_name"
    make_staff(Role.PATHOLOGIST, name="E. Lorne")  # has the name, and had no part
    assert finish_outside(vasko, case, draft, outside_name="E. Lorne, MD").outcome == "outside"


@pytest.mark.parametrize("name", ["outside_license", "outside_office", "outside_document"])
def test_what_cannot_be_seen_names_nothing(sent_once, name):
    case, vasko, _, draft = sent_once
    with pytest.raises(Refused) as refused:
        finish_outside(vasko, case, draft, **{name: " \u200e\u2066 "})
    assert refused.value.field == name


def test_only_author_or_supervisor_records_an_outside_review(sent_once):
    case, _, _, draft = sent_once
    for person in (make_staff(Role.PATHOLOGIST), make_staff(Role.RECORDS_CLERK)):
        with pytest.raises(NotAllowed):
            finish_outside(person, case, draft)
    assert finish_outside(make_staff(Role.SUPERVISOR), case, draft).outcome == "outside"


def test_a_review_is_left_out_by_rule_only_and_says_so(ready):
    case, vasko, _ = ready
    Examination.objects.filter(case=case).update(kind="external")
    draft = sent(case, vasko)
    with pytest.raises(Refused, match="no rule"):
        finish_without(vasko, case, draft)
    with WAIVED:
        with pytest.raises(Refused, match="Say why"):
            finish_without(vasko, case, draft, words=" ")
        made = finish_without(vasko, case, draft)
    case.refresh_from_db()
    assert case.state == "signed"
    assert made.sentence.startswith(
        f"Not peer reviewed: {RULE}. Natural death, records agree. Finished by {vasko}, MD, "
    )
    printed = report_values(material_of(case.pk), with_photographs=False)["sign_off"]
    assert (printed["review_heading"], printed["reviewer"]) == ("Not peer reviewed", "")
    assert printed["review"] == made.sentence
    (told,) = (
        one for one in moments_in(case) if one.title == "Report finished without peer review"
    )
    assert (told.detail, told.reason) == (
        "draft 1, case file locked",
        "Natural death, records agree.",
    )


@WAIVED
def test_a_full_autopsy_is_not_finished_by_a_rule_for_externals(ready):
    case, vasko, _ = ready
    with pytest.raises(Refused, match="only for: external examination"):
        finish_without(vasko, case, sent(case, vasko))


def test_the_rule_names_its_kinds():
    both = {"external", "chart review"}
    named = "external examination; review of records, body not examined"
    assert why_not_waived("external", both, Examination.KINDS) == ""
    assert why_not_waived("limited", both, Examination.KINDS).endswith(f"only for: {named}.")
    assert "no rule" in why_not_waived("external", (), Examination.KINDS)
    assert waiver_rule("", both, Examination.KINDS).endswith(f"may be left out for: {named}")
    assert waiver_rule(RULE, both, Examination.KINDS) == RULE
    assert waiver_rule("", (), Examination.KINDS) == waiver_rule(RULE, (), Examination.KINDS) == ""
    assert review_words(outcome="returned", who="A", when="today") == "Sent back by A, today."


@pytest.mark.parametrize("name", ["REVIEW_WAIVED_FOR", "NORMAL_EXAMINATIONS"])
def test_a_kind_of_examination_that_is_none_is_named_before_the_office_opens(name):
    every = {kind for kind, _ in Examination.KINDS}
    with override_settings(**{name: frozenset({*every, "External", "externl"})}):
        found = [one.msg for one in kinds_are_known(None)]
    assert found == [
        f"OFFICE_{name} names “{kind}”, which is no kind of examination."
        for kind in ("External", "externl")
    ]
    assert kinds_are_known(None) == []


def test_what_changed_behind_a_draft_is_finished_by_nobody(sent_once):
    case, vasko, _, draft = sent_once
    Finding.objects.filter(case=case).update(term="Abrasion")
    with pytest.raises(Refused, match="changed after this draft"):
        finish_outside(vasko, case, draft)


def test_a_case_is_closed_on_a_review_of_records_alone(ready):
    case, vasko, _ = ready
    Finding.objects.filter(case=case).update(voided_at=timezone.now())
    with override_settings(NORMAL_EXAMINATIONS=frozenset({"full autopsy", "chart review"})):
        record_examination(vasko, case_id=case.pk, version=1, entry={"kind": "chart review"})
    with pytest.raises(Refused, match="Say why: the normal course here is full autopsy"):
        record_examination(vasko, case_id=case.pk, version=2, entry={"kind": "skeletal remains"})
    content = report_content(case.pk)
    assert content["chart"]["body"] == ""
    assert "Records reviewed" in [fact["label"] for fact in content["facts"]]
    draft = sent(case, vasko)
    with override_settings(REVIEW_WAIVED_FOR=frozenset({"chart review"})):
        assert finish_without(vasko, case, draft).outcome == "waived"


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
    entry = {
        **outside(), "record_id": str(new_id()), "draft_id": str(draft.pk),
        "sha256": draft.sha256, "own_password": PASSWORD,
    }  # fmt: skip
    wrong = page.post(reverse("review:outside", kwargs=address), {**entry, "own_password": "no"})
    assert (wrong.status_code, "This is not your password." in wrong.content.decode()) == (
        422,
        True,
    )
    assert page.post(reverse("review:outside", kwargs=address), entry).status_code == 302
    assert (
        "Reviewed outside the office by"
        in page.get(reverse("review:review", kwargs=address)).content.decode()
    )


@pytest.mark.parametrize(
    ("kind", "waived_for", "offered", "said"),
    [
        ("full autopsy", frozenset(), False, ""),
        ("full autopsy", frozenset({"external"}), False, "only for: external examination."),
        ("external", frozenset({"external"}), True, ""),
        ("view and release", frozenset({"external", "chart review"}), False, "only for: external"),
    ],
)
def test_an_author_who_is_alone_reads_which_ways_are_open(
    ready,
    kind,
    waived_for,
    offered,
    said,
):
    case, vasko, _ = ready
    Examination.objects.filter(case=case).update(kind=kind)
    sent(case, vasko)
    with override_settings(REVIEW_WAIVED_FOR=waived_for, REVIEW_WAIVER_RULE=""):
        address = reverse("review:review", kwargs={"case_id": case.pk})
        shown = as_person(vasko).get(address).content.decode()
    note = shown[shown.index("You wrote this report and cannot be its reviewer.") :]
    note = note[: note.index("</p>")]
    assert "somebody else has to" not in shown
    assert 'href="#outside"' in note
    assert 'id="outside"' in shown
    assert ('href="#without"' in note, 'id="without"' in shown) == (offered, offered)
    assert (said in note) if said else ("only for" not in note and "no rule" not in note)


def test_the_time_line_names_who_signed_and_who_reviewed(sent_once):
    case, vasko, thorne, first = sent_once
    send_back(thorne, first)
    assert "Report signed" not in [one.title for one in moments_in(case)]
    second = actions.submit_report(
        vasko, case_id=case.pk, record_id=new_id(), note="Second",
        version=Report.objects.get(case=case).version,
        acknowledged=[gap.key for gap in from_outside(case.pk).not_available],
    )  # fmt: skip
    peer = make_staff(Role.PATHOLOGIST, name="Dr. N. Amadi", credentials="MD")
    told = [(one.title, one.detail, one.who) for one in moments_in(case)]
    assert ("Report signed", "draft 2", "I. Vasko, MD") in told
    # Drafts were once sent without a signature, and print none.
    ReportDraft.objects.filter(pk=second.pk).update(signed_as="")
    told = [(one.title, one.detail, one.who) for one in moments_in(case)]
    assert ("Report sent to peer review", "draft 2", str(vasko)) in told
    assert "Report signed" not in [title for title, *_ in told]
    ReportDraft.objects.filter(pk=second.pk).update(signed_as=second.signed_as)
    actions.sign_off(
        peer, case_id=case.pk, record_id=new_id(), draft_id=second.pk, sha256=second.sha256
    )
    case.refresh_from_db()
    overview = as_person(vasko).get(reverse("cases:case", args=[case.pk])).content.decode()
    story = overview[overview.index("What happened") : overview.index("Latest changes")]
    signed, reviewed = story.index("Report signed<"), story.index("Report reviewed and signed<")
    assert "I. Vasko, MD" in story[signed:reviewed]
    assert "Dr. N. Amadi, MD" in story[reviewed:]
    assert "draft 2, case file locked" in story[reviewed:]
    assert (story.count("Report signed<"), "draft 1" in story) == (1, False)

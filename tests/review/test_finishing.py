"""Who signs: the author; then a peer, or by the office's rule nobody."""

from __future__ import annotations

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
from cases.review.models import Report, ReportDraft
from cases.review.reported import from_outside
from cases.review.signing import review_words, waiver_rule, why_not_waived
from findings.actions import record_examination
from findings.checks import kinds_are_known
from findings.models import Examination, Finding
from me_office.accounts.roles import Role
from me_office.audit.errors import NotAllowed, Refused
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import as_person, make_staff
from tests.review.test_outside import finish_outside
from tests.review.test_review import send_back, sent

pytestmark = pytest.mark.django_db
RULE = "Rule 4 of the office: no peer review of external examinations"
WAIVED = override_settings(REVIEW_WAIVED_FOR=frozenset({"external"}), REVIEW_WAIVER_RULE=RULE)


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
    case, _, thorne, draft = sent_once
    Finding.objects.filter(case=case).update(term="Abrasion")
    with pytest.raises(Refused, match="changed after this draft"):
        finish_outside(thorne, case, draft)


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
    assert "somebody who wrote nothing of it records that" in note
    assert reverse("review:outside", kwargs={"case_id": case.pk}) not in shown
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

"""What of a report's making goes out with a packet's history, and what stays in the office."""

from __future__ import annotations

import json

import pytest
from django.apps import apps
from django.utils import timezone

from cases.certification.models import FollowUp
from cases.checking.models import CheckAnswer, CheckSetAside
from cases.packets.material import KEPT_INSIDE, events_of
from cases.review import actions
from cases.review.models import DraftReview, IndependentOpinion, ReviewComment, ReviewSheet
from cases.review.threads import reply_to_comment, resolve_comment
from me_office.audit.ids import new_id
from tests.review.test_review import comment_on

# Every kind of record of the rooms in which a report is made and signed, and requests are answered.
INSIDE, TOLD, OF_NO_CASE = "stays inside", "told", "of no case"
KINDS = {
    "answers.Answer": INSIDE,
    "answers.CertificateWording": OF_NO_CASE,
    "answers.Delivery": INSIDE,
    "answers.NumberedPages": INSIDE,
    "answers.Opening": INSIDE,
    "answers.PageRun": INSIDE,
    "answers.PageSeries": OF_NO_CASE,
    "calendars.CalendarFeed": OF_NO_CASE,
    "calendars.CalendarNames": OF_NO_CASE,
    "calendars.Leave": OF_NO_CASE,
    "certification.Certification": TOLD,
    "certification.FollowUp": INSIDE,
    "certification.Particulars": INSIDE,
    "certification.RegistrarStatement": TOLD,  # what the registrar was told
    "checking.CheckAnswer": INSIDE,
    "checking.CheckSetAside": INSIDE,
    "checking.OfficeCheck": OF_NO_CASE,
    "clock.ClockChange": INSIDE,
    "clock.DueCount": INSIDE,
    "counting.CountingRule": OF_NO_CASE,
    "counting.CourtClosure": OF_NO_CASE,
    "court.Authority": INSIDE,
    "court.AuthorityNeed": OF_NO_CASE,
    "court.Closing": INSIDE,
    "court.Counsel": INSIDE,
    "court.Demand": INSIDE,
    "court.FeeRule": OF_NO_CASE,
    "court.Invoice": INSIDE,
    "court.InvoiceSeries": OF_NO_CASE,
    "court.Original": INSIDE,
    "court.RecordsRequest": TOLD,
    "court.Release": TOLD,
    "court.RequestCase": INSIDE,
    "decisions.Approval": INSIDE,
    "decisions.Ground": OF_NO_CASE,
    "decisions.ItemDecision": INSIDE,
    "decisions.LookAsked": INSIDE,
    "decisions.ProposalRule": OF_NO_CASE,
    "decisions.Reach": INSIDE,
    "decisions.Stop": INSIDE,
    "decisions.Enclosure": INSIDE,
    "decisions.StopSettled": INSIDE,
    "docket.Handling": INSIDE,
    "docket.ProtectiveOrder": INSIDE,
    "drafting.OfficeWord": OF_NO_CASE,
    "drafting.ShortKey": OF_NO_CASE,
    "findings.MicroscopicSlide": TOLD,
    "findings.OfficeTerm": OF_NO_CASE,
    "findings.OfficeWording": OF_NO_CASE,
    "findings.SystemPart": TOLD,
    "findings.SystemTemplate": OF_NO_CASE,
    "letters.Letter": INSIDE,
    "letters.LetterMail": OF_NO_CASE,
    "letters.LetterSending": INSIDE,
    "letters.LetterTemplate": OF_NO_CASE,
    "measures.DailyMail": OF_NO_CASE,
    "measures.DailyMailSent": OF_NO_CASE,
    "redaction.DocumentRedaction": INSIDE,
    "redaction.RedactedDocument": INSIDE,
    "redaction.RedactionMark": INSIDE,
    "redaction.RedactionReason": OF_NO_CASE,
    "review.Addendum": TOLD,
    "review.AmendedPassage": TOLD,
    "review.CaseClosing": TOLD,
    "review.CommentReply": INSIDE,
    "review.DraftReview": INSIDE,  # who was asked to review, and what the rules ask
    "review.IndependentOpinion": INSIDE,
    "review.OutsideReview": INSIDE,
    "review.Report": TOLD,
    "review.ReportDraft": TOLD,  # but for the note to the reviewer
    "review.ReviewComment": INSIDE,
    "review.ReviewDecision": TOLD,  # but for what is said of a draft that is sent back
    "review.ReviewPolicy": OF_NO_CASE,
    "review.ReviewSeed": OF_NO_CASE,
    "review.ReviewSheet": INSIDE,
    "review.SignedPdf": TOLD,
    "signatures.Certificate": OF_NO_CASE,
    "signatures.SecondSignature": TOLD,
    "signatures.Signature": TOLD,
    "signatures.SignedDocument": TOLD,
    "signatures.SigningKey": OF_NO_CASE,
}
ROOMS = (
    "answers", "calendars", "certification", "checking", "clock", "counting", "court", "decisions",
    "docket", "drafting", "letters", "measures", "redaction", "review", "signatures",
)  # fmt: skip


def test_every_kind_of_record_says_whether_it_goes_out():
    of_rooms = {one._meta.label for room in ROOMS for one in apps.get_app_config(room).get_models()}
    assert of_rooms == {label for label in KINDS if not label.startswith("findings.")}
    for label, kind in KINDS.items():
        model = apps.get_model(label)
        of_case = any(field.name == "case" for field in model._meta.concrete_fields)
        found = INSIDE if getattr(model, "stays_inside", False) else TOLD
        assert (label, found if of_case else OF_NO_CASE) == (label, kind)


@pytest.mark.django_db
def test_what_author_and_reviewer_say_to_each_other_is_in_no_packets_history(sent_once):
    case, vasko, thorne, draft = sent_once
    made = {"case": case, "created_by": vasko, "changed_by": vasko}
    comment = comment_on(thorne, draft, "opinion", "Tell-tale comment")
    reply_to_comment(
        vasko, case_id=case.pk, record_id=new_id(), comment_id=comment.pk, words="Tell-tale reply"
    )
    comment = ReviewComment.objects.get(pk=comment.pk)
    resolve_comment(
        thorne, case_id=case.pk, comment_id=comment.pk, version=comment.version,
        words="Tell-tale end",
    )  # fmt: skip
    DraftReview.objects.filter(draft=draft).update(draw="Tell-tale lot")
    said = {"key": "x", "words": "Tell-tale check", "why": "Tell-tale reason"}
    CheckAnswer.objects.create(**made, **said, answer="left out")
    CheckSetAside.objects.create(**made, **said, rule="x")
    IndependentOpinion.objects.create(**made, draft=draft, kind="knows", knows_why="Tell-tale")
    ReviewSheet.objects.create(**made, draft=draft, answers=[{"question": "Tell-tale"}])
    FollowUp.objects.create(
        **made, awaited="other", details="Tell-tale letter", follow_up_on=timezone.localdate()
    )
    actions.return_report(
        thorne, case_id=case.pk, record_id=new_id(), draft_id=draft.pk, words="Tell-tale words",
        causes=["wording"],
    )  # fmt: skip
    told = events_of(case.pk)
    assert "Tell-tale" not in json.dumps(told)
    (returned,) = (one for one in told if one["table"] == "review_reviewdecision")
    assert returned["changes"]["outcome"][-1] == "returned"
    assert returned["changes"]["words"] == returned["changes"]["causes"] == KEPT_INSIDE


@pytest.mark.django_db
def test_what_is_said_at_the_end_of_a_review_is_told_as_it_is_printed(sent_once):
    case, _, thorne, draft = sent_once
    actions.sign_off(
        thorne, case_id=case.pk, record_id=new_id(), draft_id=draft.pk, sha256=draft.sha256,
        words="Printed words",
    )  # fmt: skip
    (signed,) = (one for one in events_of(case.pk) if one["table"] == "review_reviewdecision")
    assert signed["changes"]["words"][-1] == "Printed words"

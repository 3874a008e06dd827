"""Comments: their weight, what they are about, their threads, and what keeps from signing."""

from __future__ import annotations

from datetime import UTC, datetime
from types import SimpleNamespace

import pytest
from django.urls import reverse

from cases.review import actions, threads
from cases.review.anchors import offered
from cases.review.models import CommentReply, ReportDraft, ReviewComment
from cases.review.needs import asked_before
from cases.review.queries import drafts_of, photograph_keys
from findings.models import Mark
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import as_person, make_case, make_staff
from tests.findings.builders import a_mark
from tests.review.test_review import comment_on, send_back

NOBODYS = "0190b3a0-0000-7000-8000-000000000000"


def say(by, draft, comment, **about):
    return actions.comment_on_passage(
        by, case_id=draft.case_id, record_id=new_id(), draft_id=draft.pk, comment=comment, **about
    )


def reply(by, comment, words="As said."):
    return threads.reply_to_comment(
        by, case_id=comment.case_id, record_id=new_id(), comment_id=comment.pk, words=words
    )


def resolve(by, comment, version=1, **more):
    return threads.resolve_comment(
        by, case_id=comment.case_id, comment_id=comment.pk, version=version, **more
    )


def reopen(by, comment, version=2, reason="Not yet."):
    return threads.reopen_comment(
        by, case_id=comment.case_id, comment_id=comment.pk, version=version, reason=reason
    )


def sign(by, draft):
    return actions.sign_off(
        by, case_id=draft.case_id, record_id=new_id(), draft_id=draft.pk, sha256=draft.sha256
    )


def the_finding(draft):
    return next(
        passage["finding"]
        for section in draft.content["sections"]
        for passage in section["passages"]
        if passage["key"] == "finding-1"
    )


def shown(draft, person, wrote=()):
    return threads.threads_in(drafts_of(draft.case_id), person_id=person.pk, wrote=wrote)


# What a comment is about


def test_a_comment_is_on_a_finding_a_mark_a_photograph_or_the_whole(sent_once):
    case, _, thorne, draft = sent_once
    finding = the_finding(draft)
    asked = {"anchor": "finding", "passage": finding, "weight": "question"}
    on_finding = say(thorne, draft, "How deep?", **asked)
    whole = say(thorne, draft, "Clear throughout.", anchor="draft")
    assert on_finding.quoted == "Finding 1: contusion, right lateral chest wall"
    assert (on_finding.of_finding, on_finding.weight) == (finding, "question")
    assert (whole.quoted, whole.weight) == ("The whole draft", "suggestion")
    places = shown(draft, thorne)
    assert [one.comment.pk for one in places["finding-1"]] == [on_finding.pk]
    assert [one.comment.pk for one in places[""]] == [whole.pk]
    assert places["finding-1"][0].about == on_finding.quoted
    offers = dict(offered(case.pk, draft.content, photograph_keys(case.pk)))
    assert offers["Findings"] == [(f"finding:{finding}", on_finding.quoted)]


def test_a_mark_is_named_by_its_finding_and_view(sent_once):
    case, vasko, thorne, draft = sent_once
    finding = the_finding(draft)
    mark = Mark(case=case, finding_id=finding, created_by=vasko, changed_by=vasko, **a_mark())
    mark.save()
    made = say(thorne, draft, "Higher, by the photograph.", anchor="mark", passage=str(mark.pk))
    assert made.quoted.startswith("Mark of finding 1, ")
    assert made.of_finding == finding
    # Marks of one name are told apart.
    Mark(case=case, finding_id=finding, created_by=vasko, changed_by=vasko, **a_mark()).save()
    (_, _, (_, marks), *_) = offered(case.pk, draft.content, {})
    assert [words[-13:] for _, words in marks] == [", mark 1 of 2", ", mark 2 of 2"]


@pytest.mark.parametrize(
    ("anchor", "key", "words"),
    [
        ("passage", "nowhere", "passage is not in the draft"),
        ("finding", NOBODYS, "finding is not in the draft"),
        ("finding", "7", "finding is not in the draft"),
        ("mark", NOBODYS, "no such mark"),
        ("photograph", NOBODYS, "no such photograph"),
        ("draft", "opinion-1", "names no part"),
        ("elsewhere", "", "Choose what the comment is about"),
    ],
)
def test_what_is_not_in_the_draft_is_not_commented_on(sent_once, anchor, key, words):
    *_, thorne, draft = sent_once
    with pytest.raises(Refused, match=words):
        say(thorne, draft, "Look.", anchor=anchor, passage=key)


def test_a_finding_of_another_case_is_not_commented_on(sent_once):
    *_, thorne, draft = sent_once
    with pytest.raises(Refused):
        say(thorne, draft, "Look.", anchor="photograph", passage=str(make_case().pk))


# Threads


def test_author_and_reviewer_talk_and_each_reply_stands(sent_once):
    case, vasko, thorne, draft = sent_once
    comment = comment_on(thorne, draft, "finding-1", "Which rib?")
    first, second = reply(vasko, comment, "The sixth."), reply(thorne, comment, "Left or right?")
    thread = shown(draft, thorne)["finding-1"][0]
    assert [(who, words) for who, _, words in thread.replies] == [
        ("I. Vasko", "The sixth."), ("M. Thorne", "Left or right?"),
    ]  # fmt: skip
    assert thread.is_answered  # by the reply of the draft's author
    again = threads.reply_to_comment(
        vasko, case_id=case.pk, record_id=first.pk, comment_id=comment.pk, words="The sixth."
    )
    assert (again.pk, CommentReply.objects.count()) == (first.pk, 2)
    with pytest.raises(Conflict):
        threads.reply_to_comment(
            vasko, case_id=case.pk, record_id=second.pk, comment_id=comment.pk, words="Other."
        )
    event = AuditEvent.objects.filter(table="review_commentreply").first()
    assert (event.act, event.actor_name) == ("reply_to_comment", "I. Vasko")


def test_a_reply_needs_words_a_comment_and_a_role(sent_once):
    case, vasko, thorne, draft = sent_once
    comment = comment_on(thorne, draft, "finding-1", "Which rib?")
    with pytest.raises(Refused, match="Write the reply"):
        reply(vasko, comment, "  ")
    with pytest.raises(NotAllowed):
        reply(make_staff(Role.INVESTIGATOR), comment)
    with pytest.raises(NotKnown):
        threads.reply_to_comment(
            vasko, case_id=case.pk, record_id=new_id(), comment_id=new_id(), words="To nobody."
        )


def test_a_comment_is_resolved_reopened_and_resolved_by_reviewers_alone(sent_once):
    _, vasko, thorne, draft = sent_once
    comment = comment_on(thorne, draft, "finding-1", "Which rib?")
    with pytest.raises(NotAllowed, match="resolved or reopened by whoever made it"):
        resolve(vasko, comment)
    with pytest.raises(StaleRecord):
        resolve(thorne, comment, version=2)
    done = resolve(make_staff(Role.PATHOLOGIST), comment, words="Said in the opinion.")
    assert (done.is_resolved, done.resolved_words) == (True, "Said in the opinion.")
    with pytest.raises(Refused, match="resolved already"):
        resolve(thorne, comment, version=2)
    with pytest.raises(Refused, match="Say why"):
        reopen(thorne, comment, reason=" ")
    again = reopen(thorne, comment)
    assert (again.is_resolved, again.resolved_by) == (False, None)
    said = "Reopened: Not yet. (It was resolved with: “Said in the opinion.”)"
    assert CommentReply.objects.get().words == said
    with pytest.raises(Refused, match="not resolved"):
        reopen(thorne, comment, version=3)


def test_a_thread_is_told_in_the_order_in_which_it_was_said():
    early, late = "2026-11-29T15:22:00+00:00", datetime(2026, 11, 29, 15, 23, tzinfo=UTC)
    comment = SimpleNamespace(answer="Said now.", answered_at=late, answered_by="I. Vasko")
    said = [{"by": "", "name": "M. Thorne", "at": early, "words": "Reopened: Not yet."}]
    thread = threads.Thread(comment, said=said, may_resolve=True)
    assert [(who, words) for who, _, words in thread.replies] == [
        ("M. Thorne reopened it", "Not yet."), ("I. Vasko", "Said now."),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("sent_back_by", "asked", "next_one"),
    [
        ("thorne", "amadi", "thorne"),
        ("vasko", "amadi", "amadi"),
        ("", "amadi", "amadi"),
        ("", None, ""),
    ],
)
def test_a_further_draft_goes_to_whom_sent_the_last_one_back(sent_back_by, asked, next_one):
    draft = SimpleNamespace(created_by_id="vasko")
    if sent_back_by:
        draft.decision = SimpleNamespace(decided_by_id=sent_back_by)
    draft.review = SimpleNamespace(reviewer_id=asked)
    assert asked_before([draft]) == next_one
    assert asked_before([]) == ""


# What they keep from being sent and signed


@pytest.mark.parametrize(
    ("weight", "blocks"), [("must", True), ("suggestion", False), ("question", False)]
)
def test_only_a_must_that_is_not_resolved_keeps_a_draft_from_signing(sent_once, weight, blocks):
    *_, thorne, draft = sent_once
    comment = say(thorne, draft, "Say the side.", passage="finding-1", weight=weight)
    if blocks:
        with pytest.raises(Refused, match="1 comment marked “must change” is not resolved"):
            sign(thorne, draft)
        resolve(thorne, comment)
    assert sign(thorne, draft).outcome == "signed"


def second_draft(case, vasko, thorne, draft):
    send_back(thorne, draft)
    return actions.submit_report(vasko, case_id=case.pk, record_id=new_id(), version=3)


def test_an_open_comment_goes_on_in_the_next_draft_until_it_is_resolved(sent_once):
    case, vasko, thorne, draft = sent_once
    must = say(thorne, draft, "Say the side.", passage="finding-1", weight="must")
    settled = say(thorne, draft, "Fine.", passage="finding-1")
    resolve(thorne, settled)
    reply(vasko, must, "Right.")
    second = second_draft(case, vasko, thorne, draft)
    (thread,) = shown(second, thorne)["finding-1"]
    assert (thread.comment.pk, thread.from_draft) == (must.pk, 1)
    assert thread.became == "The passage reads as it did."
    with pytest.raises(Refused, match="must change"):
        sign(thorne, second)
    resolve(thorne, must)
    assert sign(thorne, second).outcome == "signed"


def test_a_comment_on_a_passage_that_is_gone_stands_with_those_on_the_whole(sent_once):
    case, vasko, thorne, draft = sent_once
    resolved = comment_on(thorne, draft, "external-2", "Gray?")
    reply(vasko, resolved, "Yes.")
    content = dict(draft.content)
    content["sections"] = [one for one in content["sections"] if one["key"] != "external"]
    second = second_draft(case, vasko, thorne, draft)
    ReportDraft.objects.filter(pk=second.pk).update(content=content)
    (thread,) = shown(second, thorne)[""]
    assert thread.became == "The passage is no longer in the draft."


def test_every_comment_is_answered_or_resolved_before_the_next_draft(sent_once):
    case, vasko, thorne, draft = sent_once
    for words in ("One?", "Two?", "Three?"):
        comment_on(thorne, draft, "finding-1", words)
    one, two, three = ReviewComment.objects.order_by("created_at", "id")
    reply(thorne, one, "I mean the left.")  # not the author's
    send_back(thorne, draft)
    left = [3]
    for settle in (
        lambda: reply(vasko, one),
        lambda: resolve(thorne, two),
        lambda: actions.answer_comment(
            vasko, case_id=case.pk, comment_id=three.pk, version=1, answer="Done."
        ),
    ):
        with pytest.raises(Refused, match=f"{left[-1]} comment"):
            actions.submit_report(vasko, case_id=case.pk, record_id=new_id(), version=3)
        settle()
        left.append(left[-1] - 1)
    assert actions.submit_report(vasko, case_id=case.pk, record_id=new_id(), version=3).number == 2


def test_a_draft_goes_back_with_causes_that_can_be_counted(sent_once):
    case, _, thorne, draft = sent_once
    back = {"case_id": case.pk, "draft_id": draft.pk, "words": "Once more."}
    with pytest.raises(Refused, match="Choose among"):
        actions.return_report(thorne, record_id=new_id(), causes=["mood"], **back)
    made = actions.return_report(thorne, record_id=new_id(), causes=["wording", "support"], **back)
    assert made.causes == ["wording", "support"]
    again = actions.return_report(thorne, record_id=made.pk, causes=["wording", "support"], **back)
    assert again.pk == made.pk
    with pytest.raises(Conflict):
        actions.return_report(thorne, record_id=made.pk, causes=["wording"], **back)


# Pages


def test_the_page_shows_threads_takes_replies_and_says_what_is_wrong(sent_once):
    case, vasko, thorne, draft = sent_once
    comment = say(thorne, draft, "Say the side.", passage="finding-1", weight="must")
    page, keys = as_person(thorne), {"case_id": case.pk}
    shown_page = page.get(reverse("review:review", kwargs=keys)).content.decode()
    assert "Must change" in shown_page
    assert "1 comment marked “must change” is not resolved." in shown_page
    of_one = {**keys, "comment_id": comment.pk}
    refused = page.post(reverse("review:reply", kwargs=of_one), {"words": ""})
    assert refused.status_code == 422
    done = page.post(reverse("review:reply", kwargs=of_one), {"words": "Left, I think."})
    assert done["Location"].endswith(f"#comment-{comment.pk}")
    assert CommentReply.objects.get().words == "Left, I think."
    said = {"version": "1", "words": ""}
    assert page.post(reverse("review:resolve", kwargs=of_one), said).status_code == 302
    stale = page.post(reverse("review:resolve", kwargs=of_one), said)
    assert "resolved already" in stale.content.decode() or stale.status_code == 422
    back = {"version": "2", "reason": ""}
    assert page.post(reverse("review:reopen-comment", kwargs=of_one), back).status_code == 422
    back["reason"] = "The other side is meant."
    assert page.post(reverse("review:reopen-comment", kwargs=of_one), back).status_code == 302
    finding = the_finding(draft)
    said = {
        "draft_id": str(draft.pk), "on": f"finding:{finding}", "weight": "question",
        "comment": "Which instrument?",
    }  # fmt: skip
    assert page.post(reverse("review:comment", kwargs=keys), said).status_code == 302
    assert ReviewComment.objects.get(anchor="finding").weight == "question"
    wrong = page.post(reverse("review:comment", kwargs=keys), {**said, "on": f"mark:{new_id()}"})
    assert "There is no such mark in the draft." in wrong.content.decode()
    assert as_person(vasko).get(reverse("review:review", kwargs=keys)).status_code == 200


def test_the_api_keeps_what_it_took_and_takes_more(sent_once):
    case, _, thorne, draft = sent_once
    page, base = as_person(thorne), f"/api/cases/{case.pk}"
    body = {"id": str(new_id()), "draft_id": str(draft.pk), "passage": "cause", "comment": "Why?"}
    made = page.post(f"{base}/comments/", body, content_type="application/json")
    assert made.status_code == 201
    assert (made.json()["anchor"], made.json()["weight"]) == ("passage", "suggestion")
    of_one = f"{base}/comments/{made.json()['id']}"
    said = {"id": str(new_id()), "words": "Because."}
    assert page.post(f"{of_one}/replies/", said, content_type="application/json").status_code == 201
    put = {"version": 1, "words": "Clear now."}
    assert page.put(f"{of_one}/resolved/", put, content_type="application/json").status_code == 200
    (listed,) = page.get(f"{base}/comments/").json()
    assert [one["words"] for one in listed["replies"]] == ["Because."]
    assert listed["resolved_words"] == "Clear now."

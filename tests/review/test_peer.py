"""Rules of review, the reviewer's own opinion held apart from the author's, the sheet, and load."""

from __future__ import annotations

from decimal import Decimal
from unittest import mock

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import get_resolver, reverse

from cases.actions import restrict_case
from cases.certification.actions import state_cause_and_manner
from cases.models import Case, Decedent
from cases.review import actions, needs, peer_actions
from cases.review.blind import OPEN_PAGES, OPEN_ROOMS, is_held_from, is_open, without_opinion
from cases.review.models import (
    DraftReview,
    IndependentOpinion,
    Report,
    ReportDraft,
    ReviewPolicy,
    ReviewSeed,
)
from cases.review.needs_rules import QUESTIONS, draw_of
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import MOMENT, as_person, make_case, make_staff
from tests.review.peer import ACCIDENTS, OWN, answers, compare, fill, opine, rule, send, settle
from tests.review.test_review import make_ready, send_back
from tests.review.test_threads import sign


def addresses(within=None, path="", rooms=()):
    """Yield every address of the service with its name."""
    for one in (within or get_resolver()).url_patterns:
        here = f"{path}{one.pattern}"
        if hasattr(one, "url_patterns"):
            yield from addresses(one, here, (*rooms, *filter(None, [one.namespace])))
        else:
            yield here, ":".join([*rooms, one.name or ""])


@pytest.fixture
def asked(ready):
    """An accident that was sent to review where accidents ask for an independent opinion."""
    case, vasko, thorne = ready
    rule(thorne, **ACCIDENTS)
    return case, vasko, thorne, send(case, vasko)


# Rules


def test_without_rules_nothing_more_is_asked(sent_once):
    *_, draft = sent_once
    asked = DraftReview.objects.get(draft=draft)
    assert (asked.asks_opinion, asked.asks_sheet, asked.draw) == (False, False, "")


def test_rules_are_changed_by_a_supervisor_with_a_reason_and_a_history(db):
    thorne = make_staff(Role.SUPERVISOR)
    with pytest.raises(NotAllowed):
        rule(make_staff(Role.PATHOLOGIST))
    with pytest.raises(Refused, match="Say why"):
        rule(thorne, reason=" ")
    with pytest.raises(Invalid):
        rule(thorne, sheet_manners=["bad luck"])
    made = rule(thorne, **ACCIDENTS)
    assert ReviewSeed.objects.count() == 0
    again = rule(thorne, record_id=made.pk, **ACCIDENTS)
    assert again.pk == made.pk
    changed = rule(thorne, version=made.version, share_percent=Decimal(10))
    assert (changed.pk, ReviewPolicy.objects.count()) == (made.pk, 1)
    assert ReviewSeed.objects.count() == 1  # a share needs a seed
    with pytest.raises(StaleRecord):
        rule(thorne, version=made.version)
    event = AuditEvent.objects.filter(table="review_reviewpolicy").last()
    assert (event.act, event.reason) == ("change_review_policy", "As agreed.")


def test_what_is_asked_is_noted_with_the_draft_and_stays(ready):
    case, vasko, thorne = ready
    made = rule(thorne, opinion_under_age=18, sheet_manners=["accident"])
    Decedent.objects.filter(case=case).update(age_years=Decimal("17.5"))
    draft = send(case, vasko)
    asked = needs.review_of(draft)
    assert [one["words"] for one in asked.opinion_grounds] == ["under 18 years"]
    assert [one["words"] for one in asked.sheet_grounds] == ["manner of death: accident"]
    assert asked.questions == [one.text for one in QUESTIONS]
    rule(thorne, version=made.version)
    assert DraftReview.objects.get(draft=draft).asks_opinion


def test_a_child_of_whom_only_the_day_of_birth_is_recorded_is_under_age(ready):
    case, vasko, thorne = ready
    rule(thorne, opinion_under_age=18)
    died = case.reported_at.date()
    born = {"age_years": None, "born_on": died.replace(year=died.year - 17)}
    Decedent.objects.filter(case=case).update(**born)
    asked = needs.review_of(send(case, vasko))
    assert [one["words"] for one in asked.opinion_grounds] == ["under 18 years"]


def test_the_lot_can_be_drawn_again_by_hand_and_stands_for_later_drafts(ready):
    case, vasko, thorne = ready
    made = rule(thorne, share_percent=Decimal("99.99"))
    draft = send(case, vasko)
    asked = needs.review_of(draft)
    by_hand = draw_of(ReviewSeed.objects.get().seed, str(case.pk), Decimal("99.99"))
    assert asked.draw.startswith(by_hand.words)
    assert asked.drawn is by_hand.is_drawn
    rule(thorne, version=made.version, share_percent=Decimal("0.01"))
    send_back(thorne, draft)
    second = actions.submit_report(vasko, case_id=case.pk, record_id=new_id(), version=3)
    assert needs.review_of(second).draw == asked.draw


def test_the_seed_of_a_case_is_the_newest_from_before_it_began(db):
    thorne = make_staff(Role.SUPERVISOR)
    first = peer_actions.draw_seed(thorne, record_id=new_id(), reason="The first.")
    case = make_case()
    second = peer_actions.draw_seed(thorne, record_id=new_id(), reason="Another year.")
    assert needs.seed_for(case.created_at) == first
    assert needs.seed_for(second.created_at) == second
    assert needs.seed_for(first.created_at.replace(year=2000)) == first
    again = peer_actions.draw_seed(thorne, record_id=second.pk, reason="Another year.")
    assert (again.pk, ReviewSeed.objects.count()) == (second.pk, 2)


# Who reviews


def test_reviewers_are_offered_with_what_they_have_to_do(ready):
    case, vasko, thorne = ready
    peer = make_staff(Role.PATHOLOGIST, name="A. Peer")
    other, _, _ = make_ready((vasko, thorne))
    send(other, vasko, reviewer=thorne.pk)
    found = {one.person.pk: one for one in needs.reviewers_for(case)}
    assert found[thorne.pk].open_reviews == 1
    assert found[peer.pk].words == "0 open reviews, 0 open cases"
    assert "the report" in found[vasko.pk].wrote
    assert next(iter(found)) == peer.pk and list(found)[-1] == vasko.pk


def test_reviewers_are_read_in_two_statements_however_many_there_are(
    ready, django_assert_num_queries
):
    case, *_ = ready
    for _ in range(20):
        make_staff(Role.PATHOLOGIST)
    with django_assert_num_queries(2):
        needs.reviewers_for(case)


def test_who_wrote_is_not_named_and_a_supervisor_gives_it_to_another(ready):
    case, vasko, thorne = ready
    with pytest.raises(Refused, match="cannot be its reviewer"):
        send(case, vasko, reviewer=vasko.pk)
    with pytest.raises(Refused, match="Choose a pathologist"):
        send(case, vasko, reviewer=make_staff(Role.INVESTIGATOR).pk)
    draft = send(case, vasko, reviewer=thorne.pk)
    peer = make_staff(Role.PATHOLOGIST)
    give = {"case_id": case.pk, "draft_id": draft.pk, "version": 1, "reviewer": peer.pk}
    with pytest.raises(NotAllowed):
        peer_actions.give_review(peer, **give)
    assert peer_actions.give_review(thorne, **give).reviewer == peer
    with pytest.raises(StaleRecord):
        peer_actions.give_review(thorne, **give)
    # Nobody is locked out: another than the one who was asked signs.
    assert sign(make_staff(Role.PATHOLOGIST), draft).outcome == "signed"


def test_the_worklist_has_what_one_is_asked_for_first_and_nothing_of_others(ready):
    case, vasko, thorne = ready
    peer, other = make_staff(Role.PATHOLOGIST), make_staff(Role.PATHOLOGIST)
    send(case, vasko, reviewer=peer.pk)
    first = reverse("first-page")
    assert "you are asked to review it" in as_person(peer).get(first).content.decode()
    assert case.label not in as_person(other).get(first).content.decode()
    assert "is asked to review it" in as_person(thorne).get(first).content.decode()


def test_the_worklist_takes_as_many_statements_for_all_drafts_that_it_shows_as_for_three(db):
    vasko, peer = make_staff(Role.PATHOLOGIST), make_staff(Role.PATHOLOGIST)
    browser, counts, by = as_person(peer), [], {"created_by": vasko, "changed_by": vasko}
    for more in (3, 17):
        for _ in range(more):
            case = make_case(state="in review", by=vasko)
            report = Report.objects.create(case=case, author=vasko, state="submitted",
                                           submitted_at=MOMENT, drafts_sent=1, **by)  # fmt: skip
            draft = ReportDraft.objects.create(
                case=case, report=report, number=1, content={}, sha256="0" * 64,
                submitted_at=MOMENT, **by,
            )  # fmt: skip
            DraftReview.objects.create(case=case, draft=draft, reviewer=peer, **by)
        with CaptureQueriesContext(connection) as asked:
            page = browser.get(reverse("first-page")).content.decode()
        counts.append(len(asked))
    assert page.count("you are asked to review it") == 20 and counts[0] == counts[1]


# The reviewer's own opinion


def test_the_opinion_is_held_back_until_the_reviewer_has_their_own(asked):
    case, vasko, thorne, draft = asked
    assert is_held_from(thorne, case.pk) and not is_held_from(vasko, case.pk)
    page, keys = as_person(thorne), {"case_id": case.pk}
    told = ("Blunt force injuries", "He died of the injuries", "manner accident", "accident")
    for name in ("review:review", "findings:examination", "cases:case", "review:opinion"):
        shown = page.get(reverse(name, kwargs=keys))
        assert shown.status_code == 200
        words = shown.content.decode().replace('value="accident"', "").replace(">accident<", "")
        assert [one for one in told if one in words] == [], name
    for name in (
        "review:report", "review:compare", "certification:cause-and-manner",
        "packets:report-pdf", "history:case-history", "case_search:search", "court:requests",
    ):  # fmt: skip
        shown = page.get(reverse(name, kwargs=keys))
        assert (shown.status_code, "held back" in shown.content.decode()) == (403, True), name
    asked_for = [
        path.replace("<uuid:case_id>", str(case.pk)) for path, name in addresses()
        if path.startswith("api/cases/<uuid:case_id>/") and path.count("<") == 1
        and not is_open(name)
    ]  # fmt: skip
    known = ("cause-and-manner/", "certificate/", "report/", "drafts/", "history/", "checks/")
    assert {f"api/cases/{case.pk}/{path}" for path in known} <= set(asked_for)
    for path in asked_for:
        shown = page.get(f"/{path}")
        assert (shown.status_code, shown.json()["code"]) == (403, "held_back"), path
    # It is held back from who may sign the review: from the author nothing, from no clerk either.
    for reader in (vasko, make_staff(Role.RECORDS_CLERK)):
        assert as_person(reader).get(reverse("review:report", kwargs=keys)).status_code == 200
    opine(thorne, draft)
    assert not is_held_from(thorne, case.pk)
    assert "Blunt force" in page.get(reverse("review:review", kwargs=keys)).content.decode()
    assert "Blunt force" in page.get(reverse("review:opinion", kwargs=keys)).content.decode()


def test_the_authors_cause_is_kept_with_what_contributed():
    told = [
        {"key": "cause", "lead": "Cause of death", "text": "A fall."},
        {"key": "contributing", "lead": "Contributing", "text": "Old age."},
    ]
    content = {"sections": [{"key": "opinion", "title": "Opinion", "passages": told}]}
    assert peer_actions.authors_cause(ReportDraft(content=content)) == "A fall. Old age."


def test_of_a_restricted_case_a_stranger_is_not_told_that_anything_is_held_back(asked):
    case, _, thorne, _ = asked
    version = Case.objects.get(pk=case.pk).version
    restrict_case(thorne, case_id=case.pk, version=version, reason="Family of a colleague")
    stranger = as_person(make_staff(Role.PATHOLOGIST))
    for address in (f"/cases/{case.pk}/report/", f"/api/cases/{case.pk}/drafts/"):
        assert stranger.get(address).status_code == 404, address


def test_every_page_of_a_case_that_stays_open_is_one_of_the_record():
    assert is_open("findings:chart") and is_open("review:review")
    assert not is_open("certification:cause-and-manner") and not is_open("some_new_app:page")
    assert {"certification", "review", "packets", "history", "case_search"}.isdisjoint(OPEN_ROOMS)
    assert {"review:report", "review:draft", "review:compare"}.isdisjoint(OPEN_PAGES)
    content = {"sections": [{"key": key} for key in ("injury", "summary", "opinion")], "facts": []}
    assert without_opinion(content) == {"sections": [{"key": "injury"}], "facts": []}


def test_only_the_named_reviewer_is_kept_from_it(ready):
    case, vasko, thorne = ready
    rule(thorne, **ACCIDENTS)
    peer = make_staff(Role.PATHOLOGIST)
    send(case, vasko, reviewer=peer.pk)
    assert is_held_from(peer, case.pk) and not is_held_from(thorne, case.pk)


def test_who_was_asked_for_an_earlier_draft_alone_is_kept_from_nothing(ready):
    case, vasko, thorne = ready
    rule(thorne, **ACCIDENTS)
    peer, next_one = make_staff(Role.PATHOLOGIST), make_staff(Role.PATHOLOGIST)
    send_back(peer, send(case, vasko, reviewer=peer.pk))
    assert not is_held_from(peer, case.pk)
    actions.submit_report(
        vasko, case_id=case.pk, record_id=new_id(), version=3, reviewer=next_one.pk
    )
    assert is_held_from(next_one, case.pk) and not is_held_from(peer, case.pk)


def test_an_opinion_is_recorded_once_and_never_changed(asked):
    case, vasko, thorne, draft = asked
    with pytest.raises(NotAllowed, match="You wrote this report"):
        opine(vasko, draft)
    with pytest.raises(Invalid):
        opine(thorne, draft, cause=" ")
    with pytest.raises(Invalid):
        opine(thorne, draft, kind="knows")
    made = opine(thorne, draft)
    same = {"case_id": case.pk, "record_id": made.pk, "draft_id": draft.pk}
    assert peer_actions.record_opinion(thorne, entry=OWN, **same).pk == made.pk
    with pytest.raises(Conflict):
        peer_actions.record_opinion(thorne, entry={**OWN, "manner": "natural"}, **same)
    with pytest.raises(Invalid):
        opine(thorne, draft, manner="natural")
    assert IndependentOpinion.objects.get().manner == "undetermined"


def test_where_no_rule_asks_no_opinion_is_taken(sent_once):
    *_, thorne, draft = sent_once
    with pytest.raises(Refused, match="ask for no independent opinion"):
        opine(thorne, draft)


def test_a_disagreement_is_settled_before_anybody_signs(asked):
    _, vasko, thorne, draft = asked
    peer = make_staff(Role.PATHOLOGIST)
    with pytest.raises(Refused, match="Your own opinion on cause and manner is not recorded"):
        sign(thorne, draft)
    opinion = opine(thorne, draft)
    with pytest.raises(Refused, match="not compared"):
        sign(thorne, draft)
    with pytest.raises(NotAllowed):
        compare(peer, opinion, agrees=True)
    opinion = compare(thorne, opinion, agrees=False)
    assert (opinion.cause_agrees, opinion.manner_agrees) == (False, False)
    assert opinion.author_cause == "Blunt force injuries of the chest."
    assert opinion.author_manner == "accident"
    opine(peer, draft, kind="knows", cause="", manner="", knows_why="I was asked for help.")
    for by in (thorne, peer):
        with pytest.raises(Refused, match="disagrees"):
            sign(by, draft)
    with pytest.raises(NotAllowed):
        settle(vasko, opinion)
    with pytest.raises(Refused, match="Choose how"):
        settle(thorne, opinion, how="somehow")
    with pytest.raises(Refused, match="Say why"):
        settle(thorne, opinion, words=" ")
    # Nothing was changed in the draft that was compared: only another says something else.
    with pytest.raises(Refused, match="Draft 1 still states"):
        settle(thorne, opinion, how="changed")
    with mock.patch.object(peer_actions, "authors_cause", return_value="Cold."):
        assert settle(thorne, opinion, how="changed").settled_how == "changed"
    settled = settle(peer, opinion, version=3)
    assert (settled.settled_how, settled.settled_by) == ("stays", peer)
    assert sign(thorne, draft).outcome == "signed"


def test_who_agrees_has_nothing_to_settle(asked):
    *_, thorne, draft = asked
    opinion = compare(thorne, opine(thorne, draft, manner="accident"), agrees=True)
    assert not opinion.differs
    with pytest.raises(Refused, match="no disagreement"):
        settle(thorne, opinion)
    assert sign(thorne, draft).outcome == "signed"


def test_a_comparison_holds_in_the_next_draft_while_the_words_hold(asked):
    case, vasko, thorne, draft = asked
    opinion = compare(thorne, opine(thorne, draft, manner="accident"), agrees=True)
    send_back(thorne, draft)
    second = actions.submit_report(vasko, case_id=case.pk, record_id=new_id(), version=3)
    opinion.refresh_from_db()
    assert needs.opinion_state(opinion, second).compared
    second.content["sections"] = [
        one for one in second.content["sections"] if one["key"] != "opinion"
    ]
    assert not needs.opinion_state(opinion, second).compared


def test_whoever_was_told_the_authors_opinion_does_not_record_one_as_their_own(ready):
    case, vasko, thorne = ready
    rule(thorne, **ACCIDENTS)
    peer = make_staff(Role.PATHOLOGIST)
    draft = send(case, vasko, reviewer=peer.pk)
    page = as_person(thorne)
    # It was open to who was not named: what they write down after it is no check of it.
    shown = page.get(reverse("review:opinion", kwargs={"case_id": case.pk})).content.decode()
    assert "was open to you" in shown
    with pytest.raises(Refused, match="open to you"):
        opine(thorne, draft)
    assert IndependentOpinion.objects.count() == 0
    opine(thorne, draft, kind="knows", cause="", manner="", knows_why="It was open to me.")
    assert opine(peer, draft).is_own


def test_what_settled_one_disagreement_settles_no_later_one(asked):
    *_, thorne, draft = asked
    opinion = settle(thorne, compare(thorne, opine(thorne, draft), agrees=False))
    assert opinion.settled_how == "stays"
    again = compare(thorne, opinion, agrees=False, version=3)
    assert (again.settled_how, again.settled_words, again.settled_by) == ("", "", None)
    with pytest.raises(Refused, match="disagrees"):
        sign(thorne, draft)


def test_other_words_of_the_cause_leave_a_disagreement_open(asked):
    case, vasko, thorne, draft = asked
    compare(thorne, opine(thorne, draft), agrees=False)
    send_back(thorne, draft)
    state_cause_and_manner(
        vasko, case_id=case.pk, record_id=new_id(), version=1, reason="Other words.",
        entry={"cause_a": "Blunt force trauma of the chest", "manner": "accident"},
    )  # fmt: skip
    second = actions.submit_report(vasko, case_id=case.pk, record_id=new_id(), version=3)
    peer = make_staff(Role.PATHOLOGIST)
    opine(peer, second, kind="knows", cause="", manner="", knows_why="I was asked for help.")
    with pytest.raises(Refused, match="disagrees"):
        sign(peer, second)


def test_to_whom_a_review_is_given_is_answered_without_what_tells_the_opinion(asked):
    case, _, thorne, draft = asked
    said = {"version": 1, "draft_id": str(draft.pk), "reviewer": str(thorne.pk)}
    answer = as_person(thorne).put(
        f"/api/cases/{case.pk}/reviewer/", said, content_type="application/json"
    )
    assert (answer.status_code, answer.json()["asks_opinion"]) == (200, True)
    assert "accident" not in answer.content.decode()


# The sheet


def test_a_sheet_is_filled_before_its_reviewer_signs(ready):
    case, vasko, thorne = ready
    rule(thorne, sheet_manners=["accident"], questions="Rested?\nRead twice?")
    draft = send(case, vasko)
    asked = ["Rested?", "Read twice?"]
    with pytest.raises(Refused, match="2 questions of the review sheet"):
        sign(thorne, draft)
    with pytest.raises(NotAllowed, match="cannot be its reviewer"):
        fill(vasko, draft, answers(questions=asked))
    with pytest.raises(Refused, match="not on the sheet"):
        fill(thorne, draft, answers(questions=["Else?"]))
    with pytest.raises(Invalid):
        fill(thorne, draft, answers("no", asked))
    made = fill(thorne, draft, answers(questions=asked[:1]))
    with pytest.raises(Refused, match="1 question of the review sheet"):
        sign(thorne, draft)
    with pytest.raises(StaleRecord):
        fill(thorne, draft, answers(questions=asked))
    fill(thorne, draft, answers("no", asked, "Only once."), version=made.version)
    assert sign(thorne, draft).outcome == "signed"


def test_where_no_rule_asks_no_sheet_is_taken(sent_once):
    *_, thorne, draft = sent_once
    with pytest.raises(Refused, match="ask for no review sheet"):
        fill(thorne, draft, answers())

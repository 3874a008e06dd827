"""Deciding item by item: by whom, on which ground, once, replaced, approved by a second person."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from cases.court.actions import withdraw_request
from cases.court.models import RecordsRequest, Release, RequestCase
from cases.decisions import actions, items, queries
from cases.decisions.models import Approval, Ground, ItemDecision, ProposalRule, StopSettled
from cases.decisions.proposal_rules import Earlier
from cases.decisions.ready import ready_items, why_not_ready, withholding_log
from cases.docket.rules import waits_of
from cases.docket.waiting import facts_of
from cases.exhibits.models import Redaction
from cases.models import Case
from cases.packets.material import events_of
from cases.packets.models import Packet
from cases.worklists import sections_for
from evidence.photographs.models import Photograph
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.decisions.builders import (
    approve,
    decide,
    demand_in,
    ground_numbered,
    many_photographs,
    photographed,
    picked,
    reaching,
    request_for,
    second_person,
)
from tests.packets.builders import make_clerk

pytestmark = pytest.mark.django_db


def lacks(demand) -> list[str]:
    return why_not_ready(demand.request)


def test_each_item_is_decided_and_leaves_its_event(demand, clerk, ground):
    rows = queries.standing_of(demand.request).rows[demand.pk]
    assert [(row.item.number, row.proposal.words) for row in rows] == [
        ("P 1", "release"), ("P 2", "withhold"), ("P 3", "a person must look"),
    ]  # fmt: skip
    assert lacks(demand) == ["Demand 1: 3 items are undecided."]
    made = decide(demand, clerk, "withhold", "P 2", ground=ground)
    assert (made.number, made.ground, made.created_by) == ("P 2", ground, clerk)
    event = AuditEvent.objects.get(table="decisions_itemdecision")
    assert (event.act, event.actor_name, event.case_id) == (
        "decide_items", "R. Ostrander", demand.case_id,
    )  # fmt: skip
    decide(demand, clerk, "release", "P 1", "P 3")
    assert ItemDecision.objects.values("together").distinct().count() == 2
    assert lacks(demand) == ["A second person has not approved what was decided."]


@pytest.mark.parametrize(
    ("entry", "field"),
    [
        ({"outcome": "withhold"}, "ground"),
        ({"outcome": "redact"}, "ground"),
        ({"outcome": "not ours"}, "held_by"),
        ({"outcome": "sent"}, "outcome"),
    ],
)
def test_what_a_decision_lacks_stands_beside_its_field(demand, clerk, entry, field):
    with pytest.raises(Invalid) as wrong:
        decide(demand, clerk, entry["outcome"], "P 1")
    assert list(wrong.value.errors) == [field]
    assert not ItemDecision.objects.exists()


def test_who_may_decide_and_who_may_not(demand, vasko):
    with pytest.raises(NotAllowed):
        decide(demand, vasko, "release")
    with pytest.raises(NotAllowed):
        reaching(demand, vasko, "report")
    with pytest.raises(NotAllowed):
        approve(demand.request, make_staff(Role.INVESTIGATOR))
    Case.objects.filter(pk=demand.case_id).update(restricted=True)
    with pytest.raises(NotKnown):
        decide(demand, make_clerk(name="Other"), "release")


def test_the_same_key_gets_the_same_and_nothing_else(demand, clerk, ground):
    key, seen = new_id(), picked(demand)
    first = decide(demand, clerk, "release", items=seen, record_id=key)
    assert decide(demand, clerk, "release", items=seen, record_id=key) == first
    with pytest.raises(Conflict):
        decide(demand, clerk, "withhold", items=seen, record_id=key, ground=ground)
    with pytest.raises(Conflict):
        decide(demand, clerk, "release", items=seen[:1], record_id=key)
    assert ItemDecision.objects.count() == 3


def test_a_decision_that_was_seen_is_replaced_with_the_reason_and_stays(demand, clerk, ground):
    first = decide(demand, clerk, "release", "P 1")
    with pytest.raises(Refused) as why:
        decide(demand, clerk, "withhold", "P 1", ground=ground)
    assert why.value.field == "reason"
    second = decide(demand, clerk, "withhold", "P 1", ground=ground, reason="Counsel asked")
    first.refresh_from_db()
    assert (first.void_reason, first.voided_by, first.version) == ("Counsel asked", clerk, 2)
    assert ItemDecision.objects.active().get() == second
    # The same again is no other decision.
    assert decide(demand, clerk, "withhold", "P 1", ground=ground) == second


def test_whoever_comes_second_is_shown_what_the_first_decided(demand, clerk, ground):
    seen = picked(demand, "P 1")
    first = decide(demand, clerk, "withhold", "P 1", ground=ground)
    other = make_clerk(name="B. Second")
    with pytest.raises(Conflict, match=r"P 1 was decided meanwhile by R. Ostrander: withhold") as e:
        decide(demand, other, "release", items=seen)
    assert e.value.record == first
    # Who says the same is told what stands.
    assert decide(demand, other, "withhold", items=seen, ground=ground) == first


def test_a_changed_item_is_undecided_again_and_needs_no_reason(demand, clerk, vasko):
    seen = picked(demand, "P 3")
    decide(demand, clerk, "release")
    Photograph.objects.filter(case=demand.case_id, number=3).update(shows="A face")
    assert lacks(demand) == ["Demand 1: 1 item has changed since the decision."]
    with pytest.raises(Refused, match="has changed since you read it"):
        decide(demand, clerk, "release", items=seen)
    decide(demand, clerk, "release", "P 3")
    assert ItemDecision.objects.filter(void_reason=actions.OUTDATED).count() == 1


def test_what_is_no_longer_reached_is_not_decided(demand, clerk):
    seen = picked(demand, "P 1")
    reach = demand.reaches.get()
    actions.leave_out_records(
        clerk, case_id=demand.case_id, request_id=demand.request_id, record_id=reach.pk,
        version=1, reason="Only the scene",
    )  # fmt: skip
    with pytest.raises(Refused, match="no longer among"):
        decide(demand, clerk, "release", items=seen)
    reaching(demand, clerk, "photograph", first=2, last=2)
    assert [one.item for one in picked(demand)] == [picked(demand, "P 2")[0].item]
    assert [row.item.number for row in queries.standing_of(demand.request).all_rows] == ["P 2"]


def test_what_the_record_does_not_keep_is_named_by_hand_and_is_somebody_elses(demand, clerk):
    with pytest.raises(Invalid) as wrong:
        reaching(demand, clerk, "other")
    assert "words" in str(wrong.value.errors) or "__all__" in wrong.value.errors
    reaching(demand, clerk, "other", words="Worksheets of the laboratory")
    [named] = [one for one in picked(demand) if one.kind == "other"]
    made = decide(demand, clerk, "not ours", items=[named], held_by="State laboratory")
    assert made.label == "Worksheets of the laboratory"
    [ready] = ready_items(demand.request)
    assert (ready.held_by, ready.goes_out) == ("State laboratory", False)


def test_a_redaction_without_its_copy_is_not_ready(demand, clerk, ground, vasko):
    decide(demand, clerk, "release", "P 1", "P 2")
    decide(demand, clerk, "redact", "P 3", ground=ground)
    assert lacks(demand) == ["Demand 1: no redacted copy of P 3."]
    photograph = Photograph.objects.get(case=demand.case_id, number=3)
    other = Photograph.objects.get(case=demand.case_id, number=1).file
    Redaction.objects.create(
        case_id=demand.case_id, photograph=photograph, regions=[], why="Family’s wish",
        parent_sha256="0" * 64, operations=[], software="x", file=other, screen_file=other,
        created_by=vasko, changed_by=vasko,
    )  # fmt: skip
    assert lacks(demand) == ["A second person has not approved what was decided."]
    ready = {one.number: one for one in ready_items(demand.request)}
    assert (ready["P 3"].copy_digest, ready["P 1"].copy_digest) == (other.sha256, "")


def test_who_says_what_is_reached_or_leaves_it_out_is_not_the_second_person(demand, clerk, ground):
    adds, leaves = second_person(), make_clerk(name="C. Third")
    decide(demand, clerk, "release", "P 1", "P 3")
    decide(demand, clerk, "withhold", "P 2", ground=ground)
    reach = reaching(demand, adds, "history")
    actions.leave_out_records(
        leaves, case_id=reach.case_id, request_id=reach.request_id, record_id=reach.pk, version=1,
        reason="Not asked for.",
    )  # fmt: skip
    for shaped in (adds, leaves):
        with pytest.raises(Refused, match="or what it reaches"):
            approve(demand.request, shaped)
    assert approve(demand.request, make_clerk(name="B. Second")).items == 3


def test_a_second_person_approves_and_a_later_decision_ends_it(demand, clerk, ground):
    thorne = second_person()
    with pytest.raises(Refused, match="not ready"):
        approve(demand.request, thorne)
    decide(demand, clerk, "release", "P 1", "P 3")
    decide(demand, thorne, "withhold", "P 2", ground=ground)
    for decider in (clerk, thorne):
        with pytest.raises(Refused, match="A second person approves"):
            approve(demand.request, decider)
    other, key = make_clerk(name="B. Second"), new_id()
    read = queries.standing_of(demand.request).digest
    made = approve(demand.request, other, record_id=key)
    assert approve(demand.request, other, record_id=key, digest=read) == made
    assert (made.items, lacks(demand)) == (3, [])
    with pytest.raises(Conflict):
        approve(demand.request, other, record_id=key, digest="0" * 64)
    decide(demand, clerk, "release", "P 2", reason="The court ordered it")
    made.refresh_from_db()
    assert made.void_reason == actions.OUTDATED
    assert lacks(demand) == ["A second person has not approved what was decided."]
    with pytest.raises(Refused, match="changed since you read it"):
        approve(demand.request, other, digest=read)
    again = approve(demand.request, other)
    actions.end_approval(
        other, case_id=demand.case_id, request_id=demand.request_id, record_id=again.pk,
        version=1, reason="A word with counsel first",
    )  # fmt: skip
    assert not Approval.objects.active().exists()


def test_an_age_that_nobody_knows_keeps_the_answer_back_as_a_minor_does(demand, clerk):
    decide(demand, clerk, "release")
    decedents = demand.case.decedent.__class__.objects.filter(case=demand.case_id)
    decedents.update(age_years=None)
    (said,) = lacks(demand)
    assert "not known whether the decedent was a minor" in said
    assert "one thing keeps the answer back" in waits(demand).words
    decedents.update(born_on=timezone.localdate() - timedelta(days=365 * 40))
    assert not any("minor" in one for one in lacks(demand))
    assert "answer back" not in waits(demand).words


def waits(demand):
    asked = RecordsRequest.objects.get(pk=demand.request_id)
    return waits_of(facts_of([asked], timezone.localdate())[asked.pk])


def test_stops_keep_the_answer_back_until_each_is_decided(demand, clerk):
    decide(demand, clerk, "release")
    case = {"case_id": demand.case_id}
    entry = {"kind": "prosecution", "why": "State v. Marsh"}
    stop = actions.note_stop(clerk, record_id=new_id(), entry=entry, **case)
    past = {**entry, "until": timezone.localdate() - timedelta(days=1)}
    actions.note_stop(clerk, record_id=new_id(), entry=past, **case)
    Case.objects.filter(pk=demand.case_id).update(restricted=True)
    demand.case.decedent.__class__.objects.filter(case=demand.case_id).update(age_years=12)
    assert [one[one.index(":") + 2 :].partition(":")[0] for one in lacks(demand)] == [
        "the case is restricted to its team",
        "the decedent was a minor",
        "ongoing prosecution (State v. Marsh)",
    ]
    Case.objects.filter(pk=demand.case_id).update(restricted=False)
    said = {"words": "The State asks for it itself", "on_word_of": "A. Merrow, county attorney"}
    settle = {**case, "request_id": demand.request_id, "entry": said}
    actions.settle_stop(clerk, record_id=new_id(), stop=str(stop.pk), **settle)
    with pytest.raises(NotKnown):
        actions.settle_stop(clerk, record_id=new_id(), stop="restricted:other", **settle)
    with pytest.raises(Invalid):
        actions.settle_stop(clerk, record_id=new_id(), stop=str(stop.pk), **settle)
    with pytest.raises(Invalid):
        wrong = {**settle, "entry": {"words": "", "on_word_of": ""}}
        actions.settle_stop(clerk, record_id=new_id(), stop=f"juvenile:{demand.case_id}", **wrong)
    assert len(lacks(demand)) == 1
    made = actions.settle_stop(
        clerk, record_id=new_id(), stop=f"juvenile:{demand.case_id}", **settle
    )
    assert lacks(demand) == ["A second person has not approved what was decided."]
    assert made in StopSettled.objects.active()
    with pytest.raises(StaleRecord):
        actions.lift_stop(clerk, record_id=stop.pk, version=2, reason="over", **case)
    actions.lift_stop(clerk, record_id=stop.pk, version=1, reason="The trial is over", **case)


def test_what_is_settled_or_asked_after_the_approval_asks_for_another(demand, clerk, vasko):
    """Whoever approved may settle a stop as well: then another is the second person."""
    decide(demand, clerk, "release")
    boss, missing = second_person(), ["A second person has not approved what was decided."]
    at = {"case_id": demand.case_id, "request_id": demand.request_id}
    approve(demand.request, boss)
    entry = {"kind": "sealed", "why": "Order of the superior court"}
    stop = actions.note_stop(clerk, case_id=demand.case_id, record_id=new_id(), entry=entry)
    said = {"words": "The order lets it out", "on_word_of": "Counsel"}
    actions.settle_stop(boss, record_id=new_id(), stop=str(stop.pk), entry=said, **at)
    assert lacks(demand) == missing
    with pytest.raises(Refused, match="A second person approves"):
        approve(demand.request, boss)
    approve(demand.request, make_clerk(name="B. Second"))
    asking = {"asked_of": vasko, "words": "Is this the other driver?"}
    look = actions.ask_to_look(
        clerk, demand_id=demand.pk, record_id=new_id(), entry=asking, **at
    )  # fmt: skip
    actions.answer_look(vasko, record_id=look.pk, version=1, entry={"answer": "Yes"}, **at)
    assert lacks(demand) == missing


def test_a_stop_is_of_its_request_or_of_all_and_of_each_case_that_is_asked_for(demand, clerk):
    decide(demand, clerk, "release")
    other = request_for(demand.case, clerk)
    entry = {"kind": "sealed", "why": "Order"}
    for of in (other, demand.request):
        actions.note_stop(
            clerk, case_id=demand.case_id, record_id=new_id(), entry={**entry, "request_id": of.pk}
        )
    [only] = queries.standing_of(demand.request).stops
    further = make_case()
    RequestCase.objects.create(
        case=further, request=demand.request, created_by=clerk, changed_by=clerk
    )
    actions.note_stop(clerk, case_id=further.pk, record_id=new_id(), entry=entry)
    found = queries.standing_of(demand.request).stops
    assert [one.case_id for one in found] == [demand.case_id, further.pk]
    assert only in found
    Case.objects.filter(pk=further.pk).update(restricted=True)
    told = [(one.kind.value, one.case_id) for one in queries.standing_of(demand.request).stops]
    assert ("restricted", further.pk) in told


def test_a_named_person_is_asked_and_answers_in_person(demand, clerk, vasko):
    decide(demand, clerk, "release")
    at = {"case_id": demand.case_id, "request_id": demand.request_id}
    entry = {"asked_of": vasko, "words": "Is this the other driver?", "item": picked(demand)[1]}
    look = actions.ask_to_look(
        clerk, demand_id=demand.pk, record_id=new_id(), entry=entry, **at
    )  # fmt: skip
    assert look.label.startswith("P 2 The other driver")
    assert lacks(demand) == ["Not answered yet by Dr. I. Vasko."]
    answer = {"record_id": look.pk, "version": 1, **at}
    with pytest.raises(Refused, match="answers in person"):
        actions.answer_look(second_person(), entry={"answer": "Yes"}, **answer)
    with pytest.raises(Invalid):
        actions.answer_look(vasko, entry={"answer": " "}, **answer)
    actions.answer_look(vasko, entry={"answer": "Yes, seen at the scene"}, **answer)
    assert len(lacks(demand)) == 1
    Case.objects.filter(pk=demand.case_id).update(restricted=True)
    with pytest.raises(NotKnown):
        actions.ask_to_look(
            make_clerk(name="B"), demand_id=demand.pk, record_id=new_id(), entry=entry, **at
        )  # fmt: skip


def test_whoever_could_not_answer_is_not_asked(demand, clerk, renn):
    call = {"case_id": demand.case_id, "request_id": demand.request_id, "demand_id": demand.pk}
    with pytest.raises(Refused) as refused:
        actions.ask_to_look(
            clerk, record_id=new_id(), entry={"asked_of": renn, "words": "Look"}, **call
        )
    assert refused.value.field == "asked_of"
    gone = make_staff(Role.PATHOLOGIST)
    type(gone).objects.filter(pk=gone.pk).update(is_active=False)
    with pytest.raises(Refused, match="may not see the case"):
        actions.ask_to_look(
            clerk, record_id=new_id(), entry={"asked_of": gone, "words": "Look"}, **call
        )


def test_an_item_that_is_sent_twice_is_decided_once_and_too_many_are_refused(
    demand, clerk, monkeypatch
):
    [one] = picked(demand, "P 1")
    decide(demand, clerk, "release", items=[one, one])
    assert ItemDecision.objects.count() == 1
    monkeypatch.setattr(actions.items, "MOST_AT_ONCE", 2)
    with pytest.raises(Refused, match="2 items at most"):
        decide(demand, clerk, "release")


def test_what_a_released_packet_held_is_told_each_in_its_form(demand, clerk):
    released = {"case": demand.case, "request": demand.request, "created_by": clerk,
                "changed_by": clerk}  # fmt: skip
    packet = Packet.objects.create(
        number=1, state="made", built_at=timezone.now(), path="packets/1", sha256="0" * 64,
        size_bytes=1, holds={"photographs": [1, 2], "redactions": {"2": "x"}, "addenda": []},
        **released,
    )  # fmt: skip
    Release.objects.create(
        packet_id=packet.pk, packet_sha256="0" * 64, released_to="Holloway and Drake",
        method="mail", released_at=timezone.now(), released_by=clerk, **released,
    )  # fmt: skip
    rows = queries.standing_of(demand.request).rows[demand.pk]
    day = timezone.localdate()
    words = f"sent on {day.day} {day:%b %Y} to Holloway and Drake, packet 1"
    assert [row.sent for row in rows] == [words, f"{words}, as a redacted copy", ""]


def test_a_question_waits_on_the_first_page_of_who_was_asked(demand, clerk, vasko):
    actions.ask_to_look(
        clerk, case_id=demand.case_id, request_id=demand.request_id, demand_id=demand.pk,
        record_id=new_id(), entry={"asked_of": vasko, "words": "Is it the other driver?"},
    )  # fmt: skip
    [section] = [one for one in sections_for(vasko) if one.key == "asked-to-look"]
    assert [one.title for one in section.rows(vasko, timezone.now())] == ["Is it the other driver?"]
    assert section.rows(clerk, timezone.now()) == []


def test_what_was_decided_waits_on_the_first_page_of_who_may_be_the_second_person(demand, clerk):
    def waits(person):
        [section] = [one for one in sections_for(person) if one.key == "to-approve"]
        return [one.title for one in section.rows(person, timezone.now())]

    boss = second_person()
    assert waits(boss) == []
    decide(demand, clerk, "release", "P 1")
    assert waits(boss) == [], "what is not decided to the last item waits for the clerk"
    decide(demand, clerk, "release", "P 2", "P 3")
    assert waits(boss) == ["Subpoena CR-26-01177, Office of the county attorney"]
    assert waits(clerk) == []
    other = demand_in(demand.request, clerk, 2, title="Toxicology")
    assert waits(boss) == []
    decline = {"voided_by": clerk, "voided_at": timezone.now(), "void_reason": "Asked for twice."}
    type(other).objects.filter(pk=other.pk).update(**decline)
    assert len(waits(boss)) == 1
    approve(demand.request, boss)
    assert waits(boss) == []


def test_what_an_earlier_release_sent_is_set_aside(demand, clerk, monkeypatch):
    one = picked(demand, "P 1")[0]
    earlier = Earlier("r", "sent on 24 Nov 2026 to Holloway and Drake", frozenset({one.name}))
    monkeypatch.setattr(items, "_SENT", {"test": lambda cases: [earlier]})
    call = {
        "case_id": demand.case_id, "request_id": demand.request_id, "demand_id": demand.pk,
    }  # fmt: skip
    key = new_id()
    made = actions.set_aside_sent(clerk, record_id=key, **call)
    assert (made.outcome, made.note) == ("sent", earlier.words)
    assert actions.set_aside_sent(clerk, record_id=key, **call) == made
    with pytest.raises(Refused, match="Nothing that is undecided"):
        actions.set_aside_sent(clerk, record_id=new_id(), **call)
    assert lacks(demand) == ["Demand 1: 2 items are undecided."]


def test_what_went_to_somebody_else_is_set_aside_only_by_its_own_words(demand, clerk, monkeypatch):
    names = [one.name for one in picked(demand, "P 1", "P 2", "P 3")]
    to_asker = Earlier("r", "sent on 24 Nov 2026 to Holloway and Drake", frozenset(names[:2]))
    to_other = Earlier("s", "sent on 25 Nov 2026 to the county attorney", frozenset(names[2:]))
    monkeypatch.setattr(items, "_SENT", {"test": lambda cases: [to_asker, to_other]})
    call = {
        "case_id": demand.case_id, "request_id": demand.request_id, "demand_id": demand.pk,
    }  # fmt: skip
    with pytest.raises(Refused, match="say which"):
        actions.set_aside_sent(clerk, record_id=new_id(), **call)
    with pytest.raises(Refused, match="Nothing that is undecided"):
        actions.set_aside_sent(clerk, record_id=new_id(), sent="sent to nobody", **call)
    key = new_id()
    made = actions.set_aside_sent(clerk, record_id=key, sent=to_asker.words, **call)
    assert actions.set_aside_sent(clerk, record_id=key, sent=to_asker.words, **call) == made
    with pytest.raises(Conflict):
        actions.set_aside_sent(clerk, record_id=key, sent=to_other.words, **call)
    assert lacks(demand) == ["Demand 1: 1 item is undecided."]


def test_the_log_names_what_is_kept_back_with_its_ground_and_discloses_nothing(
    demand, clerk, ground
):
    decide(demand, clerk, "withhold", "P 2", ground=ground)
    decide(demand, clerk, "release", "P 1")
    [row] = withholding_log(demand.request)
    assert (row.item, row.what, row.treatment) == ("P 2", "photograph", "withheld")
    assert (row.ground, row.citation) == ("Health record of a person", "County Code 27, section 4")
    assert "driver" not in str(row)


def test_nothing_of_it_is_in_a_packets_history(demand, clerk, ground):
    decide(demand, clerk, "withhold", "P 2", ground=ground, note="Tell-tale note")
    told = str(events_of(demand.case_id))
    assert "Tell-tale" not in told
    assert "decisions_" not in told


def test_a_ground_is_replaced_and_a_used_one_cannot_vanish(demand, clerk, ground):
    made = decide(demand, clerk, "withhold", "P 2", ground=ground)
    with pytest.raises(Refused, match="rest on it"):
        actions.withdraw_ground(clerk, record_id=ground.pk, version=1, reason="no")
    rule = actions.set_proposal_rule(
        clerk, key="living", record_id=new_id(), version=0, entry={"ground": ground}
    )
    said = {"words": "Health of the living", "citation": "County Code 27, 4(b)"}
    new = actions.replace_ground(
        clerk, ground_id=ground.pk, record_id=new_id(), version=1, entry=said, reason="Amended"
    )
    rule.refresh_from_db()
    made.refresh_from_db()
    assert (new.number, rule.ground, made.ground) == (4, new, ground)
    assert [one.words for one in queries.grounds()] == ["Health of the living"]
    with pytest.raises(Refused, match="no longer in the list"):
        decide(demand, clerk, "withhold", "P 1", ground=ground)
    rows = {row.item.number: row for row in queries.standing_of(demand.request).all_rows}
    assert rows["P 2"].proposal.ground == 4
    with pytest.raises(Refused, match="A rule proposes it"):
        actions.withdraw_ground(clerk, record_id=new.pk, version=1, reason="no")
    with pytest.raises(Invalid):
        ground_numbered(4, clerk)
    spare = ground_numbered(9, clerk)
    actions.withdraw_ground(clerk, record_id=spare.pk, version=1, reason="never used")
    assert Ground.objects.active().count() == 1


def test_a_rule_is_switched_off_but_not_one_that_is_always_used(clerk, vasko):
    call = {"record_id": new_id(), "version": 0, "entry": {"is_on": False}}
    made = actions.set_proposal_rule(clerk, key="face", **call)
    assert not queries.rules_now()["face"].is_on
    # Sent once more it is answered as done; with other content it is a conflict.
    assert actions.set_proposal_rule(clerk, key="face", **call) == made
    with pytest.raises(Conflict):
        actions.set_proposal_rule(clerk, key="face", **{**call, "entry": {"is_on": True}})
    with pytest.raises(StaleRecord):
        actions.set_proposal_rule(clerk, key="face", **{**call, "record_id": new_id()})
    assert ProposalRule.objects.get().version == 1
    with pytest.raises(Refused, match="always used"):
        actions.set_proposal_rule(clerk, key="not-described", **{**call, "record_id": new_id()})
    with pytest.raises(NotAllowed):
        actions.set_proposal_rule(vasko, key="papers", **{**call, "record_id": new_id()})
    with pytest.raises(NotKnown):
        actions.set_proposal_rule(clerk, key="none", **{**call, "record_id": new_id()})


def test_a_further_case_is_asked_for_and_one_that_is_closed_is_told_without_its_name(
    demand, clerk, vasko
):
    further = photographed(vasko, ["A boat"], family_name="Marlow")
    Case.objects.filter(pk=further.pk).update(restricted=True)
    RequestCase.objects.create(
        case=further, request=demand.request, created_by=clerk, changed_by=clerk
    )
    standing = queries.standing_of(demand.request, clerk)
    assert (standing.closed_cases, [one.pk for one in standing.cases]) == (1, [demand.case_id])
    assert any("named team" in one for one in standing.lacking)
    with pytest.raises(NotKnown):
        reaching(demand, clerk, "photograph", of_case=further.pk)
    with pytest.raises(NotKnown):
        reaching(demand, clerk, "photograph", of_case=make_case().pk)
    Case.objects.filter(pk=further.pk).update(restricted=False)
    reaching(demand, clerk, "photograph", of_case=further.pk)
    decide(demand, clerk, "release")
    assert ItemDecision.objects.filter(case=further).count() == 1


def test_nothing_is_decided_of_a_closed_request(demand, clerk):
    seen = picked(demand)
    withdraw_request(
        clerk, case_id=demand.case_id, request_id=demand.request_id, version=1, reason="Quashed"
    )
    with pytest.raises(Refused, match="withdrawn"):
        decide(demand, clerk, "release", items=seen)
    demand.request.refresh_from_db()
    assert lacks(demand) == ["The request is closed."]


def test_a_signed_case_takes_decisions_and_nothing_more_of_them(clerk, ground):
    case = make_case(state="signed")
    demand = demand_in(request_for(case, clerk), clerk)
    reaching(demand, clerk, "history")
    decide(demand, clerk, "release")
    decide(demand, clerk, "withhold", ground=ground, reason="Counsel")
    entry = {"kind": "sealed", "why": "Order of 3 Nov"}
    actions.note_stop(clerk, case_id=case.pk, record_id=new_id(), entry=entry)
    look = actions.ask_to_look(
        clerk, case_id=case.pk, request_id=demand.request_id, demand_id=demand.pk,
        record_id=new_id(), entry={"asked_of": clerk, "words": "Look"},
    )  # fmt: skip
    actions.answer_look(
        clerk, case_id=case.pk, request_id=demand.request_id, record_id=look.pk, version=1,
        entry={"answer": "Seen"},
    )  # fmt: skip
    key = queries.standing_of(demand.request).stops[0].key
    actions.settle_stop(
        clerk, case_id=case.pk, request_id=demand.request_id, record_id=new_id(), stop=key,
        entry={"words": "The order lets it out", "on_word_of": "Counsel"},
    )  # fmt: skip
    approve(demand.request, second_person())
    assert lacks(demand) == []


def test_reading_takes_as_many_statements_for_three_photographs_as_for_sixty(demand, clerk):
    counts = []
    for more in (0, 57):
        many_photographs(demand.case, more)
        with CaptureQueriesContext(connection) as asked:
            rows = queries.standing_of(demand.request, clerk).all_rows
        counts.append((len(rows), len(asked)))
    assert [rows for rows, _ in counts] == [3, 60]
    assert counts[0][1] == counts[1][1] <= 24
    with CaptureQueriesContext(connection) as asked:
        decide(demand, clerk, "release")
    assert len(asked) < 70, "sixty items are written in one statement"

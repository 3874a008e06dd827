"""Pages: a demand's items in ranges, deciding in a touch, approving, what is kept back, grounds."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.decisions import items, queries
from cases.decisions.models import Approval, Ground, ItemDecision, LookAsked, Reach, Stop
from cases.decisions.proposal_rules import Earlier
from cases.decisions.shown import DemandPage
from me_office.audit.ids import new_id
from tests.builders import as_person
from tests.decisions.builders import (
    decide,
    demand_in,
    many_photographs,
    picked,
    reaching,
    second_person,
)
from tests.packets.builders import make_clerk

pytestmark = pytest.mark.django_db


def url(name: str, demand, **more) -> str:
    keys = {"case_id": demand.case_id, "request_id": demand.request_id, **more}
    return reverse(f"decisions:{name}", kwargs=keys)


def of_demand(name: str, demand) -> str:
    return url(name, demand, demand_id=demand.pk)


def ranges(demand):
    return DemandPage(queries.standing_of(demand.request), demand).ranges


def sent(one, **fields):
    return {"items": one.tokens, "record_id": new_id(), "request_key": new_id(), **fields}


def test_a_demand_shows_its_ranges_what_is_proposed_and_why(demand, signed_in):
    page = signed_in.get(of_demand("demand", demand)).content.decode()
    for words in ("P 1", "The other driver, injured", "a person must look", "Decide the next three",
                  "nothing yet", "3 undecided", "0 of 1 demand decided"):  # fmt: skip
        assert words in page, words


def test_alike_items_are_one_range_and_a_decision_in_a_touch_is_for_all(demand, signed_in):
    many_photographs(demand.case, 3)
    found = {one.called: one for one in ranges(demand)}
    assert list(found) == ["P 1", "P 2", "P 3", "P 4 to 6"]
    assert found["P 4 to 6"].title == "Road and vehicles"
    answer = signed_in.post(of_demand("decide", demand), sent(found["P 4 to 6"], outcome="release"))
    assert answer.status_code == 302
    assert ItemDecision.objects.filter(outcome="release").count() == 3
    page = signed_in.get(of_demand("demand", demand)).content.decode()
    assert "3 of 6 decided, 3 wait" in page
    assert "3 photographs (3 originals)" in page


def test_a_ground_that_the_page_proposed_does_not_keep_an_item_from_being_released(
    demand, signed_in, ground
):
    one = ranges(demand)[0]
    given = sent(one, outcome="release", ground=ground.pk, held_by="Somebody")
    assert signed_in.post(of_demand("decide", demand), given).status_code == 302
    made = ItemDecision.objects.get(item=one.first.item.key)
    assert (made.outcome, made.ground, made.held_by) == ("release", None, "")


def test_a_touch_that_lacks_its_ground_asks_for_it_and_keeps_what_was_chosen(
    demand, signed_in, ground
):
    one = ranges(demand)[1]
    answer = signed_in.post(of_demand("decide", demand), sent(one, outcome="withhold"))
    assert answer.status_code == 422
    assert "Name the ground on which it is kept back." in answer.content.decode()
    given = sent(one, outcome="withhold", ground=ground.pk)
    assert signed_in.post(of_demand("decide", demand), given).status_code == 302
    log = signed_in.get(url("withheld", demand)).content.decode()
    assert "Health record of a person" in log
    assert "driver" not in log.partition("<table")[2].partition("</table>")[0]
    lines = b"".join(signed_in.get(url("withheld-csv", demand)).streaming_content).decode()
    assert lines.splitlines()[1] == (
        '1,P 2,photograph,withheld,Health record of a person,"County Code 27, section 4"'
    )


def test_whoever_comes_second_sees_what_was_decided_and_may_replace_it(demand, signed_in, ground):
    one = ranges(demand)[0]
    decide(demand, make_clerk(name="B. First"), "withhold", "P 1", ground=ground)
    answer = signed_in.post(of_demand("decide", demand), sent(one, outcome="release"))
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "was decided meanwhile by B. First: withhold, ground 4" in page
    again = ranges(demand)[0]
    why = sent(again, outcome="release", reason="The court ordered it")
    assert signed_in.post(of_demand("decide", demand), why).status_code == 302
    assert ItemDecision.objects.active().get().outcome == "release"


def test_the_undecided_are_gone_through_one_after_the_other(demand, signed_in):
    place = f"{of_demand('decide', demand)}?next=1"
    for number in ("P 1", "P 2", "P 3"):
        page = signed_in.get(place)
        assert f"Decide on {number}" in page.content.decode()
        one = page.context["chosen"]
        answer = signed_in.post(of_demand("decide", demand), sent(one, outcome="missing", onward=1))
        assert (answer.url == place) == (number != "P 3")
    assert signed_in.get(place).status_code == 302


def test_a_single_item_and_a_range_are_opened_and_what_is_unknown_goes_back(demand, signed_in):
    place = of_demand("decide", demand)
    anchor = ranges(demand)[1].anchor
    for asked in ("item", "range"):
        page = signed_in.get(place, {asked: anchor}).content.decode()
        assert "which may be the health of a living person" in page
    assert signed_in.get(place, {"item": "photograph-none"}).status_code == 302
    assert signed_in.post(place, {"items": "x", "outcome": "release"}).status_code in {302, 422}


def test_records_are_chosen_by_the_words_of_the_demand_and_left_out_again(demand, signed_in, clerk):
    other = demand_in(demand.request, clerk, 2, title="Toxicology results and worksheets")
    page = signed_in.get(of_demand("demand", other)).content.decode()
    assert "Add results of laboratories and consultants" in page
    assert "Add Worksheets" in page
    form = {"kind": "other", "words": "Worksheets", "record_id": new_id(), "request_key": new_id()}
    assert signed_in.post(of_demand("reach", other), form).status_code == 302
    made = Reach.objects.get(demand=other)
    wrong = signed_in.post(of_demand("reach", other), {**form, "words": "", "record_id": new_id()})
    assert wrong.status_code == 422
    signed_in.get(of_demand("reach", other))
    leave = url("leave-out", other, record_id=made.pk)
    assert signed_in.get(leave).status_code == 200
    assert signed_in.post(leave, {"reason": "not asked", "version": 1}).status_code == 302
    made.refresh_from_db()
    assert made.is_voided


def test_what_the_record_does_not_hold_is_said_and_can_be_named(demand, signed_in, clerk):
    reaching(demand, clerk, "statement")
    page = signed_in.get(of_demand("demand", demand)).content.decode()
    assert "The record holds none: earlier statements." in page
    named = {
        "kind": "other",
        "words": "Earlier statements",
        "record_id": new_id(),
        "request_key": new_id(),
    }
    assert signed_in.post(of_demand("reach", demand), named).status_code == 302
    page = signed_in.get(of_demand("demand", demand)).content.decode()
    assert "The record holds none" not in page and "named by hand" in page


def test_without_grounds_the_form_leads_to_the_offices_list(demand, signed_in):
    one = ranges(demand)[0]
    asked = signed_in.post(of_demand("decide", demand), sent(one, outcome="withhold"))
    page = asked.content.decode()
    assert asked.status_code == 422 and "No grounds yet." in page
    assert reverse("decisions:grounds") in page


def test_what_was_sent_is_told_and_set_aside(demand, signed_in, monkeypatch):
    names = frozenset(one.name for one in picked(demand, "P 1", "P 2"))
    earlier = Earlier("r", "sent on 24 Nov 2026 to Holloway and Drake", names)
    monkeypatch.setattr(items, "_SENT", {"test": lambda cases: [earlier]})
    page = signed_in.get(of_demand("demand", demand)).content.decode()
    assert "Already sent on 24 Nov 2026 to Holloway and Drake: P 1 to 2." in page
    assert 'name="sent" value="sent on 24 Nov 2026 to Holloway and Drake"' in page
    for _ in range(2):
        signed_in.post(of_demand("difference", demand), {"record_id": new_id()})
    assert ItemDecision.objects.filter(outcome="sent").count() == 2


def test_questions_stops_and_approval_have_their_pages(demand, signed_in, vasko, ground):
    ask = {"asked_of": vasko.pk, "words": "Is it the other driver?", "record_id": new_id()}
    assert signed_in.post(of_demand("ask", demand), ask).status_code == 302
    look = LookAsked.objects.get()
    place = url("answer", demand, record_id=look.pk)
    assert signed_in.get(place).status_code == 403
    theirs = as_person(vasko)
    assert "Is it the other driver?" in theirs.get(place).content.decode()
    assert "Answer it" in theirs.get(of_demand("demand", demand)).content.decode()
    assert theirs.post(place, {"answer": "", "version": 1}).status_code == 422
    assert theirs.post(place, {"answer": "Yes", "version": 1}).status_code == 302
    note = {
        "kind": "prosecution",
        "why": "State v. Marsh",
        "this_only": "on",
        "record_id": new_id(),
    }
    assert signed_in.post(url("note-stop", demand), note).status_code == 302
    stop = Stop.objects.get()
    assert stop.request_id == demand.request_id
    request_page = reverse(
        "court:request", kwargs={"case_id": demand.case_id, "request_id": demand.request_id}
    )
    assert "ongoing prosecution (State v. Marsh)" in signed_in.get(request_page).content.decode()
    decide(demand, make_clerk(name="B"), "release")
    approve = url("approve", demand)
    assert "Not ready to be approved" in signed_in.get(approve).content.decode()
    settle = url("settle-stop", demand, stop=str(stop.pk))
    said = {"words": "The State asks itself", "on_word_of": "A. Merrow", "record_id": new_id()}
    assert signed_in.get(settle).status_code == 200
    assert signed_in.post(settle, {**said, "on_word_of": ""}).status_code == 422
    assert signed_in.post(settle, said).status_code == 302
    assert "You decided a part of it" in signed_in.get(approve).content.decode()
    thorne = as_person(second_person())
    shown = thorne.get(approve)
    asks = "What is requested:</strong> Report and photographs."
    assert asks in shown.content.decode(), "what no demand names is seen by who approves"
    for one in picked(demand):
        keys = {"case_id": demand.case_id, "photograph_id": one.item}
        assert reverse("evidence:photograph", kwargs=keys) in shown.content.decode()
    digest = shown.context["form"]["digest"].value()
    wrong = thorne.post(approve, {"digest": "0" * 64, "record_id": new_id()})
    assert wrong.status_code == 422
    assert thorne.post(approve, {"digest": digest, "record_id": new_id()}).status_code == 302
    made = Approval.objects.get()
    end = url("end-approval", demand, record_id=made.pk)
    assert "Take back the approval" in thorne.get(approve).content.decode()
    assert thorne.post(end, {"reason": "Counsel first", "version": 1}).status_code == 302
    lift = url("lift-stop", demand, record_id=stop.pk)
    assert signed_in.get(lift).status_code == 200
    assert signed_in.post(lift, {"reason": "Over", "version": 1}).status_code == 302


def test_a_reader_decides_nothing_and_sees_what_was_decided(demand, client, vasko, clerk, ground):
    decide(demand, clerk, "withhold", "P 2", ground=ground)
    client.force_login(vasko)
    page = client.get(of_demand("demand", demand)).content.decode()
    assert "Withhold" in page
    assert "decisions-three" not in page
    assert client.get(of_demand("decide", demand), {"next": 1}).status_code == 403


def test_the_list_of_grounds_and_of_rules(signed_in, vasko, client):
    place = reverse("decisions:grounds")
    new = {
        "number": 4,
        "words": "Health record",
        "citation": "County Code 27",
        "record_id": new_id(),
    }
    assert signed_in.post(place, new).status_code == 302
    twice = signed_in.post(place, {**new, "record_id": new_id()})
    assert twice.status_code == 422
    assert "The list has this number already." in twice.content.decode()
    ground = Ground.objects.get()
    replace = reverse("decisions:replace-ground", args=[ground.pk])
    assert "Health record" in signed_in.get(replace).content.decode()
    other = {"words": "Health of the living", "citation": "27(4)", "version": 1, "reason": "Law",
             "record_id": new_id()}  # fmt: skip
    assert signed_in.post(replace, {**other, "approved_by": "A"}).status_code == 422
    assert signed_in.post(replace, other).status_code == 302
    now = Ground.objects.active().get()
    rule = reverse("decisions:rule", args=["living"])
    assert signed_in.get(rule).status_code == 200
    assert signed_in.post(rule, {"is_on": "on", "ground": now.pk, "version": 0}).status_code == 302
    page = signed_in.get(place).content.decode()
    assert "withhold, ground 4" in page
    assert "27(4)" in page
    withdraw = reverse("decisions:withdraw-ground", args=[now.pk])
    refused = signed_in.post(withdraw, {"reason": "no", "version": 1})
    assert "A rule proposes it" in refused.content.decode()
    assert signed_in.get(reverse("decisions:rule", args=["none"])).status_code == 404
    client.force_login(vasko)
    assert client.get(rule).status_code == 403
    assert "Add a ground" not in client.get(place).content.decode()


def test_the_page_takes_as_many_statements_for_three_photographs_as_for_sixty(demand, signed_in):
    counts = []
    for more in (0, 57):
        many_photographs(demand.case, more)
        with CaptureQueriesContext(connection) as asked:
            assert signed_in.get(of_demand("demand", demand)).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1] < 90, counts

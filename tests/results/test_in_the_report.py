"""Results in the report, what is not available at signing, and what comes after it."""

from __future__ import annotations

import io
from copy import deepcopy

import pikepdf
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from guardian.shortcuts import assign_perm

from cases.actions import record_reading
from cases.certification.actions import state_cause_and_manner
from cases.models import Case
from cases.packets.material import material_of
from cases.packets.printing import print_report, report_values
from cases.review import actions, amending
from cases.review.content import report_content
from cases.review.late import late_results, results_waiting
from cases.review.models import Addendum, AmendedPassage, ReportDraft
from cases.review.reported import from_outside, passage_key
from evidence.results import queries
from evidence.results.models import Result, ResultItem, ResultLine
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Refused
from me_office.audit.ids import new_id
from tests.bench.measuring import MOST_STATEMENTS
from tests.builders import PASSWORD, as_person, make_case, make_staff, with_password
from tests.cases.entries import ago
from tests.evidence.items import fill_with_specimens, take
from tests.packets.reading import squeezed, text_of
from tests.results.builders import OXYCODONE, report_of, result_entry
from tests.review.test_review import make_ready

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def _ready_once(made_once):
    return made_once(make_ready)


@pytest.fixture
def ready(db, _ready_once):
    return deepcopy(_ready_once)


def send(case, author, acknowledged=(), version=1):
    return actions.submit_report(
        author, case_id=case.pk, record_id=new_id(), version=version, acknowledged=acknowledged
    )


def gap_keys(case):
    return [gap.key for gap in from_outside(case.pk).not_available]


def sign(case, author, reviewer):
    draft = send(case, author, gap_keys(case))
    actions.sign_off(
        reviewer, case_id=case.pk, record_id=new_id(), draft_id=draft.pk, sha256=draft.sha256
    )
    return draft


def section(content, key):
    return next((one for one in content["sections"] if one["key"] == key), None)


def printed(case):
    return report_values(material_of(case.pk), with_photographs=False)


def page_of(person, case, name="review:report"):
    address = reverse(name, kwargs={"case_id": case.pk})
    return as_person(person).get(address).content.decode()


def test_the_report_says_who_said_what_when_on_which_specimen(ready):
    case, vasko, _ = ready
    assert section(report_content(case.pk), "results") is None
    blood = take(vasko, case)
    early = report_of(vasko, case, status="preliminary", items=[blood.item_id])
    report_of(
        vasko, case, items=[blood.item_id], lines=[OXYCODONE], replaces=early.pk,
        why_replaced="Final report",
    )  # fmt: skip
    found = section(report_content(case.pk), "results")
    (said,) = found["passages"]
    assert (said["key"], said["lead"]) == (
        "result-2", "Result 2, toxicology, Lennow Toxicology Laboratory"
    )  # fmt: skip
    assert said["text"] == (
        "Final report LT-26-1187 of 16 November 2026, H. Brandt, PhD, received 17 November "
        "2026; on item 1 (blood, right femoral vein). It replaces result 1. "
        "Oxycodone was found in femoral blood."
    )
    assert found["rows"] == [["2", "Oxycodone", "0.40 mg/L", "Femoral blood", "0.005 mg/L"]]
    assert any(one["key"] == "results" for one in printed(case)["sections"])
    beside = page_of(vasko, case, "certification:cause-and-manner")
    assert "Oxycodone: 0.40 mg/L" in beside
    assert "judges none of them" in beside


def test_nothing_is_signed_on_blood_that_never_left_without_saying_so(ready):
    case, vasko, thorne = ready
    take(vasko, case)
    tox, unsent = from_outside(case.pk).not_available
    for acknowledged in ([], [tox.key], [unsent.key], ["another"]):
        with pytest.raises(Refused, match="not available at signing") as refused:
            send(case, vasko, acknowledged)
        assert refused.value.field == "acknowledged"
    assert not ReportDraft.objects.exists()
    draft = send(case, vasko, [tox.key, unsent.key])
    said = section(draft.content, "not-available")
    assert [one["text"] for one in said["passages"]] == [tox.words, unsent.words]
    assert "no transfer out of the office is on record" in unsent.words
    (as_printed,) = [one for one in printed(case)["sections"] if one["key"] == "not-available"]
    assert as_printed["title"] == "Not available at signing"
    review = page_of(thorne, case, "review:review")
    assert "The author signed without it" in review
    assert f'href="#passage-{passage_key(unsent.key)}"' in review
    # A result that comes during the review makes the draft untrue; it has to be sent again.
    report_of(vasko, case)
    with pytest.raises(Refused, match="changed after this draft"):
        actions.sign_off(
            thorne, case_id=case.pk, record_id=new_id(), draft_id=draft.pk, sha256=draft.sha256
        )


def test_the_page_asks_for_each_and_keeps_what_was_ticked(ready):
    case, vasko, _ = ready
    with_password(vasko)
    take(vasko, case)
    browser, keys = as_person(vasko), gap_keys(case)
    shown = page_of(vasko, case)
    assert shown.count('name="acknowledged"') == 2
    assert reverse("results:record", kwargs={"case_id": case.pk}) in shown
    assert reverse("custody:case", kwargs={"case_id": case.pk}) in shown
    address = reverse("review:submit", kwargs={"case_id": case.pk})
    typed = {"version": "1", "record_id": str(new_id()), "own_password": PASSWORD}
    refused = browser.post(address, {**typed, "acknowledged": keys[:1]})
    assert refused.status_code == 422
    text = refused.content.decode()
    assert "Acknowledge what is not available at signing: Item 1" in text
    assert text.count(" checked") == 1
    done = browser.post(address, {**typed, "acknowledged": keys})
    assert done.status_code == 302, done.content.decode()[-2000:]


def test_the_api_asks_for_each(ready):
    case, vasko, _ = ready
    with_password(vasko)
    take(vasko, case)
    browser, address = as_person(vasko), f"/api/cases/{case.pk}/drafts/"
    body = {"id": str(new_id()), "version": 1, "password": PASSWORD}
    refused = browser.post(address, body, content_type="application/json")
    assert (refused.status_code, refused.json()["field"]) == (422, "acknowledged")
    named = {**body, "acknowledged": gap_keys(case)}
    assert browser.post(address, named, content_type="application/json").status_code == 201


def test_the_report_takes_few_statements_with_all_that_it_can_hold(ready):
    case, vasko, thorne = ready
    blood = take(vasko, case)
    report_of(vasko, case, items=[blood.item_id], lines=[OXYCODONE])
    record_reading(
        make_staff(Role.INVESTIGATOR), case_id=case.pk, record_id=new_id(),
        entry={"kind": "liver", "value_c": "31.5", "read_at": ago(hours=20)},
    )  # fmt: skip
    Case.objects.filter(pk=case.pk).update(restricted=True)
    for member in (vasko, thorne):
        assign_perm("cases.work_on_case", member, case)

    browser, address = as_person(vasko), reverse("review:report", args=[case.pk])

    def statements(*words):
        with CaptureQueriesContext(connection) as read:
            page = browser.get(address).content.decode()
        assert [one for one in words if one not in page] == []
        return len(read)

    shown = ("Oxycodone", "A liver temperature was read")
    few = statements(*shown)
    by = {"case": case, "created_by": vasko, "changed_by": vasko}
    for number in range(2, 61):
        result = Result.objects.create(number=number, **by, **result_entry())
        ResultItem.objects.create(result=result, item=blood.item, **by)
        ResultLine.objects.create(result=result, place=1, **by, **OXYCODONE)
    assert len(queries.current_results(case.pk)) == 60
    # Beside it: who could review and has the time, whether anything is held back, what was set
    # aside, and with which certificate its author signs.
    assert statements(*shown) == few <= MOST_STATEMENTS + 7
    sign(case, vasko, thorne)
    for number in range(61, 64):
        Result.objects.create(number=number, after_signing=True, **by, **result_entry())
    assert statements("Received after signing.") <= MOST_STATEMENTS


def test_a_late_result_changes_the_cause_and_both_are_printed(ready):
    case, vasko, thorne = ready
    clerk = make_staff(Role.RECORDS_CLERK)
    blood = take(vasko, case)
    state_cause_and_manner(
        vasko, case_id=case.pk, record_id=new_id(), version=1,
        entry={"cause_a": "Pending toxicology", "manner": "pending"}, reason="Toxicology to come",
    )  # fmt: skip
    draft = sign(case, vasko, thorne)
    assert not list(results_waiting(vasko))
    late = report_of(clerk, case, items=[blood.item_id], lines=[OXYCODONE])
    assert late.after_signing
    assert list(results_waiting(vasko)) == [late]
    page = page_of(vasko, case)
    assert "Received after signing." in page
    assert "Oxycodone in femoral blood: 0.40 mg/L" in page
    assert f"?result={late.pk}" in page
    assert "Received after signing." in page_of(clerk, case)
    assert f"?result={late.pk}" not in page_of(clerk, case)
    waiting = as_person(vasko).get("/").content.decode()
    assert "Results received after signing" in waiting
    made = amending.amend_record(
        vasko, case_id=case.pk, record_id=new_id(), what="cause-and-manner", version=2,
        entry={"cause_a": "Oxycodone toxicity", "manner": "accident"}, reason="Toxicology",
        rests_on=late.pk,
    )  # fmt: skip
    assert made.rests_on == late
    assert not list(results_waiting(vasko))
    # What was signed stays what was signed; the report prints it, the result and the new cause.
    assert ReportDraft.objects.get(pk=draft.pk).sha256 == draft.sha256
    values = printed(case)
    said = {one["lead"]: one for part in values["sections"] for one in part["passages"]}
    cause = said["Cause of death"]
    assert cause["text"] == "Pending toxicology"
    assert cause["amended"] == [1]
    now = {one["lead"]: one["words"] for one in values["addenda"][0]["passages"]}
    assert now["Cause of death"] == "Now: Oxycodone toxicity."
    assert values["addenda"][0]["why"] == "Toxicology"
    assert any(one["key"] == "not-available" for one in values["sections"])
    (shown,) = values["late_results"]
    assert shown["title"] == "Result 1, toxicology, Lennow Toxicology Laboratory"
    assert "Oxycodone in femoral blood: 0.40 mg/L" in shown["text"]
    assert shown["state"].endswith("after the report was signed. Dealt with in amendment 1.")
    assert values["addenda"][0]["rests_on"] == "Result 1, toxicology"
    text = squeezed(text_of(pikepdf.open(io.BytesIO(
        print_report(material_of(case.pk), with_photographs=False).pdf
    ))))  # fmt: skip
    for words in ("Resultsreceivedaftersigning", "Now:Oxycodonetoxicity", "Notavailableatsigning",
                  "Restson:Result1"):  # fmt: skip
        assert words in text


def test_an_amended_late_result_waits_again_and_an_addendum_deals_with_it(ready):
    case, vasko, thorne = ready
    early = report_of(vasko, case, kind="histology")
    sign(case, vasko, thorne)
    first = report_of(vasko, case)
    key, words = new_id(), {"kind": "addendum", "amends": "", "text": "No change.", "why": "Late"}
    same = {"case_id": case.pk, "record_id": key, "entry": words}
    added = actions.add_addendum(vasko, **same, rests_on=first.pk)
    assert actions.add_addendum(vasko, **same, rests_on=first.pk).pk == added.pk
    with pytest.raises(Conflict):
        actions.add_addendum(vasko, **same, rests_on=early.pk)
    with pytest.raises(Refused) as refused:
        actions.add_addendum(
            vasko, **same | {"record_id": new_id()}, rests_on=report_of(vasko, make_case()).pk
        )
    assert refused.value.field == "rests_on"
    assert not list(results_waiting(vasko))
    second = report_of(vasko, case, replaces=first.pk, why_replaced="Amended by the laboratory")
    assert list(results_waiting(vasko)) == [second]
    dealt = {one.result.pk: one.dealt_words for one in late_results(case.pk, [added])}
    assert dealt == {second.pk: "No addendum or amendment is based on it yet."}
    outside = make_staff(Role.ADMINISTRATOR)
    assert not list(results_waiting(outside))


def test_the_pages_name_the_result_that_an_amendment_rests_on(ready):
    case, vasko, thorne = ready
    with_password(vasko)
    sign(case, vasko, thorne)
    late = report_of(vasko, case)
    browser = as_person(vasko)
    amend = reverse("review:amend", kwargs={"case_id": case.pk, "what": "decedent"})
    assert "Result it is based on" in browser.get(amend).content.decode()
    chosen = f'<option value="{late.pk}" selected>'
    assert chosen in browser.get(f"{amend}?result={late.pk}").content.decode()
    done = browser.post(amend, {
        "version": "1", "family_name": "Hallsted", "given_names": "Oren", "why": "DNA",
        "record_id": str(new_id()), "own_password": PASSWORD, "rests_on": str(late.pk),
    })  # fmt: skip
    assert done.status_code == 302, done.content.decode()[-2000:]
    addenda = reverse("review:addenda", kwargs={"case_id": case.pk})
    assert "Based on" in browser.get(addenda).content.decode()
    done = browser.post(addenda, {
        "kind": "addendum", "text": "Seen.", "why": "Late", "record_id": str(new_id()),
        "rests_on": str(late.pk), "own_password": PASSWORD,
    })  # fmt: skip
    assert done.status_code == 302, done.content.decode()[-2000:]
    assert {one.rests_on for one in Addendum.objects.all()} == {late}


def test_a_late_results_own_page_says_so_and_leads_to_what_answers_it(ready):
    case, vasko, thorne = ready
    early = report_of(vasko, case)
    sign(case, vasko, thorne)
    late = report_of(vasko, case, reference="LT-26-2001")
    amend = reverse("review:amend", args=[case.pk, "cause-and-manner"]) + f"?result={late.pk}"
    add = reverse("review:addenda", args=[case.pk]) + f"?result={late.pk}#add"

    def page(result, person):
        address = reverse("results:one", args=[case.pk, result.pk])
        return as_person(person).get(address).content.decode()

    shown, clerk = page(late, vasko), make_staff(Role.RECORDS_CLERK)
    assert "Received after signing." in shown
    assert amend in shown and add in shown
    assert "Received after signing." not in page(early, vasko)
    assert amend not in page(late, clerk), "who may not amend is not sent there"
    amending.amend_record(
        vasko, case_id=case.pk, record_id=new_id(), what="cause-and-manner", version=1,
        entry={"cause_a": "Acute oxycodone toxicity"}, reason="Late toxicology.", rests_on=late.pk,
    )  # fmt: skip
    dealt = page(late, vasko)
    assert "#addendum-1" in dealt and "Received after signing." in dealt
    assert amend not in dealt
    everything = as_person(vasko).get(reverse("results:all", args=[case.pk])).content.decode()
    assert everything.count("Received after signing") == 1


def test_an_amendment_is_shown_and_printed_with_its_reason(ready):
    case, vasko, thorne = ready
    sign(case, vasko, thorne)
    amending.amend_record(
        vasko, case_id=case.pk, record_id=new_id(), what="cause-and-manner", version=1,
        entry={"cause_a": "Acute oxycodone toxicity"}, reason="Late toxicology.",
    )  # fmt: skip
    page = as_person(vasko).get(reverse("review:report", args=[case.pk])).content.decode()
    passages = AmendedPassage.objects.count()
    assert passages
    assert page.count("Reason: Late toxicology.") == passages + 1, "each passage, and the list"
    values = printed(case)
    (printed_as,) = values["addenda"]
    assert printed_as["why"] == "Late toxicology."
    now = [one["words"] for one in printed_as["passages"] if one["words"].startswith("Now: ")]
    assert len(now) == passages
    assert "Now: Acute oxycodone toxicity." in now
    # Each passage that it concerns says so in the margin: those amended and those written before.
    marked = [
        *values["facts"], *(one for part in values["sections"] for one in part["passages"])
    ]  # fmt: skip
    assert sum(one["amended"] == [1] for one in marked) == len(printed_as["passages"])


def test_what_came_after_the_signature_stands_in_what_happened(ready):
    case, vasko, thorne = ready
    report_of(vasko, case)
    sign(case, vasko, thorne)
    address = reverse("cases:case", args=[case.pk])

    def story():
        with CaptureQueriesContext(connection) as queries:
            page = as_person(vasko).get(address).content.decode()
        part = page[page.index("What happened") : page.index("Latest changes")]
        return part, len(queries)

    def more(count):
        for place in range(count):
            late = report_of(vasko, case, reference=f"LT-26-{place}")
            actions.add_addendum(
                vasko, case_id=case.pk, record_id=new_id(), rests_on=late.pk,
                entry={"kind": "addendum", "text": f"Remark {place}.", "why": "Late toxicology."},
            )  # fmt: skip

    more(3)
    shown, statements = story()
    for once in ("Examination began", "Examination ended", "Report reviewed and signed"):
        assert shown.count(once) == 1, once
    assert shown.count("Result received after signing") == 3
    assert shown.count("Late toxicology.") == 3
    assert "Addendum 3" in shown
    more(57)
    assert story()[1] == statements


def test_many_specimens_that_never_left_are_acknowledged_by_one_tick(ready):
    case, vasko, _ = ready
    with_password(vasko)
    fill_with_specimens(vasko, case, 30)
    take(vasko, case, purpose="gunshot residue", seal_number="GSR 1")
    form = as_person(vasko).get(reverse("review:report", args=[case.pk])).context["submit_form"]
    groups = {group.title: gaps for group, gaps in form.to_acknowledge if group.together}
    (title,) = groups
    assert title.startswith("specimens, taken for toxicology: no transfer out of the office")
    assert [gap.numbers for gap, _ in groups[title]] == [(n,) for n in range(1, 31)]
    (together,) = [group.together for group, _ in form.to_acknowledge if group.together]
    single = [gaps[0][0].key for group, gaps in form.to_acknowledge if not group.together]
    assert any(" " in key for key in single), "a key may hold a blank"
    sent = {"version": "1", "record_id": str(new_id()), "own_password": PASSWORD}
    address, browser = reverse("review:submit", args=[case.pk]), as_person(vasko)
    refused = browser.post(address, {**sent, "acknowledged": [together]})
    assert refused.status_code == 422 and refused.content.decode().count(" checked") == 1
    done = browser.post(address, {**sent, "acknowledged": [together, *single]})
    assert done.status_code == 302, done.content.decode()[-2000:]
    stated = section(ReportDraft.objects.get().content, "not-available")["passages"]
    assert len(stated) == 4
    (told,) = [one["text"] for one in stated if one["text"].startswith("Items ")]
    named = [f"{number} (" for number in range(1, 31)]
    assert all(one in told for one in named), "the report names each"

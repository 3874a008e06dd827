"""What waits and what is measured, read from the database: who sees what, and how much it costs."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.measures import queries, reading
from cases.measures.rules import period_of
from cases.measures.waits import WaitKind
from cases.review.models import DraftReview, ReportDraft
from evidence.results.models import Result
from evidence.results.queries import not_available_in
from findings.models import Examination
from findings.systems.models import MicroscopicSlide
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.models import AccessEvent
from me_office.shell.templatetags.office import days_ago
from tests.builders import as_person, make_case, make_staff
from tests.measures.builders import (
    ago,
    examined_case,
    pending,
    reported,
    sent_back,
    signed,
    taken,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def boss(db: None) -> Staff:
    return make_staff(Role.SUPERVISOR, name="M. Thorne")


@pytest.fixture
def amadi(db: None) -> Staff:
    return make_staff(Role.PATHOLOGIST, name="N. Amadi")


def late_result(case: Any, by: Staff, days: int) -> Result:
    return Result.objects.create(
        case=case, created_by=by, changed_by=by, number=1, kind="toxicology", status="final",
        organization="Lennow Laboratory", reported_on=ago(days), received_on=ago(days),
        statement="Found.", after_signing=True,
    )  # fmt: skip


def found(actor: Staff) -> list[tuple[str, str, int]]:
    """What waits for whom and for how many days, in the order of the kinds."""
    waiting = queries.waiting(actor)
    names = queries.names_of(one.person for one in waiting.waits)
    today = queries.today()
    order = list(WaitKind)
    rows = sorted(waiting.waits, key=lambda one: (order.index(one.kind), one.label))
    return [(one.kind.value, names.get(one.person, ""), one.days(today)) for one in rows]


def test_what_waits_for_whom_and_since_when(boss, vasko, amadi):
    make_case(by=vasko, pathologist=vasko, reported_at=ago(3))
    make_case(by=vasko, reported_at=ago(2))
    examined_case(vasko, 9)
    reported(examined_case(vasko, 12), amadi, days=4)
    reported(examined_case(vasko, 14), amadi, "submitted", days=5)
    back = examined_case(vasko, 20)
    sent_back(back, boss, reported(back, vasko, "returned", 1), 6)
    first = examined_case(vasko, 40, kind="external")
    reported(first, vasko, days=1)
    pending(first, amadi, 30)
    taken(first, vasko, "toxicology", 35)
    closed = examined_case(amadi, 50)
    pending(closed, amadi, 45)
    late_result(closed, amadi, 2)
    signed(closed, 8)
    assert found(boss) == [
        ("not-examined", str(vasko), 3), ("not-examined", "", 2), ("not-begun", str(vasko), 9),
        ("writing", str(amadi), 4), ("writing", str(vasko), 1), ("in-review", "", 5),
        ("sent-back", str(vasko), 6), ("pending", str(amadi), 30), ("pending", str(amadi), 45),
        ("results", str(amadi), 35), ("late-results", str(amadi), 0),
    ]  # fmt: skip
    # Somebody who is no supervisor is told their own: what waits for them, and their own drafts.
    assert found(amadi) == [
        ("writing", str(amadi), 4), ("in-review", "", 5), ("pending", str(amadi), 30),
        ("pending", str(amadi), 45),
        ("results", str(amadi), 35), ("late-results", str(amadi), 0),
    ]  # fmt: skip
    reasons = {one.label: one.reasons for one in queries.waiting(boss).waits
               if one.kind is WaitKind.PENDING}  # fmt: skip
    assert reasons == {
        first.label: ("toxicology",), closed.label: (queries.NOTHING_OUTSTANDING,),
    }  # fmt: skip


def test_a_result_on_file_is_not_outstanding_and_a_preliminary_one_is(boss, vasko):
    case = examined_case(vasko, 9)
    taken(case, vasko, "toxicology", 8)
    taken(case, vasko, "histology", 8, 2)
    for number, (kind, status) in enumerate(
        (("toxicology", "final"), ("histology", "preliminary"))
    ):
        Result.objects.create(
            case=case, created_by=vasko, changed_by=vasko, number=number, kind=kind, status=status,
            organization="Laboratory", reported_on=ago(3), received_on=ago(2), statement="Found.",
        )  # fmt: skip
    [one] = [one for one in queries.waiting(boss).waits if one.kind is WaitKind.RESULTS]
    assert one.reasons == ("histology",)
    # Of one that took the place of another, the newest alone counts, whichever way it goes.
    earlier = Result.objects.get(status="preliminary")
    for number, status in ((2, "final"), (3, "preliminary")):
        earlier = Result.objects.create(
            case=case, created_by=vasko, changed_by=vasko, number=number, kind="histology",
            status=status, organization="Laboratory", reported_on=ago(1), received_on=ago(1),
            statement="Found.", replaces=earlier, why_replaced="Read again",
        )  # fmt: skip
        waits = [one.reasons for one in queries.waiting(boss).waits]
        assert (("histology",) in waits) is (status == "preliminary")


def test_a_slide_that_was_read_here_is_the_histology_of_what_it_names(boss, vasko):
    case = examined_case(vasko, 9)
    pending(case, vasko, 8)
    MicroscopicSlide.objects.create(
        examination=Examination.objects.get(), number=1, label="A1", tissue="Liver", seen="Fat.",
        read_by="Ira Vasko, MD", read_on=ago(1), case=case, created_by=vasko, changed_by=vasko,
    )  # fmt: skip
    taken(case, vasko, "histology", 8, 1, "Liver", "right lobe")
    reasons = {one.kind: one.reasons for one in queries.waiting(boss).waits}
    assert WaitKind.RESULTS not in reasons
    assert reasons[WaitKind.PENDING] == (queries.NOTHING_OUTSTANDING,)
    # A slide of one organ is no histology of another, and both pages and the report say so alike.
    taken(case, vasko, "histology", 8, 2, "Heart", "septum")
    reasons = {one.kind: one.reasons for one in queries.waiting(boss).waits}
    assert reasons[WaitKind.RESULTS] == reasons[WaitKind.PENDING] == ("histology",)
    gaps = [one for one in not_available_in(case.pk) if one.key.startswith("none-")]
    assert [one.numbers for one in gaps] == [(2,)]


def test_a_draft_that_nobody_was_asked_to_review_says_so(boss, vasko):
    reported(examined_case(vasko, 14), vasko, "submitted", days=5)
    page = as_person(boss).get(reverse("measures:waiting")).content.decode()
    assert "No reviewer named" in page


def test_a_period_has_its_first_day_and_its_last(boss, vasko):
    period = replace(period_of("", queries.today()), first=ago(30).date(), last=ago(10).date())
    for days in (31, 30, 10, 9):
        examined_case(vasko, days)
    found, is_all = queries.examined(boss, period)
    assert ([one.examined_on for one in found], is_all) == ([period.first, period.last], True)


def test_a_restricted_case_is_in_no_number_of_who_may_not_know_of_it(boss, vasko):
    case = examined_case(vasko, 100, restricted=True, family_name="Secret")
    reported(case, vasko, days=9)
    pending(case, vasko, 9)
    late_result(signed(examined_case(vasko, 90, restricted=True), 40), vasko, 3)
    browser = as_person(boss)
    assert found(boss) == []
    page = browser.get(reverse("measures:waiting"))
    assert "Nothing is waiting." in page.content.decode()
    measured = reading.measured(boss, "")
    assert sum(part.count for figure in measured.figures for part in figure.parts) == 0
    for name in ("waiting-export", "cases-export"):
        asked = {"figure": "turn-around", "part": "open"}
        sent = browser.get(reverse(f"measures:{name}"), asked)
        assert len(b"".join(sent.streaming_content).splitlines()) == 1, "the head line alone"
    assert browser.get("/api/waiting/").json()["waits"] == []


def test_who_may_see_them(boss, vasko, clerk):
    names = ("waiting", "waiting-export", "measures", "cases", "cases-export")
    asked = {"figure": "turn-around", "part": "open"}
    for person, status in ((boss, 200), (vasko, 200), (clerk, 403)):
        browser = as_person(person)
        for name in names:
            assert browser.get(reverse(f"measures:{name}"), asked).status_code == status, name
        for address in ("waiting", "measures", "measures/cases"):
            assert browser.get(f"/api/{address}/", asked).status_code == status, address


def test_each_number_opens_into_its_cases_and_goes_out_without_a_name(boss, vasko, amadi):
    for days in (10, 100):
        examined_case(vasko, days, family_name="Hallstead")
    signed(examined_case(amadi, 60, family_name="=Marlow"), 20)
    browser = as_person(boss)
    page = browser.get(reverse("measures:measures")).content.decode()
    assert "Median: half are signed within 40 days (n = 3 reports, open ones included)." in page
    assert "figure=turn-around&amp;part=open" in page
    asked = {"figure": "turn-around", "part": "open"}
    behind = browser.get(reverse("measures:cases"), asked).content.decode()
    assert behind.count('class="row"') == 2
    assert "Hallstead" in behind
    assert "Marlow" not in behind
    sent = browser.get(reverse("measures:cases-export"), {**asked, "part": "signed"})
    lines = b"".join(sent.streaming_content).decode().splitlines()
    assert lines[0] == "Case,Person,From,To,Days,Detail"
    assert lines[1].endswith(",40,full autopsy")
    assert len(lines) == 2
    assert "Marlow" not in lines[1]
    look = AccessEvent.objects.latest("id")
    assert (look.what, look.rows) == ("cases behind a measure, CSV", 1)
    assert look.asked["figure"] == "turn-around"
    for wrong in ({"figure": "none", "part": "open"}, {"figure": "turn-around", "part": "none"}):
        assert browser.get(reverse("measures:cases"), wrong).status_code == 404


def test_the_api_says_what_the_page_says(boss, vasko, amadi):
    signed(examined_case(vasko, 100), 50)
    back = examined_case(amadi, 20)
    sent_back(back, boss, reported(back, amadi, "returned", 1), 6)
    browser = as_person(boss)
    said = browser.get("/api/measures/").json()
    numbers = {
        figure["key"]: {part["key"]: part["count"] for part in figure["parts"]}
        for figure in said["figures"]
    }
    assert numbers["turn-around"] == {
        "signed": 1, "open": 1, "within-30": 0, "within-60": 1, "within-90": 1, "late": 0,
        "late-open": 0,
    }  # fmt: skip
    assert numbers["open"]["to-30"] == 1
    assert numbers["returned"]["all"] == 1
    assert said["shares"][2] == {
        "days": 90, "signed": 1, "of": 1, "estimate": None, "interval": None,
    }  # fmt: skip
    rows = browser.get(
        "/api/measures/cases/", {"figure": "workload", "part": f"autopsy.{vasko.pk}"}
    ).json()
    assert [row["days"] for row in rows] == [50]
    # A pathologist's are their own.
    own = as_person(vasko).get("/api/measures/").json()
    [load] = [figure for figure in own["figures"] if figure["key"] == "workload"]
    assert {part["key"].split(".")[1] for part in load["parts"]} == {str(vasko.pk)}
    [wait] = browser.get("/api/waiting/", {"kind": "sent-back"}).json()["waits"]
    assert (wait["name"], wait["days"]) == (str(amadi), 6)


def test_where_there_is_more_than_is_read_it_is_said(boss, vasko, monkeypatch):
    for days in (5, 6, 7):
        examined_case(vasko, days)
    monkeypatch.setattr(queries, "MOST_WAITING", 2)
    monkeypatch.setattr(queries, "MOST_EXAMINED", 2)
    waiting = queries.waiting(boss)
    assert waiting.cut == (WaitKind.NOT_BEGUN,)
    assert [one.days(queries.today()) for one in waiting.waits] == [7, 6], "the oldest"
    assert reading.measured(boss, "").whole is False
    page = as_person(boss).get(reverse("measures:measures")).content.decode()
    assert page.count("Not all.") == 2


def test_a_list_of_sixty_costs_what_one_of_three_does(boss, vasko, amadi):
    browser = as_person(boss)
    counts = []
    for more in (3, 57):
        for n in range(more):
            case = examined_case(vasko if n % 2 else amadi, 20 + n)
            pending(case, vasko, 5)
            taken(case, vasko, "toxicology", 5)
        took = []
        for address, asked in (
            ("waiting", {}), ("measures", {}), ("cases", {"figure": "turn-around", "part": "open"}),
        ):  # fmt: skip
            with CaptureQueriesContext(connection) as said:
                assert browser.get(reverse(f"measures:{address}"), asked).status_code == 200
            took.append(len(said))
        counts.append(took)
    assert counts[0] == counts[1]
    assert max(counts[0]) < 30
    page = browser.get(reverse("measures:waiting"), {"kind": "not-begun"})
    assert len(page.context["rows"]) == 60
    more = browser.get(reverse("measures:waiting"), {"from": "60"})
    assert len(more.context["rows"]) == 60
    assert more.context["first_url"]


def test_the_examinations_of_a_period_are_read_by_their_day(boss):
    with connection.cursor() as cursor:
        cursor.execute("SET LOCAL enable_seqscan = off")
        rows = queries._examinations(boss, period_of("", queries.today()))
        plan = rows.order_by("began_at", "id").explain()
    assert "examination_by_day" in plan


@pytest.mark.parametrize(
    ("days", "words"), [(-1, "today"), (0, "today"), (1, "1 day"), (41, "41 days")]
)
def test_how_long_something_waits_stands_on_the_first_page(days, words):
    assert days_ago(ago(days)) == words
    assert days_ago(None) == ""


def test_a_reviewer_who_was_asked_is_told(boss, vasko, amadi):
    case = examined_case(vasko, 14)
    report = reported(case, vasko, "submitted", days=5)
    own = {"case": case, "created_by": vasko, "changed_by": vasko}
    draft = ReportDraft.objects.create(
        report=report, number=1, content={}, sha256="0" * 64, submitted_at=ago(5), **own
    )
    review = DraftReview.objects.create(draft=draft, reviewer=amadi, asks_opinion=True, **own)
    assert found(boss) == [("in-review", str(amadi), 5)]
    assert found(amadi) == [("in-review", str(amadi), 5)]
    # A supervisor who reviews it, and is to form an opinion first, is not told that it is pending.
    pending(case, vasko, 3)
    assert [kind for kind, _, _ in found(boss)] == ["in-review", "pending"]
    DraftReview.objects.filter(pk=review.pk).update(reviewer=boss)
    assert [kind for kind, _, _ in found(boss)] == ["in-review"]


def test_what_was_sent_back_twice_waits_since_the_second_time(boss, vasko):
    case = examined_case(vasko, 30)
    report = reported(case, vasko, "returned", 1)
    for number, days in ((1, 20), (2, 6)):
        sent_back(case, boss, report, days, number)
    assert [(kind, days) for kind, _, days in found(boss)] == [("sent-back", 6)]


def test_as_many_as_are_told_are_all_and_one_more_is_cut(boss, vasko, monkeypatch):
    monkeypatch.setattr(queries, "MOST_WAITING", 2)
    for days in (9, 8):
        make_case(by=vasko, pathologist=vasko, reported_at=ago(days))
    assert queries.waiting(boss).cut == ()
    make_case(by=vasko, pathologist=vasko, reported_at=ago(7))
    assert queries.waiting(boss).cut == (WaitKind.NOT_EXAMINED,)


def test_of_outstanding_results_the_longest_awaited_come_first(boss, vasko):
    for days in (5, 15, 10):
        taken(examined_case(vasko, days + 1), vasko, "toxicology", days)
    rows = [one for one in queries.waiting(boss).waits if one.kind is WaitKind.RESULTS]
    assert [one.days(queries.today()) for one in rows] == [15, 10, 5]

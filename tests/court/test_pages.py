"""Pages of requests: who sees what, what bad input gets, how lists page and export."""

from __future__ import annotations

import csv
import io
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.court import actions, queries
from cases.court.models import Counsel, RecordsRequest, Release
from cases.queries import pages
from cases.worklists import sections_for
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent
from tests.builders import CASE_STAFF, make_case, make_staff
from tests.court.test_actions import facts, handed_over
from tests.packets.builders import asked_for, make_request

pytestmark = pytest.mark.django_db


def url(name, case, **keys):
    return reverse(f"court:{name}", kwargs={"case_id": case.pk, **keys})


def form_of(**fields):
    values = asked_for(**fields)
    dates = {name: values[name].isoformat() for name in ("served_on", "due_on")}
    keys = {"record_id": str(new_id()), "version": "0", "request_key": str(new_id())}
    return {**keys, **values, **dates, **{k: v for k, v in fields.items() if k in ("version",)}}


@pytest.mark.parametrize("role", CASE_STAFF)
def test_every_role_of_the_case_sees_the_requests_and_only_some_the_acts(client, role, clerk):
    case = make_case()
    make_request(case, clerk)
    client.force_login(make_staff(role))
    page = client.get(url("requests", case))
    assert page.status_code == 200
    assert "26-CF-0117" in page.content.decode()
    may = role in {Role.RECORDS_CLERK, Role.SUPERVISOR}
    assert ("Log a request" in page.content.decode()) is may
    assert client.get(url("log-request", case)).status_code == (200 if may else 403)
    assert client.get(reverse("court:office-requests")).status_code == 200
    assert AccessEvent.objects.filter(case_id=case.pk, what="court").exists()


def test_an_administrator_and_a_stranger_see_nothing(client, clerk):
    case = make_case()
    client.force_login(make_staff(Role.ADMINISTRATOR))
    assert client.get(url("requests", case)).status_code == 404
    assert client.get(reverse("court:office-requests")).status_code == 403
    restricted = make_case(restricted=True)
    client.force_login(clerk)
    assert client.get(url("requests", restricted)).status_code == 404


def test_an_empty_page_says_what_belongs_there(signed_in):
    page = signed_in.get(url("requests", make_case())).content.decode()
    assert "No requests for the records" in page
    assert "Log the first request" in page


def test_a_request_is_logged_by_its_form_and_a_retry_is_the_same_one(signed_in):
    case, filled = make_case(), form_of()
    for _ in range(2):
        answer = signed_in.post(url("log-request", case), filled)
        assert answer.status_code == 302
    assert RecordsRequest.objects.count() == 1
    page = signed_in.get(url("requests", case)).content.decode()
    assert "due tomorrow" in page
    assert "Logged: subpoena" in page


def test_bad_input_keeps_the_rest_and_says_so_beside_the_field(signed_in):
    case = make_case()
    wrong = form_of(court="", due_on=timezone.localdate() - timedelta(days=30))
    page = signed_in.post(url("log-request", case), wrong)
    text = page.content.decode()
    assert page.status_code == 422
    assert page.context["form"].errors["court"] == ["Name the court, or the body that issued it."]
    assert "The due date cannot be before the date served or received." in text
    assert "id_court_error" in text
    assert "26-CF-0117" in text
    assert RecordsRequest.objects.count() == 0


@pytest.mark.parametrize("kind", [kind for kind, _ in RecordsRequest.KINDS])
def test_what_a_court_sends_was_served_and_a_request_received(signed_in, kind):
    case = make_case()
    assert signed_in.post(url("log-request", case), form_of(kind=kind)).status_code == 302
    page = signed_in.get(url("requests", case)).content.decode()
    assert ("<dt>Served</dt>" in page, "<dt>Received</dt>" in page) == (
        kind != "records request",
        kind == "records request",
    )


def test_a_stale_correction_shows_both_texts(signed_in, clerk):
    case = make_case()
    asked = make_request(case, clerk)
    actions.change_request(
        clerk,
        case_id=case.pk,
        request_id=asked.pk,
        version=1,
        entry=asked_for(party="The public defender"),
        reason="misread",
    )
    filled = form_of(party="The prosecutor", version="1") | {"reason": "mine"}
    page = signed_in.post(url("change-request", case, request_id=asked.pk), filled)
    text = page.content.decode()
    assert page.status_code == 409
    assert "The prosecutor" in text
    assert "The public defender" in text


def test_a_request_is_corrected_and_withdrawn_by_its_forms(signed_in, clerk):
    case = make_case()
    asked = make_request(case, clerk)
    correct = url("change-request", case, request_id=asked.pk)
    no_reason = signed_in.post(correct, form_of(version="1"))
    assert no_reason.status_code == 422
    filled = form_of(version="1", party="The public defender") | {"reason": "misread"}
    assert signed_in.post(correct, filled).status_code == 302
    withdraw = url("withdraw-request", case, request_id=asked.pk)
    assert "cannot be opened again" in signed_in.get(withdraw).content.decode()
    assert signed_in.post(withdraw, {"version": "2", "reason": ""}).status_code == 422
    assert signed_in.post(withdraw, {"version": "2", "reason": "quashed"}).status_code == 302
    page = signed_in.get(url("requests", case)).content.decode()
    assert "quashed" in page
    assert signed_in.get(correct).status_code == 422


def make_office(clerk, count):
    today = timezone.localdate()
    for n in range(count):
        make_request(
            make_case(),
            clerk,
            due_on=today + timedelta(days=n % 20),
            cause_number=f"26-CV-{n:04d}",
            kind="court order" if n % 3 == 0 else "subpoena",
        )


def test_the_offices_list_pages_by_key_without_loss(signed_in, clerk):
    make_office(clerk, pages.PAGE + 5)
    first = signed_in.get(reverse("court:office-requests"))
    assert len(first.context["rows"]) == pages.PAGE
    second = signed_in.get(
        reverse("court:office-requests") + first.context["links"]["next"].partition("#")[0]
    )
    shown = [asked.pk for page in (first, second) for asked, _ in page.context["rows"]]
    assert len(shown) == len(set(shown)) == pages.PAGE + 5
    due = [asked.due_on for page in (first, second) for asked, _ in page.context["rows"]]
    assert due == sorted(due)
    bad = signed_in.get(reverse("court:office-requests") + "?after=nonsense")
    assert bad.status_code == 404


@pytest.mark.parametrize(
    ("there", "words"), [(1, "1 request"), (4, "4 requests"), (5, "More than 4 requests")]
)
def test_the_offices_list_counts_to_a_limit_and_says_so(
    signed_in, clerk, monkeypatch, there, words
):
    monkeypatch.setattr(pages, "COUNTED", 4)
    make_office(clerk, there)
    page = signed_in.get(reverse("court:office-requests"))
    assert page.context["count_words"] == words.lower()
    assert f"{words}, open. Subpoenas" in page.content.decode()


@pytest.mark.usefixtures("rows_counted_anew")
@pytest.mark.parametrize(
    ("state", "index", "other"),
    [
        ("open", "request_by_due", "request_of_all_by_due"),
        ("answered", "request_by_due", "request_of_all_by_due"),
        ("", "request_of_all_by_due", "request_by_due"),
    ],
)
def test_the_offices_list_is_read_in_the_order_of_an_index(clerk, state, index, other):
    choice = queries.read_choice(state, "")
    rows = queries.chosen_requests(clerk, choice, timezone.localdate())
    with connection.cursor() as cursor:
        cursor.execute("SHOW random_page_cost")
        assert cursor.fetchone() == ("1.1",)
        # Of few rows, which are counted at any moment, either index costs the same.
        cursor.execute("ANALYZE court_recordsrequest")
        cursor.execute(f"DROP INDEX {other}")
        # As it is where there are many rows.
        for costly in ("seqscan", "bitmapscan", "sort", "hashjoin", "mergejoin"):
            cursor.execute(f"SET LOCAL enable_{costly} = off")
    plan = rows[: pages.PAGE].explain()
    assert f"using {index} on" in plan or f"Backward using {index} on" in plan
    assert "Sort" not in plan


def test_the_offices_list_chooses_by_state_and_kind(signed_in, clerk):
    make_office(clerk, 6)
    gone = RecordsRequest.objects.filter(kind="subpoena").order_by("id").first()
    actions.withdraw_request(
        clerk, case_id=gone.case_id, request_id=gone.pk, version=1, reason="quashed"
    )

    def listed(query):
        page = signed_in.get(reverse("court:office-requests") + query)
        return [asked for asked, _ in page.context["rows"]]

    assert len(listed("")) == 5
    assert listed("?state=withdrawn") == [gone]
    assert len(listed("?state=all")) == 6
    assert {asked.kind for asked in listed("?kind=court+order")} == {"court order"}
    assert listed("?state=overdue") == []
    assert len(listed("?state=nonsense")) == 5


def test_the_export_holds_what_the_list_shows(signed_in, clerk):
    make_office(clerk, 3)
    hidden = make_case(restricted=True)
    RecordsRequest.objects.create(
        case=hidden, created_by=clerk, changed_by=clerk, **asked_for(cause_number="26-SECRET")
    )
    answer = signed_in.get(reverse("court:export-requests"))
    rows = list(csv.DictReader(io.StringIO(answer.getvalue().decode())))
    assert sorted(row["Cause number"] for row in rows) == [
        "26-CV-0000", "26-CV-0001", "26-CV-0002",
    ]  # fmt: skip
    assert answer["Content-Disposition"].startswith('attachment; filename="requests-')


@pytest.mark.parametrize("page", ["case", "office"])
def test_pages_need_as_many_statements_for_three_rows_as_for_sixty(signed_in, clerk, page):
    case = make_case()
    address = url("requests", case) if page == "case" else reverse("court:office-requests")

    def statements():
        with CaptureQueriesContext(connection) as seen:
            assert signed_in.get(address).status_code == 200
        return len(seen)

    def fill(count):
        for n in range(count):
            make_request(case, clerk, cause_number=f"26-{new_id().hex[:8]}-{n}")

    fill(3)
    signed_in.get(address)
    few = statements()
    fill(57)
    assert statements() == few <= 15


def test_the_worklist_says_what_was_done_and_how_punctual(clerk):
    asked = make_request(make_case(state="signed"), clerk)
    actions.record_release(
        clerk,
        case_id=asked.case_id,
        request_id=asked.pk,
        record_id=new_id(),
        version=1,
        packet=facts(asked),
        entry=handed_over(clerk),
    )
    rows = {section.key: section.rows(clerk, timezone.now()) for section in sections_for(clerk)}
    (done,) = rows["lately-done"]
    assert done.title == "Released to A. Pell, county attorney"
    assert done.when.startswith("today, ")
    assert [row.when for row in rows["answered-in-time"]] == ["1 of 1", "3"]


def test_punctuality_counts_each_request_once_by_its_first_release_within_the_year(clerk):
    def answered(days_ago, again=None):
        asked = make_request(make_case(state="signed"), clerk)
        for days in (days_ago, again):
            if days is not None:
                at = timezone.now() - timedelta(days=days)
                Release.objects.create(
                    case=asked.case, request=asked, packet_id=new_id(), packet_sha256="a" * 64,
                    released_to="A. Pell", method="courier", released_at=at, released_by=clerk,
                    created_by=clerk, changed_by=clerk,
                )  # fmt: skip
        type(asked).objects.filter(pk=asked.pk).update(state="answered")

    answered(1)
    answered(30, again=2)
    answered(400)
    answered(500, again=3)
    assert queries.punctuality_of(clerk, timezone.now()).answered == 2


def test_the_offices_list_finds_requests_by_party_number_court_and_counsel(signed_in, clerk):
    asked = make_request(make_case(), clerk)
    other = make_request(make_case(), clerk, cause_number="CV-9", party="Marsh Mutual")
    Counsel.objects.create(
        case=other.case, request=other, side="asking", name="C. Drake", firm="Holloway",
        created_by=clerk, changed_by=clerk,
    )  # fmt: skip
    page = reverse("court:office-requests")

    def found(words):
        rows = signed_in.get(page, {"words": words}).context["rows"]
        return {one.pk for one, _ in rows}

    assert found("  ") == {asked.pk, other.pk}
    for words in ("cv-9", "marsh  mutual", "DRAKE", "hollow", other.case.number):
        assert found(words) == {other.pk}, words
    assert found("nobody of that name") == set()
    RecordsRequest.objects.filter(pk=other.pk).update(state="answered")
    assert found("Drake") == {other.pk}, "who looks for a name looks among the closed, too"
    assert "CV-9" in signed_in.get(page, {"words": "Drake"}).content.decode()
    sent = signed_in.get(reverse("court:export-requests"), {"words": "Drake"})
    assert len(sent.getvalue().splitlines()) == 2
    of_others = {"words": "Drake", "kind": "court order"}
    assert not signed_in.get(page, of_others).context["rows"]

"""No page number is given twice; each leads to its document, its answer and its record."""

from __future__ import annotations

import pytest
from django.urls import reverse

from cases.access import Act
from cases.answers import actions, queries
from cases.answers.actions import (
    give_page_numbers,
    replace_certificate_wording,
    replace_page_series,
)
from cases.answers.models import NumberedPages, PageRun, PageSeries
from cases.models import Case
from me_office.accounts.roles import Role
from me_office.audit.actions import action
from me_office.audit.errors import NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.records import save_new
from me_office.jobs.actions import TakenOver
from tests.answers.builders import answer_being_built
from tests.builders import make_case, make_staff
from tests.packets.builders import make_clerk

pytestmark = pytest.mark.django_db


@pytest.fixture
def clerk():
    return make_clerk()


def choose(who, prefix="TC-", digits=6, *, key=None, of=None):
    return replace_page_series(
        who, record_id=key or new_id(), entry={"prefix": prefix, "digits": digits}, of=of
    )


@action
def put_on(actor, *, run, first, last, label, kind="own", item="", reason=""):
    return save_new(
        actor,
        NumberedPages(
            pk=new_id(), case=run.case, run=run, answer=run.answer, first=first, last=last,
            kind=kind, item=item, label=label,
        ),
        own_key=True,
    )  # fmt: skip


def test_each_attempt_gets_numbers_of_its_own_and_one_that_failed_keeps_them(clerk):
    answer = answer_being_built(make_case(), clerk)
    first = give_page_numbers(clerk, answer_id=answer.pk, attempt=1, count=12)
    assert (str(first), first.series.next) == ("R-000001 to R-000012", 13)
    again = give_page_numbers(clerk, answer_id=answer.pk, attempt=1, count=3)
    assert str(again) == "R-000013 to R-000015"
    assert [run.pk for run in queries.unused_runs([answer.pk])] == [first.pk, again.pk]
    put_on(clerk, run=again, first=13, last=15, label="Report")
    assert [run.pk for run in queries.unused_runs([answer.pk])] == [first.pk]
    with pytest.raises(TakenOver):
        give_page_numbers(clerk, answer_id=answer.pk, attempt=2, count=1)


def test_two_that_number_pages_at_once_get_different_numbers(at_once):
    clerk = make_clerk()
    answer = answer_being_built(make_case(), clerk)
    choose(clerk)
    came = at_once(
        give_page_numbers,
        by=[clerk, clerk],
        each=[{"count": 5}, {"count": 7}],
        answer_id=answer.pk,
        attempt=1,
    )
    assert [one.code for one in came] == ["done", "done"]
    first, second = PageRun.objects.order_by("first")
    assert (first.first, second.first) == (1, first.last + 1)
    assert PageSeries.objects.get().next == 13


def test_without_the_lock_the_same_numbers_would_be_given_twice(at_once, monkeypatch):
    """The control: what the lock of the series is for is seen without it."""
    clerk = make_clerk()
    one, other = (answer_being_built(make_case(), clerk) for _ in range(2))
    choose(clerk)
    monkeypatch.setattr(queries, "series_for_update", queries.page_series)
    came = at_once(
        give_page_numbers,
        by=[clerk, clerk],
        each=[{"answer_id": one.pk}, {"answer_id": other.pk}],
        attempt=1,
        count=5,
        meet_after="cases.answers.queries.series_for_update",
    )
    assert sorted(one.code for one in came) != ["done", "done"], "the table refuses the second"
    assert PageRun.objects.count() == 1


def test_two_that_number_the_offices_first_pages_at_once_make_one_series(at_once):
    clerk = make_clerk()
    one, other = (answer_being_built(make_case(), clerk) for _ in range(2))
    came = at_once(
        give_page_numbers,
        by=[clerk, clerk],
        each=[{"answer_id": one.pk}, {"answer_id": other.pk}],
        attempt=1,
        count=5,
    )
    assert [one.code for one in came] == ["done", "done"]
    assert PageSeries.objects.get().next == 11


def test_a_prefix_is_never_taken_again_and_what_it_numbered_is_still_found(clerk):
    key = new_id()
    first = choose(clerk, "tc-", key=key)
    assert (first.prefix, choose(clerk, "tc-", key=key).pk) == ("TC-", first.pk)
    answer = answer_being_built(make_case(), clerk)
    run = give_page_numbers(clerk, answer_id=answer.pk, attempt=1, count=4)
    put_on(clerk, run=run, first=1, last=4, label="Report")
    second = choose(clerk, "ME-", of=first.pk)
    assert str(second) == "ME-000001"
    with pytest.raises(Refused, match="before"):
        choose(clerk, "T-C", of=second.pk)
    with pytest.raises(StaleRecord):
        choose(clerk, "XX-", of=first.pk)
    found = queries.find_page(clerk, "tc 3")
    assert (found.state, found.words, found.page_of_document) == ("found", "TC-000003", 3)
    with pytest.raises(NotAllowed):
        choose(make_staff(Role.PATHOLOGIST), "YY-", of=second.pk)


def test_a_page_is_found_with_its_document_and_one_of_a_restricted_case_is_not(clerk, client):
    case = make_case()
    run = give_page_numbers(
        clerk, answer_id=answer_being_built(case, clerk).pk, attempt=1, count=10
    )
    put_on(clerk, run=run, first=1, last=2, label="Contents")
    put_on(clerk, run=run, first=3, last=9, label="Report of the examination", kind="report")
    client.force_login(clerk)
    page = reverse("answers:find-page")
    told = client.get(page, {"number": "R-000005"}).content.decode()
    assert "Report of the examination, page 3" in told
    assert reverse("review:report", args=[case.pk]) in told
    # Of these pages no file is kept that could open at one of them.
    assert "#page=" not in told
    assert "stands on no page" in client.get(page, {"number": "R-10"}).content.decode()
    assert "was not given" in client.get(page, {"number": "R-11"}).content.decode()
    wrong = client.get(page, {"number": "nonsense"})
    assert wrong.status_code == 422
    assert "numbers no pages in this way" in wrong.content.decode()
    Case.objects.filter(pk=case.pk).update(restricted=True)
    hidden = client.get(page, {"number": "R-000005"}).content.decode()
    assert "was not given" in hidden
    assert case.label not in hidden


def test_the_page_of_the_series_says_the_next_number_and_keeps_what_is_wrong_beside_it(
    clerk, client
):
    client.force_login(clerk)
    page = reverse("answers:page-series")
    sent = {"record_id": new_id(), "version": 0, "prefix": "TC-26", "digits": 6}
    wrong = client.post(page, sent)
    assert wrong.status_code == 422
    assert "stands apart" in wrong.content.decode()
    assert client.post(page, {**sent, "prefix": "TC-26-"}).status_code == 302
    read = client.get(page)
    assert "TC-26-000001" in read.content.decode()
    # Another series was chosen since this page was read: both are shown.
    late = {**sent, "record_id": new_id(), "prefix": "XY-"}
    assert client.post(page, late).status_code == 409
    now = read.context["form"]["of"].value()
    assert client.post(page, {**late, "of": now}).status_code == 302
    client.force_login(make_staff(Role.INVESTIGATOR))
    assert client.post(page, {**sent, "prefix": "ZZ-"}).status_code == 403
    assert "Use this prefix" not in client.get(page).content.decode()


def test_the_api_finds_a_page_and_replaces_the_series(clerk, client):
    client.force_login(clerk)
    made = client.post(
        "/api/page-numbers/series/",
        {"id": str(new_id()), "prefix": "TC-", "digits": 6},
        content_type="application/json",
    )
    assert (made.status_code, made.json()["next"]) == (201, 1)
    run = give_page_numbers(
        clerk, answer_id=answer_being_built(make_case(), clerk).pk, attempt=1, count=2
    )
    put_on(clerk, run=run, first=1, last=2, label="Report")
    [told] = client.get("/api/page-numbers/TC-2/").json()
    assert (told["state"], told["label"], told["page_of_document"]) == ("found", "Report", 2)
    assert client.get("/api/page-numbers/4/").json() == []


def test_what_took_the_place_of_what_was_never_there_is_told_and_a_wording_is_kept_by_who_may(
    clerk,
):
    said = {"prefix": "ZZ-", "digits": 6}
    with pytest.raises(Refused, match="were changed meanwhile"):
        replace_page_series(clerk, record_id=new_id(), entry=said, of=new_id())
    words = {"words": "I certify for {office}."}
    with pytest.raises(Refused, match="was replaced meanwhile"):
        replace_certificate_wording(clerk, record_id=new_id(), edition=3, entry=words)
    with pytest.raises(NotAllowed):
        replace_certificate_wording(
            make_staff(Role.PATHOLOGIST), record_id=new_id(), edition=0, entry=words
        )


def test_who_may_no_longer_build_an_answer_gets_no_numbers(clerk):
    answer = answer_being_built(make_case(), clerk)
    with pytest.raises(NotAllowed):
        give_page_numbers(make_staff(Role.PATHOLOGIST), answer_id=answer.pk, attempt=1, count=1)
    assert Act.BUILD_ANSWER.value == "build and deliver the answer to a request"
    assert actions.SERIES_FIELDS == ("prefix", "digits")

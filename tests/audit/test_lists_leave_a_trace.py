"""Lists, searches and exports are noted: who, what, how many rows, chosen by what."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from me_office.accounts.roles import Role
from me_office.audit import looks, queries
from me_office.audit.models import AccessEvent
from tests.builders import make_case, make_staff
from tests.shell.test_nothing_kept import addresses

pytestmark = pytest.mark.django_db

# What shows nothing of any case, or only the person's own.
WITHOUT_A_CASE = {
    "/account/daily-mail/", "/api/own/daily-mail/",
    # The office's own words, rules and templates.
    "/checks/", "/checks/new/", "/api/checks/", "/drafting/", "/drafting/keys/", "/drafting/words/",
    "/api/drafting/short-keys/", "/api/drafting/words/", "/findings/systems/", "/findings/wording/",
    "/api/findings/wording/", "/api/findings/system-templates/", "/review-rules/",
    "/review-rules/seed/", "/counting/", "/counting/rules/", "/counting/rules/new/",
    "/leave/", "/api/leave/", "/calendars/", "/calendars/own/close/", "/calendars/office/close/",
    "/counting/closures/", "/counting/closures/new/", "/api/counting/rules/",
    "/api/counting/rules-in-use/", "/api/counting/closures/",
    "/account/", "/account/2fa/", "/account/inactive/", "/account/password/change/",
    "/account/password/reset/done/", "/account/password/reset/key/done/",
    "/account/reauthenticate/", "/api/calculations/", "/api/findings/terms/", "/api/schema/",
    "/cases/new/", "/findings/terms/", "/health/", "/health/live/", "/metrics",
    "/health/ready/", "/help/calculations/", "/office/", "/people/new/",
    "/verify/", "/certificates/authority/", "/certificates/issue/", "/certificates/import/",
    "/certificates/time-stamps/",
    "/api/own/shortcuts/", "/help/accessibility/", "/help/statements/",
    "/api/cases/CASE/photograph-uploads/", "/cases/CASE/scene/caution/",
    "/cases/CASE/chart/present/", "/explanations/", "/api/explanations/",
    # The office's own lists for answering requests, which name no case.
    "/api/custodian-certificate/", "/custodian-certificate/", "/api/fees/", "/requests/fees/",
    "/requests/fees/new/", "/requests/authority/", "/api/grounds/", "/grounds/",
    "/api/letter-templates/", "/letters/templates/", "/api/proposal-rules/",
    "/api/redaction-reasons/", "/redaction-reasons/", "/redaction-reasons/add/",
    "/api/page-numbers/series/", "/page-numbers/series/", "/page-numbers/",
}  # fmt: skip


@pytest.fixture
def thorne(client: Client):
    person = make_staff(Role.SUPERVISOR, name="M. Thorne")
    client.force_login(person)
    return person


def newest() -> tuple[str, int | None, dict[str, str]]:
    look = AccessEvent.objects.latest("id")
    return look.what, look.rows, look.asked


def test_whatever_answers_with_something_leaves_a_trace_and_is_kept_nowhere(
    client: Client, monkeypatch: pytest.MonkeyPatch
):
    # A look is noted where something is read, and not where a page of it is drawn.
    monkeypatch.setattr("django.template.backends.django.Template.render", lambda *_: "drawn")
    monkeypatch.setattr(
        "drf_spectacular.generators.SchemaGenerator.get_schema", lambda *_, **__: {}
    )
    client.force_login(make_staff(*Role))
    case = make_case()
    asked = [
        one for one in addresses(str(case.pk)) if "sign-out" not in one and "logout" not in one
    ]
    assert len(asked) > 80
    silent, kept, before = [], [], AccessEvent.objects.count()
    for address in asked:
        answer = client.get(address)
        if answer.streaming:
            b"".join(answer.streaming_content)
        if address != "/health/" and "no-store" not in answer.get("Cache-Control", ""):
            kept.append(address)
        after = AccessEvent.objects.count()
        noted, before = after - before, after
        assert noted <= 1, (address, "one row an answer")
        if answer.status_code == 200 and not noted:
            silent.append(address.replace(str(case.pk), "CASE"))
    assert set(silent) - WITHOUT_A_CASE == set()
    assert kept == [], "no browser and no proxy keeps what the office answered"


def test_a_search_is_noted_with_its_words_and_how_many_it_found(client: Client, thorne):
    make_case(family_name="Hallstead")
    client.get("/search/", {"q": "hallstead"})
    assert newest() == ("search for cases", 1, {"words": "hallstead"})
    client.get("/api/search/", {"q": "Nobody"})
    assert newest() == ("search for cases", 0, {"words": "Nobody"})


def test_what_is_noted_is_bounded(thorne):
    asked = {"words": "x" * 900, "nul": "a\x00b", "none": "", **{f"f{n}": "1" for n in range(50)}}
    looks.note_list(thorne, "search for cases", rows=1, asked=asked)
    said = newest()[2]
    assert len(said["words"]) == looks.MOST_LETTERS
    assert said["nul"] == "ab"
    assert "none" not in said
    assert len(said) <= looks.MOST_FILTERS


def test_a_list_is_noted_with_its_filter_and_without_a_case(client: Client, thorne):
    for _ in range(3):
        make_case()
    client.get("/cases/", {"state": "open", "mine": "", "year": "2026"})
    assert newest() == ("list of cases", 3, {"state": "open", "year": "2026"})
    look = AccessEvent.objects.latest("id")
    assert (look.case_id, look.actor_id, look.actor_name) == (None, thorne.pk, "M. Thorne")
    assert look.request_id
    assert look.address


@pytest.mark.parametrize(
    ("address", "what"),
    [
        ("/cases/export.csv", "list of cases, CSV"),
        ("/requests/export.csv", "list of requests, CSV"),
    ],
)
def test_an_export_is_noted_when_it_went_out_with_the_rows_that_did(
    client: Client, thorne, address: str, what: str
):
    for _ in range(3):
        make_case()
    answer = client.get(address, {"state": "open"})
    lines = b"".join(answer.streaming_content).count(b"\r\n")
    look = AccessEvent.objects.latest("id")
    assert (look.what, look.rows, look.asked["state"]) == (what, lines - 1, "open")
    assert look.request_id


def test_an_export_that_is_broken_off_is_noted_with_what_went_out(thorne):
    sent = looks.noted(thorne, "list of cases, CSV", iter(["head", "1", "2", "3"]))
    assert [next(sent), next(sent), next(sent)] == ["head", "1", "2"]
    sent.close()
    assert newest() == ("list of cases, CSV", 2, {})


def test_noting_takes_one_statement_however_long_the_list(client: Client, thorne):
    counts = []
    for more in (3, 17):
        for _ in range(more):
            make_case()
        with CaptureQueriesContext(connection) as asked:
            client.get("/cases/")
        counts.append(sum("audit_note_look" in one["sql"] for one in asked))
    assert counts == [1, 1]


def test_who_looked_at_a_case_does_not_mix_with_lists(client: Client, thorne):
    case = make_case()
    client.get("/cases/")
    client.get("/search/", {"q": "hallstead"})
    page = client.get(reverse("history:case-readers", kwargs={"case_id": case.pk}))
    assert [look.what for look in page.context["readers"].looks] == ["history"]


def test_supervisors_read_who_was_given_lists_page_by_page(client: Client, thorne, monkeypatch):
    monkeypatch.setattr(queries, "LOOKS_A_PAGE", 2)
    client.get("/search/", {"q": "hallstead"})
    client.get("/cases/", {"state": "open"})
    client.get("/cases/")
    first = client.get(reverse("history:list-readers"))
    given = first.context["readers"].given
    assert [(one.what, one.asked) for one in given] == [
        ("list of cases", ""), ("list of cases", "state: open"),
    ]  # fmt: skip
    assert "<td>none</td>" in first.content.decode(), "no filter"
    key = first.context["readers"].next_before
    second = client.get(reverse("history:list-readers"), {"before": key}).content.decode()
    assert "words: hallstead" in second
    assert newest()[0] == "lists and exports given out"


def test_who_was_given_lists_is_shown_to_supervisors_only(client: Client):
    client.force_login(make_staff(*(role for role in Role if role is not Role.SUPERVISOR)))
    assert client.get(reverse("history:list-readers")).status_code == 422

"""The frame around every page, asked for as a browser would."""

from __future__ import annotations

import pytest
from django.test import Client
from django.utils import timezone

from cases.worklists import Section, Waiting
from me_office.accounts.roles import Role
from tests.builders import make_case, make_staff

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.shell.pages")]


@pytest.fixture
def signed_in(client: Client) -> Client:
    client.force_login(make_staff(Role.RECORDS_CLERK, name="R. Ostrander"))
    return client


def text(client: Client, address: str, status: int = 200) -> str:
    answer = client.get(address)
    assert answer.status_code == status
    return answer.content.decode()


def test_the_top_line_says_who_is_signed_in_and_in_which_role(signed_in: Client) -> None:
    page = text(signed_in, "/tests/veils/")
    assert 'R. Ostrander<span class="role">, records clerk</span>' in page
    assert 'href="#work"' in page
    assert 'action="/sign-out/"' in page or 'action="/account/logout/"' in page


def test_the_theme_of_the_cookie_is_on_the_page(signed_in: Client) -> None:
    signed_in.cookies["theme"] = "dark"
    assert '<html lang="en" data-theme="dark">' in text(signed_in, "/tests/veils/")


def test_any_other_theme_is_ignored(signed_in: Client) -> None:
    signed_in.cookies["theme"] = '"><script>'
    assert '<html lang="en">' in text(signed_in, "/tests/veils/")


def test_the_theme_is_kept_without_scripts(signed_in: Client) -> None:
    answer = signed_in.post("/account/theme/", {"theme": "dark", "next": "/tests/veils/"})
    assert answer.status_code == 302
    assert answer["Location"] == "/tests/veils/"
    assert answer.cookies["theme"].value == "dark"
    answer = signed_in.post("/account/theme/", {"theme": "device"})
    assert answer.cookies["theme"].value == ""


@pytest.mark.parametrize(
    "there",
    [
        "https://example.org/",
        "//example.org",
        "/\\example.org",
        "Words",
        "a b",
        "javascript:x()",
        "\x00",
    ],
)
def test_the_theme_switch_leads_nowhere_else(signed_in: Client, there: str) -> None:
    answer = signed_in.post("/account/theme/", {"theme": "dark", "next": there})
    assert answer["Location"] == "/account/"


def test_the_head_line_says_who_how_sure_and_in_which_state(signed_in: Client) -> None:
    case = make_case(restricted=True)
    page = text(signed_in, "/tests/case/")
    head = page[page.index('class="head-line"') : page.index('class="case"')]
    assert case.number and case.number in head
    assert "Oren Hallstead" in head
    assert "identity unknown" in head
    assert "restricted" in head
    assert "open" in head


def test_the_course_names_the_step_that_is_shown(signed_in: Client) -> None:
    make_case()
    page = text(signed_in, "/tests/case/")
    assert page.count("aria-current=") == 1
    assert 'aria-current="page">Body' in page
    assert "<h1" in page and ">Body</h1>" in page


def test_a_page_says_on_paper_which_case_when_and_by_whom(signed_in: Client) -> None:
    case = make_case()
    page = text(signed_in, "/tests/case/")
    assert f"Case {case.number} · Oren Hallstead" in page
    assert "by R. Ostrander" in page


@pytest.mark.parametrize(
    ("code", "status", "next_act"),
    [
        ("refused", 422, "correct what the message above names"),
        ("not_allowed", 403, "ask a colleague whose role allows it"),
        ("not_known", 404, "Check the number"),
        ("conflict", 409, "look at the current version"),
    ],
)
def test_a_refusal_says_what_to_do_next(
    signed_in: Client, code: str, status: int, next_act: str
) -> None:
    page = text(signed_in, f"/tests/refuse/{code}/", status)
    assert next_act in page
    assert "Go to your work" in page


def test_an_unknown_address_is_answered_in_the_office_s_words(signed_in: Client) -> None:
    assert "Page not found" in text(signed_in, "/tests/nothing/", 404)


@pytest.mark.parametrize("address", ["/search/?q=%00", "/cases/?year=20%0026"])
def test_an_address_with_a_character_that_no_text_can_hold_is_refused(
    signed_in: Client, address: str
) -> None:
    answer = signed_in.get(address)
    assert answer.status_code == 400
    assert "cannot be read" in answer.content.decode()


def test_a_broken_page_is_answered_without_the_database(
    django_assert_num_queries: object, rf: object
) -> None:
    from django.test import RequestFactory

    from me_office.shell.errors import server_error

    request = RequestFactory().get("/")
    with django_assert_num_queries(0):  # type: ignore[operator]
        answer = server_error(request)
    assert answer.status_code == 500
    assert "Something went wrong" in answer.content.decode()


def test_the_first_page_shows_sections_rows_and_empty_words(
    signed_in: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    row = Waiting("2026-0388", "Subpoena, Circuit Court", "asks for the file", "due", "/x/", "stop")

    def section(key: str, order: int, rows: list[Waiting], **more: object) -> Section:
        roles = frozenset({Role.RECORDS_CLERK})
        return Section(key, key.title(), roles, order, lambda actor, now: rows, **more)  # type: ignore[arg-type]

    shown = [
        section("failed", 1, [], empty="No packet failed."),
        section("due", 2, [row]),
        section("court", 100, [row], waits=False),
    ]
    monkeypatch.setattr("cases.views.first.sections_for", lambda actor: shown)
    page = text(signed_in, "/")
    main, side = page.split('class="side sections"')
    assert "One thing is waiting for you. It is pressing." in main
    assert (
        '<span class="row-when stop"><span class="hidden-words">Pressing: </span>due</span>' in main
    )
    # What is empty comes after what waits, whatever its place.
    assert "Due</h2>" in main.split("No packet failed.")[0]
    assert "Court" in side and "Court</h2>" not in main
    assert timezone.localtime().strftime("%A, ") in main


def test_a_person_without_a_role_is_told_whom_to_ask(client: Client) -> None:
    client.force_login(make_staff())
    assert "An administrator of the office assigns roles." in text(client, "/")

"""The statement of accessibility: whole, open to everybody, one table for page and document."""

from __future__ import annotations

from collections import Counter
from html import unescape

import pytest

from me_office.accounts.roles import Role
from me_office.shell import criteria
from tests.builders import make_staff

# WCAG 2.2 (W3C Recommendation, 5 October 2023): success criteria of levels A and AA, by guideline
# and in their order; those of level AAA left out. 4.1.1 is obsolete in 2.2.
PUBLISHED = {
    "A": "1.1.1 1.2.1 1.2.2 1.2.3 1.3.1 1.3.2 1.3.3 1.4.1 1.4.2 2.1.1 2.1.2 2.1.4 2.2.1 2.2.2 2.3.1"
    " 2.4.1 2.4.2 2.4.3 2.4.4 2.5.1 2.5.2 2.5.3 2.5.4 3.1.1 3.2.1 3.2.2 3.2.6 3.3.1 3.3.2 3.3.7"
    " 4.1.2",
    "AA": "1.2.4 1.2.5 1.3.4 1.3.5 1.4.3 1.4.4 1.4.5 1.4.10 1.4.11 1.4.12 1.4.13 2.4.5 2.4.6 2.4.7"
    " 2.4.11 2.5.7 2.5.8 3.1.2 3.2.3 3.2.4 3.3.3 3.3.4 3.3.8 4.1.3",
}
# What 2.1 (2018) and 2.2 brought at these levels: section "New Features" of each.
BROUGHT = {
    "2.1": "1.3.4 1.3.5 1.4.10 1.4.11 1.4.12 1.4.13 2.1.4 2.5.1 2.5.2 2.5.3 2.5.4 4.1.3",
    "2.2": "2.4.11 2.5.7 2.5.8 3.2.6 3.3.7 3.3.8",
}
STANDINGS = {"met", "partly met", "not met", "does not apply"}
# 36 CFR 1194, appendix C, chapter 3.
SECTION_508 = [f"302.{number}" for number in range(1, 10)]


def test_each_criterion_has_its_row_with_level_and_version():
    rows = criteria.table()["wcag"]
    by_level = {
        level: [one["number"] for one in rows if one["level"] == level] for level in PUBLISHED
    }
    assert by_level == {level: numbers.split() for level, numbers in PUBLISHED.items()}
    for since, numbers in BROUGHT.items():
        assert {one["number"] for one in rows if one["since"] == since} == set(numbers.split())
    assert Counter(one["since"] for one in rows) == {"2.0": 37, "2.1": 12, "2.2": 6}


def test_nothing_is_claimed_without_a_remark():
    table = criteria.table()
    for one in [*table["wcag"], *table["uses"], *table["rest"]]:
        assert one["standing"] in STANDINGS
        assert one["remark"].endswith(".")
    assert [one["section_508"] for one in table["uses"] if one["section_508"]] == SECTION_508


def test_the_document_is_the_table():
    assert criteria.PAGE.read_text() == criteria.as_markdown(), "python -m me_office.shell.criteria"


@pytest.mark.django_db
def test_anybody_reads_it(client, settings):
    settings.OFFICE_ADDRESS = "1 Court Square, Alderton"
    assert b"/help/accessibility/" in client.get("/sign-in/").content
    stranger = client.get("/help/accessibility/")
    page = unescape(stranger.content.decode())
    assert stranger.status_code == 200
    for one in criteria.table()["wcag"]:
        assert f"{one['number']} {one['name']}</th>" in page
    assert "1 Court Square, Alderton" in page
    assert all(one in page for one in criteria.NOT_TESTED)
    client.force_login(make_staff(Role.RECORDS_CLERK))
    assert b"Sign out" in client.get("/help/accessibility/").content
    assert client.post("/help/accessibility/").status_code == 405

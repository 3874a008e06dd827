"""What the words in the search box can mean."""

from __future__ import annotations

from datetime import date

import pytest

from cases.rules.search import LONGEST, SearchTerms, days_meant, read_search

TODAY = date(2026, 11, 25)
FOURTEENTH = (date(2026, 11, 14), date(2026, 11, 14))


@pytest.mark.parametrize(
    "typed",
    ["14 Nov 2026", "14 november 2026", "Nov 14, 2026", "November 14 2026", "2026-11-14",
     "11/14/2026", "14.11.2026", "14 Nov", "nov 14"],
)  # fmt: skip
def test_a_day_is_read_however_it_is_written(typed):
    assert days_meant(typed, TODAY) == FOURTEENTH


def test_a_day_without_its_year_is_the_latest_that_has_been():
    assert days_meant("24 Dec", TODAY) == (date(2025, 12, 24), date(2025, 12, 24))
    assert days_meant("29 Feb", TODAY) == (date(2024, 2, 29), date(2024, 2, 29))


def test_a_month_is_all_of_its_days():
    assert days_meant("Nov 2026", TODAY) == (date(2026, 11, 1), date(2026, 11, 30))
    assert days_meant("2024-02", TODAY) == (date(2024, 2, 1), date(2024, 2, 29))


def test_today_and_yesterday():
    assert days_meant("today", TODAY) == (TODAY, TODAY)
    assert days_meant("Yesterday", TODAY) == (date(2026, 11, 24), date(2026, 11, 24))


@pytest.mark.parametrize("typed", ["mill road", "31 Feb 2026", "2026-13-01", "hallstead", "14"])
def test_what_is_no_date_is_none(typed):
    assert days_meant(typed, TODAY) is None


@pytest.mark.parametrize(
    ("typed", "year", "printed"),
    [
        ("2026-0412", 2026, "-0412"),
        ("2026-412", 2026, "-0412"),
        ("ME-2026-0412", 2026, "-0412"),
        ("me2026-0412", 2026, "-0412"),
        ("2026-", 2026, ""),
        ("412", None, "-0412"),
        ("7", None, "-0007"),
        ("ME-412", None, "-0412"),
    ],
)
def test_a_number_is_known_as_one(typed, year, printed):
    meant = read_search(typed, TODAY).number
    assert (meant.year, meant.printed) == (year, printed)


@pytest.mark.parametrize("typed", ["Hallstead", "Mill Road 3", "14 Nov 2026", "weir", "me", "me-"])
def test_what_is_no_number_is_not_taken_for_one(typed):
    assert read_search(typed, TODAY).number is None


def test_words_are_kept_to_a_length_and_spaces_do_not_count():
    terms = read_search("  mill    road ", TODAY)
    assert terms.words == ("MILL", "ROAD")
    assert len(read_search("x" * 5000, TODAY).text) == LONGEST
    assert read_search("   ", TODAY).is_empty


def test_what_was_typed_is_a_day_a_number_or_words():
    assert read_search("", TODAY) == SearchTerms("")
    assert read_search(" \n ", TODAY).is_empty
    assert read_search("14  Nov\t2026", TODAY) == SearchTerms("14 Nov 2026", None, *FOURTEENTH, ())
    assert read_search("Nov 2026", TODAY).last_day == date(2026, 11, 30)
    assert read_search("mill road", TODAY) == SearchTerms(
        "mill road", None, None, None, ("MILL", "ROAD")
    )
    assert read_search("a\x00b\x07c", TODAY).words == ("A", "B", "C")
    # A year and a month is the beginning of a number as well: both are looked for.
    both = read_search("2026-11", TODAY)
    assert both.number and both.first_day and both.words == ("2026-11",)


def test_september_is_read_in_four_letters_too():
    assert days_meant("3 Sept 2026", TODAY) == (date(2026, 9, 3), date(2026, 9, 3))
    assert days_meant("Sept 2026", TODAY) == (date(2026, 9, 1), date(2026, 9, 30))


def test_the_day_itself_has_been():
    assert days_meant("25 Nov", TODAY) == (TODAY, TODAY)
    assert days_meant("26 Nov", TODAY) == (date(2025, 11, 26), date(2025, 11, 26))


@pytest.mark.parametrize(
    ("typed", "is_read"),
    [("1899-12-31", False), ("1900-01-01", True), ("2200-12-31", True), ("2201-01-01", False)],
)
def test_a_day_is_of_the_years_in_which_cases_can_be(typed, is_read):
    assert (days_meant(typed, TODAY) is not None) is is_read

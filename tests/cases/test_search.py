"""The search box: number, name (misspelled too), date, place, heading; and the access rules."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from guardian.shortcuts import assign_perm

from cases.queries.search import CLOSEST, MOST, _branches, found_cases
from cases.rules.search import read_search
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from tests.builders import MOMENT, make_case, make_staff

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 25)


@pytest.fixture
def clerk() -> Staff:
    return make_staff(Role.RECORDS_CLERK)


def found(actor: Staff, typed: str) -> list:
    return [match.case for match in found_cases(actor, read_search(typed, TODAY)).matches]


def why(actor: Staff, typed: str) -> tuple[str, ...]:
    return found_cases(actor, read_search(typed, TODAY)).matches[0].why


def test_a_number_is_found_whole_in_part_and_without_its_zeros(clerk):
    for _ in range(12):
        case = make_case(family_name="Ashby")
    assert case.number == "2026-0012"
    for typed in ("2026-0012", "0012", "2026-12", "12"):
        assert found(clerk, typed) == [case], typed
    assert why(clerk, "2026-0012") == ("number",)
    assert len(found(clerk, "2026-")) == 12


@pytest.mark.parametrize(
    "typed",
    ["Hallstead", "hallsted", "Halsted", "Hollstead", "Hallstaed", "Oren Hallstead",
     "hallstead oren", "Halls", "Oren"],
)  # fmt: skip
def test_a_name_is_found_also_misspelled(clerk, typed):
    wanted = make_case()
    make_case(family_name="Marrow", given_names="Ida")
    make_case(family_name="Brand", given_names="Tove")
    assert found(clerk, typed) == [wanted]


def test_the_closest_name_comes_first(clerk):
    far = make_case(family_name="Hallsteen", given_names="Nils")
    near = make_case(family_name="Hallstead", given_names="Oren")
    assert found(clerk, "Hallstead") == [near, far]
    assert why(clerk, "Hallstead") == ("name Oren Hallstead",)


def test_of_equally_close_cases_the_latest_comes_first(clerk):
    old = make_case(reported_at=MOMENT - timedelta(days=9))
    new = make_case(reported_at=MOMENT)
    middle = make_case(reported_at=MOMENT - timedelta(days=3))
    assert found(clerk, "Hallstead") == [new, middle, old]


def test_a_day_is_the_days_of_the_office(clerk):
    """Twenty past midnight in UTC is still the evening before in New York."""
    evening = make_case(reported_at=datetime(2026, 11, 15, 0, 20, tzinfo=UTC), family_name="Ashby")
    make_case(reported_at=datetime(2026, 11, 15, 12, 0, tzinfo=UTC), family_name="Brand")
    assert found(clerk, "14 Nov 2026") == [evening]
    assert found(clerk, "2026-11-14") == [evening]
    assert why(clerk, "14 Nov 2026") == ("reported 14 Nov 2026, 19:20",)
    assert len(found(clerk, "Nov 2026")) == 2


def test_words_of_place_and_heading_are_found_in_any_order(clerk):
    weir = make_case(
        heading="Body in the weir", place_of_death="Kiln Lane 4", family_name="Zzy", given_names=""
    )
    make_case(family_name="Ashby", given_names="Una")
    assert found(clerk, "lane kiln") == [weir]
    assert why(clerk, "kiln lane") == ("place Kiln Lane 4",)
    assert why(clerk, "weir body") == ("heading Body in the weir",)


def test_a_case_that_matches_twice_is_shown_once_with_both_reasons(clerk):
    make_case(heading="Fall at Hallstead mill")
    assert why(clerk, "Hallstead") == (
        "name Oren Hallstead", "heading Fall at Hallstead mill",
    )  # fmt: skip
    assert len(found(clerk, "Hallstead")) == 1


def test_a_restricted_case_is_found_by_its_team_only(clerk):
    secret = make_case(restricted=True)
    member = make_staff(Role.RECORDS_CLERK)
    assign_perm("cases.work_on_case", member, secret)
    for typed in ("Hallstead", secret.number, "mill road", "14 Nov 2026"):
        assert found(clerk, typed) == [], typed
        assert found(member, typed) == [secret], typed
    assert found(make_staff(Role.ADMINISTRATOR), "Hallstead") == []


@pytest.mark.parametrize("typed", ["", "   ", "%", "_", "'; --", "\\", "(a|b", "100%", "\x00"])
def test_signs_are_only_signs(clerk, typed):
    make_case()
    assert found(clerk, typed) == []


def test_what_is_left_out_is_said(clerk):
    for _ in range(MOST + 3):
        make_case()
    result = found_cases(clerk, read_search("Hallstead", TODAY))
    assert (len(result.matches), result.more) == (MOST, True)


@pytest.mark.parametrize("hidden", [2, 3, MOST + 2])
def test_names_that_are_not_open_do_not_keep_the_open_ones_from_being_found(
    clerk, monkeypatch, hidden
):
    """Names are ranked before it is known whose cases are open: the three closest first."""
    monkeypatch.setattr("cases.queries.search.CLOSEST", 3)
    old = make_case(family_name="Hallsteen", reported_at=MOMENT - timedelta(days=2))
    new = make_case(family_name="Hallsteen")
    for _ in range(hidden):
        make_case(restricted=True)
    assert found(clerk, "Hallstead") == [new, old]
    assert not found_cases(clerk, read_search("Hallstead", TODAY)).more


def test_the_closest_name_is_found_before_many_that_were_logged_later(clerk, monkeypatch):
    monkeypatch.setattr("cases.queries.search.CLOSEST", MOST + 1)
    nearest = make_case()
    for _ in range(MOST + 2):
        make_case(family_name="Hallsteen")
    assert found(clerk, "Hallstead")[0] == nearest


def test_of_a_very_common_name_the_page_is_filled_and_says_so(clerk):
    make_case(family_name="Hallsteen")
    cases = [make_case(reported_at=MOMENT + timedelta(hours=n)) for n in range(CLOSEST + 2)]
    for longer in ("Hallsteads", "Mchallstead"):
        make_case(family_name=longer, reported_at=MOMENT + timedelta(days=9))
    with CaptureQueriesContext(connection) as asked:
        result = found_cases(clerk, read_search("Hallstead", TODAY))
    assert [match.case for match in result.matches] == cases[: -MOST - 1 : -1]
    assert result.more
    # No name is closer than the word itself, so no likeness is computed.
    assert not any("WORD_SIMILARITY(" in one["sql"] for one in asked)


def test_a_bearer_of_the_name_ranks_as_close_as_another_spelling_that_holds_it(clerk):
    """Whole words only: Hall is not Hallstead, and Hall-Orme holds Hall."""
    hall = make_case(family_name="Hall", reported_at=MOMENT - timedelta(days=1))
    double = make_case(family_name="Hall-Orme")
    longer = make_case(family_name="Halls")
    assert found(clerk, "Hall")[:2] == [double, hall]
    assert found(clerk, "hall") == [double, hall, longer]


def test_a_whole_number_means_one_case_and_half_of_one_more(clerk):
    case = make_case(number="2026-0412", number_year=2026, number_running=412)
    there = make_case(place_of_death="Ledger 2026-0412, Mill Road")
    assert found(clerk, "2026-0412") == [case]
    assert found(clerk, "412") == [case, there]
    assert found(clerk, "2026-0413") == []


def test_what_is_not_looked_for_would_not_have_been_shown(clerk):
    """A name ranks above every place: where names fill the page, places are left out."""
    for _ in range(MOST):
        make_case()
    by_place = make_case(family_name="Orme", place_of_death="Hallstead Weir")
    assert found(clerk, "Hallstead")[:MOST].count(by_place) == 0
    assert found_cases(clerk, read_search("Hallstead", TODAY)).more
    make_case()
    result = found_cases(clerk, read_search("Hallstead", TODAY))
    assert (len(result.matches), result.more) == (MOST, True)
    assert {match.why for match in result.matches} == {result.matches[0].why}


def test_the_number_of_statements_does_not_grow(clerk):
    counts = []
    for more in (3, 57):
        for _ in range(more):
            make_case()
        actor = Staff.objects.get(pk=clerk.pk)
        with CaptureQueriesContext(
            connection,
        ) as queries:
            found(actor, "Hallstead")
        counts.append(len(queries))
    # Fewer where the names alone fill the page.
    assert 9 >= counts[0] >= counts[1]


def test_a_page_that_is_just_filled_says_whether_more_follow_what_is_not_open(clerk, monkeypatch):
    monkeypatch.setattr("cases.queries.search.CLOSEST", MOST + 1)
    make_case(family_name="Hallsteen")
    for hidden in (True, *[False] * MOST):
        make_case(restricted=hidden)
    result = found_cases(clerk, read_search("Hallstead", TODAY))
    assert (len(result.matches), result.more) == (MOST, True)


def test_names_that_are_not_open_take_no_place_and_are_not_counted(clerk):
    for hidden in (*[False] * MOST, True):
        make_case(restricted=hidden)
    result = found_cases(clerk, read_search("Hallstead", TODAY))
    assert (len(result.matches), result.more) == (MOST, False)


def test_names_that_are_not_open_cost_no_statement_each(clerk, monkeypatch):
    monkeypatch.setattr("cases.queries.search.CLOSEST", 3)
    counts = []
    for hidden in (4, 56):
        for _ in range(hidden):
            make_case(restricted=True)
        actor = Staff.objects.get(pk=clerk.pk)
        with CaptureQueriesContext(connection) as queries:
            found(actor, "Hallstead")
        counts.append(len(queries))
    assert counts[0] == counts[1]


@pytest.mark.parametrize(
    ("typed", "index"),
    [
        ("412", "case_number_search"),
        ("2026-0412", "case_number_once_a_year"),
        ("Halsted", "decedent_name_search"),
        ("kiln", "case_place_search"),
        ("weir", "case_heading_search"),
        ("14 Nov 2026", "Index Cond: ((reported_at >="),
    ],
)
def test_each_way_has_its_index(clerk, typed, index):
    """With plain scans off the planner shows which index fits the condition itself."""
    make_case()
    plans = []
    with connection.cursor() as cursor:
        cursor.execute("SET LOCAL enable_seqscan = off")
        cursor.execute("SET LOCAL enable_indexscan = off")
        for group in _branches(clerk, read_search(typed, TODAY)):
            plans += [branch.explain() for branch in group]
    assert any(index in plan for plan in plans), plans


def test_no_search_reads_entries_that_an_index_has_put_aside(clerk):
    make_case()
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT relname, gin_clean_pending_list(c.oid::regclass) FROM pg_class c "
            "JOIN pg_am a ON a.oid = relam WHERE amname = 'gin' AND relkind = 'i'"
        )
        aside = dict(cursor.fetchall())
    assert len(aside) >= 4
    assert {name: pages for name, pages in aside.items() if pages} == {}

"""What a curriculum vitae says and when it no longer holds: both sides of every limit."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from cases.qualifications.rules import (
    COUNT_AGAIN_AFTER,
    HEADINGS,
    RUNS_OUT,
    Heard,
    Line,
    counted,
    earlier_words,
    first_listed,
    has_run_out,
    in_force_words,
    not_listed_words,
    rows_of_testimony,
    sections,
    why_not_current,
    why_not_kept,
    wrong_in_qualification,
    wrong_in_testified,
    years_words,
)

TODAY = date(2026, 11, 30)
YESTERDAY, TOMORROW = TODAY - timedelta(days=1), TODAY + timedelta(days=1)
LICENSE = {"kind": "license", "place": "State Medical Board", "number": "4471"}


def test_what_runs_out_and_what_does_not():
    assert frozenset({"license", "certification"}) == RUNS_OUT
    assert has_run_out("license", YESTERDAY, None, TODAY)
    assert has_run_out("certification", YESTERDAY, None, TODAY)
    # Valid through its last day; one that was given up before has not run out.
    assert not has_run_out("license", TODAY, None, TODAY)
    assert not has_run_out("license", YESTERDAY, 2026, TODAY)
    assert not has_run_out("license", None, None, TODAY)
    assert not has_run_out("degree", YESTERDAY, None, TODAY)


@pytest.mark.parametrize(
    ("entry", "fields"),
    [
        (LICENSE, set()),
        ({**LICENSE, "place": ""}, {"place"}),
        ({**LICENSE, "number": ""}, {"number"}),
        ({"kind": "certification"}, set()),
        ({"kind": "degree", "from_year": 1929}, {"from_year"}),
        ({"kind": "degree", "from_year": 1930}, set()),
        ({"kind": "degree", "from_year": 2026}, set()),
        ({"kind": "degree", "from_year": 2027}, {"from_year"}),
        ({"kind": "degree", "to_year": 2027}, {"to_year"}),
        ({"kind": "training", "from_year": 2010, "to_year": 2009}, {"to_year"}),
        ({"kind": "training", "from_year": 2010, "to_year": 2010}, set()),
        ({"kind": "degree", "valid_until": TODAY}, {"valid_until"}),
        ({"kind": "certification", "valid_until": TODAY}, set()),
    ],
)
def test_what_cannot_be_so_in_a_line(entry, fields):
    assert set(wrong_in_qualification(entry, TODAY)) == fields


@pytest.mark.parametrize(
    ("kind", "first", "last", "words"),
    [
        ("training", 2009, 2009, "2009"),
        ("training", 2005, 2009, "2005 to 2009"),
        ("license", 2011, None, "since 2011"),
        ("degree", 2011, None, "2011"),
        ("publication", 2011, None, "2011"),
        ("degree", 2007, 2011, "2007 to 2011"),
        ("training", None, 2009, "until 2009"),
        ("degree", None, None, ""),
    ],
)
def test_years_in_words(kind, first, last, words):
    assert years_words(kind, first, last) == words


def test_lines_stand_by_heading_the_latest_first():
    made = sections(
        [
            Line("degree", "Doctor of Medicine", "Tarn University", from_year=2009),
            Line("license", "Old license", "Other State", "1", 2009, 2014),
            Line("license", "Medical license", "This State", "4471", 2014, None, YESTERDAY),
            Line("appointment", "Forensic pathologist", from_year=2016, note="Full time"),
        ],
        TODAY,
    )
    assert [(one["heading"], [line["title"] for line in one["lines"]]) for one in made] == [
        ("Licenses", ["Medical license", "Old license"]),
        ("Degrees", ["Doctor of Medicine"]),
        ("Appointments", ["Forensic pathologist"]),
    ]
    current, old = made[0]["lines"]
    assert (current["years"], current["expired"], current["valid_until"]) == (
        "since 2014", True, "2026-11-29",
    )  # fmt: skip
    assert (old["years"], old["expired"], old["valid_until"]) == ("2009 to 2014", False, "")
    assert (made[1]["lines"][0]["years"], made[2]["lines"][0]["note"]) == ("2009", "Full time")
    assert [kind for kind, _ in HEADINGS] == [
        "license", "certification", "degree", "training", "appointment", "publication",
    ]  # fmt: skip


def test_numbers_by_kind_in_their_order_without_those_of_none():
    kinds = [("external", "external examination"), ("limited", "limited"), ("full", "full autopsy")]
    assert counted({"full": 40, "external": 2, "limited": 0}, kinds) == {
        "total": 42,
        "kinds": [["external examination", 2], ["full autopsy", 40]],
    }
    assert counted({}, kinds) == {"total": 0, "kinds": []}


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"counted_on": None}, "no curriculum vitae"),
        ({}, ""),
        ({"changed_since": True}, "curriculum vitae changed since it was issued"),
        ({"runs_out": [YESTERDAY]}, "license or certification expired by then"),
        ({"runs_out": [TOMORROW, TODAY]}, ""),
        ({"runs_out": [TOMORROW], "on": TOMORROW + timedelta(days=1)},
         "license or certification expired by then"),
        ({"counted_on": TODAY - COUNT_AGAIN_AFTER}, ""),
        ({"counted_on": TODAY - COUNT_AGAIN_AFTER - timedelta(days=1)},
         "curriculum vitae counted 2025"),
    ],
)  # fmt: skip
def test_when_the_last_version_would_not_do(given, words):
    asked = {
        "counted_on": TODAY, "changed_since": False, "runs_out": [], "on": TODAY, "today": TODAY,
    }  # fmt: skip
    assert why_not_current(**{**asked, **given}) == words
    assert timedelta(days=365) == COUNT_AGAIN_AFTER


def test_when_a_version_was_in_force():
    assert in_force_words(date(2026, 11, 3), None) == "since 3 Nov 2026"
    assert in_force_words(date(2024, 3, 3), date(2026, 11, 3)) == "3 Mar 2024 to 3 Nov 2026"


@pytest.mark.parametrize(
    ("supervises", "own", "works", "may"),
    [
        (True, False, True, True),
        (False, True, True, True),
        (False, True, False, False),
        (False, False, True, False),
    ],
)
def test_who_keeps_one(supervises, own, works, may):
    why = why_not_kept(supervises=supervises, own=own, works_on_cases=works)
    assert (why == "") is may


def test_the_list_covers_four_years_and_their_first_day():
    assert first_listed(TODAY) == date(2022, 11, 30)
    assert first_listed(date(2028, 2, 29)) == date(2024, 2, 29)
    # 2100 has no 29 February: four years before that of 2104 begin on the day after its 28th.
    assert first_listed(date(2104, 2, 29)) == date(2100, 3, 1)


@pytest.mark.parametrize(
    ("entry", "fields"),
    [
        ({"on_day": TODAY, "caption": "State v. Doe"}, set()),
        ({"on_day": TODAY, "cause_number": "CR-1"}, set()),
        ({"on_day": TODAY}, {"caption"}),
        ({"on_day": TOMORROW, "caption": "State v. Doe"}, {"on_day"}),
        ({"on_day": date(1929, 12, 31), "caption": "State v. Doe"}, {"on_day"}),
        ({"on_day": date(1930, 1, 1), "caption": "State v. Doe"}, set()),
        ({"caption": "State v. Doe"}, set()),
    ],
)
def test_what_cannot_be_so_in_a_line_of_testimony(entry, fields):
    assert set(wrong_in_testified(entry, TODAY)) == fields


def test_testimony_is_kept_latest_first_and_what_lies_before_is_counted():
    days = (date(2022, 11, 29), TOMORROW, date(2022, 11, 30), TODAY, date(2020, 1, 1), TODAY)
    heard = [
        Heard("trial", day, name, "Superior Court", "CR-1", "defense")
        for day, name in zip(days, "fagcdb", strict=True)
    ]
    made = rows_of_testimony(heard, TODAY)
    assert [one["caption"] for one in made["lines"]] == ["b", "c", "g"]
    assert made["lines"][0] == {
        "day": "2026-11-30", "kind": "trial", "caption": "b", "court": "Superior Court",
        "cause_number": "CR-1", "called_by": "defense",
    }  # fmt: skip
    assert (made["first"], made["last"], made["earlier"]) == ("2022-11-30", "2026-11-30", 2)


def test_what_a_list_leaves_out_is_said_in_words():
    assert (not_listed_words(0), earlier_words(0)) == ("", "")
    assert not_listed_words(1).endswith("in these years: 1 case.")
    assert not_listed_words(2).endswith("in these years: 2 cases.")
    assert earlier_words(3) == "Listed from before these years and not printed: 3."

"""A rule of counting as it is entered, and what cannot be so of it."""

from __future__ import annotations

from datetime import date

import pytest

from cases.counting import rules
from findings.calculations.counting import Added, Service
from findings.calculations.counting_rules import SHIPPED

TODAY = date(2026, 11, 28)


@pytest.mark.parametrize("key", SHIPPED)
def test_a_rule_that_comes_along_reads_back_as_it_was_written(key):
    shipped = SHIPPED[key]
    read = rules.ruleset_of(rules.entered_of(shipped))
    assert read.services == shipped.services
    assert read.paragraphs == shipped.paragraphs
    assert (read.forward, read.backward, read.closed_as) == (
        shipped.forward, shipped.backward, shipped.closed_as
    )  # fmt: skip
    assert (read.closed_weekdays, read.local_only_forward) == (
        shipped.closed_weekdays, shipped.local_only_forward
    )  # fmt: skip


@pytest.mark.parametrize(
    ("line", "read"),
    [
        ("mail: 3 days after the end", Service("mail", 3)),
        ("Mail: 1 day after the end.", Service("Mail", 1)),
        ("mail: 60 days to the period", Service("mail", 60, added=Added.TO_PERIOD)),
        ("overnight: 2 court days To The Period",
         Service("overnight", 2, court_days=True, added=Added.TO_PERIOD)),
        ("by hand: nothing", Service("by hand")),
    ],
)  # fmt: skip
def test_a_way_of_service_is_read(line, read):
    assert rules.services_of(f"\n  {line}  \n") == (read,)
    assert rules.services_of(rules.service_words((read,))) == (read,)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("mail", "cannot be read"),
        ("mail: three days after the end", "cannot be read"),
        ("mail: 61 days after the end", "at most 60"),
        ("mail: 3 days", "cannot be read"),
        ("mail: 3 days after the end\nMAIL: nothing", "is there twice"),
    ],
)
def test_a_way_that_cannot_be_read_is_said(text, words):
    with pytest.raises(rules.WrongLine, match=words):
        rules.services_of(text)


def test_paragraphs_are_read_and_refused():
    text = "End: (a)(1)(C)\ncourt days: (b)"
    assert rules.paragraphs_of(text) == {"end": "(a)(1)(C)", "court days": "(b)"}
    assert rules.paragraph_words({"end": "(c)", "days": "(b)"}) == "end: (c)\ndays: (b)"
    for wrong, words in (
        ("end", "cannot be read"), ("ending: (a)", "cannot be read"),
        ("end:", "cannot be read"), ("end: a\nend: b", "is there twice"),
    ):  # fmt: skip
        with pytest.raises(rules.WrongLine, match=words):
            rules.paragraphs_of(wrong)


def test_what_cannot_be_so_of_a_rule_is_told_by_field():
    right = {"ways": "mail: nothing", "paragraphs": "", "calendar": "US"}
    assert rules.wrong_in_rule(right, TODAY) == {}
    both = {"approved_by": "A. Merrow", "approved_on": TODAY}
    assert rules.wrong_in_rule({**right, **both}, TODAY) == {}
    for field, change in (
        ("ways", {"ways": " "}),
        ("ways", {"ways": "mail"}),
        ("paragraphs", {"paragraphs": "mail"}),
        ("calendar", {"calendar": "US-XX"}),
        ("approved_on", {"approved_by": "A. Merrow"}),
        ("approved_by", {"approved_on": TODAY}),
        ("approved_on", {**both, "approved_on": date(2026, 11, 29)}),
    ):
        assert [*rules.wrong_in_rule({**right, **change}, TODAY)] == [field], change


def test_a_closure_ends_after_it_began_and_within_a_year():
    first = date(2026, 1, 1)
    assert rules.wrong_in_closure({"first_on": first, "last_on": first}) == {}
    assert rules.wrong_in_closure({"first_on": first}) == {}
    assert "last_on" in rules.wrong_in_closure({"first_on": first, "last_on": date(2025, 12, 31)})
    longest = date.fromordinal(first.toordinal() + 400)
    assert rules.wrong_in_closure({"first_on": first, "last_on": longest}) == {}
    over = date.fromordinal(first.toordinal() + 401)
    assert "last_on" in rules.wrong_in_closure({"first_on": first, "last_on": over})


def test_a_court_is_found_by_its_name_without_case_and_blanks():
    assert rules.court_key("  Tarn County  Superior COURT ") == "tarn county superior court"


def test_a_rule_is_told_whole():
    told = dict(rules.told_of(SHIPPED["federal-civil"]))
    assert told["Where the rule stands"] == SHIPPED["federal-civil"].source
    assert told["What each way of service adds"].splitlines()[0] == "mail: 3 days after the end"
    assert told["Paragraphs"].splitlines()[0] == "event: (a)(1)(A)"
    told = {label: words for label, words in told.items() if "\n" not in words}
    del told["Where the rule stands"]
    assert told == {
        "Calendar of holidays": "federal holidays",
        "Day of the event": "not counted",
        "Short periods": "every day counts, however short the period",
        "A period may not end on": "a Saturday, a Sunday or a holiday",
        "An end after the event that falls on such a day": "goes on to the next open day",
        "An end before the event that falls on such a day": "goes back to the last open day before",
        "A day on which the court’s office is closed": "an end on it goes on to the first open day "
        "after, never back",
        "Holidays of the state": "count only for periods after an event",
        "Hours": "every hour counts; an end on a closed day moves to the same time on an open day",
        "In this way since": "1 Dec 2009",
    }
    other = rules.ruleset_of({
        **rules.entered_of(SHIPPED["federal-civil"]), "calendar": "US-TX", "weekend": "sunday",
        "counts_event_day": True, "court_days_below": 6, "backward": "stays",
        "closed_as": "as a holiday", "local_only_forward": False, "counts_hours": False,
        "paragraphs": "",
    })  # fmt: skip
    told = dict(rules.told_of(other))
    assert [told[label] for label in (
        "Calendar of holidays", "Day of the event", "Short periods", "A period may not end on",
        "An end before the event that falls on such a day",
        "A day on which the court’s office is closed", "Holidays of the state", "Hours",
    )] == [
        "US-TX, a state", "counted", "periods below 6 days count court days alone",
        "a Sunday or a holiday", "stays where it is", "is taken as a holiday",
        "count for periods after and before an event", "the rule does not say how they are counted",
    ]  # fmt: skip
    assert not {"Paragraphs", "In this way since"} & {*told}

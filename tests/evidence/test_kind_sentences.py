"""What is said beside a field where a thing, a count of cash, a kit or a time cannot stand."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from evidence.items import kinds
from me_office.audit.errors import Invalid
from tests.evidence.things import CASH, RING

HOUR = timedelta(hours=1)
NOON = datetime(2026, 11, 14, 12, tzinfo=UTC)
TIMES: dict[str, Any] = {
    "origin": "before death",
    "taken_at": NOON,
    "received_at": NOON + HOUR,
    "sealed_at": None,
    "pronounced_at": NOON + HOUR,
    "now": NOON + 3 * HOUR,
}
FUTURE = ["The time is in the future."]


def refused(check: Any, *given: Any, **named: Any) -> dict[str, list[str]]:
    """What a check says beside each field; nothing where it lets all pass."""
    try:
        check(*given, **named)
    except Invalid as error:
        return error.errors
    return {}


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({}, {}),
        ({"origin": "office"},
         {"origin": ["Say whether it was taken before or after death."]}),
        ({"taken_at": NOON + HOUR * 1.5}, {"taken_at": ["It was received before this time."]}),
        ({"pronounced_at": NOON - HOUR},
         {"taken_at": ["Death was pronounced before this. Check the label; if its time cannot be "
                       "right, leave this empty and write down what the label says."]}),
        ({"received_at": NOON + 3 * HOUR}, {}),
        ({"received_at": NOON + 4 * HOUR}, {"received_at": FUTURE}),
        ({"sealed_at": NOON + HOUR},
         {"sealed_at": ["Give a time after it was received, or say that it arrived sealed."]}),
        ({"sealed_at": NOON + 3 * HOUR}, {}),
        ({"sealed_at": NOON + 4 * HOUR}, {"sealed_at": FUTURE}),
        # Each field has its own sentence when several are wrong.
        ({"origin": "", "received_at": NOON + 4 * HOUR, "taken_at": NOON + 5 * HOUR},
         {"origin": ["Say whether it was taken before or after death."],
          "received_at": FUTURE, "taken_at": ["It was received before this time."]}),
    ],
)  # fmt: skip
def test_times_that_cannot_follow_each_other(fields, said):
    assert refused(kinds.check_received, **TIMES | fields) == said


PEOPLE = ["Dr. I. Vasko", "D. Renn"]


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        (RING, {}),
        (CASH, {}),
        ({}, {"category": ["Say what it is."],
              "kept_as": ["Say whether it is evidence or belongs to the decedent."]}),
        ({**RING, "category": "foreign object"},
         {"kept_as": ["Foreign object is kept as evidence, not as personal effects."]}),
        ({**RING, "found": "at the scene", "found_at": None},
         {"found_at": ["Say where at the scene."]}),
        ({**RING, "found": "in the body", "found_at": " "},
         {"found_at": ["Say where in the body."]}),
        ({"category": "valuables", "kept_as": "property", "found": "brought by others"},
         {"found_at": ["Say who brought it and from where."]}),
        ({**CASH, "category": "valuables"},
         {"cash_count": ["Only cash is counted by denomination: leave this empty."]}),
        ({**RING, "category": "cash"},
         {"cash_count": ["Count the cash, a line for each denomination: 3 x 20.00."],
          "cash_currency": ["Give the currency as three letters: USD."],
          "witnessed_by": ["Cash is counted by two people: name the second."]}),
        ({**CASH, "witnessed_by": " D. Renn"},
         {"witnessed_by": ["The second person counting must be someone else."]}),
        ({**CASH, "cash_currency": "USDX"},
         {"cash_currency": ["Give the currency as three letters: USD."]}),
        ({**CASH, "cash_currency": "usd"},
         {"cash_currency": ["Give the currency as three letters: USD."]}),
    ],
)  # fmt: skip
def test_a_thing_whose_parts_contradict_each_other(entry, said):
    assert refused(kinds.check_thing, entry, counted_by=PEOPLE) == said


@pytest.mark.parametrize("line", ["65.00", "0 x 20", "1234567 x 1", "1 x 12345678", "1 x 1.2345"])
def test_a_line_that_is_no_count_is_shown_with_the_way_to_write_it(line):
    assert refused(kinds.count_of_cash, f"3 x 20.00\n {line} ") == {
        "cash_count": [f"“{line}” is no count. Write 3 x 20.00 on each line."]
    }


def test_a_count_is_said_with_what_it_comes_to():
    counted = kinds.count_of_cash("3 x 20.00; 1 x 5")
    assert kinds.cash_words(counted, "USD") == "USD 65.00 (3 x 20.00, 1 x 5)"
    assert kinds.cash_words([], "USD") == ""
    assert kinds.cash_typed(counted) == "3 x 20.00\n1 x 5"
    assert kinds.total_of([]) == Decimal(0)


def test_a_line_of_a_kit_that_names_no_place_is_shown_with_the_way_to_write_it():
    assert refused(kinds.parts_of, "A1: Heart, left\n lung ") == {
        "parts": [
            "“lung” names no place. Write what it is, a comma, from where: A1: Heart, left "
            "ventricle, or: Swabs, mouth."
        ]
    }


def parts(*labels: str) -> list[dict[str, str]]:
    return [{"label": label, "material": "Swab", "site": "mouth"} for label in labels]


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (parts(), "List the parts, a line for each."),
        (parts(*map(str, range(101))), "A kit or tray has at most 100 parts."),
        (parts("A1", " "), "Each part has a label."),
        (parts("A1", "B1", "a1"), "Label a1 appears twice."),
    ],
)
def test_a_kit_that_cannot_stand(given, said):
    assert refused(kinds.check_parts, given) == {"parts": [said]}
    assert refused(kinds.check_parts, parts(*map(str, range(100)))) == {}


def test_lines_without_a_label_are_numbered_by_their_place():
    read = kinds.parts_of("Swab, mouth\nA: Swab, neck\n\nSwab, left hand, palm")
    assert [(one["label"], one["material"], one["site"]) for one in read] == [
        ("1", "Swab", "mouth"), ("A", "Swab", "neck"), ("3", "Swab", "left hand, palm")
    ]  # fmt: skip

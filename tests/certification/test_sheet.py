"""The certificate's items one by one, beside the published list; ages as 4a to 4c ask them."""

from __future__ import annotations

import datetime as dt
import re

import pytest

from cases.certification import codes, items, rules, sheet
from cases.certification.models import Certification, FollowUp, Particulars

DAY = dt.date

# Items of the US Standard Certificate of Death, 2003 revision (NCHS), as the HL7 guide lists them.
PUBLISHED = """
    1 2 3 4a 4b 4c 5 6 7a 7b 7c 7d 7e 7f 7g 8 9 10 11 12 13a 13b 13c 14 15 16 17 18 19 20 21 22 23
    24 25 26 27 28 29 30 31 32-I 32-II 33 34 35 36 37 38 39 40 41 42 43 44 45 46 47 48 49 50 51 52
    53 54 55
"""


def test_the_sheet_has_every_item_of_the_form_in_its_order():
    shown = [item.split(" (")[0].split(",")[0] for item, _, _ in sheet.ITEMS]
    shown = ["32-I" if one.startswith("32 I ") else one.replace(" ", "-") for one in shown]
    in_order = list(dict.fromkeys(shown))
    in_order.remove("7")  # the address as the office first recorded it, in one line
    assert len(PUBLISHED.split()) == 66
    assert in_order == PUBLISHED.split()
    assert len({item for item, _, _ in sheet.ITEMS}) == len(sheet.ITEMS)
    assert {item for item, _, _ in sheet.ITEMS} >= sheet.STATED


# HL7 Medicolegal Death Investigation guide 1.1.0 and Vital Records Death Reporting guide 3.0.0.
def test_the_codes_are_the_published_ones():
    assert codes.MANNER == {
        "natural": "38605008", "accident": "7878000", "suicide": "44301001",
        "homicide": "27935005", "pending": "185973002", "undetermined": "65037004",
    }  # fmt: skip
    assert codes.CERTIFIER == {
        "examiner": "455381000124109",
        "pronouncing": "434641000124105",
        "certifying": "434651000124107",
    }
    assert set(codes.CERTIFIER) == {key for key, _ in items.CERTIFIERS}
    assert sheet.coded_manner("natural", "natural") == "natural [38605008]"
    assert sheet.coded_manner("", "") == ""
    assert sheet.coded_certifier("examiner", "x") == "x [455381000124109]"
    assert sheet.coded_pregnancy("1", "not pregnant") == "not pregnant [1]"


@pytest.mark.parametrize(
    ("born", "died", "years", "read", "parts"),
    [
        (DAY(1968, 3, 2), DAY(2026, 3, 1), None, "", ("57", "", "")),
        (DAY(1968, 3, 2), DAY(2026, 3, 2), None, "", ("58", "", "")),
        (DAY(2025, 3, 2), DAY(2026, 3, 2), None, "", ("1", "", "")),
        (DAY(2025, 3, 2), DAY(2026, 3, 1), None, "", ("", "11 months, 27 days", "")),
        (DAY(2026, 1, 31), DAY(2026, 3, 1), None, "", ("", "1 month, 1 day", "")),
        (DAY(2026, 1, 15), DAY(2026, 2, 15), None, "", ("", "1 month", "")),
        (DAY(2025, 12, 20), DAY(2026, 1, 2), None, "", ("", "13 days", "")),
        (DAY(2026, 3, 1), DAY(2026, 3, 2), None, "", ("", "1 day", "")),
        (DAY(2026, 3, 1), DAY(2026, 3, 1), None, "7 hours", ("", "", "7 hours")),
        (DAY(2026, 3, 1), DAY(2026, 3, 1), None, "", ("", "", "")),
        (None, None, 58.0, "", ("58", "", "")),
        (None, None, 58.9, "", ("58", "", "")),
        (None, None, 0.0274, "10 days", ("", "10 days", "")),
        (None, None, 0.25, "", ("", "about 3 months", "")),
        (None, None, 0.001, "7 hours", ("", "", "7 hours")),
        (None, DAY(2026, 3, 1), None, "", ("", "", "")),
        # A date of birth after the death is no age.
        (DAY(2026, 3, 2), DAY(2026, 3, 1), 30.0, "", ("30", "", "")),
    ],
)
def test_an_age_is_stated_in_one_unit(born, died, years, read, parts):
    assert sheet.age_parts(born, died, years, read) == parts


def test_what_reads_otherwise_is_named_with_both_texts():
    before = [{"item": "33", "label": "L", "text": "no"}, {"item": "37", "label": "M", "text": ""}]
    now = [
        {"item": "33", "label": "L", "text": "yes"},
        {"item": "37", "label": "M", "text": ""},
        {"item": "48", "label": "N", "text": "XM 1"},
    ]
    assert sheet.changes_since(before, now) == [
        sheet.ItemChange("33", "L", "no", "yes"),
        sheet.ItemChange("48", "N", "", "XM 1"),
    ]
    assert sheet.changes_since(now, now) == []


def test_only_the_certifier_s_own_items_are_frozen():
    rows = sheet.certificate_rows({"1": "Ada", "37": "natural"})
    frozen = {row["item"]: row["text"] for row in sheet.stated_rows(rows)}
    assert "1" not in frozen and frozen["37"] == "natural" and frozen["33"] == ""
    # Items 14 to 17, 29, 30, 32 to 45 and 48 of the form; 46, 47 and 49 stand beside them.
    own = {*range(14, 18), 29, 30, *range(32, 46), 48}
    assert list(frozen) == [
        item for item, *_ in sheet.ITEMS if int(re.match(r"\d+", item)[0]) in own
    ]


TODAY = DAY(2026, 11, 20)
LATE = "This date is in the future."


@pytest.mark.parametrize(
    ("number", "right"),
    [("", True), ("000-00-0000", True), ("000000000", True), ("Unknown", True), ("none", True),
     ("00-000-0000", False), ("12345678", False), ("1234567890", False), ("n/a", False)],
)  # fmt: skip
def test_a_social_security_number_has_nine_digits(number, right):
    wrong = rules.wrong_in_particulars({"social_security": number}, TODAY)
    assert (wrong == {}) is right


@pytest.mark.parametrize(("day", "late"), [(TODAY, False), (DAY(2026, 11, 21), True)])
def test_nothing_was_signed_filed_or_certified_tomorrow(day, late):
    for name in ("pronouncer_signed_on", "filed_on"):
        assert rules.wrong_in_particulars({name: day}, TODAY) == ({name: LATE} if late else {})
    came = {"came_on": LATE} if late else {}
    assert rules.wrong_in_follow_up({"came_on": day}, TODAY) == came
    stated = {"certified_on": LATE} if late else {}
    assert rules.wrong_in_statement({"certified_on": day}, TODAY) == stated


def test_something_else_is_said_in_words():
    asked = {"awaited": "other", "details": " "}
    assert rules.wrong_in_follow_up(asked, TODAY) == {"details": "Say what is awaited."}
    assert rules.wrong_in_follow_up({"awaited": "toxicology"}, TODAY) == {}
    assert FollowUp(awaited="other", details="A coin").words == "A coin"
    assert FollowUp(awaited="toxicology", details="second run").words == "toxicology: second run"
    assert FollowUp(awaited="scene").words == "scene, or statements of witnesses"


@pytest.mark.parametrize(
    ("on", "words"),
    [
        (None, "no follow-up date"),
        (DAY(2026, 11, 17), "follow-up passed 3 days ago"),
        (DAY(2026, 11, 19), "follow-up passed 1 day ago"),
        (TODAY, "follow-up today"),
        (DAY(2026, 11, 21), "follow-up in 1 day"),
        (DAY(2026, 11, 30), "follow-up in 10 days"),
    ],
)
def test_how_a_pending_case_stands(on, words):
    assert rules.follow_up_words(on, TODAY) == words


@pytest.mark.parametrize(
    ("entry", "left"),
    [
        ({}, []),
        ({"cause_a": "A"}, ["interval of line a (32)"]),
        ({"cause_a": "A", "interval_a": "unknown"}, []),
        ({"cause_a": "A", "cause_b": "B", "interval_a": "days"}, ["interval of line b (32)"]),
        ({"cause_a": "A", "manner": "pending"}, []),
    ],
)
def test_an_interval_is_left_until_it_is_stated(entry, left):
    assert items.intervals_left(entry) == left


def test_the_certifier_s_items_are_left_until_they_are_stated():
    both = ["type of certifier (45)", "license (48)"]
    assert items.certifier_items_left({}) == both
    assert items.certifier_items_left({"certifier_type": "examiner"}) == both[1:]
    assert items.certifier_items_left({"certifier_license": "XM 1"}) == both[:1]


def test_choices_fit_their_columns():
    for model in (Certification, Particulars, FollowUp):
        for field in model._meta.concrete_fields:
            for key, _ in field.flatchoices:
                assert field.max_length is None or len(str(key)) <= field.max_length

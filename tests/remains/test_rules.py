"""What a release has to say, and in which order a body comes and goes. Common practice."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from cases.remains.rules import (
    Movement,
    Way,
    cremation_caution,
    is_here,
    same_tag,
    why_held,
    wrong_in_disposition,
    wrong_in_release,
    wrong_time,
)


def at(hour: int) -> datetime:
    return datetime(2026, 11, 14, hour, tzinfo=UTC)


def moved(*hours: int) -> list[Movement]:
    """In, out, in again, out again at these hours."""
    return [
        Movement(Way.OUT if n % 2 else Way.IN, n // 2 + 1, at(hour)) for n, hour in enumerate(hours)
    ]


@pytest.mark.parametrize(
    ("hours", "here"),
    [((), False), ((1,), True), ((1, 2), False), ((1, 2, 3), True), ((1, 2, 3, 4), False)],
)
def test_a_body_is_here_after_every_other_movement(hours, here):
    assert is_here(moved(*hours)) is here
    assert is_here(list(reversed(moved(*hours)))) is here


@pytest.mark.parametrize(
    ("hours", "place", "said"),
    [
        ((5,), 0, ""),
        ((5, 5), 1, ""),
        ((5, 5), 0, ""),
        ((5, 4), 1, "was received only after"),
        ((5, 4), 0, "was released before"),
        ((5, 6, 6), 2, ""),
        ((5, 7, 6), 2, "was released only after"),
        ((5, 7, 6), 1, "was returned before"),
        ((5, 6, 8, 7), 3, "was received only after"),
        ((5, 6, 7, 9), 0, ""),
        ((8, 6, 7, 9), 0, "was released before"),
        ((5, 9, 7, 9), 2, "was released only after"),
    ],
)
def test_no_movement_is_before_the_one_before_it(hours, place, said):
    movements = moved(*hours)
    found = wrong_time(movements, movements[place])
    assert (said in found) if said else not found


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("T-118", "t 118", True),
        ("T-118", "T118", True),
        ("T-118", "T-18", False),
        ("T-118", "T-0118", False),
        ("TXX118", "T118", False),
    ],
)
def test_a_tag_is_read_without_regard_to_blanks_and_hyphens(one, other, same):
    assert same_tag(one, other) is same


TOLD = {"tag_number": "T-118", "belongings": "none", "identity_remark": ""}


@pytest.mark.parametrize(
    ("said", "identity", "wrong"),
    [
        ({}, "confirmed", set()),
        ({"tag_number": "T-119"}, "confirmed", {"tag_number"}),
        ({"tag_number": "T-119", "identity_remark": "tag replaced"}, "confirmed", set()),
        ({}, "tentative", {"identity_remark"}),
        ({}, "unknown", {"identity_remark"}),
        ({"identity_remark": "county disposition"}, "unknown", set()),
        ({"identity_remark": "  "}, "unknown", {"identity_remark"}),
        ({"belongings": "given"}, "confirmed", {"belongings_given"}),
        ({"belongings": "kept"}, "confirmed", {"belongings_kept"}),
        ({"belongings": "some"}, "confirmed", {"belongings_given", "belongings_kept"}),
        ({"belongings": "some", "belongings_given": "ring", "belongings_kept": "coat"},
         "confirmed", set()),
        ({"belongings": "none", "belongings_given": "ring"}, "confirmed", {"belongings"}),
        ({"belongings": "none", "belongings_kept": "ring"}, "confirmed", {"belongings"}),
        ({"belongings": "given", "belongings_given": "r", "belongings_kept": "c"}, "confirmed",
         {"belongings"}),
        ({"belongings": "kept", "belongings_given": "r", "belongings_kept": "c"}, "confirmed",
         {"belongings"}),
    ],
)  # fmt: skip
def test_a_release_says_who_it_is_and_what_goes_with_it(said, identity, wrong):
    assert set(wrong_in_release(TOLD | said, tag="T-118", identity=identity)) == wrong


@pytest.mark.parametrize(
    ("said", "identity", "name", "words"),
    [
        ({"tag_number": "T-119"}, "confirmed", "tag_number",
         "The body was received with tag T-118. Read the tag again; if it was replaced, "
         "say so below."),
        ({}, "tentative", "identity_remark",
         "Identity is tentative. Say on what ground the body is released before it is confirmed."),
        ({"belongings": "given"}, "confirmed", "belongings_given",
         "Say what was given with the body."),
        ({"belongings": "kept"}, "confirmed", "belongings_kept",
         "Say what the office keeps, and where it is."),
        ({"belongings_given": "ring"}, "confirmed", "belongings", "Belongings are named below."),
        ({"belongings": "given", "belongings_given": "r", "belongings_kept": "c"}, "confirmed",
         "belongings", "Some are kept: choose that part was given."),
        ({"belongings": "kept", "belongings_given": "r", "belongings_kept": "c"}, "confirmed",
         "belongings", "Some are given: choose that part was given."),
    ],
)  # fmt: skip
def test_each_refusal_of_a_release_has_its_sentence(said, identity, name, words):
    assert wrong_in_release(TOLD | said, tag="T-118", identity=identity) == {name: words}


RELEASED = date(2026, 3, 2)
TODAY = RELEASED + timedelta(days=5)
STILL_HERE = {"done_on": "The body was still in the office on this day."}


@pytest.mark.parametrize(
    ("said", "released_on", "wrong"),
    [
        ({"method": "burial"}, RELEASED, {}),
        ({"method": "other", "method_other": "given to the sea"}, RELEASED, {}),
        ({"method": "other", "method_other": " "}, None, {"method_other": "Say what was done."}),
        ({"method": "other"}, None, {"method_other": "Say what was done."}),
        ({"method": "burial", "method_other": "at sea"}, None,
         {"method_other": "Choose “other”, or leave this empty."}),
        ({"method": "burial", "done_on": TODAY}, RELEASED, {}),
        ({"method": "burial", "done_on": TODAY + timedelta(days=1)}, RELEASED,
         {"done_on": "This date is in the future."}),
        ({"method": "burial", "done_on": RELEASED}, RELEASED, {}),
        ({"method": "burial", "done_on": RELEASED - timedelta(days=1)}, RELEASED, STILL_HERE),
        ({"method": "burial", "done_on": RELEASED - timedelta(days=1)}, None, {}),
    ],
)  # fmt: skip
def test_a_disposition_is_of_a_day_since_the_release(said, released_on, wrong):
    assert wrong_in_disposition(said, today=TODAY, released_on=released_on) == wrong


NO_APPROVAL = "No approval of a cremation is recorded. Local law says whether it is needed."
REFUSED = "Cremation was refused by this office."
NOT_DECIDED = "Approval of the cremation is asked for and not decided."


@pytest.mark.parametrize(
    ("method", "outcomes", "words"),
    [
        ("burial", [], ""),
        ("burial", ["refused"], ""),
        ("cremation", [], NO_APPROVAL),
        ("cremation", ["open"], NOT_DECIDED),
        ("cremation", ["refused"], REFUSED),
        ("cremation", ["approved"], ""),
        ("cremation", ["refused", "approved"], ""),
        ("cremation", ["open", "approved", "refused"], REFUSED),
        ("cremation", ["approved", "refused", "open"], NOT_DECIDED),
    ],
)
def test_the_last_word_on_a_cremation_counts(method, outcomes, words):
    assert cremation_caution(method, outcomes) == words


def test_every_open_hold_is_named():
    assert why_held([]) == ""
    assert why_held(["a"]).startswith("A hold is open: a.")
    assert why_held(["a", "b", "c"]).startswith("3 holds are open: a; b; c.")


@pytest.mark.parametrize(
    ("reader", "wrong"),
    [("D. Renn", True), ("d renn, technician", True), ("P. Lowe, Lowe & Daughter", False)],
)
def test_two_people_read_the_tag(reader, wrong):
    # Common practice: two people compare the tag on the body with the case number.
    said = TOLD | {"second_reader": reader}
    found = wrong_in_release(said, tag="T-118", identity="confirmed", released_by="D. Renn")
    told = "Two people read the tag: name someone other than the person releasing the body."
    assert found == ({"second_reader": told} if wrong else {})

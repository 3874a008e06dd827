"""What may follow what, for cases and reports, and what an entry of the intake may say: every row.

Moves, texts and limits are the office's own (common practice), written out a second time.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from itertools import product

import pytest

from cases.review import rules as review
from cases.rules import case as rules
from cases.rules import intake

NOW = dt.datetime(2026, 3, 5, 12, 0, tzinfo=dt.UTC)
MINUTE = dt.timedelta(minutes=1)

CASE_MOVES = {
    ("reported", "open"), ("reported", "declined"), ("declined", "open"), ("open", "in review"),
    ("in review", "open"), ("in review", "signed"), ("open", "closed"), ("closed", "open"),
}  # fmt: skip
REPORT_MOVES = {
    ("draft", "submitted"), ("submitted", "returned"), ("submitted", "signed"),
    ("returned", "submitted"),
}  # fmt: skip


@pytest.mark.parametrize(
    ("states", "can_move", "moves"),
    [
        (rules.CaseState, rules.can_move, CASE_MOVES),
        (review.ReportState, review.can_move, REPORT_MOVES),
    ],
)
def test_only_the_written_moves_are_allowed(states, can_move, moves):
    allowed = {(a.value, b.value) for a, b in product(states, states) if can_move(a, b)}
    assert allowed == moves


def test_every_state_has_its_words():
    assert dict(rules.CaseState.choices()) == {
        "reported": "jurisdiction not decided",
        "declined": "jurisdiction declined",
        "open": "open",
        "in review": "in peer review",
        "signed": "signed and locked",
        "closed": "closed without a report",
    }
    assert dict(review.ReportState.choices()) == {
        "draft": "being written",
        "submitted": "in peer review",
        "returned": "sent back",
        "signed": "signed",
    }


@pytest.mark.parametrize(
    ("prefix", "running", "number"),
    [("", 412, "2026-0412"), ("ME", 7, "ME-2026-0007"), ("", 12345, "2026-12345")],
)
def test_a_case_number_is_year_and_four_digits_or_more(prefix, running, number):
    assert rules.case_number(prefix, 2026, running) == number


ALL_DONE = {
    "examination_opened": True, "examination_ended": True, "circumstances_reviewed": True,
    "cause_stated": True, "opinion_written": True, "unanswered_comments": 0,
}  # fmt: skip


@pytest.mark.parametrize(
    ("changed", "sentences"),
    [
        ({}, []),
        (
            {"examination_opened": False, "examination_ended": False},
            ["The examination has not been opened."],
        ),
        (
            {"examination_opened": False, "circumstances_reviewed": False},
            ["The examination has not been opened."],
        ),
        ({"examination_ended": False}, ["The examination has no end time."]),
        (
            {"circumstances_reviewed": False},
            ["It is not recorded that the circumstances were reviewed."],
        ),
        (
            {"cause_stated": False},
            ["Cause and manner are not stated; “pending” can be stated."],
        ),
        ({"opinion_written": False}, ["The opinion is not written."]),
        ({"unanswered_comments": 1}, ["1 comment is not answered."]),
        ({"unanswered_comments": 2}, ["2 comments are not answered."]),
        (
            {"cause_stated": False, "opinion_written": False, "unanswered_comments": 3},
            [
                "Cause and manner are not stated; “pending” can be stated.",
                "The opinion is not written.",
                "3 comments are not answered.",
            ],
        ),
    ],
)
def test_each_thing_missing_before_review_is_said(changed, sentences):
    assert review.missing_before_review(review.Readiness(**ALL_DONE | changed)) == sentences


NOTHING_EXAMINED = {
    "examination_opened": False, "scene_settled": True, "body_settled": True, "body_here": False,
}  # fmt: skip
CLOSING_LACKS = {
    "examination_opened": "An examination is opened: its report has to be written and finished.",
    "scene_settled": "The scene is neither recorded nor stated as not visited.",
    "body_settled": "The body is neither received nor stated as not received here.",
    "body_here": "The body is in the office: record its release first.",
}


@pytest.mark.parametrize("turned", [[], *([name] for name in CLOSING_LACKS), list(CLOSING_LACKS)])
def test_each_thing_that_keeps_a_case_from_being_closed_is_said(turned):
    known = NOTHING_EXAMINED | {name: not NOTHING_EXAMINED[name] for name in turned}
    lacking = review.missing_before_closing(review.ClosingFacts(**known))
    assert lacking == [CLOSING_LACKS[name] for name in turned]


def test_the_digest_is_that_of_sorted_keys_without_spaces_in_utf_8():
    kept = '{"a":[1,2],"b":"é"}'.encode()
    content = {"b": "é", "a": [1, 2]}
    assert review.digest_of(content) == hashlib.sha256(kept).hexdigest()


@pytest.mark.parametrize(
    ("wrote", "words"),
    [
        ([], ""),
        (["the report"], "You wrote this report and cannot be its reviewer."),
        (["findings", "the report"], "You wrote this report and cannot be its reviewer."),
        (["findings"], "You wrote findings of this report and cannot be its reviewer."),
        (["a", "b"], "You wrote a and b of this report and cannot be its reviewer."),
        (["a", "b", "c"], "You wrote a, b and c of this report and cannot be its reviewer."),
    ],
)
def test_who_wrote_a_part_is_told_which(wrote, words):
    assert review.why_no_reviewer(wrote) == words


LATER = NOW + MINUTE


@pytest.mark.parametrize(
    ("certainty", "at", "until", "lacking"),
    [
        ("unknown", None, None, {}),
        (
            "unknown", NOW, None,
            {"certainty": "A time was entered: say how certain it is, or clear the time."},
        ),
        (
            "unknown", None, NOW,
            {"certainty": "A time was entered: say how certain it is, or clear the time."},
        ),
        ("exact", None, None, {"at": "Enter the time, or say that it is unknown."}),
        ("about", None, None, {"at": "Enter the time, or say that it is unknown."}),
        ("between", None, NOW, {"at": "Enter the time, or say that it is unknown."}),
        ("exact", NOW, None, {}),
        ("about", NOW, None, {}),
        ("between", NOW, None, {"until": "Enter the second time."}),
        ("between", NOW, NOW, {"until": "The second time must be after the first."}),
        ("between", LATER, NOW, {"until": "The second time must be after the first."}),
        ("between", NOW, LATER, {}),
    ],
)  # fmt: skip
def test_each_uncertain_time_says_what_it_lacks(certainty, at, until, lacking):
    assert intake.lacking_in_time(certainty, at, until) == lacking


def test_a_moment_five_minutes_ahead_is_a_clocks_and_one_more_is_the_future():
    late = NOW + dt.timedelta(minutes=5, microseconds=1)
    assert not intake.is_ahead(None, NOW)
    assert not intake.is_ahead(NOW + dt.timedelta(minutes=5), NOW)
    assert intake.is_ahead(late, NOW)
    assert intake.ahead_of_now({"one": late, "two": None, "three": NOW, "four": late}, NOW) == {
        "one": "This time is in the future.",
        "four": "This time is in the future.",
    }


REPORT = {
    "last_alive_certainty": "exact", "last_alive_at": NOW - 60 * MINUTE, "last_alive_until": None,
    "found_certainty": "exact", "found_at": NOW - 30 * MINUTE, "found_until": None,
    "called_at": NOW - 20 * MINUTE, "pronounced_at": None,
}  # fmt: skip
FOUND_ALIVE = (
    "Last known alive is later than the time found. For someone who was found alive, enter "
    "when death was pronounced."
)
AFTER_PRONOUNCED = "Last known alive cannot be after death was pronounced."
AFTER_CALL = "Last known alive cannot be after the call."
FOUND_LATE = "The body cannot have been found after the call."
NOT_COME = "This time is in the future."
NO_TIME = {"found_certainty": "unknown", "found_at": None}


@pytest.mark.parametrize(
    ("changed", "wrong"),
    [
        ({}, {}),
        (NO_TIME, {}),
        ({"last_alive_certainty": "unknown", "last_alive_at": None}, {}),
        ({"last_alive_at": REPORT["found_at"]}, {}),
        ({"last_alive_at": REPORT["found_at"] + MINUTE}, {"pronounced_at": FOUND_ALIVE}),
        (
            {"last_alive_at": NOW - 26 * MINUTE, "pronounced_at": NOW - 25 * MINUTE},
            {},
        ),
        ({"last_alive_at": NOW - 25 * MINUTE, "pronounced_at": NOW - 25 * MINUTE}, {}),
        (
            {"last_alive_at": NOW - 24 * MINUTE, "pronounced_at": NOW - 25 * MINUTE},
            {"last_alive_at": AFTER_PRONOUNCED},
        ),
        (
            NO_TIME | {"last_alive_at": NOW - 24 * MINUTE, "pronounced_at": NOW - 25 * MINUTE},
            {"last_alive_at": AFTER_PRONOUNCED},
        ),
        (
            {
                "found_certainty": "between", "found_until": NOW - 22 * MINUTE,
                "last_alive_at": NOW - 25 * MINUTE,
            },
            {},
        ),
        (NO_TIME | {"last_alive_at": REPORT["called_at"]}, {}),
        (NO_TIME | {"last_alive_at": NOW - 19 * MINUTE}, {"last_alive_at": AFTER_CALL}),
        ({"found_at": NOW - 15 * MINUTE}, {}),
        ({"found_at": NOW - 14 * MINUTE}, {"found_at": FOUND_LATE}),
        ({"found_at": None}, {"found_at": "Enter the time, or say that it is unknown."}),
        (
            {"last_alive_certainty": "between"},
            {"last_alive_until": "Enter the second time."},
        ),
        ({"called_at": NOW + 6 * MINUTE}, {"called_at": NOT_COME}),
        ({"pronounced_at": NOW + 6 * MINUTE}, {"pronounced_at": NOT_COME}),
        ({"found_at": NOW + 6 * MINUTE}, {"found_at": NOT_COME}),
        ({"last_alive_at": NOW + 6 * MINUTE}, {"last_alive_at": NOT_COME}),
        ({"last_alive_until": NOW + 6 * MINUTE}, {"last_alive_until": NOT_COME}),
    ],
)  # fmt: skip
def test_each_order_of_times_that_cannot_be_is_refused_at_its_field(changed, wrong):
    assert intake.wrong_in_report(REPORT | changed, NOW) == wrong


def test_the_second_time_is_kept_for_between_only():
    kept = {one.value: intake.certain_only(one, NOW) for one in rules.Certainty}
    assert kept == {"exact": None, "about": None, "between": NOW, "unknown": None}


def test_names_to_search_by_stand_once_each():
    assert intake.search_name(" Ada ", "", "  ", "Marlow", "Ada") == "Ada Marlow"


NAME_FIRST = (
    "Enter the name first: identity cannot be confirmed while only a working name is known."
)


def presumptive(what):
    return (
        f"{what} alone is usually presumptive. Say what was compared and why it is enough, or "
        "enter the identity as tentative."
    )


@pytest.mark.parametrize(
    ("identity", "method", "is_named", "basis", "why"),
    [
        ("unknown", "none", False, "", {}),
        ("tentative", "none", True, "", {"method": "State the basis of the tentative identity."}),
        ("tentative", "documents", False, "", {}),
        ("confirmed", "none", True, "", {"method": "A confirmed identity needs its method."}),
        ("confirmed", "none", False, "", {"method": "A confirmed identity needs its method."}),
        ("confirmed", "dental", False, "", {"identity": NAME_FIRST}),
        ("confirmed", "dental", True, "", {}),
        ("confirmed", "documents", True, "a card", {}),
        (
            "confirmed", "documents", True, "",
            {"basis": presumptive("An identification by documents or property")},
        ),
        (
            "confirmed", "circumstances", True, " ",
            {"basis": presumptive("An identification by circumstances")},
        ),
        (
            "confirmed", "tattoo or scar", True, "",
            {"basis": presumptive("An identification by a tattoo, scar or other mark")},
        ),
    ],
)  # fmt: skip
def test_each_step_of_identification_says_what_keeps_it(identity, method, is_named, basis, why):
    assert intake.why_not_identified(identity, method, is_named=is_named, basis=basis) == why


@pytest.mark.parametrize(
    ("identity", "is_named", "days", "wrong"),
    [
        ("confirmed", True, None, {}),
        ("confirmed", False, None, {"family_name": "Identity is confirmed: the name stays."}),
        ("tentative", False, 0, {}),
        ("tentative", False, 1, {"born_on": "The date of birth is in the future."}),
    ],
)
def test_what_cannot_be_said_of_a_decedent_is_refused(identity, is_named, days, wrong):
    born_on = None if days is None else NOW.date() + dt.timedelta(days=days)
    said = intake.wrong_in_decedent(
        identity=identity, is_named=is_named, born_on=born_on, today=NOW.date()
    )
    assert said == wrong


def test_who_gives_no_basis_has_none():
    said = intake.why_not_identified("confirmed", "documents", is_named=True)
    assert said == {"basis": presumptive("An identification by documents or property")}


def test_who_was_notified_by_somebody_was_notified_at_a_time():
    assert intake.wrong_in_notification({"notified_by": "A. Marlow"}) == {
        "notified_at": "Enter when they were notified."
    }
    assert not intake.wrong_in_notification({"notified_by": "A. Marlow", "notified_at": NOW})
    assert not intake.wrong_in_notification({})


def test_the_assigned_and_the_last_supervisor_stay_on_the_team():
    def why(is_assigned, left):
        return intake.why_not_off_team(is_assigned=is_assigned, supervisors_left=left)

    assigned = "This person is assigned to the case. Assign someone else first."
    assert why(True, 1) == why(True, 0) == assigned
    assert (
        why(False, 0)
        == "At least one supervisor must stay on the team, or nobody could change it again."
    )
    assert why(False, 1) == ""

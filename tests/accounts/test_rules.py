"""What an account may be called, how it begins and who may change it: every row.

The rules are the office's own (common practice), written out a second time.
"""

from __future__ import annotations

import re
from itertools import cycle

import pytest

from me_office.accounts.roles import Role
from me_office.accounts.rules import (
    Refusal,
    name_taken_words,
    new_password,
    why_not_changed,
    why_not_closed,
    wrong_username,
)

NO_NAME = "Two to thirty lowercase letters, digits, dots or hyphens, starting with a letter."


@pytest.mark.parametrize("name", ["ab", "a" * 30, "j.renn", "q-hale2", "a1", "a.", "z-9"])
def test_a_user_name_of_two_to_thirty_small_letters_will_do(name):
    assert wrong_username(name) == ""


@pytest.mark.parametrize(
    "name",
    ["", "a", "a" * 31, "Renn", "reNn", "1renn", ".renn", "-renn", "j renn", "j_renn", "renn\n",
     "rénn", "j@renn"],
)  # fmt: skip
def test_other_user_names_are_refused_with_the_rule(name):
    assert wrong_username(name) == NO_NAME


@pytest.mark.parametrize(
    ("is_open", "whose"), [(True, "Someone in this office"), (False, "A closed account")]
)
def test_a_printed_name_that_is_taken_says_by_whom_and_what_to_do(is_open, whose):
    assert name_taken_words("Q. Hale", is_open=is_open) == (
        f"{whose} has this printed name (Q. Hale). Add what tells the two apart in a report, "
        "such as a middle initial."
    )


def test_a_first_password_is_five_groups_of_two_syllables_each_chosen_anew():
    asked: list[str] = []
    turn = cycle(range(14))

    def choose(letters):
        asked.append(letters)
        return letters[next(turn) % len(letters)]

    password = new_password(choose)
    assert re.fullmatch(r"([bdfgklmnprstvz][aeiou]){2}(-([bdfgklmnprstvz][aeiou]){2}){4}", password)
    assert password.replace("-", "") == "".join(
        letters[at % 14 % len(letters)] for at, letters in enumerate(asked)
    )
    # Fourteen consonants and five vowels: (14 * 5) ** 10 is a little over 2 ** 61.
    assert asked == ["bdfgklmnprstvz", "aeiou"] * 10
    assert all(len(set(letters)) == len(letters) for letters in asked)


A, B = frozenset({Role.RECORDS_CLERK}), frozenset({Role.RECORDS_CLERK, Role.SUPERVISOR})


@pytest.mark.parametrize(
    ("own", "before", "after", "refused"),
    [(True, A, B, True), (True, B, A, True), (True, A, A, False), (False, A, B, False),
     (False, A, A, False)],
)  # fmt: skip
def test_nobody_changes_their_own_roles(own, before, after, refused):
    expected = Refusal("roles", "Another administrator has to change your own roles.")
    assert why_not_changed(own=own, before=before, after=after) == (expected if refused else None)


@pytest.mark.parametrize(
    ("own", "is_open", "words"),
    [
        (True, True, "Another administrator has to close your account."),
        (True, False, "Another administrator has to close your account."),
        (False, False, "This account is already closed."),
        (False, True, None),
    ],
)
def test_an_open_account_of_somebody_else_is_closed(own, is_open, words):
    expected = Refusal(None, words) if words else None
    assert why_not_closed(own=own, is_open=is_open) == expected

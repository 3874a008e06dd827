"""Values with their words: found by the value, read by the words, offered with both."""

from __future__ import annotations

import pickle
from copy import deepcopy

import pytest

from me_office.worded import Worded, as_choices


class Way(Worded):
    HAND = "hand", "in person"
    FAX = "fax", "by fax"


def test_a_member_is_its_value_and_knows_its_words():
    assert (Way.FAX, str(Way.FAX), f"{Way.FAX}", Way.FAX.words) == ("fax", "fax", "fax", "by fax")
    assert Way("fax") is Way.FAX
    with pytest.raises(ValueError, match="by fax"):
        Way("by fax")


def test_values_are_offered_with_their_words_in_order():
    assert Way.choices() == [("hand", "in person"), ("fax", "by fax")]


def test_values_without_words_are_said_as_they_are_kept():
    assert as_choices((Way.FAX, Way.HAND)) == [("fax", "fax"), ("hand", "hand")]


def test_a_member_stays_itself_when_it_is_copied_or_kept():
    assert deepcopy(Way.HAND) is Way.HAND
    assert pickle.loads(pickle.dumps(Way.HAND)) is Way.HAND

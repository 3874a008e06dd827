"""What was entered, put onto a record: no database is asked."""

from __future__ import annotations

from uuid import uuid4

import pytest

from cases.models import Case, Decedent, Scene
from me_office.audit.fields import entered, set_fields

NAMES = ("family_name", "given_names", "born_on")


def test_only_what_is_given_and_allowed_is_set() -> None:
    decedent = Decedent(family_name="Ash", given_names="Ida", identity="tentative")
    changed = set_fields(decedent, {"family_name": "Birk", "identity": "confirmed"}, NAMES)
    assert changed == ["family_name"]
    assert (decedent.family_name, decedent.given_names) == ("Birk", "Ida")
    assert decedent.identity == "tentative"


def test_what_is_the_same_has_not_changed() -> None:
    decedent = Decedent(family_name="Ash", given_names="Ida")
    assert set_fields(decedent, {"family_name": " Ash ", "given_names": "Ida"}, NAMES) == []


def test_texts_lose_outer_blanks_and_nothing_is_an_empty_text() -> None:
    decedent = Decedent(given_names="Ida")
    set_fields(decedent, {"family_name": "  Ash\n", "given_names": None, "born_on": None}, NAMES)
    assert (decedent.family_name, decedent.given_names, decedent.born_on) == ("Ash", "", None)


def test_a_text_that_may_be_null_stays_null() -> None:
    case = Case(number="2026-0001")
    assert set_fields(case, {"number": None}, ("number",)) == ["number"]
    assert case.number is None


def test_a_key_is_compared_without_reading_what_it_points_at() -> None:
    key = uuid4()
    scene = Scene(case_id=key)
    assert set_fields(scene, {"case": Case(pk=key)}, ("case",)) == []
    assert set_fields(scene, {"case": Case(pk=uuid4())}, ("case",)) == ["case"]


def test_an_entry_that_has_to_be_whole_refuses_another_name() -> None:
    decedent = Decedent(family_name="Ash")
    with pytest.raises(ValueError, match="not recorded here: color, identity"):
        set_fields(
            decedent, {"family_name": "Birk", "identity": "x", "color": 1}, NAMES, whole=True
        )
    assert decedent.family_name == "Ash"


def test_what_is_compared_is_what_is_kept() -> None:
    sent = {"family_name": " Ash\u202e\n", "given_names": None, "identity": "confirmed"}
    said = entered(Decedent, sent, NAMES)
    assert said == {"family_name": "Ash", "given_names": ""}
    decedent = Decedent(family_name="Ash", given_names="")
    assert set_fields(decedent, said, NAMES) == []

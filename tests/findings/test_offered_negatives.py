"""Which negative statements may be made of a body, by examination and sex. Common practice."""

from __future__ import annotations

from itertools import product

import pytest

from findings.questions.negatives import (
    STATEMENTS,
    is_offered,
    why_not_seen,
    why_not_shown,
    why_of_another_sex,
)

PENIS, UTERUS = STATEMENTS["external-penis"], STATEMENTS["internal-uterus"]
BACK, KIDNEYS = STATEMENTS["external-back"], STATEMENTS["internal-kidneys"]
NOT_OPENED = {"external", "view and release", "chart review"}


@pytest.mark.parametrize("kind", ["full", *sorted(NOT_OPENED)])
@pytest.mark.parametrize("section", ["cavities", "internal", "deep_dissection"])
def test_nothing_of_an_opened_body_is_said_where_it_was_not_opened(kind, section):
    said = "The body was not opened in this kind of examination." if kind in NOT_OPENED else ""
    assert why_not_seen(section, kind) == said


@pytest.mark.parametrize("section", ["external", "treatment"])
def test_nothing_of_the_outside_is_said_where_nobody_saw_it(section):
    not_seen = "The body was not seen from outside in this kind of examination."
    assert {why_not_seen(section, kind) for kind in ("chart review", "imaging only")} == {not_seen}
    assert why_not_seen(section, "full") == why_not_seen(section, "external") == ""


@pytest.mark.parametrize(
    ("statement", "sex", "drawing", "other"),
    [
        (PENIS, "female", "adult_female", True),
        (PENIS, "female", "infant", True),
        (PENIS, "female", "adult_male", False),
        (PENIS, "male", "adult_male", False),
        (PENIS, "unknown", "adult_female", False),
        (PENIS, "", "", False),
        (UTERUS, "male", "adult_male", True),
        (UTERUS, "male", "adult_female", False),
        (UTERUS, "female", "adult_female", False),
        *((one, sex, "infant", False) for one, sex in product((BACK, KIDNEYS), ("male", "female"))),
    ],
)
def test_what_one_sex_has_is_not_said_of_the_other(statement, sex, drawing, other):
    said = (
        f"This is said of a {statement.sex} body; the decedent’s sex is recorded as {sex}."
        if other
        else ""
    )
    assert why_of_another_sex(statement, sex, drawing) == said
    assert is_offered(statement, "full", sex, drawing) is not other


def test_a_statement_is_offered_where_both_allow_it():
    assert is_offered(UTERUS, "full", "female", "adult_female")
    assert not is_offered(UTERUS, "external", "female", "adult_female")
    assert not is_offered(UTERUS, "full", "male", "adult_male")
    assert not is_offered(BACK, "chart review", "male", "adult_male")
    assert is_offered(BACK, "external", "male", "adult_male")


def test_skeletal_remains_show_what_bones_and_teeth_do_and_say_so_of_the_rest():
    bones = {
        "external-nasal-bones", "external-teeth", "treatment-none", "internal-skull",
        "internal-skull-base", "internal-facial-bones", "internal-cervical-spine",
        "internal-hyoid", "internal-ribs", "internal-sternum", "internal-spine", "internal-pelvis",
    }  # fmt: skip
    said = {key: why_not_shown(one, "skeletal remains") for key, one in STATEMENTS.items()}
    assert {key for key, words in said.items() if not words} == bones
    assert set(said.values()) == {
        "",
        "Skeletal remains do not show this; write it in words where soft tissue is left.",
    }
    assert why_not_shown(STATEMENTS["internal-liver"], "full autopsy") == ""
    assert "not opened" in why_not_shown(STATEMENTS["internal-liver"], "external")

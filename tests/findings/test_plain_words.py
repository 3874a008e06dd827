"""Plain words for a jury: whole terms, opinions marked, an entry for every term that is offered.

No published glossary was followed: own wording, general medical knowledge from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from findings.words.plain import (
    OPINION,
    PlainWords,
    plain_list,
    plain_words,
    plain_words_for,
    provenance,
    terms_without_plain_words,
)
from findings.words.vocabulary import TERMS

OFFERED = sorted({term for terms in TERMS.values() for term in terms})


@dataclass
class Named:
    """A finding as far as plain words go."""

    term: str
    klass: str = "injury"
    mechanism: str = ""


# What a jury was told before, and what is so.
@pytest.mark.parametrize(
    ("term", "words"),
    [
        ("Contusion", "a bruise."),
        ("Cerebral contusion", "a bruise of the brain."),
        ("Electrical burn", "damage to the skin from electricity."),
        ("Chemical burn", "damage to the skin or lining from a chemical."),
        ("Cold burn", "damage to the skin from cold."),
        (
            "Defibrillator burn",
            "a mark on the skin from the pads through which a shock to the heart was given.",
        ),
        ("Hemothorax", "blood in the chest cavity."),
        ("Hemoperitoneum", "blood in the belly cavity."),
        ("Healed laceration", "a scar of an old tear."),
        ("Fixed lividity",
         "settled color that mostly stays when the body is turned or the skin is pressed."),
        ("Stippling", "tiny scrapes of the skin from gunpowder grains hitting it."),
        ("Stab wound", "a wound deeper than it is long on the surface, made by something pointed."),
        ("Gunshot wound of entrance", "where a bullet went in, in the examiner's opinion."),
        ("Gunshot wound of exit", "where a bullet came out, in the examiner's opinion."),
        ("Contact wound",
         "a wound from a gun touching the body or the clothing when it was fired, "
         "in the examiner's opinion."),
        ("Patterned abrasion",
         "a scrape whose outline may reflect the shape of what touched the skin, "
         "in the examiner's opinion."),
        ("Defensive injury",
         "a wound of a kind that may come from trying to shield oneself, "
         "in the examiner's opinion."),
    ],
)  # fmt: skip
def test_each_term_has_its_own_words(term, words):
    assert plain_words(Named(term)) == f"{term}: {words}"


@pytest.mark.parametrize(
    ("finding", "words"),
    [
        (Named("Soot", "other"), "Soot: black powder left by smoke."),
        (Named("Soot", "injury"), "Soot: black powder left by smoke."),
        (Named("Soot", "injury", "Thermal"), "Soot: black powder left by smoke."),
        (Named("Soot", "other", "Firearm"), "Soot: black powder left by smoke."),
        (
            Named("Soot", "injury", "Firearm"),
            "Soot: black powder left by smoke, here from a gunshot at close range, "
            "in the examiner's opinion.",
        ),
    ],
)
def test_soot_is_of_a_gunshot_only_where_the_finding_is_one(finding, words):
    assert plain_words(finding) == words


@pytest.mark.parametrize(
    "term",
    ["Therapeutic stab wound", "Old contusion", "Radiation burn", "Contusion of the heart",
     "Soot-like stain", "Lividity, posterior", "Burnt clothing", "", "   ", "Something else"],
)  # fmt: skip
def test_nothing_is_matched_by_how_a_term_begins_or_ends(term):
    assert plain_words(Named(term)) == ""


@pytest.mark.parametrize("term", ["contusion", "CONTUSION", " Contusion ", "Contusion\n"])
def test_case_and_space_do_not_matter(term):
    assert plain_words(Named(term)).endswith(": a bruise.")


def test_every_term_that_is_offered_has_plain_words_or_has_none_on_purpose():
    for term in OFFERED:
        has_words = term.casefold() in plain_list()
        assert has_words != (term.casefold() in terms_without_plain_words()), term


def test_what_says_how_a_mark_came_about_is_marked_as_an_opinion():
    interpreting = ("of a kind", "of a size", "of a shape", "may reflect", "in the shape", "bullet")
    for term, words in plain_list().items():
        if term in ("gunshot wound", "graze gunshot wound", "wound path"):
            continue
        if any(said in words.plain for said in interpreting):
            assert words.is_opinion, term
            assert words.said(by_firearm=False).endswith(OPINION), term


def test_plain_words_are_sentences():
    for term, words in plain_list().items():
        said = words.said(by_firearm=False)
        assert said[0].isupper(), term
        assert said.endswith(".") and ".." not in said, term
        assert "colour" not in said, term


def test_several_findings_are_said_once_each_and_never_cut_in_the_middle():
    shown = [Named("Contusion"), Named("Contusion"), Named("Scar"), Named("Tattoo")]
    assert plain_words_for(shown) == (
        "Contusion: a bruise. Scar: a mark left by a healed wound. Tattoo: ink placed in the skin."
    )
    assert plain_words_for(shown, longest=60) == (
        "Contusion: a bruise. Scar: a mark left by a healed wound."
    )


def test_the_list_says_where_it_is_from():
    assert "own wording" in provenance()
    assert "read these before use" in provenance()


def test_an_opinion_ends_with_whose_it_is_and_one_full_stop():
    assert PlainWords("Marked X.", True).said(by_firearm=False) == "Marked X" + OPINION
    assert PlainWords("Marked X", True).said(by_firearm=False) == "Marked X" + OPINION
    assert PlainWords("Marked X.", False).said(by_firearm=False) == "Marked X."


def test_plain_words_that_just_fit_are_said():
    bruise = plain_words_for([Named("Contusion")])
    both = plain_words_for([Named("Contusion"), Named("Hemothorax")])
    for longest, said in ((len(both), both), (len(both) - 1, bruise), (len(bruise) - 1, "")):
        found = plain_words_for([Named("Contusion"), Named("Hemothorax")], longest=longest)
        assert found == said

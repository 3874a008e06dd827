"""The office's own words for what its reports say: what may be changed, and where it is said."""

from __future__ import annotations

import pytest
from django.utils.text import Truncator

from findings.prose.beneath import LayerSeen, layers_sentences
from findings.prose.house import (
    LONGEST,
    SENTENCES,
    STANDARD,
    Phrasing,
    key_of,
    layer_wordings,
    term_wordings,
    wrong_with,
)
from findings.prose.meaning import meaning_paragraph
from findings.prose.observed import Facts, standard_sentence
from findings.rules import FindingClass
from findings.words import vocabulary
from findings.words.layers import LAYER_WORDS

BY_KEY = {one.key: one for one in SENTENCES}
MARKS = BY_KEY["sentence.marks-within"]
NUMBERS = BY_KEY["sentence.numbers"]
LAYER = next(one for one in layer_wordings() if one.standard == "subcutaneous tissue")


@pytest.mark.parametrize("wording", SENTENCES, ids=lambda one: one.key)
def test_every_sentence_has_a_sample_for_each_of_its_blanks(wording):
    assert sorted(wording.sample) == sorted(wording.blanks)
    assert "{" not in wording.reads(wording.standard)
    assert not wording.standard.endswith(".")


def test_no_two_wordings_have_one_title_on_their_pages():
    terms = term_wordings(term for all_ in vocabulary.TERMS.values() for term in all_)
    all_ = [*SENTENCES, *layer_wordings(), *terms]
    titles = [Truncator(one.standard).chars(60) for one in all_]
    assert len(titles) == len(set(titles)) > 250


def test_layers_and_terms_have_a_key_each():
    layers = layer_wordings()
    assert [one.standard for one in layers] == list(dict.fromkeys(LAYER_WORDS.values()))
    terms = term_wordings(term for all_ in vocabulary.TERMS.values() for term in all_)
    keys = [one.key for one in (*SENTENCES, *layers, *terms)]
    assert len(keys) == len(set(keys))
    assert key_of("term", "Gunshot entrance wound") == "term.gunshot-entrance-wound"


@pytest.mark.parametrize(
    ("wording", "words", "why"),
    [
        (MARKS, "the area holds {count} marks", ""),
        (MARKS, "the area holds marks", "{count} has to stand"),
        (MARKS, "{count} marks, {count} of them dark", "{count} has to stand"),
        (MARKS, "{count} marks of {other}", "{count} has to stand"),
        (MARKS, "{count!r} marks", "{count} has to stand"),
        (MARKS, "{count:>9} marks", "{count} has to stand"),
        (MARKS, "{count.real} marks", "{count} has to stand"),
        (MARKS, "{count", "{count} has to stand"),
        (MARKS, "{} marks", "{count} has to stand"),
        (MARKS, MARKS.standard, "standard"),
        (MARKS, "the area holds {count} marks.", "Without a mark at the end"),
        (NUMBERS, "P is a photograph", ""),
        (NUMBERS, "P is a {photograph}", "Without braces"),
        (NUMBERS, "  ", "Write the words"),
        (NUMBERS, "P is a photograph\nand so on", "On one line"),
        (NUMBERS, "P is a photograph\rand so on", "On one line"),
        (NUMBERS, "x" * LONGEST, ""),
        (NUMBERS, "x" * (LONGEST + 1), "At most 200"),
        (LAYER, "subcutis", ""),
        (LAYER, "the subcutis", "Without an article"),
        (LAYER, "A subcutis", "Without an article"),
        (LAYER, "an underskin", "Without an article"),
        (LAYER, "theca", ""),
        (LAYER, "subcutis,", "Without a mark"),
    ],
)
def test_what_may_stand_in_place_of_the_standard_words(wording, words, why):
    found = wrong_with(wording, words)
    assert why in found if why else found == ""


@pytest.mark.parametrize("mark", ".!?;:,")
def test_no_mark_may_stand_at_the_end(mark):
    assert "Without a mark" in wrong_with(NUMBERS, f"P is a photograph{mark}")


OWN = Phrasing(
    {
        "sentence.marks-within": "the outline holds {count} marks",
        "sentence.beneath-one": "under it",
        "sentence.beneath-many": "under these",
        "sentence.not-examined-one": "{layers} was not looked at",
        "sentence.not-examined-many": "{layers} were not looked at",
        "sentence.no-injury-one": "{it} came after death and is no injury",
        "sentence.no-injury-many": "{it} came after death and are no injury",
        "layer.subcutaneous-tissue": "subcutis",
        "term.contusion": "bruise",
    }
)
ROWS = [
    LayerSeen("subcutaneous tissue", True, "hemorrhage"),
    LayerSeen("muscle", False),
    LayerSeen("pleura", False),
]


def test_layers_are_told_in_the_office_s_words():
    assert layers_sentences(ROWS, phrasing=OWN) == (
        "The subcutis shows hemorrhage. The muscle and the pleura were not looked at."
    )
    seen = [LayerSeen("skin", True, "not broken"), *ROWS[:2]]
    for many, led in ((False, "Under it, the subcutis"), (True, "Under these, the subcutis")):
        told = layers_sentences(seen, many=many, phrasing=OWN)
        assert led in told
        assert told.endswith("The muscle was not looked at.")
    assert "Beneath it, the subcutaneous tissue" in layers_sentences(seen)
    assert layers_sentences(ROWS).endswith("The muscle and the pleura were not examined.")


def test_a_finding_is_called_and_told_in_them():
    facts = Facts(term=OWN.term("Contusion"), place="Left thigh", separate_marks="12 to 15")
    assert standard_sentence(facts, OWN) == (
        "On the left thigh is a bruise. The outline holds 12 to 15 marks."
    )
    assert standard_sentence(facts).endswith(
        "Within the outlined area are 12 to 15 separate marks."
    )
    assert OWN.term("Abrasion") == "Abrasion"
    assert STANDARD.term("Contusion") == "Contusion"


@pytest.mark.parametrize(
    ("term", "called", "said"),
    [
        ("Drying", "parchmenting", "The parchmenting came after death and is no injury."),
        ("Drying", "", "The drying came after death and is no injury."),
        ("Marbling", "vein marks", "The vein marks came after death and are no injury."),
    ],
)
def test_a_change_after_death_is_none_whatever_it_is_called(term, called, said):
    klass = FindingClass.POSTMORTEM_CHANGE.value
    assert meaning_paragraph(klass, term, "", "", [], called=called, phrasing=OWN) == said

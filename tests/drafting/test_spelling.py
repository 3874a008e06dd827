"""Spelling: words that are asked about and words that are passed over.

Beside an outside list: the reports of the invented office were read by hand, and nothing in them is
misspelled. British and American spellings: any dictionary; here those of the trade.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from cases.drafting import rules, spelling
from cases.drafting.spelling import american, is_known, misspelled_in, suggestion, words_of_names

REPORTS = Path(__file__).parents[1] / "demo" / "reports"


@pytest.mark.parametrize(
    ("typed", "better"),
    [
        ("hemorhage", "hemorrhage"),
        ("laceratoin", "laceration"),
        ("abrasoin", "abrasion"),
        ("contussion", "contusion"),
        ("periostuem", "periosteum"),
        ("lividty", "lividity"),
        ("petechaie", "petechiae"),
        ("subdurral", "subdural"),
        ("recieved", "received"),
        ("seperate", "separate"),
        ("occured", "occurred"),
        ("hed", "head"),
        ("lef", "left"),
        ("teh", "the"),
        ("adn", "and"),
        ("qwrtzpsd", ""),
    ],
)
def test_a_misspelled_word_is_asked_about_with_what_it_may_be(typed, better):
    (asked,) = misspelled_in(f"The {typed} is seen.")
    assert (asked.word, asked.better) == (typed, better)
    assert typed in asked.text and better in asked.text


@pytest.mark.parametrize(
    ("british", "here"),
    [
        ("haemorrhage", "hemorrhage"),
        ("haemothorax", "hemothorax"),
        ("oedema", "edema"),
        ("oesophagus", "esophagus"),
        ("ischaemic", "ischemic"),
        ("anaemia", "anemia"),
        ("foetus", "fetus"),
        ("tumour", "tumor"),
        ("colour", "color"),
        ("centre", "center"),
        ("fibre", "fiber"),
        ("grey", "gray"),
        ("labelled", "labeled"),
        ("analysed", "analyzed"),
        ("recognised", "recognized"),
        ("faeces", "feces"),
        ("caecum", "cecum"),
        ("paediatric", "pediatric"),
        ("diarrhoea", "diarrhea"),
        ("judgement", "judgment"),
    ],
)
def test_a_british_spelling_is_named_as_such(british, here):
    assert american(british) == here
    assert american(here) == ""
    (asked,) = misspelled_in(f"A {british} of the organ.")
    assert asked.rule is spelling.BRITISH and f"“{here}”" in asked.text


@pytest.mark.parametrize(
    "text",
    [
        "The subgaleal, periosteal and peritracheal tissues are hemorrhagic.",
        "Lividity is fixed; rigor mortis has passed off.",
        "He was seen by Dr. Ostrander of Corran County.",
        "Ethanol and norfentanyl were found by LC-MS/MS; item ST-26-04318, 25 mL, 2x3cm.",
        "The mother said “he wos allways tyred”.",
        "The decedent’s heart weighs 390 g; the kidneys’ surfaces are granular.",
        "See a.vasko@office.invalid and www.office.invalid/xyzzyq.",
        "A non-displaced fracture, e.g. of the mid-shaft.",
        "Color, center, gray, analyze, labeled, hemorrhage, anesthesia.",
        "",
    ],
)
def test_what_is_right_is_passed_over(text):
    assert misspelled_in(text) == []


def test_a_name_that_begins_a_sentence_is_known_by_the_case_or_by_its_other_places():
    assert [one.word for one in misspelled_in("Tobiass died at home.")] == ["Tobiass"]
    known = words_of_names(["Tobiass Wrenfield’s"])
    assert known == {"tobiass", "wrenfield"}
    assert misspelled_in("Tobiass died at home.", known) == []
    assert misspelled_in("Tobiass died. It was said of Tobiass.") == []
    # A word is asked about once, in its own capitals.
    asked = misspelled_in("Laceratoin of the liver. A second Laceratoin.\nLaceratoin.")
    assert [(one.word, one.better) for one in asked] in ([("Laceratoin", "Laceration")], [])


def test_the_reports_of_the_invented_office_are_left_alone():
    files = sorted(REPORTS.glob("*.txt"))
    assert len(files) > 3
    for path in files:
        text = path.read_text(encoding="utf-8")
        names = spelling.names_in([text]) | words_of_names(["Tobias Wrenfield"])
        asked = [one.word for one in misspelled_in(text, names)]
        assert asked == [], path.name


def test_a_long_report_is_read_again_at_once():
    text = "\n".join(path.read_text(encoding="utf-8") for path in sorted(REPORTS.glob("*.txt")))
    misspelled_in(text)
    before = is_known.cache_info().misses
    misspelled_in(text * 5)
    # What was looked up stays: no word is asked of the dictionary twice.
    assert is_known.cache_info().misses == before


def test_what_is_no_text_is_read_in_bounded_time(monkeypatch):
    looked = []
    real = spelling.suggestion
    monkeypatch.setattr(spelling, "suggestion", lambda word: looked.append(word) or real(word))
    assert misspelled_in("x" * 800_000) == []
    assert misspelled_in(f"The {'q' * 46} was seen.") == []
    letters = "bcdfghjklm"
    words = [f"{one}{other}zqx" for one in letters for other in letters]
    asked = misspelled_in(" ".join(words))
    assert [one.word for one in asked] == words
    assert len(looked) == 25


def test_a_prefix_of_the_trade_makes_no_word_known_that_is_none():
    assert is_known("subgaleal") and is_known("retrosternal") and is_known("hemidiaphragm")
    assert not is_known("subgaleel")
    assert not is_known("rewq")
    assert suggestion("subgaleel") in {"subgaleal", ""}


@pytest.mark.parametrize(
    ("entry", "wrong"),
    [
        ({"key": "nohem", "text": "x"}, []),
        ({"key": "a1", "text": "x"}, []),
        ({"key": "a" * 24, "text": "x"}, []),
        ({"key": "a" * 25, "text": "x"}, ["key"]),
        ({"key": "a", "text": "x"}, ["key"]),
        ({"key": "no hem", "text": "x"}, ["key"]),
        ({"key": "-hem", "text": "x"}, ["key"]),
        ({"key": "hém", "text": "x"}, ["key"]),
        ({"key": "nohem", "text": "  "}, ["text"]),
        ({}, ["key", "text"]),
    ],
)
def test_what_a_short_key_may_be(entry, wrong):
    assert list(rules.wrong_in_key(entry)) == wrong


@pytest.mark.parametrize(
    ("word", "right"),
    [("parchmented", True), ("Fell", True), ("O’Shea", True), ("mid-shaft", True),
     ("two words", False), ("x2", False), ("", False), ("-x", False)],
)  # fmt: skip
def test_what_a_word_of_the_office_may_be(word, right):
    assert (rules.wrong_in_word({"word": word}) == {}) is right


def test_a_key_is_kept_without_slash_and_capitals_and_blanks_are_counted():
    assert rules.key_as_kept(" /NoHem ") == "nohem"
    assert rules.word_as_kept(" O'Shea ") == "O’Shea"
    assert rules.blanks_in("The [ ] lung weighs [ ] g, see [1] and [].") == 2

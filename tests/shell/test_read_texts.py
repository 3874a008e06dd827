"""Whatever the code says about medicine or law was read, and stands in the register."""

from __future__ import annotations

from me_office.read_texts import neither
from me_office.statements import statements
from tests.texts import gone, listed, texts_of_template, tidy, unread


def test_every_text_about_medicine_or_law_was_read():
    assert unread() == [], "Read it as a pathologist and a lawyer would, then list it."


def test_a_text_that_is_gone_leaves_the_lists():
    assert gone() == []
    assert len(listed()) > 400


def test_a_text_is_listed_once_and_is_a_statement_or_not():
    read = {one.text for one in statements() if one.key.startswith("read.")}
    aside = [text for texts in neither().values() for text in texts]
    assert read & set(aside) == set()
    for where, texts in neither().items():
        assert sorted(texts) == sorted(set(texts)), where
    by_place = [(one.where, one.text) for one in statements() if one.key.startswith("read.")]
    assert len(by_place) == len(set(by_place))


def test_no_key_of_the_register_is_given_twice():
    keys = [one.key for one in statements()]
    assert sorted(keys) == sorted(set(keys))


def test_a_new_sentence_in_a_form_or_a_page_would_be_seen():
    page = """<p>{% if a %}Fixed lividity <b>proves</b> that {{ b }} was moved.{% endif %}</p>
    {% include "x.html" with words="A court always wants the original." %}"""
    assert [tidy(one) for one in texts_of_template(page) if one.strip()] == [
        "x.html",
        "A court always wants the original.",
        "Fixed lividity proves that … was moved.",
    ]

"""Two readings of a report compared word by word: nothing is lost, nothing is told twice."""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from cases.review.differences import Kind, differences, reads_as_before
from me_office.differing import MOST_WORDS, word_pieces


def content(*sections: dict[str, Any], facts: tuple[tuple[str, str], ...] = ()) -> dict[str, Any]:
    return {
        "facts": [{"label": label, "text": text} for label, text in facts],
        "sections": list(sections),
    }


def section(title: str, *passages: dict[str, Any], **table: Any) -> dict[str, Any]:
    return {"key": title.lower(), "title": title, "passages": list(passages), **table}


def passage(key: str, text: str, **more: Any) -> dict[str, Any]:
    return {"key": key, "text": text, **more}


def read(pieces: Any, of: str) -> str:
    return " ".join(one.words for one in pieces if one.of in ("both", of))


def test_words_that_were_changed_are_told_between_those_that_were_not():
    pieces = word_pieces(
        "On the left arm is a 2.0 cm scar.", "On the right arm is a 2.0 cm old scar."
    )
    assert [(one.of, one.words) for one in pieces] == [
        ("both", "On the"), ("before", "left"), ("after", "right"), ("both", "arm is a 2.0 cm"),
        ("after", "old"), ("both", "scar."),
    ]  # fmt: skip


WORDS = st.lists(st.sampled_from(["a", "b", "c", "left", "right", "2.0", "scar."]), max_size=12)


@given(WORDS, WORDS)
def test_both_texts_can_be_read_from_what_is_told(before, after):
    before_text, after_text = " ".join(before), " ".join(after)
    pieces = word_pieces(before_text, after_text)
    assert read(pieces, "before") == before_text and read(pieces, "after") == after_text
    assert all(one.words.strip() for one in pieces)
    if before == after:
        assert {one.of for one in pieces} <= {"both"}


def test_very_long_passages_are_told_whole():
    long = "word " * (MOST_WORDS + 1)
    assert [one.of for one in word_pieces(long, long + "more")] == ["before", "after"]
    assert [one.of for one in word_pieces(long, "word")] == ["before", "after"]
    shorter = "word " * (MOST_WORDS - 1)
    assert [one.of for one in word_pieces(shorter, shorter + "more")] == ["both", "after"]


def test_what_was_added_removed_and_changed_is_told_by_section():
    before = content(
        section(
            "Opinion", passage("cause", "A fall", lead="Cause of death"), passage("o-1", "He fell.")
        ),
        section(
            "Injury",
            passage("finding-1", "A scar.", number=1),
            passage("finding-2", "Old.", number=2),
        ),
        section("Gone", passage("gone-1", "Left out.")),
        facts=(("Case", "1"), ("Place", "Room 1")),
    )
    after = content(
        # What only moved is the same.
        section(
            "Opinion", passage("o-1", "He fell."), passage("cause", "A blow", lead="Cause of death")
        ),
        section(
            "Injury",
            passage("finding-1", "A scar.", number=1),
            passage("finding-3", "New.", told=[{"number": 3}, {"number": 4}]),
            passage("finding-3-meaning", "Fresh."),
        ),
        facts=(("Case", "1"), ("Place", "Room 2")),
    )
    told = [(one.section, one.key, one.called, one.kind) for one in differences(before, after)]
    assert told == [
        ("", "fact-Place", "Place", Kind.CHANGED),
        ("Opinion", "cause", "Cause of death", Kind.CHANGED),
        ("Injury", "finding-3", "Finding 3, 4", Kind.ADDED),
        ("Injury", "finding-3-meaning", "What finding 3 means", Kind.ADDED),
        ("Injury", "finding-2", "Finding 2", Kind.REMOVED),
        ("Gone", "gone-1", "", Kind.REMOVED),
    ]
    assert differences(after, after) == []


def test_a_row_that_was_put_between_changes_no_other():
    def table(*rows: list[str]) -> dict[str, Any]:
        return content(section("Weights", rows=list(rows), columns=["Organ", "Weight"]))

    before = table(["Heart", "430 g"], ["Lung", "380 g"], ["Lung", "540 g"])
    after = table(
        ["Brain", "1390 g"], ["Heart", "430 g"], ["Lung", "380 g"], ["Lung", "520 g", "wet"]
    )
    told = [(one.called, one.kind, read(one.pieces, "after")) for one in differences(before, after)]
    assert told == [("Brain", Kind.ADDED, "1390 g"), ("Lung", Kind.CHANGED, "520 g, wet")]


def test_whether_a_passage_or_a_table_reads_as_it_did():
    before = content(section("Weights", passage("weights-1", "Dry."), rows=[["Heart", "430 g"]]))
    passage_changed = content(
        section("Weights", passage("weights-1", "Wet."), rows=[["Heart", "430 g"]])
    )
    table_changed = content(
        section("Weights", passage("weights-1", "Dry."), rows=[["Heart", "420 g"]])
    )
    assert reads_as_before("weights-1", before, table_changed)
    assert not reads_as_before("weights-1", before, passage_changed)
    assert reads_as_before("weights", before, passage_changed)
    assert not reads_as_before("weights", before, table_changed)
    # What is gone does not read as it did.
    assert not reads_as_before("weights-1", before, content())


def test_a_word_that_stands_often_is_compared_like_any_other():
    often = "the body and the bag " * 60
    pieces = word_pieces(f"left {often}", f"right {often}")
    told = [(one.of, len(one.words.split())) for one in pieces]
    assert told == [("before", 1), ("after", 1), ("both", 300)]

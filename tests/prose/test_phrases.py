"""What typed words are in a sentence, and the sentences made of them.

Habits of the trade's prose (common practice): whole sentences, no label inside a paragraph, one
size once. The rows are written out by hand.
"""

from __future__ import annotations

import pytest

from findings.prose.observed import seen_sentences
from findings.prose.phrases import (
    Form,
    Fragment,
    joined,
    measured_out,
    parts,
    read,
    sentence,
    with_article,
)


@pytest.mark.parametrize(
    ("words", "form", "many"),
    [
        ("swollen", Form.QUALITY, False),
        ("dry, not broken", Form.QUALITY, False),
        ("through the skin", Form.QUALITY, False),
        ("darker at the edge", Form.QUALITY, False),
        ("purple-red", Form.QUALITY, False),
        ("comma-shaped", Form.QUALITY, False),
        ("not involved", Form.QUALITY, False),
        ("split through its full thickness", Form.QUALITY, False),
        ("ill-defined edge", Form.THING, False),
        ("four darker bands across it", Form.THING, True),
        ("hemorrhage, 7 × 5 cm", Form.THING, False),
        ("slit of 17 mm", Form.THING, False),
        ("60 mL of blood", Form.THING, False),
        ("swelling and hemorrhage", Form.THING, True),
        ("both pupils", Form.THING, True),
        ("no hemorrhage", Form.NONE, False),
        ("No tissue bridges in it.", Form.NONE, True),
        ("no swelling and no bridges", Form.NONE, False),
        ("None.", Form.NOTHING, False),
        ("nothing seen", Form.NOTHING, False),
        ("two zones are seen", Form.CLAUSE, False),
        ("he was stiff when treatment began", Form.CLAUSE, False),
        ("a scraped surface dries in the same way", Form.CLAUSE, False),
        ("runs toward the ear", Form.PREDICATE, False),
        # A verb behind "that" belongs to the thing, not to a sentence.
        ("a body that was turned", Form.THING, False),
        ("edges blood-stained", Form.STATE, True),
        ("outer layer loose", Form.STATE, False),
        ("ribs 5 to 8 broken, see finding 5", Form.STATE, True),
        ("rib 4 broken", Form.STATE, False),
        ("one end pointed, the other squared", Form.STATE, False),
        ("both ends pointed", Form.STATE, True),
        # Not guessed at.
        ("glimbly", Form.UNKNOWN, False),
        ("cut into: no blood", Form.UNKNOWN, False),
        ("7 × 5 cm", Form.UNKNOWN, False),
        ("It bled. It stopped.", Form.UNKNOWN, False),
        ("", Form.UNKNOWN, False),
        ("...", Form.UNKNOWN, False),
    ],
)
def test_the_form_of_what_was_typed(words, form, many):
    found = read(words)
    assert (found.form, found.many) == (form, many)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("Ill-defined edge, four darker bands across it",
         "It shows an ill-defined edge and four darker bands across it."),
        ("firm, no swelling", "It is firm, with no swelling."),
        ("old, pale", "It is old and pale."),
        ("irregular edges, tissue bridges in its depth, grain dust in it",
         "It shows irregular edges, tissue bridges in its depth and grain dust in it."),
        ("displaced inward, edges blood-stained",
         "It is displaced inward. The edges are blood-stained."),
        ("edges blood-stained, displaced inward",
         "The edges are blood-stained. It is displaced inward."),
        # A part that says where the thing is stays with it; so do a size, a count, what is "see".
        ("a wren on a branch, in a ring", "It shows a wren on a branch, in a ring."),
        ("red lines, two on each side", "It shows red lines, two on each side."),
        ("round, with an abrasion ring, soot at the edge",
         "It is round, with an abrasion ring and soot at the edge."),
        ("pale; a deeper zone on the flank", "It is pale, with a deeper zone on the flank."),
        ("transverse, 1 cm beyond the artery; a strip of the wall is intact",
         "It is transverse, 1 cm beyond the artery. A strip of the wall is intact."),
        ("firm (as leather, as parchment), dry", "It is firm (as leather, as parchment), and dry."),
        ("runs toward the ear, faint", "It runs toward the ear. It is faint."),
        ("no edge", "It shows no edge."),
        # What can't be read is quoted as it was written, once, at the end.
        ("glimbly, firm, worble", "It is firm. It was described as “glimbly, worble”."),
        ("", ""),
        (" . ", ""),
    ],
)  # fmt: skip
def test_what_was_seen_in_whole_sentences(typed, said):
    assert " ".join(seen_sentences(parts(typed), many=False)) == said


def test_of_several_things_they_are_told():
    told = seen_sentences(parts("firm, no swelling, runs inward, glimbly"), many=True)
    assert told == [
        "They are firm, with no swelling.",
        "They runs inward.",
        "They were described as “glimbly”.",
    ]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("ill-defined edge", "an ill-defined edge"),
        ("red margin", "a red margin"),
        ("11 cm scar", "11 cm scar"),
        ("red margins", "red margins"),
        ("brown staining of the tissue", "brown staining of the tissue"),
        ("opening", "an opening"),
        ("hole of 9 mm", "a hole of 9 mm"),
        ("the same band", "the same band"),
        ("a band", "a band"),
    ],
)
def test_a_thing_has_its_article_where_it_is_counted(words, said):
    assert with_article(Fragment(words, Form.THING, many=words.endswith("margins"))) == said


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("hemorrhage, 7 × 5 cm", "hemorrhage over 7 × 5 cm"),
        ("split, 1.5 cm", "split over 1.5 cm"),
        ("hairline fracture, 4 cm", "hairline fracture 4 cm long"),
        ("band, 4 × 2 cm", "band over 4 × 2 cm"),
        # One number of something else: long, wide or across is not known.
        ("band, 4 cm", "band, 4 cm"),
        ("hemorrhage, 4 cm behind the ear", "hemorrhage, 4 cm behind the ear"),
        ("hemorrhage, intercostals 5 to 7", "hemorrhage, intercostals 5 to 7"),
        ("hemorrhage", "hemorrhage"),
    ],
)
def test_a_size_follows_what_has_it(words, said):
    assert measured_out(words) == said


def test_lists_and_sentences():
    assert joined([]) == "" and joined(["a"]) == "a"
    assert joined(["a", "b", "c"]) == "a, b and c" and joined(["a", "b"], "or") == "a or b"
    assert joined(["a, d", "b"]) == "a, d, and b"
    assert sentence(" dry ") == "Dry." and sentence("Dry?") == "Dry?" and sentence(" ") == ""

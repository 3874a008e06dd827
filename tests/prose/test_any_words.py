"""Whatever was typed, the sentences are whole, say each word once and invent none.

Drawn from what is typed of findings and from any text at all.
"""

from __future__ import annotations

import os
import re
from itertools import pairwise

from hypothesis import example, given, settings
from hypothesis import strategies as st

from findings.prose.beneath import LayerSeen, layers_sentences
from findings.prose.meaning import Meant, meaning_paragraph
from findings.prose.observed import Facts, standard_sentence
from findings.rules import FindingClass, Strength, Timing
from findings.words.layers import LAYER_WORDS
from findings.words.terms import TERMS

SEEN = (
    "ill-defined edge", "no swelling", "firm", "dry, not broken", "edges blood-stained",
    "soot on it", "four darker bands across it", "runs toward the ear",
    "a strip of the wall is intact", "glimbly", "hemorrhage, 7 × 5 cm", "no hemorrhage in it",
    "red", "oval", "round to oval", "none", "two", "in place", "with an abrasion ring",
    "rib 4 broken", "ribs 5 to 8 broken, see finding 5", "he was stiff when treatment began",
    "hole of 9 mm", "60 mL of blood", "both ends pointed", "(as leather, as parchment)",
    "Purple-red", "yellow-brown", "scraped; dry", "no injury seen",
)  # fmt: skip
TYPED = st.one_of(
    st.just(""),
    st.lists(st.sampled_from(SEEN), min_size=1, max_size=4).map(", ".join),
    st.lists(st.sampled_from(SEEN), min_size=1, max_size=2).map("; ".join),
)
LENGTHS = st.one_of(st.none(), st.floats(0.5, 900).map(lambda one: round(one, 1)))


@st.composite
def findings(draw, typed=TYPED):
    """A finding with all that may be recorded of it."""
    klass = draw(st.sampled_from(list(FindingClass)))
    length = draw(LENGTHS)
    facts = Facts(
        term=draw(st.sampled_from(TERMS[klass])),
        place=draw(st.sampled_from(["", "Back", "Left thigh, outer side", "Both wrists"])),
        above_heel_cm=draw(st.one_of(st.none(), st.floats(0, 200))),
        from_midline_cm=draw(st.one_of(st.none(), st.floats(-60, 60))),
        midline=draw(st.sampled_from(["", "anterior", "posterior"])),
        length_mm=length,
        width_mm=None if length is None else draw(LENGTHS),
        depth_mm=draw(LENGTHS),
        seen_as=draw(typed),
        shape=draw(typed),
        margins=draw(typed),
        colour=draw(typed),
        pattern=draw(typed),
        vital_reaction=draw(typed),
    )
    layers = [
        LayerSeen(name, examined, draw(typed) or ("dry" if examined else ""))
        for name in draw(st.lists(st.sampled_from(sorted(LAYER_WORDS.values())), unique=True))
        for examined in [draw(st.booleans())]
    ]
    meant = draw(
        st.lists(
            st.builds(
                Meant,
                st.sampled_from(
                    ["A fall", "a blow with a stick", "The body was moved", "fractures"]
                ),
                st.sampled_from(list(Strength)),
                typed,
                st.sampled_from(["", "probable", "Fairly sure."]),
            ),
            max_size=4,
        )
    )
    timing = draw(st.sampled_from(["", *Timing]))
    ground = draw(typed)
    return klass, facts, layers, meant, timing, ground


def _told(found) -> str:
    klass, facts, layers, meant, timing, ground = found
    meaning = meaning_paragraph(klass, facts.term, timing, ground, meant)
    paragraphs = [standard_sentence(facts), layers_sentences(layers), meaning]
    return " ".join(one for one in paragraphs if one)


@settings(max_examples=int(os.environ.get("PROSE", "250")))
@given(findings())
def test_whatever_is_recorded_is_told_in_whole_sentences(found):
    _, facts, layers, *_ = found
    said = _told(found)
    _is_whole(said)
    _agrees(re.sub(r"“[^”]*”", "", said))
    told = set(re.findall(r"\w+", said.lower()))
    # "None" is told as "No vital reaction is seen" or "nothing was found"; "with" as "shows".
    assert _recorded(found) - told <= {"none", "with", "it", "in", "see", "a", "an", "the"}
    for one in layers:
        bone = one.layer in ("bone", "skull", "periosteum") and "rib" in one.found
        assert bone or one.layer in said
    assert facts.term.lower().split(",")[0] in said.lower()


def _is_whole(said: str) -> None:
    assert said[0].isupper() and said.endswith((".", "?", "!"))
    assert "None" not in said and "  " not in said and ".." not in said and " ." not in said
    assert "()" not in said and "“”" not in said and ",," not in said and " ," not in said
    assert said.count("(") == said.count(")") and said.count("“") == said.count("”")
    spoken = re.sub(r"“[^”]*”|\d+\.\d+", "", said)
    for before, after in pairwise(re.findall(r"[^\W\d_]+|[.?!]", spoken)):
        assert before not in ".?!" or after[0].isupper() or after in ".?!", said
    # No label before what it names: nobody typed a colon here.
    assert ":" not in said


def _agrees(said: str) -> None:
    assert not re.search(r"\ba (?:an?|the|one|two|both|no|8|11|18)\b", said), said
    assert not re.search(r"\ban? (?:hemorrhage|soot|swelling|edges|bands|blood)\b", said), said
    assert not re.search(r"\ba (?!one\b)[aeio][a-z]", said), said
    assert not re.search(r"\b(is|are|it|the|of|and|shows|in) \1\b", said), said
    assert not re.search(r"\bThey (is|shows|has)\b|\bIt (are|show|have)\b", said), said


def _recorded(found) -> set[str]:
    """Return the words of what was typed; a color that was typed twice stands once."""
    _, facts, layers, meant, timing, ground = found
    typed = [facts.seen_as, facts.shape, facts.margins, facts.colour, facts.pattern]
    typed += [facts.place, facts.vital_reaction, *(one.found for one in layers)]
    typed += [words for one in meant for words in (one.statement, one.ground, one.confidence)]
    typed.append(ground if timing else "")
    return {word for one in typed for word in re.findall(r"\w+", one.lower())}


ANY = st.text(max_size=60)


@settings(max_examples=100)
@given(ANY, ANY, ANY)
@example("(", ")", ", , ;")
@example("the", "no", "with")
@example("1 2 3 4 5", "no and", "one s")
@example("\u202e", "\x00", "a" * 240)
def test_any_text_is_told_without_an_error(seen, shape, ground):
    said = standard_sentence(
        Facts("Scar", seen_as=seen, shape=shape, margins=ground, pattern=seen, vital_reaction=shape)
    )
    assert said.startswith("There is a")
    layers = [LayerSeen("skin", True, seen or "dry"), LayerSeen("bone", False, shape)]
    assert "skin" in layers_sentences(layers)
    meaning_paragraph(
        "injury", "Scar", "antemortem", ground, [Meant(seen, "excluded", shape, ground)]
    )

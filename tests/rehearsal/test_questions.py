"""What is asked on an exhibit follows from its data, and no answer says more than they do."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest

from cases.rehearsal import questions
from cases.rehearsal.questions import Question, questions_on
from cases.witness.answers import (
    Disagreement,
    LayerAnswer,
    NegativeAnswer,
    Ref,
    Said,
    Since,
    SizeAnswer,
    TakenAnswer,
)
from findings.rules import FindingClass, Timing
from tests.rehearsal.builders import (
    SIGNED_AT,
    SILENT,
    contusion,
    count,
    empty,
    exhibit,
    lividity,
    one,
    picture,
)

BRUISED = exhibit(
    contusion(),
    counts=replace(
        empty(type(exhibit().counts)),
        in_exhibit=count("this picture", "at least 1; there may have been more", 1),
        in_case=count("the whole case", "at least 3; there may have been more", 3),
    ),
)
GUNSHOT = contusion(
    term="Gunshot wound of entrance", cause="firearm", wound="Ring", path="Rib 4, then the heart."
)
NO_SIZE = one(SizeAnswer, sentence="Not measured.")
FACE = contusion(
    number=7, term="Needle puncture", klass="medical intervention", is_injury=False,
    size=NO_SIZE, layers=(), meanings=(), cause="",
)  # fmt: skip


def asked(answers: Any) -> dict[str, Question]:
    """Questions by their kind: what stands before the key of a finding or photograph."""
    return {question.key.partition(":")[0]: question for question in questions_on(answers)}


KINDS = [
    # what the exhibit holds, and all that is asked on it, in order
    (exhibit(body_part=SILENT), "what taken bytes"),
    (exhibit(), "what part injury taken bytes"),
    (
        BRUISED,
        "what part injury is else size measured when beneath word blows specimen taken bytes "
        "report",
    ),
    (
        exhibit(GUNSHOT),
        "what part injury is else size measured when beneath path word shots specimen taken bytes "
        "report",
    ),
    (
        exhibit(contusion(cause="sharp force", plain="", passages=())),
        "what part injury is else size measured when beneath cuts specimen taken bytes",
    ),
    (exhibit(lividity()), "what part injury is else when beneath specimen taken bytes"),
    (exhibit(FACE), "what part injury is word taken bytes report"),
    (
        exhibit(lividity(klass="natural disease", layers=())),
        "what part injury is taken bytes",
    ),
]


@pytest.mark.parametrize(("answers", "kinds"), KINDS)
def test_what_is_asked_fits_what_the_picture_shows(answers: Any, kinds: str) -> None:
    assert [each.key.partition(":")[0] for each in questions_on(answers)] == kinds.split()


def test_nothing_is_asked_twice_and_no_answer_is_empty() -> None:
    for answers, _ in KINDS:
        rows = questions_on(answers)
        assert len({row.key for row in rows}) == len(rows)
        assert len({row.asks for row in rows}) == len(rows)
        assert all(len(row.key) <= 120 for row in rows)
        for row in rows:
            assert row.answer
            assert all(line.words.strip() for line in row.answer), row.key


def test_a_term_of_several_findings_is_asked_for_once() -> None:
    other = contusion(finding_id=UUID(int=4), number=4, url="/f/4/")
    rows = questions_on(exhibit(contusion(), other, lividity(plain="Lividity: settled blood.")))
    words = [row for row in rows if row.key.startswith("word:")]
    assert [row.asks for row in words] == [
        "What does the term “contusion” mean?", "What does the term “lividity” mean?",
    ]  # fmt: skip
    assert words[0].sources == (Ref("Finding 3", "/f/3/"), Ref("Finding 4", "/f/4/"))
    assert len({row.asks for row in rows}) == len(rows)


def test_how_large_is_asked_of_an_injury_without_a_size_and_says_that_it_was_not_measured() -> None:
    found = asked(exhibit(contusion(size=NO_SIZE)))
    assert found["size"].answer == (Said("Not measured.", recorded=False),)
    assert found["size"].is_silent
    assert "measured" not in found
    assert "size" not in asked(exhibit(lividity(size=NO_SIZE)))
    assert "size" in asked(exhibit(lividity(size=contusion().size)))


def test_a_measurement_that_names_no_finding_is_told_as_such() -> None:
    (measured,) = contusion().size.on_photographs
    rows = asked(exhibit(lividity(size=replace(NO_SIZE, unnamed=(measured,)))))
    assert rows["size"].is_silent
    assert rows["measured"].answer[1].words == (
        "Measurement 2, on photograph 9, which names no finding: 11.2 cm (10.9 to 11.5)."
    )
    assert rows["measured"].sources[1] == Ref("Measurement 2", "/m/2/")
    named = asked(exhibit(contusion()))["measured"].answer[1].words
    assert named == "Measurement 2, on photograph 9: 11.2 cm (10.9 to 11.5)."


@pytest.mark.parametrize(
    ("when", "surely_before"),
    [
        *(
            (
                Said(f"{timing.words[:1].upper()}{timing.words[1:]}."),
                timing in {Timing.ANTEMORTEM, Timing.HEALED},
            )
            for timing in Timing
        ),
        (SILENT, False),
        (Said("Before death.", recorded=False), False),
    ],
)
def test_nobody_is_asked_how_they_know_what_the_record_does_not_say(
    when: Said, surely_before: bool
) -> None:
    question = asked(exhibit(contusion(when=when)))["when"]
    assert ("not from after death" in question.asks) == surely_before
    assert question.answer[0] == when
    assert question.answer[1].words == "Color gives no age."


def test_a_change_after_death_is_never_called_an_injury() -> None:
    found = asked(exhibit(lividity()))
    none, words = found["injury"].answer
    assert none.words == "No injury is recorded in this picture."
    assert words.words == "Finding 6: Lividity, recorded as a change after death."
    assert found["when"].asks == "How do you know that it is not an injury?"
    assert [line.words for line in found["when"].answer] == [
        "A change after death.", "After death.", "Subcutis: no hemorrhage.",
    ]  # fmt: skip
    assert "blows" not in found


def test_a_picture_without_a_finding_is_not_said_to_show_no_injury() -> None:
    question = asked(exhibit())["injury"]
    assert question.is_silent
    assert "does not say whether it shows an injury" in question.answer[0].words


def test_injuries_come_before_what_is_none() -> None:
    rows = asked(exhibit(lividity(), contusion()))["injury"].answer
    assert [line.words for line in rows] == [
        "Finding 3: Contusion.", "Finding 6: Lividity, recorded as a change after death.",
    ]  # fmt: skip


def test_each_class_has_its_words() -> None:
    said = set()
    for klass in FindingClass:
        shown = lividity(klass=klass.value, is_injury=False)
        said.add(asked(exhibit(shown))["injury"].answer[-1].words)
    assert len(said) == len(FindingClass)


@pytest.mark.parametrize(
    ("term", "discolored"),
    [("Contusion", True), ("Healing contusion", True), ("Lividity", True), ("Petechiae", True),
     ("Green discoloration", True), ("Abrasion", False), ("Stab wound", False)],
)  # fmt: skip
def test_what_is_no_discoloration_is_not_called_one(term: str, discolored: bool) -> None:
    assert ("discoloration" in asked(exhibit(contusion(term=term)))["is"].asks) == discolored


def test_blows_are_counted_as_the_rule_counted_them() -> None:
    rows = asked(BRUISED)["blows"].answer
    assert [line.words for line in rows] == [
        "This picture: at least 1; there may have been more.",
        "The whole case: at least 3; there may have been more.",
    ]
    assert asked(exhibit(contusion()))["blows"].is_silent


def test_what_was_not_examined_underneath_is_said() -> None:
    rows = asked(exhibit(contusion()))["beneath"].answer
    assert [line.words for line in rows] == ["Skin: not broken.", "Pleura: not examined."]
    assert asked(exhibit(contusion(layers=())))["beneath"].is_silent


def test_what_else_it_could_be_is_what_was_recorded_or_nothing() -> None:
    assert asked(exhibit(contusion()))["else"].answer == (Said("Consistent with a fall."),)
    assert asked(exhibit(contusion(meanings=())))["else"].is_silent


def test_the_report_is_quoted_with_page_and_lines_and_as_amended() -> None:
    (line,) = asked(exhibit(contusion()))["report"].answer
    assert (line.words, line.ground) == ("“A contusion.”", "Signed report, page 2, line 14 to 19.")
    (passage,) = contusion().passages
    for changed, ground in (
        ({"last_line": 14}, "Signed report, page 2, line 14."),
        ({"first_line": None}, "Signed report, page 2."),
        ({"page": None}, ""),
        ({"signed_at": None}, "The report is not signed."),
    ):
        shown = contusion(passages=(replace(passage, **changed),))
        assert asked(exhibit(shown))["report"].answer[0].ground == ground
    gone = contusion(passages=(replace(passage, taken_out=True),))
    assert [line.words for line in asked(exhibit(gone))["report"].answer] == [
        "“A contusion.”",
        "An amendment took these words out; the report no longer states them.",
    ]
    amended = contusion(passages=(replace(passage, now="An abrasion.", record="A scrape."),))
    assert [line.words for line in asked(exhibit(amended))["report"].answer[1:]] == [
        "As amended: “An abrasion.”", "The record says today: “A scrape.”",
    ]  # fmt: skip
    # Two links to two passages are told apart by their names.
    both = contusion(passages=(passage, replace(passage, is_meaning=True)))
    assert [source.words for source in asked(exhibit(both))["report"].sources] == [
        passage.title, f"{passage.title}, what it means",
    ]  # fmt: skip


def test_layers_of_which_nothing_is_recorded_are_said_in_one_line() -> None:
    unsaid = [one(LayerAnswer, layer=name, words="Not recorded.") for name in ("muscle", "bone")]
    (skin, *_) = contusion().layers
    rows = asked(exhibit(contusion(layers=(skin, *unsaid))))["beneath"].answer
    assert rows == (
        Said("Skin: not broken."),
        Said("Not recorded whether it was examined: muscle, bone.", recorded=False),
    )
    assert asked(exhibit(contusion(layers=tuple(unsaid))))["beneath"].is_silent


def test_only_one_of_several_findings_is_called_by_its_number() -> None:
    alone = asked(exhibit(contusion(path="Through the lung.")))
    assert alone["is"].asks == "What is that discoloration?"
    assert alone["path"].asks == "Which way did it go?"
    assert alone["report"].asks == "What does your report say about it?"
    both = {row.key: row.asks for row in questions_on(exhibit(contusion(), lividity()))}
    assert both[f"is:{UUID(int=3)}"] == "What is that discoloration, marked 3?"
    assert both[f"size:{UUID(int=3)}"] == "How large is finding 3?"
    assert both[f"when:{UUID(int=6)}"] == "How do you know that finding 6 is not an injury?"


def test_a_change_since_the_signature_is_asked_for_only_after_one() -> None:
    report = replace(
        exhibit().report, signed_at=SIGNED_AT, state=Said("Signed."),
        changed=Since("Nothing changed.", False, "/h/"),
        addenda=(Ref("Amendment 1, 22 Nov", "/a/"),),
    )  # fmt: skip
    other = Since("Its size changed.", True, "/h/3/")
    shown = exhibit(contusion(passages=(), changed=other), lividity(), report=report)
    signed = asked(shown)
    assert [line.words for line in signed["changed"].answer] == [
        "Nothing changed.", "Finding 3: Its size changed.", "Amendment 1, 22 Nov.",
    ]  # fmt: skip
    assert signed["changed"].sources[1] == Ref("Finding 3, history", "/h/3/")
    assert signed["report"].is_silent
    assert "changed" not in asked(exhibit(contusion()))


def test_a_specimen_is_named_with_why_it_belongs_there_and_who_holds_it() -> None:
    taken = one(
        TakenAnswer, item_number=8, words="Item 8, muscle", why="Same part of the body.",
        held=Said("Histology cabinet 1."), result_words="No result is recorded.", url="/i/8/",
    )  # fmt: skip
    question = asked(exhibit(contusion(), taken_here=(taken,)))["specimen"]
    assert [line.words for line in question.answer] == [
        "Item 8, muscle.", "Histology cabinet 1.", "No result is recorded.",
    ]  # fmt: skip
    assert question.answer[0].ground == "Same part of the body."
    assert question.sources == (Ref("Item 8", "/i/8/"),)
    assert asked(exhibit(contusion()))["specimen"].is_silent


def test_several_pictures_are_each_asked_for() -> None:
    both = exhibit(pictures=(picture(), picture(photograph_id=UUID(int=10), number=10)))
    rows = [row.asks for row in questions_on(both) if row.key.startswith("taken:")]
    assert rows == [
        "Who took photograph 9, and when?", "Who took photograph 10, and when?",
    ]  # fmt: skip


def test_a_redacted_copy_is_never_said_to_be_as_the_camera_made_it() -> None:
    shown = exhibit(pictures=(picture(redacted=True),))
    first, *rest = asked(shown)["bytes"].answer
    assert first.words == "A redacted copy is shown; the original is kept."
    assert rest
    assert asked(exhibit())["bytes"].answer[0].words == "As the camera wrote it."


def test_what_disagrees_is_asked_and_not_judged() -> None:
    rows = tuple(
        one(
            Disagreement,
            kind="side",
            words=words,
            here=Ref("Caption", "/e/"),
            there=Ref("Chart", "/c/"),
        )
        for words in ("Caption: left. Chart: right.", "Photograph: left. Chart: right.")
    )
    found = [row for row in questions_on(exhibit(disagreements=rows)) if "differs" in row.key]
    assert [row.key for row in found] == ["differs:side:1", "differs:side:2"]
    assert [row.answer[0].words for row in found] == [row.words for row in rows]
    assert not found[0].answer[1].recorded
    assert found[0].sources == (Ref("Caption", "/e/"), Ref("Chart", "/c/"))


def test_what_was_looked_for_is_asked_where_anything_was() -> None:
    shown = exhibit(looked_for=(one(NegativeAnswer, words="No patterned edge."),))
    assert asked(shown)["negatives"].answer == (Said("No patterned edge."),)
    assert "negatives" not in asked(exhibit())


def _strings(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for each in value:
            yield from _strings(each)
    elif is_dataclass(value):
        for each in fields(value):
            yield from _strings(getattr(value, each.name))


def test_every_word_of_an_answer_is_the_records_or_stands_in_the_module() -> None:
    of_the_module = set(re.findall(r"\w+", Path(questions.__file__).read_text().lower()))
    for answers, _ in KINDS:
        recorded = set(re.findall(r"\w+", " ".join(_strings(answers)).lower()))
        recorded |= {str(each.number) for each in (*answers.findings, *answers.pictures)}
        for row in questions_on(answers):
            said = set(re.findall(r"\w+", row.spoken.lower()))
            assert said <= recorded | of_the_module | {"2", "14", "19"}, row.key


def test_a_silent_record_gives_no_answer_that_is_recorded() -> None:
    bare = exhibit(
        contusion(
            when=SILENT, layers=(), meanings=(), size=NO_SIZE, place=SILENT, seen_as=SILENT,
            klass_said=SILENT, passages=(), plain="", color_caution="",
        ),
        body_part=SILENT,
    )  # fmt: skip
    found = asked(bare)
    for kind in ("part", "when", "beneath", "else", "size", "specimen"):
        assert found[kind].is_silent, kind

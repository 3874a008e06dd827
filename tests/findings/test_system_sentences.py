"""Sentences with blanks, and when a part of the internal examination is decided: pure."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from findings.organs.models import OrganWeight
from findings.questions.negatives import OF_THE_INSIDE, STATEMENTS
from findings.systems import rules
from findings.systems.blanks import (
    LONGEST_LABEL,
    LONGEST_LINE,
    LONGEST_WORDS,
    Blank,
    Kind,
    WrongLine,
    blanks_of,
    filled_in,
    pieces,
    weight_of,
    wrong_with_line,
    wrong_with_value,
)
from findings.systems.catalogue import PARTS, SYSTEMS, is_asked
from findings.systems.offered import BUILT_IN
from findings.systems.rules import Decision, Offered, said_of
from findings.systems.template_actions import ORGANS
from findings.systems.wording import system_passages, systems_taken

WALL = "The wall is {thickness in cm, 0.2 to 4} cm thick."
COLOR = "The cut surface is {color: pale / dark red}."
WORDS = "The airway contains {what is in it}."
WEIGHT = "{weight of heart in g}"
HEART, HYOID, VALVES = PARTS["heart"], PARTS["hyoid"], PARTS["valves"]


def test_no_two_parts_have_one_title_on_their_pages():
    titles = [*(part.title for part in PARTS.values()), *(one.title for one in SYSTEMS.values())]
    assert len(titles) == len(set(titles))


def test_each_kind_of_blank_is_read():
    assert pieces(WALL) == (
        "The wall is ",
        Blank("thickness", Kind.NUMBER, "cm", Decimal("0.2"), Decimal(4)),
        " cm thick.",
    )
    assert blanks_of(COLOR) == [Blank("color", Kind.CHOICE, choices=("pale", "dark red"))]
    assert blanks_of(WORDS) == [Blank("what is in it", Kind.WORDS)]
    assert blanks_of(WEIGHT) == [
        Blank("weight of heart in g", Kind.WEIGHT, unit="g", organ="heart")
    ]
    assert [one.asks for one in blanks_of(f"{WALL} {COLOR} {WORDS}")] == [
        "0.2 to 4 cm", "pale / dark red", "",
    ]  # fmt: skip
    assert weight_of(WEIGHT) == "heart"
    assert weight_of(WALL) == weight_of("The spleen is soft.") == ""


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("The wall is {thick.", "without the other"),
        ("The wall is thick}.", "without the other"),
        ("The {} is thick.", "Give the blank a name"),
        ("The {: a / b} is thick.", "Give the blank a name"),
        ("It is {color: pale}.", "two choices or more"),
        ("It is {color: pale / }.", "two choices or more"),
        ("It is {color: pale / pale}.", "are the same"),
        ("It is {a in cm, 4 to 4} cm.", "from a smaller number to a larger"),
        ("It is {a in cm, 5 to 4} cm.", "from a smaller number to a larger"),
        ("It is {a} and {a}.", "Two blanks of one sentence are called “a”"),
        (f"It is {{{'x' * (LONGEST_LABEL + 1)}}}.", "at most 60"),
        ("The heart weighs {weight of heart in g}.", "on a line of its own"),
        ("{weight of heart in g} {what is seen}", "on a line of its own"),
        ("{weight of soul in g}", "No organ called “soul”"),
        ("{weight of other in g}", "No organ called “other”"),
        ("the wall is thick.", "capital letter"),
        ("The wall is thick", "End the sentence"),
        ("x" * (LONGEST_LINE + 1), "at most 400"),
        ("", "capital letter"),
    ],
)
def test_a_line_that_cannot_be_a_sentence_says_why(line, says):
    assert says in wrong_with_line(line, ORGANS)


@pytest.mark.parametrize(
    "line",
    [
        WALL, COLOR, WORDS, WEIGHT, "The spleen is soft.",
        "{extent: Few / Dense} adhesions are seen.",
        f"It is {{{'x' * LONGEST_LABEL}}}.", f"{'X' * (LONGEST_LINE - 1)}.", "2 lobes are seen.",
    ],
)  # fmt: skip
def test_a_line_that_can_is_taken(line):
    assert wrong_with_line(line, ORGANS) == ""


def test_a_wrong_line_is_refused_wherever_it_is_read():
    with pytest.raises(WrongLine):
        filled_in("The wall is {thick.", {})


@pytest.mark.parametrize(
    ("value", "wrong"),
    [
        ("0.2", ""), ("4", ""), ("4.0", ""), ("1.45", ""), (" 1.4 ", ""),
        ("0.19", "Between 0.2 and 4 cm."), ("4.01", "Between 0.2 and 4 cm."), ("0", "Between"),
        ("1,4", "decimal point"), ("-1", "decimal point"), ("1e2", "decimal point"),
        ("about 1", "decimal point"), ("1.2345", "decimal point"), ("", "Fill in “thickness”"),
        ("   ", "Fill in"),
    ],
)  # fmt: skip
def test_a_number_is_within_its_range(value, wrong):
    said = wrong_with_value(blanks_of(WALL)[0], value)
    assert said.startswith(wrong) if wrong.startswith(("Between", "Fill")) else wrong in said
    assert bool(said) is bool(wrong)


@pytest.mark.parametrize(
    ("line", "value", "wrong"),
    [
        (COLOR, "pale", ""), (COLOR, "Pale", "Choose one of: pale, dark red."), (COLOR, "", "Fill"),
        (WORDS, "froth", ""), (WORDS, "a {b}", "Braces"), (WORDS, "x" * LONGEST_WORDS, ""),
        (WORDS, "x" * (LONGEST_WORDS + 1), "At most 200"), (WORDS, "", "Fill in"),
        (WEIGHT, "412", ""), (WEIGHT, "412.5", ""), (WEIGHT, "heavy", "decimal point"),
    ],
)  # fmt: skip
def test_words_and_choices(line, value, wrong):
    said = wrong_with_value(blanks_of(line)[0], value)
    assert said == "" if not wrong else said.startswith(wrong) or wrong in said


def test_a_sentence_is_filled_in():
    assert filled_in(WALL, {"thickness": "1.40"}) == ("The wall is 1.4 cm thick.", {})
    assert filled_in(WORDS, {"what is in it": "white  froth."}) == (
        "The airway contains white froth.", {},
    )  # fmt: skip
    assert filled_in("{extent: few / dense} adhesions.", {"extent": "few"})[0] == "Few adhesions."
    assert filled_in(WEIGHT, {}) == ("", {})
    assert filled_in(WALL, {"color": "1"})[1] == {
        "thickness": "Fill in “thickness”, or strike the sentence."
    }


def described(*offered, words="", part=HEART, weighed=()):
    return said_of(part, Decision.DESCRIBED, words, "", offered, weighed=weighed)


def test_every_sentence_is_kept_or_struck_before_the_part_is_decided():
    open_one = Offered("The heart is of the usual shape.")
    assert described(open_one).wrong == {"sentence_1": "Keep or strike this sentence."}
    assert described(open_one, words="The heart is large.").wrong.keys() == {"sentence_1"}
    assert described(Offered(open_one.text, True)).words == open_one.text
    struck = described(Offered(open_one.text, False))
    assert struck.words == ""
    assert struck.wrong == {"words": "Describe the part, or keep a sentence."}
    assert described(Offered(open_one.text, False), words="the heart is large").words == (
        "The heart is large."
    )


def test_a_kept_sentence_has_its_blanks_filled():
    assert described(Offered(WALL, True)).wrong == {
        "sentence_1": "Fill in “thickness”, or strike the sentence."
    }
    assert described(Offered(WALL, True, {"thickness": "9"})).wrong == {
        "sentence_1": "Between 0.2 and 4 cm."
    }
    assert described(Offered(WALL, True, {"thickness": "1.9"})).words == (
        "The wall is 1.9 cm thick."
    )
    # A struck one may be left as it was.
    assert not described(Offered(WALL, False, {"thickness": "9"}), words="Large.").wrong


def test_a_weight_is_told_by_the_table_and_not_by_the_text():
    line, words = Offered(WEIGHT, True), "The heart is large."
    assert described(line, words=words).wrong == {
        "sentence_1": "Enter the weight (heart), or strike the line."
    }
    assert described(line, words=words, weighed={"heart"}).words == words
    alone = described(line, weighed={"heart"})
    assert alone.words == ""
    assert alone.wrong == {"words": "Describe the part, or keep a sentence."}


def test_nothing_is_said_before_a_part_is_decided():
    kept = Offered("The heart is of the usual shape.", True)
    undecided = said_of(HEART, "", "The heart is large.", "kept for later", [kept])
    assert undecided.words == ""
    assert not undecided.wrong
    assert said_of(HEART, "", "", "", [Offered(WALL, None, {"thickness": "9"})]).wrong == {
        "sentence_1": "Between 0.2 and 4 cm."
    }
    assert said_of(HEART, "", "It has {what}.", "", []).wrong.keys() == {"words"}


def test_a_negative_is_stated_in_its_own_sentence():
    assert said_of(HYOID, "stated negative", "", "", []).words == "The hyoid bone is intact."
    assert said_of(HYOID, "stated negative", "More.", "", []).wrong.keys() == {"words"}
    assert said_of(HYOID, "stated negative", "", "why", []).wrong.keys() == {"why"}
    no_sentence = said_of(PARTS["ureters"], "stated negative", "", "", [])
    assert no_sentence.wrong == {
        "decision": "There is no fixed sentence for this part. Describe it."
    }


def test_a_negative_of_dissected_muscles_needs_their_dissection():
    muscles = PARTS["neck-muscles"]
    assert (
        "dissection of the neck first"
        in said_of(muscles, "stated negative", "", "", []).wrong["decision"]
    )
    line = BUILT_IN["neck"]["neck-dissection"][0]
    assert said_of(muscles, "stated negative", "", "", [], dissected=line).words


@pytest.mark.parametrize(
    ("kind", "part", "may"),
    [
        ("full autopsy", "liver", True), ("limited", "liver", True), ("external", "liver", False),
        ("chart review", "liver", False), ("skeletal remains", "liver", False),
        ("skeletal remains", "ribs", True), ("second autopsy", "ribs", True),
    ],
)  # fmt: skip
def test_an_unopened_body_shows_no_negative(kind, part, may):
    said = said_of(PARTS[part], "stated negative", "", "", [], kind=kind)
    assert bool(said.words) is may
    assert ("decision" in said.wrong) is not may


@pytest.mark.parametrize(
    ("part", "decision", "why", "words"),
    [
        ("middle-ears", "not examined", "not opened.", "The middle ears were not examined: "),
        ("dura", "not examined", "not opened", "The dura was not examined: "),
        ("gallbladder", "not present", "removed", "The gallbladder is not present: "),
        ("uterus", "not present", "removed", "The uterus and the ovaries are not present: "),
    ],
)
def test_what_is_left_out_says_why(part, decision, why, words):
    assert said_of(PARTS[part], decision, "", why, []).words == f"{words}{why.rstrip('.')}."
    assert said_of(PARTS[part], decision, "", "a {b}", []).wrong.keys() == {"why"}
    assert said_of(PARTS[part], decision, "", "  ", []).wrong == {"why": "Say why."}
    assert said_of(PARTS[part], decision, "It is.", why, []).wrong.keys() == {"words"}


texts = st.text(alphabet="aB{}. 4", max_size=12)
offers = st.lists(
    st.builds(
        Offered,
        st.sampled_from([WALL, COLOR, WORDS, WEIGHT, "The heart is large."]),
        st.sampled_from([None, True, False]),
        st.dictionaries(
            st.sampled_from(["thickness", "color", "what is in it"]),
            st.sampled_from(["", "1", "9", "pale", "x", "a {b}"]),
        ),
    ),
    max_size=4,
)


@settings(max_examples=60)
@given(st.sampled_from(["", *Decision]), texts, texts, offers, st.sampled_from([(), ("heart",)]))
def test_nothing_is_said_without_a_decision_and_no_blank_is_printed(
    decision, words, why, offered, weighed
):
    said = said_of(HEART, decision, words, why, offered, weighed=weighed)
    assert "{" not in said.words
    assert "}" not in said.words
    if not decision or said.wrong:
        assert said.words == ""
    else:
        assert said.words.endswith((".", "!", "?", ".”", '."', ".)"))
        for one in offered:
            told = filled_in(one.text, one.filled)[0]
            if decision == Decision.DESCRIBED and one.kept and told:
                assert told in said.words


def test_the_catalogue_holds_together():
    assert len(SYSTEMS) == 12
    assert len(PARTS) == sum(len(system.parts) for system in SYSTEMS.values())
    organs = {organ for organ, _ in OrganWeight.ORGANS}
    weighed = [organ for part in PARTS.values() for organ in part.organs]
    assert set(weighed) == organs - {"other"}
    assert len(weighed) == len(set(weighed))
    for part in PARTS.values():
        assert part.the.startswith("the ")
        for one in part.statements:
            assert one.section in {*OF_THE_INSIDE, "systems"}
            assert one.sex == part.sex or not one.sex
        paragraphs = [one.paragraph for one in SYSTEMS[part.system].parts]
        assert paragraphs == sorted(paragraphs)
    stated = [key for part in PARTS.values() for key in part.negatives]
    assert len(stated) == len(set(stated))
    assert {key for key, one in STATEMENTS.items() if one.section == "systems"} <= set(stated)


def test_every_standard_sentence_can_be_laid():
    assert BUILT_IN.keys() == SYSTEMS.keys()
    for system, lines in BUILT_IN.items():
        assert rules.wrong_with_lines(SYSTEMS[system], lines, ORGANS) == {}


def test_a_template_is_told_what_is_wrong_by_part():
    wrong = rules.wrong_with_lines(
        SYSTEMS["urinary"],
        {
            "kidneys": ["{weight of right kidney in g}", "the kidneys are pale."],
            "bladder": ["{weight of heart in g}", "It is empty.", "It is empty."],
            "heart": ["The heart is large."],
        },
        ORGANS,
    )
    assert wrong == {
        "kidneys": "Line 2: Begin the sentence with a capital letter.",
        "bladder": "Line 1: the weight of heart belongs to another part. "
        "One sentence stands there twice.",
        "heart": "This part is of another system.",
    }
    none = rules.wrong_with_lines(SYSTEMS["urinary"], {"kidneys": []}, ORGANS)
    assert none == {"lines": "Write at least one sentence."}
    many = {"bladder": [f"Line {n} is seen." for n in range(rules.MOST_LINES + 1)]}
    assert "At most 20" in rules.wrong_with_lines(SYSTEMS["urinary"], many, ORGANS)["bladder"]
    many["bladder"].pop()
    assert rules.wrong_with_lines(SYSTEMS["urinary"], many, ORGANS) == {}


@pytest.mark.parametrize(
    ("part", "sex", "body", "asked"),
    [
        ("prostate", "male", "adult_male", True), ("prostate", "female", "adult_female", False),
        ("prostate", "female", "adult_male", True), ("prostate", "", "adult_female", True),
        ("prostate", "intersex", "child", True), ("uterus", "male", "infant", False),
        ("uterus", "female", "infant", True), ("thymus", "male", "infant", True),
        ("thymus", "male", "child", True), ("thymus", "male", "adult_male", False),
        ("fontanelles", "male", "infant", True), ("fontanelles", "male", "child", False),
        ("heart", "male", "adult_male", True),
    ],
)  # fmt: skip
def test_a_part_is_asked_of_the_bodies_that_have_it(part, sex, body, asked):
    assert is_asked(PARTS[part], sex, body) is asked


def row(part, said, decision="described", why=""):
    return {"part": part, "decision": decision, "said": said, "why": why}


def test_passages_keep_their_keys_whatever_is_decided_later():
    first = [row("great-vessels", "The aorta is smooth.")]
    assert system_passages(first, {}) == [
        {
            "key": "internal-cardiovascular-3",
            "group": "Cardiovascular system",
            "text": "The aorta is smooth.",
        }
    ]
    more = [*first, row("heart", "The heart is large."), row("brain", "", ""), row("skull", "A.")]
    found = system_passages(more, {"coronary-arteries": "Narrowing of the arteries: 80 %."})
    assert [one["key"] for one in found] == [
        "internal-head-1", "internal-cardiovascular-1", "internal-cardiovascular-2",
        "internal-cardiovascular-3",
    ]  # fmt: skip
    assert found[2]["text"] == "Narrowing of the arteries: 80 %."
    assert systems_taken(more) == {"head", "cardiovascular"}


def test_what_is_recorded_elsewhere_follows_what_the_part_says():
    rows = [row("coronary-arteries", "They arise as usual."), row("heart", "The heart is large.")]
    found = system_passages(rows, {"coronary-arteries": "Narrowing of the arteries: 80 %."})
    assert [one["text"] for one in found if "Narrowing" in one["text"]] == [
        "They arise as usual. Narrowing of the arteries: 80 %."
    ]


def test_what_was_left_out_for_one_reason_is_told_together():
    rows = [
        row("epidural-space", "x", "not examined", "limited to the chest"),
        row("brain", "x", "not examined", "limited to the chest"),
        row("dura", "x", "not examined", "not opened"),
        row("middle-ears", "x", "not present", "burned away"),
    ]
    assert system_passages(rows, {}) == [
        {
            "key": "internal-head-left-out",
            "group": "Head",
            "text": "The dura was not examined: not opened. The epidural space and the brain were "
            "not examined: limited to the chest. The middle ears are not present: burned away.",
        }
    ]


def test_a_system_of_which_nothing_is_decided_is_not_told():
    assert system_passages([row("heart", "", "")], {"coronary-arteries": "Narrowing."}) == []


@pytest.mark.parametrize(
    ("words", "asked"),
    [
        ("The heart weighs 420 g.", True), ("A 420 g heart.", True), ("It weighs 0.4 kg.", True),
        ("The heart is large.", False), ("A clot of 3 cm.", False), ("The wall is 1.9 cm.", False),
        ("Glucose 400 g/L.", False),
    ],
)  # fmt: skip
def test_a_weight_in_the_text_is_asked_about(words, asked):
    assert bool(rules.weight_question(HEART, words)) is asked
    assert rules.weight_question(HYOID, words) == ""


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("the heart is large", "The heart is large."), ("Large.", "Large."), ("", ""),
        ("One.\nTwo", "One. Two."), ("He said “no.”", "He said “no.”"),
        ("(See below.)", "(See below.)"),
    ],
)  # fmt: skip
def test_typed_words_become_whole_sentences(typed, said):
    assert rules.whole_sentences(typed) == said
    assert rules.slide_title("A1", "liver", "") == "A1, liver"
    assert rules.slide_title("A1", "liver", "trichrome") == "A1, liver (trichrome)"

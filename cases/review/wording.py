"""What is asked of a report's own words, passage by passage; it changes nothing.

Style, spelling, and the blanks of short keys that nobody filled in.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from cases.drafting.rules import blanks_in
from cases.drafting.spelling import misspelled_in, names_in, words_of_names
from cases.review.queries import leads_of
from cases.review.rules import MEANING, PATH
from findings.prose.style import asked_of
from me_office.statements import COMMON_PRACTICE, statement

BLANK_LEFT = statement(
    "drafting.blank-left",
    "A blank ([ ]) is not filled in.",
    where="Report",
    source=COMMON_PRACTICE,
)

# The sections that somebody of the office words; the others tell what others wrote, or numbers.
WORDED = frozenset(
    {
        "summary", "opinion", "history", "external", "postmortem", "injury", "other", "treatment",
        "internal", "microscopic",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class WordingQuestion:
    """One question, the passage it is about and what that passage is called.

    `unknown` is the word that no list has, where it is one.
    """

    passage: str
    called: str
    words: str
    unknown: str = ""


def wording_questions(
    content: Mapping[str, Any], office_words: Collection[str] = ()
) -> list[WordingQuestion]:
    """Return what is asked of a report's content (see `cases.review.content`), in reading order.

    `office_words` are the words that the office spells so.
    """
    called = leads_of(dict(content))
    known = known_names(content) | words_of_names(office_words)
    return [
        WordingQuestion(passage["key"], _called(passage, called), words, unknown)
        for section in content["sections"]
        if section["key"] in WORDED
        for passage in section["passages"]
        for words, unknown in _asked(passage["text"], known)
    ]


def known_names(content: Mapping[str, Any]) -> frozenset[str]:
    """The names of a report's case: what its facts say, and what stands as a name in its text."""
    facts = [str(fact["text"]) for fact in content.get("facts", [])]
    texts = [one["text"] for part in content["sections"] for one in part["passages"]]
    return words_of_names(facts) | names_in(texts)


def _asked(text: str, known: Collection[str]) -> Iterator[tuple[str, str]]:
    for asked in asked_of(text):
        yield asked.text, ""
    for word in misspelled_in(text, known):
        yield word.text, word.word
    if blanks_in(text):
        yield BLANK_LEFT.say(), ""


def _called(passage: Mapping[str, Any], called: Mapping[str, str]) -> str:
    number = passage["key"].removeprefix("finding-").removesuffix(MEANING).removesuffix(PATH)
    if number != passage["key"] and number.isdigit():
        return f"Finding {number}"
    return called[passage["key"]]

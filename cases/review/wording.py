"""What the style sheet asks of a report's own words, passage by passage. It changes nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from cases.review.queries import leads_of
from cases.review.rules import MEANING, PATH
from findings.prose.style import asked_of

# The sections that somebody of the office words; the others tell what others wrote, or numbers.
WORDED = frozenset(
    {
        "summary", "opinion", "history", "external", "postmortem", "injury", "other", "treatment",
        "internal", "microscopic",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class WordingQuestion:
    """One question, the passage it is about and what that passage is called."""

    passage: str
    called: str
    words: str


def wording_questions(content: Mapping[str, Any]) -> list[WordingQuestion]:
    """Return what is asked of a report's content (see `cases.review.content`), in reading order."""
    called = leads_of(dict(content))
    return [
        WordingQuestion(passage["key"], _called(passage, called), asked.text)
        for section in content["sections"]
        if section["key"] in WORDED
        for passage in section["passages"]
        for asked in asked_of(passage["text"])
    ]


def _called(passage: Mapping[str, Any], called: Mapping[str, str]) -> str:
    number = passage["key"].removeprefix("finding-").removesuffix(MEANING).removesuffix(PATH)
    if number != passage["key"] and number.isdigit():
        return f"Finding {number}"
    return called[passage["key"]]

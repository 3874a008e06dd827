"""Twelve questions that a witness is asked, and what has to be read on the page as the answer.

Each takes what the API says that an exhibit answers (`/answers/`) and returns the words that the
page has to show, without a click.
"""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from typing import Any

Answers = dict[str, Any]


def _each(name: str, *parts: str) -> Callable[[Answers], list[str]]:
    """Take some parts of every finding, photograph or item of an exhibit."""

    def words(answers: Answers) -> list[str]:
        found = []
        for one in answers[name]:
            for part in parts:
                said = one
                for step in part.split("."):
                    said = said[step]
                found += [said] if isinstance(said, str) else [each["words"] for each in said]
        return found

    return words


def _layers(answers: Answers) -> list[str]:
    """Take what was found in each layer, and the name of each of which nothing is recorded."""
    rows = [layer for one in answers["findings"] for layer in one["layers"]]
    return [row["words"] if row["recorded"] else row["layer"] for row in rows]


def _report(answers: Answers) -> list[str]:
    """Take the passages about each finding, and, of a signed report, what was changed since."""
    parts = ("passages", "changed.words") if answers["report"]["signed_at"] else ("passages",)
    return _each("findings", *parts)(answers)


# Sets of the demo office: whose witness, the decedent, and ten exhibits of different kinds.
SETS = (
    ("vasko", "Hallstead", (1, 2, 3, 7)),
    ("amadi", "Ashgrove", (1, 3, 5)),
    ("amadi", "Marlow", (2, 5, 7)),
)
TWELVE: dict[str, Callable[[Answers], list[str]]] = {
    "Which part of the body is this?": lambda answers: [answers["body_part"]["words"]],
    "What is that, and is it an injury?": _each("findings", "term", "klass_said.words"),
    "Could it be something else?": _each("findings", "meanings"),
    "How large is it, and how was it measured?": _each("findings", "size.sentence"),
    "Is it from before or after death?": _each("findings", "when.words", "when.ground"),
    "Did you look underneath?": _layers,
    "How many are there?": lambda answers: [
        answers["counts"]["in_exhibit"]["words"],
        answers["counts"]["in_case"]["words"],
    ],
    "What did you look for and not find?": _each("looked_for", "words"),
    "Who took this picture, and when?": _each("pictures", "taken.words", "taken_by"),
    "Is it as the camera made it?": _each("pictures", "same_bytes.words", "held.words"),
    "What does your report say, and has it changed?": _report,
    "Was a specimen taken there?": _each("taken_here", "words", "held.words"),
}


def as_read(page: str) -> str:
    """Return the words of a page of HTML that are read without a click, on one line."""
    main = re.sub(r"<template.*?</template>|<script.*?</script>", " ", page, flags=re.S)
    main = re.sub(r"</summary>.*?</details>", " ", main, flags=re.S)
    return squeezed(html.unescape(re.sub(r"<[^>]+>", " ", main)))


def squeezed(words: str) -> str:
    """Return words without what an eye passes over: blanks, capitals, marks at the end."""
    return re.sub(r"[\s.,;:“”\"]+", " ", words).strip().lower()


def lacking(answers: Answers, read: str) -> dict[str, list[str]]:
    """Return by question what a page does not say of an exhibit."""
    found = {}
    for question, said in TWELVE.items():
        if away := [words for words in said(answers) if squeezed(words) not in read]:
            found[question] = away
    return found

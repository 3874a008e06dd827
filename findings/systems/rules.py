"""When a part of the internal examination is decided, and what is then said of it. No database.

A part says nothing until it is decided. A sentence that a template offers is kept or struck, and a
kept one has each of its blanks filled in.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, Final

from findings.questions.negatives import needed_first, why_not_shown
from findings.systems.blanks import (
    LONGEST_WORDS,
    Blank,
    Kind,
    blanks_of,
    filled_in,
    weight_of,
    wrong_with_line,
    wrong_with_value,
)
from findings.systems.catalogue import PARTS, Part, System

LONGEST_WHY: Final = 240
MOST_LINES: Final = 20


class Decision(StrEnum):
    """What was decided about a part; nothing of it is printed before."""

    DESCRIBED = "described"
    NEGATIVE = "stated negative"
    NOT_EXAMINED = "not examined"
    NOT_PRESENT = "not present"


WITH_A_WHY: Final = frozenset({Decision.NOT_EXAMINED, Decision.NOT_PRESENT})


@dataclass(frozen=True)
class Offered:
    """One sentence laid before the pathologist: kept, struck, or neither yet (None)."""

    text: str
    kept: bool | None = None
    filled: Mapping[str, str] = field(default_factory=dict)
    template: str = ""

    def as_row(self) -> dict[str, Any]:
        """Return the same as it is kept with the part."""
        return {
            "text": self.text, "kept": self.kept, "filled": dict(self.filled),
            "template": self.template,
        }  # fmt: skip


def offered_in(rows: Sequence[Mapping[str, Any]]) -> list[Offered]:
    """Read the sentences that are kept with a part."""
    return [Offered(row["text"], row["kept"], row["filled"], row["template"]) for row in rows]


def field_of(place: int) -> str:
    """Return the name under which something wrong with a sentence is said; the first is 1."""
    return f"sentence_{place}"


@dataclass(frozen=True)
class Said:
    """What a part says, and what is wrong by field; with something wrong it says nothing."""

    words: str = ""
    wrong: Mapping[str, str] = field(default_factory=dict)


def said_of(
    part: Part,
    decision: str,
    words: str,
    why: str,
    offered: Sequence[Offered],
    *,
    weighed: Collection[str] = (),
    dissected: str = "",
    kind: str = "",
) -> Said:
    """Return what the report says of a part, and what stands against deciding it so.

    `weighed` are the organs with a weight, `dissected` what is recorded of deep dissection, `kind`
    the kind of examination.
    """
    wrong = {
        name: "Braces mark a blank; fill it in or leave it out."
        for name, typed in (("words", words), ("why", why))
        if "{" in typed or "}" in typed
    }
    if not decision:
        return Said(wrong=wrong or _misfilled(offered))
    if decision in WITH_A_WHY and not why.strip():
        wrong["why"] = "Say why."
    elif why.strip() and decision not in WITH_A_WHY:
        wrong["why"] = "A reason goes with “not examined” or “not present” only."
    if decision != Decision.DESCRIBED:
        if words.strip():
            wrong["words"] = "Words are printed of a part that is described. Choose “Described”."
        if decision == Decision.NEGATIVE:
            wrong |= _against_negative(part, dissected, kind)
        return Said(wrong=wrong) if wrong else Said(_without_words(part, decision, why))
    return _described(words, offered, weighed, wrong)


def _described(
    words: str, offered: Sequence[Offered], weighed: Collection[str], wrong: dict[str, str]
) -> Said:
    sentences = []
    for place, one in enumerate(offered, start=1):
        said, problem = _kept(one, weighed)
        if problem:
            wrong[field_of(place)] = problem
        if said:
            sentences.append(said)
    if own := whole_sentences(words):
        sentences.append(own)
    if not sentences and not wrong:
        wrong["words"] = "Describe the part, or keep a sentence."
    return Said(wrong=wrong) if wrong else Said(" ".join(sentences))


def _kept(one: Offered, weighed: Collection[str]) -> tuple[str, str]:
    """Return what an offered sentence says, and what is wrong with it."""
    if one.kept is None:
        return "", "Keep or strike this sentence."
    if not one.kept:
        return "", ""
    if organ := weight_of(one.text):
        return "", "" if organ in weighed else f"Enter the weight ({organ}), or strike the line."
    said, wrong = filled_in(one.text, one.filled)
    return said, " ".join(wrong.values())


def _misfilled(offered: Sequence[Offered]) -> dict[str, str]:
    """What was typed into blanks and cannot stand there, before anything is decided."""
    wrong = {}
    for place, one in enumerate(offered, start=1):
        problems = [
            wrong_with_value(blank, one.filled[blank.label])
            for blank in blanks_of(one.text)
            if one.filled.get(blank.label, "").strip()
        ]
        if said := " ".join(filter(None, problems)):
            wrong[field_of(place)] = said
    return wrong


def _against_negative(part: Part, dissected: str, kind: str) -> dict[str, str]:
    words = not_to_be_stated(part, dissected, kind)
    return {"decision": words} if words else {}


def not_to_be_stated(part: Part, dissected: str, kind: str) -> str:
    """Say why the negative of a part cannot be stated yet, or at all; empty where it can."""
    if not part.statements:
        return "There is no fixed sentence for this part. Describe it."
    reasons = [why_not_shown(one, kind) for one in part.statements]
    reasons += [needed_first(one, dissected) for one in part.statements]
    return next(filter(None, reasons), "")


def _without_words(part: Part, decision: str, why: str) -> str:
    if decision == Decision.NEGATIVE:
        return part.negative
    return left_out_words([part], decision, why)


def left_out_words(parts: Sequence[Part], decision: str, why: str) -> str:
    """Say in one sentence that parts were not examined or are not present, and why."""
    named = [part.the for part in parts]
    said = named[0] if len(named) == 1 else f"{', '.join(named[:-1])} and {named[-1]}"
    many = len(parts) > 1 or parts[0].many
    if decision == Decision.NOT_EXAMINED:
        verb = "were not examined" if many else "was not examined"
    else:
        verb = "are not present" if many else "is not present"
    reason = " ".join(why.split()).rstrip(".")
    return f"{said[:1].upper()}{said[1:]} {verb}: {reason}."


def whole_sentences(words: str) -> str:
    """Return typed words with a capital first and a period last; nothing else is changed."""
    said = " ".join(words.split())
    if not said:
        return ""
    said = said[:1].upper() + said[1:]
    return said if said.endswith((".", "!", "?", ".”", '."', ".)")) else f"{said}."


def slide_title(label: str, tissue: str, stain: str) -> str:
    """Name a slide by its label, tissue and stain: A1, heart muscle (trichrome)."""
    return f"{label}, {tissue}" + (f" ({stain})" if stain else "")


# A figure in grams beside a word of weighing.
_WEIGHS: Final = re.compile(
    r"\bweigh\w*\b[^.;]*?\b\d[\d,]*(?:\.\d+)?\s*(?:g|grams?|kg)\b"
    r"|\b\d[\d,]*(?:\.\d+)?[- ]?(?:g|grams?)\b(?!/)",
    re.IGNORECASE,
)


def weight_question(part: Part, words: str) -> str:
    """Ask about a weight in the text of an organ whose weight stands in the table; else ""."""
    if not part.organs or not _WEIGHS.search(words):
        return ""
    return (
        "The report prints organ weights in their table. Leave the weight out of the text, "
        "unless it is of something else."
    )


def wrong_with_lines(
    system: System, lines: Mapping[str, Sequence[str]], organs: Collection[str]
) -> dict[str, str]:
    """Say by part what stands against a template's lines; "lines" where it concerns them all."""
    known = {part.key for part in system.parts}
    wrong = {key: "This part is of another system." for key in lines if key not in known}
    for key in known & set(lines):
        problems = []
        for place, line in enumerate(lines[key], start=1):
            if problem := wrong_with_line(line, organs):
                problems.append(f"Line {place}: {problem}")
            elif (organ := weight_of(line)) and organ not in PARTS[key].organs:
                problems.append(f"Line {place}: the weight of {organ} belongs to another part.")
        if len(lines[key]) > MOST_LINES:
            problems.append(f"At most {MOST_LINES} sentences a part.")
        if len(set(lines[key])) < len(lines[key]):
            problems.append("One sentence stands there twice.")
        if problems:
            wrong[key] = " ".join(problems)
    if not wrong and not any(lines.values()):
        wrong["lines"] = "Write at least one sentence."
    return wrong


def is_number(blank: Blank) -> bool:
    """Tell whether a blank takes figures."""
    return blank.kind in (Kind.NUMBER, Kind.WEIGHT)


__all__ = [
    "LONGEST_WORDS",
    "Decision",
    "Offered",
    "Said",
    "field_of",
    "is_number",
    "left_out_words",
    "not_to_be_stated",
    "offered_in",
    "said_of",
    "slide_title",
    "weight_question",
    "whole_sentences",
    "wrong_with_lines",
]

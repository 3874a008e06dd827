"""What a finding may mean and when it came about, apart from what was seen. No database.

The words of certainty mean one thing each: certain, probable, possible, cannot be excluded, cannot
be determined (common practice). A ground that can't be told in a clause stands in brackets.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from findings.prose.house import STANDARD, Phrasing
from findings.prose.observed import state_words
from findings.prose.phrases import Form, Fragment, joined, parts, read, sentence, with_article
from findings.rules import FindingClass, Strength, Timing
from findings.words.sentences import begin_small, is_plural

# Changes after death that are no injury by what they are (common practice).
CHANGES = (
    "adipocere", "bloating", "drying", "green discoloration", "immersion change", "lividity",
    "maceration", "marbling", "mummification", "purge fluid", "rigor", "skin slippage",
    "tache noire", "washerwoman",
)  # fmt: skip
# What treatment makes; all else of it is placed.
_MADE = re.compile(
    r"\b(puncture|incision|burn|marks?|wound|ostomy|fistula|\w*otomy|\w*ostomy)s?\b", re.IGNORECASE
)
SURE = frozenset({"certain", "probable", "possible"})


@dataclass(frozen=True, slots=True)
class Meant:
    """One interpretation: what it is of, how it stands, on what ground, how sure."""

    statement: str
    standing: str
    ground: str = ""
    confidence: str = ""


def timing_words(klass: str, timing: str, ground: str = "", *, subject: str, many: bool) -> str:
    """Say when a finding came about: an injury is sustained, a change or a disease arises.

    `subject` is the finding as it is called: "the contusion". Empty where no time was stated; that
    it can't be said is a statement, too.
    """
    if not timing:
        return ""
    verb = _verb(klass, subject, many)
    because = grounds(ground)
    if timing == Timing.UNDETERMINED:
        return sentence(f"whether {subject} {verb} before or after death cannot be said{because}")
    return sentence(f"{subject} {verb} {Timing(timing).words}{because}")


def _verb(klass: str, subject: str, many: bool) -> str:
    """An injury is sustained, what a treatment left was made or placed, all else arises."""
    was = "were" if many else "was"
    if klass == FindingClass.INJURY:
        return f"{was} sustained"
    if klass == FindingClass.MEDICAL_INTERVENTION:
        return f"{was} {'made' if _MADE.search(subject) else 'placed'}"
    return "arose"


def meaning_paragraph(
    klass: str,
    term: str,
    timing: str,
    ground: str,
    meant: Iterable[Meant],
    *,
    called: str = "",
    phrasing: Phrasing = STANDARD,
) -> str:
    """Say what a finding means and how sure that is; empty where nothing was stated.

    It stands by itself, so it names the finding: "The contusion was sustained before death, judging
    by swelling. It is consistent with a blow; a fall cannot be excluded." `called` is what the
    office calls it, where that is not its term.
    """
    many = is_plural(called or term)
    subject = subject_of(called or term)
    said = []
    if when := timing_words(klass, timing, ground, subject=subject, many=many):
        said.append(when)
        subject = "they" if many else "it"
    if is_no_injury(klass, term, timing):
        key = "no-injury-many" if many else "no-injury-one"
        said.append(sentence(phrasing.say(key, it=subject)))
        subject = "they" if many else "it"
    if meaning := meaning_sentences(meant, subject=subject, many=many):
        said.append(meaning)
    return " ".join(said)


def subject_of(term: str) -> str:
    """A finding as it is called where it was described before: the drying artifact."""
    for mark in (",", " ("):
        term = term.split(mark, 1)[0]
    return f"the {begin_small(term.strip())}"


def is_no_injury(klass: str, term: str, timing: str) -> bool:
    """Tell whether the report may say that a change after death is no injury.

    Only of changes that are none by what they are called, and only while nothing else is recorded
    of when they arose: what an animal did after death is an injury, too.
    """
    named = begin_small(term.strip()).startswith(CHANGES)
    return klass == FindingClass.POSTMORTEM_CHANGE and named and timing in ("", Timing.POSTMORTEM)


def meaning_sentences(meant: Iterable[Meant], *, subject: str = "this", many: bool = False) -> str:
    """Say every interpretation: what fits, then what cannot be excluded, then what can."""
    rows = list(meant)
    said: list[str] = []
    is_are = "are" if many else "is"
    for standing in (Strength.CONSISTENT, Strength.NOT_EXCLUDED, Strength.EXCLUDED):
        for row in (one for one in rows if one.standing == standing):
            again = "also " if standing == Strength.CONSISTENT and said else ""
            said.append(_one(row, f"{subject} {is_are} {again}"))
            if standing == Strength.CONSISTENT:
                subject = "they" if many else "it"
    return " ".join(said)


def _one(row: Meant, begins: str) -> str:
    what = begin_small(" ".join(row.statement.split()).rstrip(". "))
    is_clause = read(what).form == Form.CLAUSE
    because, sure = grounds(row.ground), " ".join(row.confidence.split()).rstrip(".").lower()
    if row.standing == Strength.CONSISTENT:
        which = f", which is {sure}" if sure in SURE else f" ({sure})" if sure else ""
        that = "the view that " if is_clause else ""
        return sentence(f"{begins}consistent with {that}{what}{which}{because}")
    more = f" ({sure})" if sure else ""
    if more and because.startswith(" ("):
        more, because = "", f" ({sure}; {because[2:]}"
    can = "cannot" if row.standing == Strength.NOT_EXCLUDED else "can"
    if is_clause:
        return sentence(f"it {can} be excluded that {what}{more}{because}")
    return sentence(f"{what} {can} be excluded{more}{because}")


def grounds(words: str) -> str:
    """A ground as it follows a statement: ", as there is no hemorrhage in it"; or nothing."""
    words = " ".join(words.split()).rstrip(". ")
    if not words:
        return ""
    found = parts(words)
    if all(one.form in (Form.CLAUSE, Form.NONE, Form.STATE) for one in found):
        return f", as {joined([_clause(one) for one in found])}"
    if all(one.form == Form.THING for one in found):
        return f", judging by {joined([with_article(one) for one in found])}"
    return f" ({begin_small(words)})"


def _clause(one: Fragment) -> str:
    if one.form == Form.NONE:
        return f"there {'are' if one.many else 'is'} {one.words}"
    return state_words(one) if one.form == Form.STATE else one.words

"""The letters that the office begins with; each is replaced by what the office writes instead.

Common practice; no published text is reproduced. Where a sentence would state law, it leaves the
law to counsel as a gap. No database.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from cases.letters.rules import LetterKind
from me_office.statements import COMMON_PRACTICE, Statement, statement_list


@dataclass(frozen=True)
class StandardLetter:
    """Subject and text of a kind of letter."""

    subject: str
    body: str


_RE: Final = "Your {request.cited}: {decedent.name}, our case {case.number}"
_TO: Final = "To {letter.to}:"
_QUESTIONS: Final = "Please cite our reference in any reply."
_WORDS: Final[Mapping[LetterKind, tuple[str, ...]]] = {
    LetterKind.ACKNOWLEDGMENT: (
        _TO,
        "We received your {request.kind} on {request.served}. It asks for:",
        "{demand list}",
        "We have noted {due.day} as the day on which an answer is due. If you count a "
        "different day, please tell us.",
        "We are looking for the records you asked for and will answer each item by itself. "
        "{fill in: what can be offered now, such as a recut of histology slides}",
        _QUESTIONS,
    ),
    LetterKind.EXTENSION: (
        _TO,
        "Your {request.kind} was received on {request.served}; an answer is due on {due.day}.",
        "We ask for more time, until {fill in: day}, because {fill in: reason}.",
        "Please confirm in writing whether you agree. Until you do, we will keep to the date "
        "above.",
        _QUESTIONS,
    ),
    LetterKind.OBJECTION: (
        _TO,
        "We answer your {request.kind}, received on {request.served}, as follows.",
        "We object to {fill in: which items} on the following ground, on the advice of counsel: "
        "{fill in: ground and citation, as approved by counsel}.",
        "What the objection does not concern will be answered in the usual course.",
        _QUESTIONS,
    ),
    LetterKind.FEE: (
        _TO,
        "For the records you asked for on {request.served}, the fee is {fee.total}; invoice "
        "{fee.number} is enclosed.",
        "{fill in: whether the records are sent before or after payment, as the office’s rules "
        "say}",
        _QUESTIONS,
    ),
    LetterKind.NO_RECORD: (
        _TO,
        "You asked on {request.served} for records of {decedent.name}. After a search of our "
        "files we found no record of:",
        "{missing list}",
        "We searched {fill in: where, by which names and dates}. If you know of another name, "
        "date or number, please tell us and we will look again.",
        _QUESTIONS,
    ),
    LetterKind.PARTIAL: (
        _TO,
        "Enclosed is part of what your {request.kind}, received on {request.served}, asks for.",
        "Released in redacted form:\n{redacted list}",
        "Withheld, each on the ground stated:\n{withheld list}",
        "Not found in our records:\n{missing list}",
        "Held by others:\n{elsewhere list}",
        "{fill in: how this decision can be questioned, as approved by counsel}",
        _QUESTIONS,
    ),
    LetterKind.APPEARANCE: (
        _TO,
        "We confirm the {appearance.kind} on {appearance.day}, {appearance.place}. The "
        "witness called is {appearance.witness}.",
        "Please tell us at once if the day, time or place changes, and which exhibits you intend "
        "to show.",
        _QUESTIONS,
    ),
    LetterKind.COVER: (
        _TO,
        "In answer to your {request.kind}, received on {request.served}, we release:",
        "{release.sent}",
        "Each page carries a number. {fill in: whether a certificate of the records custodian is "
        "enclosed}",
        _QUESTIONS,
    ),
    LetterKind.OWN: (_TO, "{fill in: text}", _QUESTIONS),
}  # fmt: skip
STANDARD: Final[Mapping[LetterKind, StandardLetter]] = MappingProxyType(
    {kind: StandardLetter(_RE, "\n\n".join(words)) for kind, words in _WORDS.items()}
)


@statement_list
def _as_listed() -> Iterator[Statement]:
    for kind, words in _WORDS.items():
        for place, one in enumerate(words, start=1):
            yield Statement(
                f"letters.{kind.value.replace(' ', '-')}.{place}",
                # What is filled in, as everywhere in the list of texts.
                one.replace("{", "(").replace("}", ")"),
                f"Letters: {kind.words}",
                COMMON_PRACTICE,
            )

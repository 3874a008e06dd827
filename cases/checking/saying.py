"""What written words state of this body now: sentences without denials, quotes and other people.

The rules of consistency read words through this alone, so that none of them speaks about "no
fracture", "his brother was shot", "history of a stab wound" or what somebody else said. A clause
that can be read in more than one way states nothing. No database, no clock.
"""

from __future__ import annotations

import re
from typing import Final

_QUOTED: Final = re.compile(r"“[^”]*”|\"[^\"]*\"|«[^»]*»")
_SENTENCE: Final = re.compile(r"(?<=[.!?])\s+|\n+")
_CLAUSE: Final = re.compile(r"[,;]|\bbut\b|\balthough\b|\bwhile\b|\bhowever\b|:", re.I)
_DENIED: Final = re.compile(
    r"\b(?:no|not|none|nor|never|neither|without|free of|absent|absence|negative for|exclude[sd]?"
    r"|rather than|instead of|denied|denies|un(?:injured|remarkable|available)|cannot|could not"
    r"|nothing|lack(?:s|ing)?|ruled out)\b",
    re.I,
)
_OPEN: Final = re.compile(
    r"\b(?:if|whether|may|might|could|would|should|to be|will be|pending|planned|possible|possibly"
    r"|suspected|question of|either|or)\b|\?",
    re.I,
)
_BEFORE: Final = re.compile(
    r"\b(?:history|previous(?:ly)?|prior|earlier|former(?:ly)?|old|remote|healed"
    r"|years? (?:ago|before|earlier)|months? (?:ago|before|earlier)|in (?:19|20)\d\d"
    r"|since (?:19|20)\d\d|childhood|known"
    r"|scars?|status post|after an operation|surgical(?:ly)?|operated|removed at"
    r"|hospital(?:i[sz]\w+)?"
    r"|operation|resected|by history|past)\b",
    re.I,
)
_OTHERS: Final = re.compile(
    r"\b(?:his|her|their) (?:wife|husband|partner|mother|father|brother|sister|son|daughter|friend"
    r"|neighbo\w+|colleague|roommate|boyfriend|girlfriend|cousin|uncle|aunt)\b"
    r"|\b(?:another|other|second|third) (?:man|woman|person|victim|patient|decedent|driver|case)\b"
    r"|\b(?:assailant|attacker|suspect|officer|deputy|bystander|passenger|the dog)\b",
    re.I,
)
_REPORTED: Final = re.compile(
    r"\b(?:said|says|told|reported(?:ly)?|stated|states that|according to|alleged\w*|described by"
    r"|was heard|heard|witness\w*|police|911|caller|informant)\b",
    re.I,
)


def sentences_of(text: str) -> list[str]:
    """The sentences of a text, what is quoted left out."""
    return [part.strip() for part in _SENTENCE.split(_QUOTED.sub(" ", text)) if part.strip()]


def stated(text: str) -> list[str]:
    """The clauses that state something of this body at this examination."""
    found = []
    for sentence in sentences_of(text):
        # Whom it is about, and when, holds for a whole sentence; what is denied for a clause.
        if any(other.search(sentence) for other in (_BEFORE, _OTHERS, _REPORTED)):
            continue
        found += [
            clause.strip()
            for clause in _CLAUSE.split(sentence)
            if clause.strip() and not _DENIED.search(clause) and not _OPEN.search(clause)
        ]
    return found


def stated_whole(text: str) -> list[str]:
    """The sentences that state something and in which no clause is denied or open."""
    return [
        sentence
        for sentence in sentences_of(text)
        if not any(sign.search(sentence) for sign in (_BEFORE, _OTHERS, _REPORTED, _DENIED, _OPEN))
    ]

"""What is recorded of an opened body where the examination is recorded as one that opened none.

It only asks: the kind may have been chosen wrongly, or a text may stand that was meant for
another case. No database.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, NamedTuple

from findings.questions.negatives import NOT_OPENED, stated_in, why_not_seen
from me_office.statements import COMMON_PRACTICE, statement

_WHERE: Final = "Examination, report, review"
STATED = statement(
    "examination.stated-of-another-kind",
    "“{statement}” is stated, and the examination is recorded as {kind}. {why} Check both.",
    where=_WHERE,
    source=COMMON_PRACTICE,
)
WRITTEN = statement(
    "examination.written-of-an-unopened-body",
    "“{section}” is written, and the examination is recorded as {kind}, in which the body is not "
    "opened. Check the text and the kind of examination.",
    where=_WHERE,
    source=COMMON_PRACTICE,
)
MEASURED = statement(
    "examination.measured-in-an-unopened-body",
    "{measured} recorded, and the examination is recorded as {kind}, in which the body is not "
    "opened. Check both.",
    where=_WHERE,
    source=COMMON_PRACTICE,
)
SECTION_WORDS: Final = MappingProxyType(
    {
        "cavities": "Body cavities",
        "internal": "Internal examination",
        "deep_dissection": "Deep dissection and reflection",
        "systems": "Examination by system",
    }
)
# Of records that are read, an operation or the examination of others may well be told.
READS_OF_OTHERS: Final = frozenset({"chart review"})
# A sentence that says that it was not done, or that rests on pictures or on a hospital's words.
_SAYS_WHY: Final = re.compile(
    r"\b(?:not|never)\b[^.;]*\b(?:examined|opened|performed|done|made|carried out|dissected"
    r"|inspected|explored|indicated|authori[sz]ed)\b"
    r"|\bno (?:internal|autopsy|dissection|incision)\b|\b(?:external|outside)\b[^.;]*\bonly\b"
    r"|\bwithout (?:opening|dissection|autopsy)\b|\b(?:none|deferred|omitted|declined|waived)\b"
    r"|\bn/?a\b|\bnot applicable\b"
    r"|\b(?:CT|MRI|computed|tomograph\w*|x-?rays?|radiograph\w*|imaging|scans?|ultrasound"
    r"|hospital\w*|operat\w+|surg\w+|records?|charts?)\b",
    re.IGNORECASE,
)


class Asked(NamedTuple):
    """One question, with the section of the examination that it is about ("organs": weights)."""

    words: str
    section: str


def tells_of_an_opened_body(text: str) -> bool:
    """Tell whether any sentence may be of a body that was opened at this examination."""
    return any(
        part.strip() and not _SAYS_WHY.search(part) for part in re.split(r"[.;]+(?=\s|$)|\n", text)
    )


def unopened(
    kind: str,
    kind_words: str,
    written: Mapping[str, str],
    *,
    blood: bool = False,
    narrowings: bool = False,
    weights: bool = False,
) -> list[Asked]:
    """Return what does not go with the kind of examination, in the order of the form.

    `written` are the sections by name; `blood`, `narrowings` and `weights` say whether blood in
    cavities, narrowings of coronary arteries and weights of organs are recorded.
    """
    asked = []
    for one in stated_in(written):
        if why := why_not_seen(one.section, kind):
            words = STATED.say(statement=one.words, kind=kind_words, why=why)
            asked.append(Asked(words, one.section))
    if kind not in NOT_OPENED - READS_OF_OTHERS:
        return asked
    asked_of = {one.section for one in asked}
    for section, title in SECTION_WORDS.items():
        if section not in asked_of and tells_of_an_opened_body(written.get(section, "")):
            asked.append(Asked(WRITTEN.say(section=title, kind=kind_words), section))
    for is_there, measured, section in (
        (blood, "Blood in body cavities is", "cavities"),
        (narrowings, "Narrowings of coronary arteries are", "internal"),
        (weights, "Weights of organs are", "organs"),
    ):
        if is_there:
            asked.append(Asked(MEASURED.say(measured=measured, kind=kind_words), section))
    return asked

"""The office's style sheet: what a report's own words are asked about. No database.

It warns and changes nothing. Only whole words count, and words inside quotation marks are somebody
else's.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from me_office.statements import COMMON_PRACTICE, Statement, statement

WHERE = "Report"

SEEMING = statement(
    "style.seeming",
    "“{words}” leaves open whether it is so. Say what was seen, or how sure the conclusion is.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
NOTED = statement(
    "style.noted",
    "“{words}” says that somebody looked; say what is there.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
ALONE = statement(
    "style.consistent-alone",
    "“Consistent with” stands without what else it may be: say what cannot be excluded, or that "
    "nothing else was considered.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
PLAIN = statement(
    "style.plain",
    "“{words}” tells how plain it was to the writer, not on what ground it rests.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
SHORTENED = statement(
    "style.shortened",
    "“{words}” is an abbreviation: written out, it can be read in one way only.",
    where=WHERE,
    source=COMMON_PRACTICE,
)

_SEEMING = re.compile(r"\b(?:appears?|appeared|seems?|seemed) to be\b", re.IGNORECASE)
_NOTED = re.compile(r"\b(?:(?:is|are|was|were) (?:also )?noted|also seen)\b", re.IGNORECASE)
_PLAIN = re.compile(r"\b(?:obvious(?:ly)?|clearly|undoubtedly|evidently)\b", re.IGNORECASE)
_CONSISTENT = re.compile(r"\bconsistent with\b", re.IGNORECASE)
_ELSE = re.compile(
    r"\b(?:exclud\w+|also consistent with|equally|alternativ\w+|other explanations?|cannot be told"
    r"|not the only|as well as|neither|nothing else)\b|\bor\b",
    re.IGNORECASE,
)
# As they are written: in capitals, or with a stroke.
_SHORTENED = re.compile(
    r"\b(?:GSWs?|SGSWs?|MVAs?|MVCs?|SDH|EDH|SAH|ICH|ETOH|EtOH|COPD|MI|PE|DVT|CHF|LVH|ASCVD|ASHD|HTN"
    r"|CAD|SIDS|SUID|RUQ|LUQ|RLQ|LLQ|PMI|OD)\b|(?<![\w/])(?:c/w|s/p|h/o|y/o|w/o?)(?![\w/])"
)
_QUOTED = re.compile(r"“[^”]{0,2000}”|\"[^\"]*\"")


@dataclass(frozen=True, slots=True)
class Asked:
    """One thing that the style sheet asks of a passage, with the words that it is about."""

    rule: Statement
    words: str

    @property
    def text(self) -> str:
        """The question in a sentence."""
        return self.rule.text.format(words=self.words)


def asked_of(passage: str) -> list[Asked]:
    """Return what is asked of one passage, each word once, in the order of the rules."""
    own = _QUOTED.sub(" ", passage)
    asked = [
        Asked(rule, words)
        for rule, pattern in (
            (SEEMING, _SEEMING),
            (NOTED, _NOTED),
            (PLAIN, _PLAIN),
            (SHORTENED, _SHORTENED),
        )
        for words in dict.fromkeys(pattern.findall(own))
    ]
    if _CONSISTENT.search(own) and not _ELSE.search(own):
        asked.append(Asked(ALONE, ""))
    return asked

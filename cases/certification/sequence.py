"""Part I read as a sequence: which way it runs, how long each line lasted, words of manner. Pure.

Everything here asks. The table (`guidance.json`) is small on purpose: a pair that could be true in
both directions is not in it, and what cannot be read is passed over.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from pathlib import Path

from cases.certification.causes import is_circumstance_only, is_mechanism_only, plain
from cases.certification.rules import Manner
from me_office.entries import Entry
from me_office.statements import COMMON_PRACTICE, FROM_MEMORY, statement

WHERE = "Cause and manner"
_HANDBOOKS = f"NCHS handbooks on completing the cause of death, {FROM_MEMORY}"

UPSIDE_DOWN = statement(
    "certificate.upside-down",
    "“{upper}” usually leads to “{lower}”, and stands above it. Read downward, each line is due to "
    "the line below it. Check the order of the lines.",
    where=WHERE,
    source=f"{_HANDBOOKS}; which condition usually leads to which: {COMMON_PRACTICE}",
)
TWICE = statement(
    "certificate.line-twice",
    "“{cause}” stands on two lines.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
NO_INJURY_BETWEEN = statement(
    "certificate.no-injury-named",
    "“{cause}” says how it happened, and no line names the injury. Part I usually names the injury "
    "(“blunt force injuries of the head”); how it happened is item 43 (“How the injury occurred”).",
    where=WHERE,
    source=f"{_HANDBOOKS}; which words name no injury: {COMMON_PRACTICE}",
)
INTERVALS_CROSS = statement(
    "certificate.intervals-cross",
    "“{upper}” on line {above} is longer than “{lower}” on line {below}. What led to a condition "
    "usually began before it. Check both intervals.",
    where=WHERE,
    source=_HANDBOOKS,
)
INTERVAL_MISSING = statement(
    "certificate.interval-missing",
    "Other lines have an interval and this one has none. “Unknown” or “approximately” may be "
    "written.",
    where=WHERE,
    source=_HANDBOOKS,
)
MANNER_WORDS = statement(
    "certificate.manner-words",
    "“{word}” is a word of manner, which item 37 states. A line of part I names the injury or "
    "disease.",
    where=WHERE,
    source=COMMON_PRACTICE,
)

_MONTH_S, _SHORT_MONTH, _LONG_MONTH = 2_629_800, 0.919, 1.019
# What is not known is an interval too, and is compared with nothing.
_RANGE = re.compile(r"(\d+(?:\.\d+)?)(?: ?(?:-|–|to|or) ?(\d+(?:\.\d+)?))? ?([a-z]+)")


@dataclass(frozen=True)
class _Table:
    leads_to: list[tuple[re.Pattern[str], re.Pattern[str]]]
    units: dict[str, list[float]]
    numbers: dict[str, int]
    at_once: frozenset[str]
    manner: list[re.Pattern[str]]


@cache
def _table() -> _Table:
    read = json.loads((Path(__file__).parent / "guidance.json").read_text(encoding="utf-8"))
    return _Table(
        [
            (re.compile(rf"\b(?:{cause})"), re.compile(rf"\b(?:{result})"))
            for cause, result in read["leads_to"]
        ],
        read["units"],
        read["numbers"],
        frozenset(read["at_once"]),
        [re.compile(rf"\b(?:{words})\b", re.IGNORECASE) for words, _ in read["manner"]],
    )


def stands_upside_down(upper: str, lower: str) -> bool:
    """Tell whether the upper line usually leads to the lower one, and never the other way."""
    above, below = plain(upper), plain(lower)
    found = False
    for cause, result in _table().leads_to:
        if cause.search(below) and result.search(above):
            return False
        if cause.search(above) and result.search(below):
            # A line that names both says by itself how they hang together.
            found = found or not (result.search(above) or cause.search(below))
    return found


def seconds_of(interval: str) -> tuple[float, float] | None:
    """Return between how many seconds an interval lasts; None where it cannot be read.

    "Days" alone is read widely: two days to a month.
    """
    table, words = _table(), " ".join(interval.lower().replace(",", " ").split()).strip(".~ ")
    if words in table.at_once:
        return 0, 60
    for name, number in table.numbers.items():
        words = re.sub(rf"\b{name}\b", str(number), words)
    found = _RANGE.search(words)
    if found is not None and found[3] in table.units:
        unit = table.units[found[3]][0]
        low, high = float(found[1]) * unit, float(found[2] or found[1]) * unit
        if unit == _MONTH_S:
            # 28 to 31 days are a month.
            low, high = low * _SHORT_MONTH, high * _LONG_MONTH
        return _widened(words[: found.start()], low, high)
    named = [word for word in re.findall(r"[a-z]+", words) if word in table.units]
    if len(named) != 1 or re.search(r"\d", words):
        return None
    low, high = table.units[named[0]]
    return _widened(words, low, high)


def _widened(before: str, low: float, high: float) -> tuple[float, float]:
    if re.search(r"<|\b(?:less|under|within|up to)\b", before):
        return 0, high
    if re.search(r">|\b(?:more|over|at least)\b", before):
        return low, float("inf")
    if re.search(r"\b(?:about|approx\w*|around|circa|probabl[ey]|almost|nearly)\b|~", before):
        return low / 2, high * 2
    return low, high


def asked_of_lines(entry: Entry) -> dict[str, list[str]]:
    """Return, by field, what is asked about the sequence, the intervals and words of manner."""
    lines = {
        letter: text
        for letter in "abcd"
        if (text := str(entry.get(f"cause_{letter}") or "").strip())
    }
    asked: dict[str, list[str]] = {}
    for above, below in combinations(lines, 2):
        upper, lower = lines[above], lines[below]
        if plain(upper) == plain(lower):
            asked.setdefault(f"cause_{below}", []).append(TWICE.say(cause=lower))
        elif stands_upside_down(upper, lower):
            said = UPSIDE_DOWN.say(upper=upper, lower=lower)
            asked.setdefault(f"cause_{above}", []).append(said)
    *others, last = lines or [""]
    if (
        last
        and is_circumstance_only(lines[last])
        and all(is_mechanism_only(lines[one]) for one in others)
    ):
        asked.setdefault(f"cause_{last}", []).append(NO_INJURY_BETWEEN.say(cause=lines[last]))
    for letter, text in lines.items():
        for pattern in _table().manner:
            found = pattern.search(text)
            if found:
                asked.setdefault(f"cause_{letter}", []).append(MANNER_WORDS.say(word=found[0]))
    for name, words in _of_intervals(entry, lines).items():
        asked.setdefault(name, []).extend(words)
    return asked


def _of_intervals(entry: Entry, lines: Mapping[str, str]) -> dict[str, list[str]]:
    said = {letter: str(entry.get(f"interval_{letter}") or "").strip() for letter in lines}
    asked: dict[str, list[str]] = {}
    if any(said.values()) and entry.get("manner") != Manner.PENDING:
        for letter, words in said.items():
            if not words:
                asked[f"interval_{letter}"] = [INTERVAL_MISSING.say()]
    lasted = {letter: read for letter, words in said.items() if (read := seconds_of(words))}
    for above, below in combinations(lasted, 2):
        if lasted[above][0] > lasted[below][1]:
            words = INTERVALS_CROSS.say(
                upper=said[above], above=above, lower=said[below], below=below
            )
            asked.setdefault(f"interval_{above}", []).append(words)
            break
    return asked

"""Numbers, sizes, sides and times as somebody said them. No database, no clock.

What is read is what the words cover: "ten centimeters" is 9.5 to 10.5, "four and a half inches"
4.25 to 4.75, "about" no less than a twentieth to either side. That is this office's reading, kept
in one place; no published standard says how exact spoken words are meant.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

_ONES = {
    **{"zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7},
    **{"eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13},
    **{"fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18},
    "nineteen": 19,
}
_TENS = {
    **{"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70},
    **{"eighty": 80, "ninety": 90},
}
_PARTS = {
    "half": Fraction(1, 2),
    "quarter": Fraction(1, 4),
    "third": Fraction(1, 3),
    "eighth": Fraction(1, 8),
    "quarters": Fraction(1, 4),
    "thirds": Fraction(1, 3),
    "eighths": Fraction(1, 8),
    "tenth": Fraction(1, 10),
    "tenths": Fraction(1, 10),
}
# In what is kept: cm, and kg for weights (the agreement of 1959, as in me_office.units).
_UNITS = {
    "centimeter": Decimal(1),
    "millimeter": Decimal("0.1"),
    "meter": Decimal(100),
    "inch": Decimal("2.54"),
    "foot": Decimal("30.48"),
    "kilogram": Decimal(1),
    "pound": Decimal("0.45359237"),
}
_SPELLED = {
    "centimeter": r"centimet(?:er|re)s?|cms?\b\.?",
    "millimeter": r"millimet(?:er|re)s?|mms?\b\.?",
    "meter": r"met(?:er|re)s?",
    "inch": r"inch(?:es)?|in\.|[\"″”](?!\w)",
    "foot": r"feet|foot|ft\b\.?",
    "kilogram": r"kilos?|kilograms?|kg\b\.?",
    "pound": r"pounds?|lbs?\b\.?",
}
WEIGHTS = frozenset({"kilogram", "pound"})

_ONE = "|".join(sorted(_ONES, key=len, reverse=True))
_TEN = "|".join(_TENS)
_BELOW_100 = rf"(?:(?:{_TEN})(?:[-\s](?:{_ONE}))?|{_ONE})"
_WHOLE = rf"(?:(?:(?:{_BELOW_100}|an?)\s+hundred(?:\s+(?:and\s+)?{_BELOW_100})?)|{_BELOW_100})"
_PART = (
    r"(?:(?:an?|one|two|three|five|seven|nine)[-\s])?(?:half|quarters?|thirds?|eighths?|tenths?)"
)
_WORDS = rf"{_WHOLE}(?:\s+point(?:\s+(?:{_ONE}))+|\s+and\s+{_PART})?"
_DIGITS = (
    rf"\d{{1,4}}(?:\.\d+)?(?:[\s-]+(?:and\s+)?\d/\d{{1,2}}|\s+and\s+{_PART})?|\d/\d{{1,2}}|\.\d+"
)
NUMBER = rf"(?:{_DIGITS}|\b{_WORDS}|\b{_PART})"
_UNIT = "|".join(f"(?P<{name}>{spelled})" for name, spelled in _SPELLED.items())

_ABOUT = (
    r"about|around|roughly|approximately|approx\.?|nearly|almost|close\s+to|maybe|perhaps|"
    r"probably|something\s+like|some"
)
_LEAST = r"at\s+least|no\s+(?:less|fewer)\s+than|not\s+(?:less|fewer)\s+than|a\s+minimum\s+of"
_MORE = r"more\s+than|over|longer\s+than|larger\s+than|bigger\s+than|greater\s+than"
_MOST = (
    r"at\s+(?:the\s+)?most|up\s+to|no\s+more\s+than|not\s+more\s+than|no\s+longer\s+than"
    r"|a\s+maximum\s+of"
)
_LESS = r"less\s+than|fewer\s+than|under|shorter\s+than|smaller\s+than"
_HOW = rf"(?:(?P<least>{_LEAST})|(?P<most>{_MOST})|(?P<more>{_MORE})|(?P<less>{_LESS}))\s+"

_LENGTH = re.compile(
    rf"(?:{_HOW})?(?P<about>\b(?:{_ABOUT})\s+)?(?:between\s+)?(?P<a>{NUMBER})"
    rf"(?:[-\s]*(?P<own>{'|'.join(_SPELLED.values())})?"
    rf"(?P<join>\s*(?:to|or|by|and|x|×|-|–)\s*)(?:about\s+)?(?P<b>{NUMBER}))?"
    rf"[-\s]*(?:of\s+an?\s+|an?\s+)?(?:{_UNIT})(?P<so>\s+or\s+so)?",
    re.IGNORECASE,
)
# A height: five feet eleven inches, five foot eleven, 5' 11".
_FEET = re.compile(
    rf"(?P<about>\b(?:{_ABOUT})\s+)?(?P<feet>{NUMBER})[-\s]*(?:feet|foot|ft\.?|['’′])\s*"
    rf"(?:and\s+)?(?P<inches>{NUMBER})(?:[-\s]*(?:inch(?:es)?|in\.|[\"″”]))?",
    re.IGNORECASE,
)
_COUNTED = re.compile(
    rf"(?:{_HOW})?(?P<about>\b(?:{_ABOUT})\s+)?(?:(?P<exactly>exactly|only|just)\s+)?"
    rf"(?:between\s+)?(?P<a>\d{{1,3}}|\b{_WHOLE}|\ba\s+single|\ba\s+couple\s+of|\bno)"
    rf"(?:(?P<join>\s*(?:to|or|and|-|–)\s*)(?P<b>\d{{1,3}}|{_WHOLE}))?"
    r"\s+(?:(?:separate|distinct|different|individual|blunt|force|blunt-force|heavy|hard)\s+)*"
    r"(?P<noun>impacts?|blows?|strikes?|hits?|marks?)\b",
    re.IGNORECASE,
)
_NOUNS = (
    r"side|sided|arm|forearm|wrist|hand|palm|fingers?|thumb|leg|thigh|knee|shin|calf|ankle|foot|"
    r"heel|toes?|eye|eyebrow|eyelid|brow|ear|cheek|temple|forehead|face|scalp|jaw|neck|nostril|"
    r"chest|breast|flank|abdomen|belly|shoulder|armpit|elbow|hip|buttock|groin|ribs?|lung|kidney|"
    r"pleura|hemothorax|collarbone|clavicle|scapula|parietal|temporal|frontal|occipital|half|wall"
)
_SIDE = re.compile(
    # The hand of whoever speaks, or is spoken to, is not what the passage is about.
    r"\b(?<!\bmy\s)(?<!\byour\s)(left|right)(?:-hand)?[-\s]+"
    r"(?:(?:lateral|medial|anterior|posterior|upper|lower|mid|middle|inner|outer|front|rear|back|"
    rf"chest|rib|first|second|third|fourth|fifth|sixth|seventh|eighth|ninth|tenth|eleventh|twelfth)"
    rf"\s+){{0,2}}(?:{_NOUNS})\b|\b(left|right)\s+of\s+the\s+(?:\w+\s+)?midline\b",
    re.IGNORECASE,
)
_CLOCK = re.compile(
    rf"(?P<about>\b(?:{_ABOUT})\s+)?(?:an?\s+)?(?:"
    r"(?P<part>half(?!\s+of)|quarter)\s+(?P<way>past|after|to|before|of)\s+(?P<of>\d{1,2}|[a-z]+)"
    r"|(?P<hour>\d{1,2}):(?P<minute>[0-5]\d)"
    r"|(?P<alone>\d{1,2}|[a-z]+)(?=\s*(?:o['’]clock|[ap]\.?\s?m\b))"
    r"|\b(?P<named>noon|midnight)\b)"
    r"(?:\s*o['’]clock)?(?:\s*(?P<half>[ap])\.?\s?m\b\.?|\s+(?:in\s+the\s+)?(?P<day>morning|"
    r"evening|afternoon))?",
    re.IGNORECASE,
)
# A figure of which more stands before or after it: "ten past two o'clock", "twelve stone 8 pounds",
# "one meter eighty". What it is as a whole is not read, and a part of it would be read wrong.
_BEGUN = rf"(?:\b(?:{_ONE}|{_TEN}|hundred|thousand|oh|stone)|\d)[\s-]+$|\d,$"
_SIZE_BEGUN = re.compile(_BEGUN, re.IGNORECASE)
_CLOCK_BEGUN = re.compile(
    rf"{_BEGUN}|\b(?:\w+|minutes?)\s+(?:past|after|to|before|of|till)\s+$", re.IGNORECASE
)
_SIZE_GOES_ON = re.compile(rf"\s+(?:{_TEN})\b", re.IGNORECASE)
_ABOUT_PART = Decimal("0.05")
ABOUT_MINUTES = 15


@dataclass(frozen=True)
class Said:
    """One quantity: its words, where they stand, and what they cover; None has no end there."""

    words: str
    at: int
    end: int
    low: Decimal | None
    high: Decimal | None
    about: bool = False
    bounded: bool = False

    def covers(self, value: Decimal) -> bool:
        """Tell whether a value lies in what the words cover, ends included."""
        above = self.low is None or value >= self.low
        return above and (self.high is None or value <= self.high)


@dataclass(frozen=True)
class Size(Said):
    """A length in cm or a weight in kg; `partner` is the other one of "ten by six"."""

    is_weight: bool = False
    partner: Size | None = None
    spoken_in: str = ""


@dataclass(frozen=True)
class Count(Said):
    """A number of impacts or marks."""

    noun: str = ""


@dataclass(frozen=True)
class Clock:
    """A time of the day in minutes after midnight; without its half of the day it may be two."""

    words: str
    at: int
    end: int
    minutes: tuple[int, ...]
    about: bool = False

    def covers(self, minute: int) -> bool:
        """Tell whether a time of the day is meant."""
        within = ABOUT_MINUTES if self.about else 0
        apart = (abs(minute - one) for one in self.minutes)
        return any(min(each, 24 * 60 - each) <= within for each in apart)


def number_of(words: str) -> tuple[Fraction, Fraction]:
    """Return a number and the step in which it was said: (4 1/2, 1/2) for "four and a half"."""
    words = " ".join(words.lower().replace("-", " ").split())
    if re.fullmatch(r"[\d./ and]+", words) and re.search(r"\d", words):
        return _of_digits(words.replace("and", " "))
    whole, _, rest = words.partition(" point ")
    if rest:
        digits = "".join(str(_ONES[one]) for one in rest.split())
        return Fraction(f"{int(_whole(whole))}.{digits}"), Fraction(1, 10 ** len(digits))
    tokens = words.split()
    if tokens[-1] in _PARTS:
        part = _PARTS[tokens[-1]]
        before = tokens[:-1]
        many = 1
        if before and (before[-1] in {"a", "an"} or before[-1] in _ONES):
            many = _ONES.get(before.pop(), 1)
        if before and before[-1] == "and":
            before.pop()
        return (_whole(" ".join(before)) if before else Fraction(0)) + many * part, part
    return _whole(words), Fraction(1)


def _of_digits(words: str) -> tuple[Fraction, Fraction]:
    total, step = Fraction(0), Fraction(1)
    for token in words.split():
        total += Fraction(token)
        if "/" in token:
            step = Fraction(1, Fraction(token).denominator)
        elif "." in token:
            step = Fraction(1, 10 ** len(token.partition(".")[2]))
    return total, step


def _whole(words: str) -> Fraction:
    total = 0
    for word in words.split():
        if word == "hundred":
            total = max(total, 1) * 100
        elif word not in {"a", "an", "and"}:
            total += int(word) if word.isdigit() else _ONES.get(word) or _TENS.get(word, 0)
    return Fraction(total)


def sizes_in(text: str) -> list[Size]:
    """Return the lengths and weights that a text says, in its order."""
    heights = [_height(found) for found in _FEET.finditer(text)]
    # Blanked, so that the feet and the inches of a height are not read once more alone.
    rest = _FEET.sub(lambda found: " " * len(found[0]), text)
    read = (found for found in _LENGTH.finditer(rest) if not _is_part(rest, found))
    sizes = [size for found in read for size in _sizes(found)]
    return sorted([*heights, *sizes], key=lambda size: size.at)


def _is_part(text: str, found: re.Match[str]) -> bool:
    before = _SIZE_BEGUN.search(text, 0, found.start())
    return before is not None or _SIZE_GOES_ON.match(text, found.end()) is not None


def _height(found: re.Match[str]) -> Size:
    feet, _ = number_of(found["feet"])
    inches, step = number_of(found["inches"])
    total, about = (12 * feet + inches, step), bool(found["about"])
    low, high = (_edge(total, about, way) * _UNITS["inch"] for way in (-1, 1))
    words = " ".join(found[0].split())
    return Size(words, found.start(), found.end(), low, high, about, spoken_in="foot")


def _sizes(found: re.Match[str]) -> Iterator[Size]:
    unit = next(name for name in _UNITS if found[name])
    own = _unit_of(found["own"]) if found["own"] else unit
    join = (found["join"] or "").strip().lower()
    about = bool(found["about"] or found["so"])
    words = " ".join(found[0].split())
    first = number_of(found["a"])
    second = number_of(found["b"]) if found["b"] else first
    if join in {"by", "x", "×"}:
        other = _size(found, unit, (second, second), about, words)
        yield replace(_size(found, own, (first, first), about, words), partner=other)
    elif own != unit or (join == "and" and not re.search(r"\bbetween\s", found[0], re.IGNORECASE)):
        yield _size(found, own, (first, first), about, words)
        yield _size(found, unit, (second, second), about, words)
    else:
        yield _size(found, unit, (min(first, second), max(first, second)), about, words)


def _unit_of(spelled: str) -> str:
    return next(name for name, one in _SPELLED.items() if re.fullmatch(one, spelled, re.IGNORECASE))


def _size(
    found: re.Match[str],
    unit: str,
    ends: tuple[tuple[Fraction, Fraction], tuple[Fraction, Fraction]],
    about: bool,
    words: str,
) -> Size:
    factor = _UNITS[unit]
    low, high = _edge(ends[0], about, -1) * factor, _edge(ends[1], about, 1) * factor
    least, most = _bounds(found, low, high, _plain(ends[0][0]) * factor)
    return Size(
        words,
        found.start(),
        found.end(),
        least,
        most,
        about,
        bounded=_is_bounded(found),
        is_weight=unit in WEIGHTS,
        spoken_in=unit,
    )


def _plain(value: Fraction) -> Decimal:
    return Decimal(value.numerator) / Decimal(value.denominator)


def _edge(number: tuple[Fraction, Fraction], about: bool, way: int) -> Decimal:
    value, step = _plain(number[0]), _plain(number[1]) / 2
    wide = max(step, value * _ABOUT_PART) if about else step
    return max(Decimal(0), value + way * wide)


def _is_bounded(found: re.Match[str]) -> bool:
    return any(found[name] for name in ("least", "most", "more", "less"))


def _bounds(
    found: re.Match[str], low: Decimal, high: Decimal, value: Decimal
) -> tuple[Decimal | None, Decimal | None]:
    if found["least"]:
        return low, None
    if found["more"]:
        return value, None
    if found["most"]:
        return None, high
    if found["less"]:
        return None, value
    return low, high


def counts_in(text: str) -> list[Count]:
    """Return the numbers of impacts and marks that a text says."""
    return [_count(found) for found in _COUNTED.finditer(text)]


def _count(found: re.Match[str]) -> Count:
    a = _counted(found["a"])
    b = _counted(found["b"]) if found["b"] else a
    low: Decimal | None = Decimal(min(a, b))
    high: Decimal | None = Decimal(max(a, b))
    if found["least"]:
        high = None
    elif found["more"]:
        low, high = Decimal(a + 1), None
    elif found["most"]:
        low = None
    elif found["less"]:
        low, high = None, Decimal(a - 1)
    return Count(
        " ".join(found[0].split()), found.start(), found.end(), low, high,
        bool(found["about"]), bounded=_is_bounded(found),
        noun="mark" if found["noun"].lower().startswith("mark") else "impact",
    )  # fmt: skip


def _counted(words: str) -> int:
    tidy = " ".join(words.lower().split())
    special = {"no": 0, "a single": 1, "a couple of": 2}
    if tidy in special:
        return special[tidy]
    return int(number_of(tidy)[0])


def sides_in(text: str) -> list[tuple[int, str, str]]:
    """Return where a text names a side of the body, the side, and its words.

    "All right", "right away" and "left the house" name none.
    """
    return [
        (found.start(), (found[1] or found[2]).lower(), " ".join(found[0].split()))
        for found in _SIDE.finditer(text)
    ]


def clocks_in(text: str) -> list[Clock]:
    """Return the times of the day that a text says."""
    read = (
        _clock(found)
        for found in _CLOCK.finditer(text)
        if not _CLOCK_BEGUN.search(text, 0, found.start())
    )
    return [clock for clock in read if clock is not None]


def _clock(found: re.Match[str]) -> Clock | None:
    minutes = _minutes(found)
    if minutes is None:
        return None
    day = (found["half"] or {"morning": "a", "evening": "p", "afternoon": "p"}.get(
        (found["day"] or "").lower(), "")).lower()  # fmt: skip
    named = found["named"] is not None
    if named or minutes >= 13 * 60 or (found["hour"] or "").startswith("0"):
        both: tuple[int, ...] = (minutes,)
    else:
        early = minutes % (12 * 60)
        both = {"a": (early,), "p": (early + 12 * 60,)}.get(day, (early, early + 12 * 60))
    return Clock(" ".join(found[0].split()), found.start(), found.end(), both, bool(found["about"]))


def _minutes(found: re.Match[str]) -> int | None:
    if found["named"]:
        return 12 * 60 if found["named"].lower() == "noon" else 0
    if found["hour"]:
        hour = int(found["hour"])
        return hour * 60 + int(found["minute"]) if hour < 24 else None
    hour_words = found["of"] or found["alone"]
    hour = int(hour_words) if hour_words.isdigit() else _ONES.get(hour_words.lower(), 0)
    if not 1 <= hour <= 12:
        return None
    if not found["part"]:
        return hour * 60
    apart = 30 if found["part"].lower() == "half" else 15
    before = found["way"].lower() in {"to", "before", "of"}
    return (hour * 60 + (-apart if before else apart)) % (24 * 60)

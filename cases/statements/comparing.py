"""Where the words of a passage and the record give different figures. No database, no clock.

It points out and judges nothing: neither side is called right. Silent where it cannot tell what a
figure is of: a blade's length, a distance from the ear, a side of the room.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

from cases.statements.quantities import Clock, Count, Size, clocks_in, counts_in, sides_in, sizes_in
from findings.rules import CountKind

LENGTH, WIDTH, DEPTH = "length", "width", "depth"
ABOVE_HEEL, BELOW_TOP = "height above the heel", "distance below the top of the head"
FROM_MIDLINE = "distance from the midline"
SIZES = (LENGTH, WIDTH, DEPTH)

_AFTER = (
    (LENGTH, r"(?:long|in\s+length)\b"),
    (WIDTH, r"(?:wide|broad|in\s+width)\b"),
    (DEPTH, r"(?:deep|in\s+depth)\b"),
    (ABOVE_HEEL, r"(?:up|above)\s+(?:from\s+)?the\s+(?:left\s+|right\s+)?(?:heel|sole)s?\b"),
    (BELOW_TOP, r"(?:down|below)\s+(?:from\s+)?the\s+(?:top|crown|vertex)\b"),
    (
        FROM_MIDLINE,
        r"(?:to\s+the\s+)?(?:left\s+|right\s+)?(?:of|from|off)\s+the\s+(?:\w+\s+)?midline\b",
    ),
)
_ELSEWHERE = re.compile(
    r"[\s-]*(?:away|from|below|above|behind|beneath|apart|lower|higher|deeper|off|inside|into|of|"
    r"knife|blade|ladder|fall|drop|rung|step|pipe|board|bat|hammer|tall|high|thick|round|scale|"
    r"ruler)\b",
    re.IGNORECASE,
)
_BEFORE = re.compile(r"\b(length|width|depth)\s+(?:was|is|of|as|being|at)?[\s:]*$", re.IGNORECASE)
_SPEAKER = re.compile(
    r"^\s*(?:(?P<q>Q|MR\.?|MS\.?|MRS\.?|BY\s+M[RS]S?\.?|THE\s+COURT|QUESTION)|"
    r"(?P<a>A|THE\s+WITNESS|ANSWER))\b[^a-z\n]{0,40}?[.:\s]",
    re.MULTILINE,
)
# What has a length of its own, or is no skin: named before a figure in the same clause, it may be
# what the figure is of.
_OF_ANOTHER_THING = re.compile(
    r"\b(?:knife|blade|ladder|rungs?|steps?|pipe|board|bat|hammer|scale|ruler|stick|rod|camera|"
    r"photograph|picture|taken\s+(?:from|at)|beneath|underlying)\b"
    r"(?!\s+(?:wounds?|marks?|injur(?:y|ies)|shows?|of))",
    re.IGNORECASE,
)
_DENIED = re.compile(
    r"(?:\b(?:not|cannot|never|neither|nor|without|whether)|n['’]t)\b", re.IGNORECASE
)
# No mark on a body is measured in these; what is so long is something else.
_TOO_COARSE = frozenset({"foot", "meter"})


@dataclass(frozen=True)
class Recorded:
    """What the record holds to compare with; lengths in cm, a weight in kg, a time in minutes.

    `impacts_kind` is empty where no number of impacts is recorded; `marks` are a pattern's lowest
    and highest count. `of_topic` says that it is one figure of the case rather than a finding.
    """

    sizes: Mapping[str, Decimal] = field(default_factory=dict)
    impacts_kind: str = ""
    impacts: int | None = None
    marks: tuple[int, int | None] | None = None
    sides: frozenset[str] = frozenset()
    of_topic: bool = False
    weight: Decimal | None = None
    minutes: int | None = None
    minutes_about: bool = False
    words: str = ""


@dataclass(frozen=True)
class Difference:
    """What was said and what is recorded, side by side."""

    about: str
    said: str
    recorded: str
    in_question: bool = False

    @property
    def words(self) -> str:
        """Both in two sentences."""
        lead = "In a question" if self.in_question else "Said"
        return f"{lead}: {self.said}. In the record: {self.recorded}."


def differences(words: str, recorded: Recorded) -> list[Difference]:
    """Return where a passage and the record give different figures, in the passage's order."""
    found: list[tuple[int, Difference]] = []
    if recorded.of_topic:
        found += _of_topic(words, recorded)
    else:
        found += _sizes(words, recorded)
        found += _counts(words, recorded)
        found += _sides(words, recorded)
    return [one for _, one in sorted(found, key=lambda pair: pair[0])]


def in_question(words: str, at: int) -> bool:
    """Tell whether a place of a passage stands in what somebody asked."""
    marks = [mark for mark in _SPEAKER.finditer(words) if mark.start() <= at]
    return bool(marks) and marks[-1]["q"] is not None


def _clause(words: str, at: int) -> str:
    """What stands before a figure in its own clause."""
    return re.split(r"[.;?!:\n]|,\s+(?:but|it)\b|\bbut\b", words[:at])[-1]


def _is_denied(words: str, at: int) -> bool:
    return _DENIED.search(_clause(words, at)) is not None


def _of(words: str, at: int, about: str, said: str, recorded: str) -> tuple[int, Difference]:
    return at, Difference(about, said, recorded, in_question(words, at))


def _sizes(words: str, recorded: Recorded) -> Iterator[tuple[int, Difference]]:
    for size in sizes_in(words):
        which = _which(words, size)
        if size.is_weight or _is_denied(words, size.at):
            continue
        if _OF_ANOTHER_THING.search(_clause(words, size.at)):
            continue
        if not which and _is_of_another_thing(words, size):
            continue
        if which:
            value = recorded.sizes.get(which)
            if value is None:
                yield _of(words, size.at, which, _quoted(size), f"no {which}")
            elif not size.covers(value):
                yield _of(words, size.at, which, _quoted(size), f"{which} {_cm(value)}")
        elif not any(name in recorded.sizes for name in SIZES):
            yield _of(words, size.at, "size", _quoted(size), "no size")
        elif not _fits(size, recorded.sizes):
            yield _of(words, size.at, "size", _quoted(size), _size_words(recorded.sizes))


def _fits(size: Size, sizes: Mapping[str, Decimal]) -> bool:
    if size.partner is None:
        return any(size.covers(value) for value in sizes.values())
    long, wide = sizes.get(LENGTH), sizes.get(WIDTH)
    if long is None or wide is None:
        return False
    as_said = size.covers(long) and size.partner.covers(wide)
    return as_said or (size.covers(wide) and size.partner.covers(long))


def _which(words: str, size: Size) -> str:
    """Name what a size is said to be of, from the words next to it; empty where they don't."""
    after = words[size.end :]
    for which, pattern in _AFTER:
        if size.partner is None and re.match(rf"[\s-]*{pattern}", after, re.IGNORECASE):
            return which
    before = _BEFORE.search(words[: size.at])
    return before[1].lower() if before and size.partner is None else ""


def _is_of_another_thing(words: str, size: Size) -> bool:
    return size.spoken_in in _TOO_COARSE or bool(_ELSEWHERE.match(words, size.end))


def _size_words(sizes: Mapping[str, Decimal]) -> str:
    return ", ".join(f"{name} {_cm(sizes[name])}" for name in SIZES if name in sizes)


def _cm(value: Decimal) -> str:
    return f"{_short(value)} cm"


def _short(value: Decimal) -> str:
    tenths, hundredths = value.quantize(Decimal("0.1")), value.quantize(Decimal("0.01"))
    return f"{tenths if tenths == hundredths else hundredths}"


def _quoted(size: Size, unit: str = "cm") -> str:
    said = f"“{size.words}”"
    own = {"cm": "centimeter", "kg": "kilogram"}[unit]
    if size.bounded or (size.spoken_in == own and not size.about):
        return said
    sizes = [size] if size.partner is None else [size, size.partner]
    covered = [
        f"{_short(one.low or Decimal(0))} to {_short(one.high or Decimal(0))}" for one in sizes
    ]
    return f"{said} (read as {' by '.join(covered)} {unit})"


def _counts(words: str, recorded: Recorded) -> Iterator[tuple[int, Difference]]:
    for count in counts_in(words):
        if count.noun == "mark":
            told = _marks_differ(count, recorded.marks)
        else:
            told = _impacts_differ(count, recorded)
        if told and not _is_denied(words, count.at):
            about = "number of marks" if count.noun == "mark" else "number of impacts"
            yield _of(words, count.at, about, f"“{count.words}”", told)


def _marks_differ(count: Count, marks: tuple[int, int | None] | None) -> str:
    if marks is None:
        return ""
    low, high = marks
    apart = (count.high is not None and count.high < low) or (
        high is not None and count.low is not None and count.low > high
    )
    return f"{_range_words(low, high)} separate marks" if apart else ""


def _range_words(low: int, high: int | None) -> str:
    if high is None:
        return f"at least {low}"
    return f"{low}" if low == high else f"{low} to {high}"


def _impacts_differ(count: Count, recorded: Recorded) -> str:
    kind, number = recorded.impacts_kind, recorded.impacts
    if kind == CountKind.CANNOT_SAY:
        return "the number of impacts cannot be determined"
    if not kind or number is None:
        return "no number of impacts"
    if kind == CountKind.EXACTLY:
        return "" if count.covers(Decimal(number)) else f"exactly {number}"
    if count.high is None and count.low == number:
        return ""
    return f"at least {number}"


def _sides(words: str, recorded: Recorded) -> Iterator[tuple[int, Difference]]:
    said = sides_in(words)
    named = {side for _, side, _ in said}
    if len(named) == 1 and len(recorded.sides) == 1 and named != recorded.sides:
        at, _, quoted = said[0]
        if _is_denied(words, at):
            return
        yield _of(words, at, "side", f"“{quoted}”", next(iter(recorded.sides)))


def _of_topic(words: str, recorded: Recorded) -> Iterator[tuple[int, Difference]]:
    if recorded.minutes is not None:
        clocks = [
            replace(one, about=one.about or recorded.minutes_about) for one in clocks_in(words)
        ]
        yield from _unless_said(words, recorded, "time", clocks, recorded.minutes)
    if recorded.weight is not None:
        weights = [one for one in sizes_in(words) if one.is_weight]
        yield from _unless_said(words, recorded, "weight", weights, recorded.weight)
    for value in recorded.sizes.values():
        lengths = [one for one in sizes_in(words) if not one.is_weight]
        yield from _unless_said(words, recorded, "length", lengths, value)


def _unless_said(
    words: str, recorded: Recorded, about: str, said: Sequence[Clock | Size], value: Decimal | int
) -> Iterator[tuple[int, Difference]]:
    """Yield the first figure of a kind where none of them is the recorded one."""
    if not said or any(_covers(one, value) for one in said):
        return
    first = said[0]
    quoted = f"“{first.words}”"
    if isinstance(first, Size):
        quoted = _quoted(first, "kg" if first.is_weight else "cm")
    yield _of(words, first.at, about, quoted, recorded.words)


def _covers(one: Clock | Size, value: Decimal | int) -> bool:
    if isinstance(one, Clock):
        return one.covers(int(value))
    return one.covers(Decimal(value))

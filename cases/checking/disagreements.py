"""Where two places of the record about a picture do not say the same. No database, no clock.

Nothing is judged: each rule gives a sentence that names both places, or nothing. What can be read
in more than one way is no disagreement: a side that is denied, that belongs to the picture or to a
scale, both sides, the midline.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Final

from cases.checking.places import names_whole_body, skin_named, skin_of
from findings.questions.sites import Sites
from findings.words.sentences import begin_small, small_cm


class Kind(StrEnum):
    """What does not agree."""

    CAPTION_SIDE = "caption and side"
    CAPTION_PLACE = "caption and place"
    CAPTION_SIZE = "caption and size"
    LOG_SIDE = "photograph log and side"
    SIZES = "size by hand and on the photograph"
    NOT_MEASURED = "no size, though it was measured"
    REPORT = "report and record"


@dataclass(frozen=True)
class Told:
    """A finding as it is compared: `side` is left, right or empty, sizes are in mm.

    `measured_by` is ruler, photograph, estimate or empty. `place` is
    where it is in words, which may reach beyond its mark; `words` is what was written of it.
    """

    number: int
    term: str
    side: str = ""
    bases: Collection[str] = ()
    sizes_mm: Sequence[float] = ()
    length_mm: float | None = None
    width_mm: float | None = None
    measured_by: str = ""
    place: str = ""
    words: str = ""

    @property
    def named(self) -> str:
        """How it is named in a sentence."""
        return f"finding {self.number} ({begin_small(self.term)})"


@dataclass(frozen=True)
class MeasuredLength:
    """A length on a photograph with its limits, all in mm; `gives` is length, width or empty."""

    finding: int
    photograph: int
    number: int
    value_mm: float
    low_mm: float | None
    high_mm: float | None
    words: str
    gives: str = ""
    note: str = ""


@dataclass(frozen=True)
class Differs:
    """One disagreement; `finding`, `photograph` and `measurement` say what it is about."""

    kind: Kind
    words: str
    finding: int | None = None
    photograph: int | None = None
    measurement: int | None = None
    others: Sequence[int] = field(default=())


# Whose hand may be in a picture beside the decedent's.
_HELPER: Final = (
    r"(?:examiner|assistant|photographer|technician|pathologist|investigator|officer|helper)"
)
# What "left" and "right" mean beside a side of the body.
_OTHER_SENSES: Final = re.compile(
    r"\b(?:right|left)[- ]?angl\w+"
    r"|\b(?:right|left)[- ]?hand(?:ed(?:ness)?)\b"
    r"|\b(?:right|left)[- ]hand (?:side|edge|corner|border|part|half) of (?:the )?"
    r"(?:picture|photograph|image|frame|scale|ruler)"
    r"|\b(?:lower|upper|bottom|top|far) (?:left|right)(?= (?:corner|edge|of (?:the )?(?:picture"
    r"|photograph|image|frame))|[.,;]|$)"
    r"|\b(?:left|right) (?:corner|edge|border|half|part|margin|side|third|quarter) of (?:the )?"
    r"(?:picture|photograph|image|frame|scale|ruler|label|card)"
    r"|\b(?:to|on|at|in) the (?:left|right)(?: side)?(?= ?(?:of (?:the )?(?:picture|photograph"
    r"|image|frame|scale|ruler|label|card)|[.,;)]|$))"
    r"|\b(?:left|right) of (?:the |a )?(?:picture|photograph|image|frame|scale|ruler|label|card)"
    r"|\bfrom (?:left to right|right to left)\b|\b(?:left|right)[- ]to[- ](?:left|right)\b"
    r"|\bleft (?:in (?:place|situ|position)|behind|open|over|on|out|untouched|as|by|after|undone"
    r"|uncovered|unwashed|attached|there)\b"
    r"|\b(?:was|were|is|are|been|being|be|has|have|had) left\b"
    r"|\bright (?:away|after|before|at|where|beside|next|above|below|beneath|under|over|through"
    r"|behind|here|there|now|side up|way)\b"
    r"|\b(?:left|right)(?: (?:lateral|anterior|posterior|oblique)){0,2}"
    r" (?:view|projection|profile|decubitus|recumben\w+|position)\b"
    r"|\b(?:seen|viewed|taken|photographed|view|looking) from (?:the |his |her )?(?:left|right)\b"
    r"|\b(?:lying|lies|turned|placed|laid|rolled)(?: \w+)? (?:on|onto|to) (?:the |his |her |its )?"
    r"(?:left|right)(?: side)?\b"
    r"|\b(?:left|right) (?:\w+ )?(?:raised|lifted|abducted|held|moved)\b"
    r"|\b(?:left|right) (?:sleeve|glove|shoe|sock|trouser\w*|pocket|cuff)\b"
    r"|\b(?:his|her|their|the) right to\b|\ball right\b"
    r"|\bat (?:left|right)(?= ?(?:[.,;)]|$))"
    r"|\b(?:turned|rotated|tilted|facing|faces|pointing|points|bent) (?:left|right)\b"
    r"|\b(?:scale|ruler|card|label|marker|arrow)s?(?: (?:is|are|lies|placed))?"
    r"(?: (?:on|at|to|in))?(?: the| its)? (?:left|right)(?= ?(?:[.,;)]|$|and\b|points?\b))"
    r"|\b(?:left|right)(?:-hand)? (?:arrow|marker|scale|ruler|label|card|picture|photograph"
    r"|image|panel|inset)s?\b"
    r"|\b(?:nothing|little|none|much|anything|all|what) (?:is |was )?left\b"
    rf"|\b{_HELPER}(?:'s|’s|s['’]) (?:own |gloved )*(?:left|right)\b"
    rf"|\b(?:left|right) (?:\w+ )?(?:hand|finger|thumb|arm|glove)s? of (?:the |an? )?{_HELPER}\b",
    re.IGNORECASE,
)
_DENIED: Final = re.compile(
    r"\b(?:no|not|none|nor|neither|without|free of|absent|uninjured|unremarkable|compar\w+|opposite"
    r"|contralateral|other side|unlike|instead of|rather than|except)\b",
    re.IGNORECASE,
)
_BOTH: Final = re.compile(r"\b(?:bilateral\w*|both|each side|either side|midline)\b", re.IGNORECASE)
_SIDE: Final = re.compile(r"\b(left|right)\b", re.IGNORECASE)


def side_said(words: str) -> str:
    """The one side of the body that words name; empty for none, for both, and where it is open."""
    if _BOTH.search(words):
        return ""
    said = {side.lower() for clause in _clauses(words) for side in _SIDE.findall(clause)}
    return said.pop() if len(said) == 1 else ""


def _clauses(words: str) -> list[str]:
    """The parts of a text that state something, without other senses of left and right."""
    plain = _OTHER_SENSES.sub(" ", words)
    return [part for part in re.split(r"[.;,()]|\bbut\b", plain) if not _DENIED.search(part)]


def caption_side(caption: str, findings: Sequence[Told]) -> list[Differs]:
    """Compare the side in a caption with that of what is seen in the picture."""
    return _side(caption, findings, Kind.CAPTION_SIDE, "The caption")


def log_side(words: str, findings: Sequence[Told], photograph: int) -> list[Differs]:
    """Compare the side in the photograph log's words with that of what the picture shows."""
    said = _side(words, findings, Kind.LOG_SIDE, f"The log of photograph {photograph}")
    return [Differs(one.kind, one.words, one.finding, photograph, None, one.others) for one in said]


def _side(words: str, findings: Sequence[Told], kind: Kind, where: str) -> list[Differs]:
    side = side_said(words)
    sided = [one for one in findings if one.side]
    if not side or not sided or any(one.side == side for one in sided):
        return []
    # A finding whose side is open may be the one that is meant.
    if len(sided) < len(findings):
        return []
    other = sided[0].side
    numbers = [one.number for one in sided]
    words = f"{where} says {side}; {_listed(sided)} {_are(sided)} recorded on the {other}."
    return [Differs(kind, words, numbers[0], others=numbers)]


def caption_place(caption: str, findings: Sequence[Told]) -> list[Differs]:
    """Compare the parts of the body that a caption names with where its findings are marked."""
    if names_whole_body(caption):
        return []
    named = frozenset[str]().union(*(skin_named(part) for part in _clauses(caption)))
    placed = [one for one in findings if one.bases]
    if not named or not placed or len(placed) < len(findings):
        return []
    if any(_fits(named, one) for one in placed):
        return []
    numbers = [one.number for one in placed]
    parts = ", ".join(sorted(named))
    words = (
        f"The caption names another part of the body ({parts}) than that on which "
        f"{_listed(placed)} {_are(placed)} marked."
    )
    return [Differs(Kind.CAPTION_PLACE, words, numbers[0], others=numbers)]


def _fits(named: Sites, one: Told) -> bool:
    own = skin_of(one.bases)
    if own and one.place:
        own |= skin_named(one.place)
    return not own or bool(named & own)


# A ruler is read to the millimeter.
RULER_MM: Final = 0.5
_UNITS: Final = {"cm": 10.0, "mm": 1.0, "in": 25.4, "inch": 25.4, "inches": 25.4}
_NUMBER: Final = r"\d{1,4}(?:\.\d{1,2})?"
_SIZE: Final = re.compile(
    rf"(?P<about>\b(?:about|approximately|approx\.?|nearly|some|circa|roughly) )?"
    rf"(?:(?P<low>(?<![\d.,/]){_NUMBER}) ?(?:to|-|–) ?)?(?<![\d.,/])(?P<first>{_NUMBER})"
    rf"(?: ?(?:cm|mm|in|inch|inches)\b)?(?: ?(?:×|x|by) ?(?P<second>{_NUMBER}))?"
    r"[ -]?(?P<unit>cm|mm|inches|inch|in)\b"
    r"(?P<after>[^.;,()]{0,24})",
    re.IGNORECASE,
)
# A length of something else: of a scale, a position on the body, a distance.
_NOT_OF_IT: Final = re.compile(
    r"^\W*(?:scale|ruler|card|label|marker|bar|grid|tape|above|below|from|left|right|to the|apart"
    r"|distal|proximal|lateral|medial|away|between|lens|macro|f/|blade|knife|up|closer"
    r"|of the (?:midline|heel|vertex))",
    re.IGNORECASE,
)
_BEFORE_SCALE: Final = re.compile(
    r"\b(?:scale|ruler|card|marker|blade|knife|macro|lens|focal length|distance)"
    r"\W*(?:of|:|is|,)?\W*$|\b(?:from|at|below|above|beneath|photographed)\W*$"
    # A bound, which the size may well keep to.
    r"|\b(?:over|more than|at least|less than|under|up to|at most|exceeding)\W*$",
    re.I,
)
# What follows inches; before anything else "in" is a word: 3 in all, photograph 2 in close-up.
_AFTER_INCHES: Final = re.compile(
    r"\W*(?:$|[×x/]|(?:by|long|wide|deep|high|thick|across|and|or|to|in (?:length|width|depth"
    r"|diameter)|bruise|contusion|abrasion|laceration|wound|stab|cut|incis\w+|scar|defect|area"
    r"|round|oval|linear|curved|scale|ruler|bar|card|above|below|from|left|right|apart)\b)",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class SaidSize:
    """A size that a caption gives: each number in mm, with half of its last digit."""

    words: str
    sizes: tuple[tuple[float, float], ...]


def sizes_said(caption: str) -> list[SaidSize]:
    """The sizes that words give of what is seen; those of scales and positions are left out."""
    found = []
    for match in _SIZE.finditer(caption):
        if _NOT_OF_IT.search(match["after"]) or _BEFORE_SCALE.search(caption[: match.start()]):
            continue
        if match["unit"].lower() == "in" and not _AFTER_INCHES.match(match["after"]):
            continue
        unit = _UNITS[match["unit"].lower()]
        about = bool(match["about"])
        sizes = tuple(
            (float(number) * unit, _half(number, unit, about=about))
            for number in (match["first"], match["second"])
            if number
        )
        if match["low"]:
            # From one number to another: anything between fits.
            low, (high, half) = float(match["low"]) * unit, sizes[0]
            sizes = (((low + high) / 2, abs(high - low) / 2 + half), *sizes[1:])
        words = match.group(0)[: len(match.group(0)) - len(match["after"])].strip()
        found.append(SaidSize(words, sizes))
    return found


def _half(number: str, unit: float, *, about: bool) -> float:
    """By how much a number may be off as it is written; "about" allows a tenth of it."""
    digits = len(number.partition(".")[2])
    half: float = 0.5 * unit / 10**digits
    # What was read in millimeters and said in inches was rounded twice.
    half += RULER_MM if unit == _UNITS["in"] else 0
    return max(half, float(number) * unit * 0.1) if about else half


def caption_size(
    caption: str, findings: Sequence[Told], lengths: Sequence[MeasuredLength] = ()
) -> list[Differs]:
    """Compare the sizes in a caption with those of what is seen, by hand and on photographs.

    Silent where any finding of the picture, or any measurement of one, fits.
    """
    known = [size for one in findings for size in one.sizes_mm]
    if not findings or not (known or lengths):
        return []
    found = []
    for said in sizes_said(caption):
        if all(_is_known(size, half, known, lengths) for size, half in said.sizes):
            continue
        sized = [one for one in findings if one.sizes_mm]
        parts = [f"{one.named} is recorded as {_cm(one.sizes_mm)}" for one in sized]
        parts += [f"measurement {one.number} on photograph {one.photograph} gives {one.words}"
                  for one in lengths if not one.gives]  # fmt: skip
        words = f"The caption gives {said.words}; {' and '.join(parts)}."
        found.append(Differs(Kind.CAPTION_SIZE, words, findings[0].number))
    return found


def _is_known(
    size: float, half: float, known: Iterable[float], lengths: Iterable[MeasuredLength]
) -> bool:
    # Written sizes are rounded: one that lies on the edge of the rounding fits.
    if any(abs(size - each) <= half + 1e-9 for each in known):
        return True
    return any(
        one.low_mm - half - 1e-9 <= size <= one.high_mm + half + 1e-9
        if one.low_mm is not None and one.high_mm is not None
        else abs(size - one.value_mm) <= half + 1e-9
        for one in lengths
    )


def sizes_apart(finding: Told, lengths: Iterable[MeasuredLength]) -> list[Differs]:
    """Compare the size by ruler or estimate with the intervals of its measurements.

    A measurement that was put into the finding's length or width is compared with that one; another
    one speaks only where it fits neither. Without an interval nothing can be compared.
    """
    if finding.measured_by not in ("ruler", "estimate"):
        return []
    found = []
    sizes = {"length": finding.length_mm, "width": finding.width_mm}
    for one in lengths:
        if one.low_mm is None or one.high_mm is None:
            continue
        compared = [
            size
            for dimension, size in sizes.items()
            if size is not None and one.gives in ("", dimension)
        ]
        if not compared or any(
            one.low_mm - RULER_MM <= size <= one.high_mm + RULER_MM for size in compared
        ):
            continue
        what = f"a {one.gives}" if one.gives else "a length or width"
        how = "by ruler" if finding.measured_by == "ruler" else "by estimate"
        words = (
            f"F{finding.named[1:]} has {what} of {_cm(compared)} {how}; on photograph "
            f"{one.photograph} it was measured as {one.words}."
        )
        found.append(Differs(Kind.SIZES, words, finding.number, one.photograph, one.number))
    return found


_SAYS_UNMEASURED: Final = re.compile(r"\b(?:not|was not|never) measured\b|\bunmeasured\b", re.I)


def not_measured(finding: Told, lengths: Sequence[MeasuredLength]) -> list[Differs]:
    """Say where a finding has no size, or says that it was not measured, though it was."""
    says_so = _SAYS_UNMEASURED.search(finding.words) is not None
    if finding.sizes_mm and says_so:
        words = f"F{finding.named[1:]} is described as not measured; its recorded size is "
        return [Differs(Kind.NOT_MEASURED, f"{words}{_cm(finding.sizes_mm)}.", finding.number)]
    if finding.sizes_mm or not lengths:
        return []
    said = "is described as not measured" if says_so else "has no recorded size"
    stand = ", ".join(f"{one.words} on photograph {one.photograph}" for one in lengths)
    words = f"F{finding.named[1:]} {said}; measurements of it are kept: {stand}."
    first = lengths[0]
    return [Differs(Kind.NOT_MEASURED, words, finding.number, first.photograph, first.number)]


def report_apart(finding: Told, signed: str, record: str) -> list[Differs]:
    """Compare a passage as it stands in the report with what the record says today."""
    if not signed or _plain(signed) == _plain(record):
        return []
    now = f"the record now reads: “{record}”" if record else "the record no longer says it"
    words = f"The report says of {finding.named}: “{signed}”; {now}."
    return [Differs(Kind.REPORT, words, finding.number)]


def _plain(words: str) -> str:
    return " ".join(words.casefold().split())


def _listed(findings: Sequence[Told]) -> str:
    names = [one.named for one in findings]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _are(findings: Sequence[Told]) -> str:
    return "is" if len(findings) == 1 else "are"


def _cm(sizes: Iterable[float]) -> str:
    return f"{' × '.join(map(small_cm, sizes))} cm"

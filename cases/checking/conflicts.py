"""Words, findings and conclusions that may contradict one another. No database, no clock.

Each rule gives sentences, or nothing: it asks and never decides. Where words can be read in two
ways it keeps silent; a false alarm harms more than one that is missing. Common practice.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from cases.checking.disagreements import Told
from cases.checking.places import names_whole_body, skin_named, skin_of
from cases.checking.saying import stated, stated_whole
from findings.words.sentences import begin_small
from me_office.statements import COMMON_PRACTICE, Statement, statement


def _says(key: str, text: str) -> Statement:
    return statement(f"checks.{key}", text, where="Checks of a case", source=COMMON_PRACTICE)


REGION: Final = _says(
    "region", "Finding {number} ({term}) is placed on “{place}”; its mark lies on another part of "
    "the body.",
)  # fmt: skip
SEX_ORGAN: Final = _says(
    "sex-organ", "The decedent’s sex is recorded as {sex}; the record also names “{what}”: {where}."
)
SEX_BODY: Final = _says(
    "sex-body", "The decedent’s sex is recorded as {sex}; findings are drawn on an {body} body."
)
WEIGHT: Final = _says("weight", "{organ}: {grams} g is {place}, and no words mention it.")
NATURAL: Final = _says(
    "natural", "The manner is natural; finding {number} ({term}) is recorded as an injury. Does "
    "the record say how it came about?",
)  # fmt: skip
NO_INJURY: Final = _says(
    "no-injury", "The manner is {manner}, and neither an injury nor another ground for it is "
    "recorded.",
)  # fmt: skip
CAUSE: Final = _says(
    "cause", "Part I names {what} (“{line}”), and neither a finding nor the examination records "
    "one.",
)  # fmt: skip
COUNT: Final = _says("count", "{where} says “{said}”; {recorded} {are} recorded on the chart.")
TAKEN: Final = _says(
    "taken",
    "{where}: it is written that {what} was taken (“{said}”), and no such specimen is recorded.",
)


@dataclass(frozen=True)
class Seen:
    """A finding as these rules see it."""

    number: int
    term: str
    klass: str = "injury"
    cause: str = ""
    place: str = ""
    words: str = ""
    timing: str = ""
    depth_mm: float | None = None
    traced: bool = False

    @property
    def all_words(self) -> str:
        """Everything that is said of it."""
        return f"{self.term} {self.place} {self.words}"


# The parts of a small drawing's head and neck lie so near that a tap may take the next one.
_HEAD: Final = frozenset(
    {
        "scalp", "face", "ears", "ear canals", "eyelids", "conjunctivae", "sclerae", "nose",
        "nasal septum", "lips", "oral mucosa", "frenula", "teeth", "tongue", "neck", "back of neck",
    }
)  # fmt: skip


def region_apart(told: Told) -> str:
    """Ask where the place in words names other skin than the mark lies on; else nothing."""
    if not told.place or not told.bases or names_whole_body(told.place):
        return ""
    named, own = skin_named(told.place), skin_of(told.bases)
    if not named or not own or named & own or (named & _HEAD and own & _HEAD):
        return ""
    return REGION.say(number=told.number, term=begin_small(told.term), place=told.place)


# Sex ----------------------------------------------------------------------------------------------

_OF_SEX: Final = {
    "female": re.compile(
        r"\b(?:prostat(?:e|ic)(?! utricle)|seminal vesicles?|test(?:is|es|icles?)|epididym\w+"
        r"|scrot(?:um|al)|penis|penile|foreskin|glans(?! clitor\w+))\b", re.I
    ),
    "male": re.compile(
        r"\b(?:uterus(?! masculinus)|uterine|cervix uteri|ovar(?:y|ies|ian)(?!-)|fallopian tubes?"
        r"|(?<!tunica )vagina\w*(?! process)|vulva\w*|labia (?:majora|minora|pudendi)"
        r"|labi(?:um|al) (?:majus|minus)|hymen\w*|endometri(?:um|al)(?!-)|gravid)\b", re.I
    ),
}  # fmt: skip
_OF_BOTH: Final = re.compile(
    r"\b(?:ovarian (?:cancer|type)|prostate[- ]specific|testis-?determin\w+|female prostate"
    r"|(?:size|large|form|shape)\w* (?:of|as) an? \w+|swabs? of (?:the|a) (?:partner|suspect)"
    r"|penile swabs?)\b",
    re.I,
)
_DRAWN: Final = {"adult_male": "male", "adult_female": "female"}
_BODY_WORDS: Final = {"adult_male": "adult male", "adult_female": "adult female"}


def sex_apart(
    sex: str, chart_body: str, weighed: Iterable[str], findings: Iterable[Seen],
    written: Mapping[str, str],
) -> Iterator[tuple[str, str]]:  # fmt: skip
    """Yield what is recorded of the other sex: a sentence, and where it stands.

    Silent where the sex is not recorded as female or male.
    """
    of_other = _OF_SEX.get(sex)
    if of_other is None:
        return
    if _DRAWN.get(chart_body, sex) != sex:
        yield SEX_BODY.say(sex=sex, body=_BODY_WORDS[chart_body]), "chart"
        # The drawing was chosen so: the recorded sex may be what is wrong, asked once.
        return
    for organ in weighed:
        if of_other.search(organ):
            yield SEX_ORGAN.say(sex=sex, what=organ, where="organ weights"), "organs"
    for seen in findings:
        said = of_other.search(_OF_BOTH.sub(" ", f"{seen.term} {seen.place}"))
        if said:
            where = f"finding {seen.number} ({begin_small(seen.term)})"
            yield SEX_ORGAN.say(sex=sex, what=said[0].lower(), where=where), str(seen.number)
    for name, text in written.items():
        for clause in stated(text):
            said = of_other.search(_OF_BOTH.sub(" ", clause))
            if said:
                where = f"“{clause[:90].rstrip('.')}”"
                yield SEX_ORGAN.say(sex=sex, what=said[0].lower(), where=where), name
                break


# Weights ------------------------------------------------------------------------------------------

_SIZE: Final = re.compile(
    r"\b(?:enlarg\w+|hypertroph\w+|heav(?:y|ier)|dilat\w+|[oe]?edema\w*|swollen|swelling|congest\w+"
    r"|small|atroph\w+|shrunken|shrink\w*|light|reduced|increased|decreased|weigh\w*|\w*megaly"
    r"|consolidat\w+|fibros\w+|steato\w+|fatty|cirrho\w+|pneumoni\w+|scarr\w+|contracted|hydro\w+"
    r"|hemorrhag\w*|bloody|fluid|wet|boggy|crepit\w+|tumou?r\w*|mass(?:es)?|infarct\w*|abscess\w*"
    r"|softened|autoly\w+|decompos\w+|putref\w+|granular|cyst\w*|nodul\w+|absent|removed"
    r"|burn\w*|char\w*|lacerat\w+|injur\w+|collapsed|hyperinflat\w+|emphysem\w+|large"
    r"|thick\w*|flatten\w*|narrow\w*|effaced|herniat\w*|tense|rounded|soft|flabby|firm|doughy"
    r"|involut\w+|polycyst\w*|froth\w*|foam\w*|aspirat\w+|obstruct\w+)\b",
    re.I,
)


@dataclass(frozen=True)
class Weighed:
    """An organ that was weighed, with whether its reference has it outside."""

    organ: str
    title: str
    grams: float
    is_outside: bool
    seen_as: str = ""
    place: str = "outside its reference range"


def weights_unmentioned(
    weights: Iterable[Weighed], findings: Collection[Seen], text: str
) -> Iterator[tuple[str, Weighed]]:
    """Yield organs whose weight lies outside its range and of which no words say anything of it."""
    for one in weights:
        if not one.is_outside or _SIZE.search(one.seen_as):
            continue
        name = one.organ.split()[-1].rstrip("s") if one.organ != "lungs combined" else "lung"
        named = re.compile(rf"\b(?:{name}|{_ALSO.get(name, name)})\w*\b", re.I)
        if any(named.search(seen.all_words) for seen in findings):
            continue
        if any(named.search(part) and _SIZE.search(part) for part in re.split(r"[.;\n]", text)):
            continue
        yield WEIGHT.say(organ=one.title, grams=f"{one.grams:g}", place=one.place), one


_ALSO: Final = {
    "heart": "cardi|ventric|myocard",
    "brain": "cereb|gyri|gyrus|sulc",
    "lung": "pulmon",
    "liver": "hepat",
    "spleen": "splen",
    "kidney": "renal|nephr",
    "thyroid": "goiter",
    "adrenal": "adrenal",
}


# Manner -------------------------------------------------------------------------------------------

_NOT_NOW: Final = frozenset({"healed", "postmortem"})
_SHARP_DEEP_MM: Final = 20
# Grounds for a homicide that leave no injury, or whose injuries are not seen.
_GROUND: Final = re.compile(
    r"\b(?:poison\w*|toxicit\w+|intoxicat\w+|overdose|smother\w*|suffocat\w*|asphyxia\w*|drown\w*"
    r"|neglect\w*|starv\w*|malnutrition|dehydrat\w*|hypotherm\w*|hypertherm\w*|abandon\w*|exposure"
    r"|carbon monoxide|strang\w*|neck compression|compression|restrain\w*|positional|insulin|fire"
    r"|smoke|withh\w+|homicidal violence|unspecified|undetermined|cardiac event|stress|assault\w*"
    r"|without injur\w+|no injur\w+|no finding\w*|skelet\w+|remains|decompos\w+|birth|newborn"
    r"|shak\w+|electro\w+|hanging|hanged|ingest\w*|inhal\w*|inject\w*|administ\w*|hypoxi\w+"
    r"|anoxi\w+|helium|nitrogen|nitrite|cyanide|glycol|pentobarbital|jump\w*|refus\w+|denial"
    r"|delayed|trauma|injur(?:y|ies)|prematurity)\b",
    re.I,
)


def natural_with_violence(manner: str, findings: Iterable[Seen]) -> Iterator[tuple[str, Seen]]:
    """Yield injuries by firearm, deep blade or ligature beside a natural manner."""
    if manner != "natural":
        return
    for seen in findings:
        if seen.klass != "injury" or seen.timing in _NOT_NOW:
            continue
        sharp = seen.cause == "sharp force" and (
            re.search(r"\b(?:stab|chop)\b", seen.term, re.I)
            or seen.traced
            or (seen.depth_mm or 0) >= _SHARP_DEEP_MM
        )
        ligature = re.search(r"\bligature\b", seen.term, re.I)
        if seen.cause == "firearm" or sharp or ligature:
            yield NATURAL.say(number=seen.number, term=begin_small(seen.term)), seen


def homicide_without_ground(
    manner: str, *, finished: bool, findings: Iterable[Seen], words: str
) -> str:
    """Ask where a homicide or suicide has no injury and no other ground in any words.

    `finished` tells whether the body was examined and that ended; `words` is everything that was
    written of cause, basis and opinion.
    """
    if manner not in ("homicide", "suicide") or not finished:
        return ""
    if any(seen.klass == "injury" for seen in findings) or _GROUND.search(words):
        return ""
    return NO_INJURY.say(manner=manner)


# Cause --------------------------------------------------------------------------------------------

# What part I may name, by which findings it is borne out: by cause, or by words of any finding, or
# by words of the examination.
_NAMED: Final = (
    ("a gunshot wound", re.compile(r"\b(?:gunshot|shotgun|firearm|GSW)\b", re.I), "firearm",
     re.compile(r"\b(?:gunshot|shotgun|bullet|projectile|firearm|pellet\w*)\b", re.I)),
    ("a stab wound", re.compile(r"\bstab(?:bing|bed)?\b", re.I), "sharp force",
     re.compile(r"\b(?:stab\w*|sharp|incised|knife)\b", re.I)),
    ("an incised wound", re.compile(r"\b(?:incised|cut) (?:wound|throat)|\bsharp force\b", re.I),
     "sharp force", re.compile(r"\b(?:stab\w*|sharp|incised|cuts?|slash\w*)\b", re.I)),
    ("a fracture", re.compile(r"\bfractures?\b", re.I), "",
     re.compile(r"\b(?:fractur\w*|broken|prosthe\w+|screws?|plate|nail|callus)\b", re.I)),
    ("burns", re.compile(r"\b(?:burns?|thermal injur\w+|scald\w*)\b", re.I), "",
     re.compile(r"\b(?:burn\w*|thermal|scald\w*|char\w*|blister\w*)\b", re.I)),
    ("blunt force", re.compile(r"\bblunt (?:force|impact|trauma)\b", re.I), "blunt force",
     re.compile(r"\b(?:contusion\w*|bruis\w*|abrasion\w*|lacerat\w*|fractur\w*|hemorrhag\w*"
                r"|hematoma\w*|blunt|ruptur\w*|crush\w*|dislocat\w*|torn|avuls\w*)\b", re.I)),
    ("a ligature or hanging", re.compile(r"\b(?:hanging|ligature strangulation)\b", re.I), "",
     re.compile(r"\b(?:ligature|furrow|neck|petechia\w*|hyoid|thyroid|larynx|laryngeal|strap)\b",
                re.I)),
    ("an intracranial hemorrhage", re.compile(
        r"\b(?:subdural|epidural|subarachnoid|intracerebral) (?:hemorrhage|hematoma)\b", re.I), "",
     re.compile(r"\b(?:subdural|epidural|subarachnoid|intracerebral|brain|cerebr\w+|dura\w*"
                r"|hematoma|evacuat\w+)\b", re.I)),
)  # fmt: skip
# What happened long before may have left nothing that a finding says.
_REMOTE: Final = re.compile(
    r"\b(?:remote|old|healed|history|years?|months?|weeks?|delayed|complications?|sequelae|late"
    r"|chronic|status post|pending|due to|following|birth|pathologic\w*|quadripleg\w+"
    r"|parapleg\w+)\b",
    re.I,
)


def cause_without_finding(
    lines: Sequence[str], *, finished: bool, findings: Collection[Seen], written: str
) -> Iterator[tuple[str, str]]:
    """Yield what part I names and nothing records: a sentence and the line."""
    if not finished or any(_REMOTE.search(line) for line in lines):
        return
    for line in lines:
        for what, names, cause, borne in _NAMED:
            if not names.search(line):
                continue
            by_cause = cause and any(seen.cause == cause for seen in findings)
            by_words = any(borne.search(seen.all_words) for seen in findings)
            if not (by_cause or by_words or borne.search(written)):
                yield CAUSE.say(what=what, line=line), line


# Counts -------------------------------------------------------------------------------------------

_NUMBERS: Final = {
    "one": 1, "a single": 1, "single": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6,
    "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
}  # fmt: skip
_COUNTED: Final = re.compile(
    r"(?P<least>\b(?:at least|no fewer than|more than|over|up to|about|approximately) )?"
    r"\b(?P<number>a single|single|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve"
    r"|\d{1,2})(?! ?(?:cm|mm|%|of|to|or|-|–|/|\.|,|:))(?: [a-z]+){0,2}? "
    r"(?P<what>gunshot|stab) (?P<noun>wounds?)\b(?P<after>[^.;]{0,60})",
    re.I,
)
# A part of them is counted, by place or by kind.
_PART: Final = re.compile(
    r"^\s*(?:of|to|in|on|at|through|across|near|above|below|over|with|that|which|each|from|and|,)\b"
    r"|\b(?:entrance|exit|graze|other|of these|further|additional|superficial|deep|fatal|lethal"
    r"|group\w*|cluster\w*|parallel)\b",
    re.I,
)
_PART_BEFORE: Final = re.compile(
    r"\b(?:another|other|further|additional|first|second|third|entrance|exit|entry|graze|fatal"
    r"|superficial|deep|of (?:the|these)|last|remaining|either|each|any)\b",
    re.I,
)


@dataclass(frozen=True)
class Recorded:
    """How many wounds of a kind the chart has; `open` where a finding stands for several."""

    wounds: Collection[int]
    open: bool = False

    @property
    def least(self) -> int:
        """The smallest number that the chart allows."""
        return min(self.wounds, default=0)

    @property
    def most(self) -> int:
        """The largest number."""
        return max(self.wounds, default=0)


def counts_apart(
    where: str, text: str, recorded: Mapping[str, Recorded]
) -> Iterator[tuple[str, str]]:
    """Yield numbers of wounds in words that the chart does not have: a sentence and the words."""
    for clause in stated_whole(text):
        for match in _COUNTED.finditer(clause):
            there = recorded.get(match["what"].lower(), Recorded(()))
            if there.open or not there.wounds:
                continue
            number = _number(match["number"])
            before, said = clause[: match.start()], clause[match.start() : match.start("after")]
            if match["least"] or number in there.wounds or _PART_BEFORE.search(said):
                continue
            is_part = bool(_PART.search(match["after"]) or _PART_BEFORE.search(before[-24:]))
            if is_part and number <= there.most:
                continue
            counted = _counted(there, match["what"].lower())
            many = "is" if there.most == 1 else "are"
            yield COUNT.say(where=where, said=said.strip(), recorded=counted, are=many), said


def _number(words: str) -> int:
    return int(words) if words.isdigit() else _NUMBERS[words.lower()]


def _counted(there: Recorded, what: str) -> str:
    shown = str(there.least) if there.least == there.most else f"{there.least} to {there.most}"
    return f"{shown} {what} wound{'' if there.most == 1 else 's'}"


# Specimens ----------------------------------------------------------------------------------------

_MATERIALS: Final = {
    "blood": re.compile(r"\bblood\b", re.I),
    "urine": re.compile(r"\burine\b", re.I),
    "vitreous": re.compile(r"\bvitreous\b", re.I),
    "bile": re.compile(r"\bbile\b", re.I),
    "gastric": re.compile(r"\b(?:gastric|stomach) contents?\b", re.I),
    "hair": re.compile(r"\b(?:head|pubic|scalp)? ?hair\b", re.I),
    "nail": re.compile(r"\b(?:finger)?nail (?:clippings|scrapings)\b", re.I),
    "swab": re.compile(r"\bswabs?\b", re.I),
    "cerebrospinal": re.compile(r"\b(?:cerebrospinal fluid|CSF)\b", re.I),
    "liver": re.compile(r"\b(?:samples?|specimens?|pieces?|sections?) of (?:the )?liver\b", re.I),
    "brain": re.compile(r"\b(?:samples?|specimens?|pieces?|sections?) of (?:the )?brain\b", re.I),
}
# How each may be called in the list of specimens.
_IN_LIST: Final = {
    "blood": "blood|serum|plasma|dna card|card",
    "urine": "urine",
    "vitreous": "vitreous|eye",
    "bile": "bile|gall",
    "gastric": "gastric|stomach",
    "hair": "hair",
    "nail": "nail|clipping|scraping",
    "swab": "swab",
    "cerebrospinal": "cerebrospinal|csf|spinal",
    "liver": "liver|tissue|cassette|histolog",
    "brain": "brain|tissue|cassette|histolog|cortex|hippocamp",
}
_WAS_TAKEN: Final = re.compile(
    r"\b(?:was|were|is|are|has been|have been) (?:\w+ ){0,1}(?:taken|collected|obtained|drawn"
    r"|retained|submitted|saved|secured|sent)\b(?! (?:out|away|down|off|up|by|into|home|with the"
    r"|from the hospital|in the|within|beneath|under|behind|around|at the scene))",
    re.I,
)
_NOT_A_SAMPLE: Final = re.compile(
    r"\b(?:pool\w*|clot\w*|mL of blood|cavit\w+|blood loss|blood pressure|bloodstain\w*|bloody"
    r"|photograph\w*|clean\w*|wash\w*|by others|ambulance|paramedic\w*|scene|at admission|admission"
    r"|transfus\w+|bagged|previous draw|bladder)\b",
    re.I,
)


def taken_in_words(where: str, text: str, listed: Iterable[str]) -> Iterator[tuple[str, str]]:
    """Yield what words say was taken and no specimen is: a sentence and the words."""
    known = " ".join(listed)
    for clause in stated_whole(text):
        if not _WAS_TAKEN.search(clause) or _NOT_A_SAMPLE.search(clause):
            continue
        for name, material in _MATERIALS.items():
            if material.search(clause) and not re.search(_IN_LIST[name], known, re.I):
                what = "fingernail material" if name == "nail" else _SHOWN.get(name, name)
                yield TAKEN.say(where=where, what=what, said=clause[:120]), clause


_SHOWN: Final = {
    "vitreous": "vitreous humor", "gastric": "gastric contents", "swab": "a swab",
    "cerebrospinal": "cerebrospinal fluid", "liver": "tissue of the liver",
    "brain": "tissue of the brain",
}  # fmt: skip

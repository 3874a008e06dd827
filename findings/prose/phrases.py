"""What a typed fragment is in a sentence, and sentences made of it.

People write "scraped, not through", "hemorrhage, 7 × 5 cm" or "edges blood-stained". Whether such
words stand after "is" or after "shows", or are a sentence already, is told by their form. Where it
can't be told, they are quoted as they were written: nothing is bent to fit.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from findings.prose import lexicon
from findings.words.sentences import article, begin_small
from findings.words.vocabulary import COLORS, SHADES


class Form(StrEnum):
    """What a fragment is."""

    CLAUSE = "clause"  # two zones are seen
    PREDICATE = "predicate"  # runs toward the ear
    QUALITY = "quality"  # dry, not broken
    THING = "thing"  # an ill-defined edge
    NONE = "none"  # no hemorrhage
    NOTHING = "nothing"  # none
    STATE = "state"  # edges blood-stained: a thing, and how it is
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Fragment:
    """Typed words with their form; `many` tells that a thing (or the thing of a state) is several.

    `head` is the thing of a state; of every other form it is empty.
    """

    words: str
    form: Form
    many: bool = False
    head: str = ""


_NOTHING = frozenset({"none", "nothing", "nil", "nothing seen", "nothing found", "none seen"})
_MEASURE = re.compile(r"^(?:about |up to )?\d[\d.,]*(?:\s*[×x]\s*\d[\d.,]*)*\s*(?:cm|mm|m)\b")
_VOLUME = re.compile(r"^(?:about |up to )?\d[\d.,]*\s*(?:mL|ml|L|g|kg|mg)\b")
_TOKEN = re.compile(r"[^\s,;:()]+")
_NUMBERED = re.compile(r"^(?:[A-Za-z-]+ )?\d+(?:(?:,| and| to|, and) \d+)*(?= )")
_HUES = COLORS | SHADES
_CONTINUING = frozenset({"see", "which", "who", "where", "and", "or", "but"})
_SEVERAL = frozenset(
    [
        "both",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "several",
        "many",
        "few",
        "numerous",
    ]
)
# What a single length is the length of.
_LONG = frozenset({"fracture", "tear", "split", "crack", "wound", "laceration", "slit", "cut"})
# What is cut, and the cut.
_CUTS = frozenset({"slit", "split", "cut", "tear", "burst", "spread"})
WHOSE = frozenset({"the", "its", "one", "both", "each", "their"})
_ONE = frozenset({"a", "an", "one", "this", "each", "every", "another"})
_CUT_AT = re.compile(r"[,(;:]")


@lru_cache(maxsize=4096)
def read(words: str) -> Fragment:
    """Tell the form of a fragment; its words are trimmed, without their full stop and capital."""
    said = begin_small(" ".join(words.split()).rstrip(".").strip())
    tokens = [token.lower().strip("\"'“”’") for token in _TOKEN.findall(said)]
    if not tokens:
        return Fragment("", Form.UNKNOWN)
    if said.lower() in _NOTHING:
        return Fragment(said, Form.NOTHING)
    if ":" in said or ";" in said or re.search(r"[.?!] ", said):
        return Fragment(said, Form.UNKNOWN)
    if verb := _main_verb(tokens):
        # Before a comma stands what the sentence is not about: none, he was stiff.
        before = re.split(rf"\b{verb}\b", said.lower(), maxsplit=1)[0]
        whole = Form.CLAUSE if before.strip() else Form.PREDICATE
        return Fragment(said, Form.UNKNOWN if "," in before else whole)
    core = _core(said)
    if tokens[0] == "no":
        # The verb agrees with the first of several: there is no swelling and no bridges.
        first = core[1 : core.index("and")] if "and" in core[2:] else core[1:]
        if first[-1:] in (["seen"], ["found"]):
            first = first[:-1]
        return Fragment(said, Form.NONE, many=_is_several(first))
    if core and core[0] in _ONE and len(core) > 2 and _plural(core[-1]):
        return Fragment(said, Form.CLAUSE)  # a scraped surface dries
    if not core or (all(_is_quality(token) for token in core) and not _is_of(said, core)):
        return Fragment(said, Form.QUALITY)
    if _MEASURE.match(said) and len(core) <= 1:
        return Fragment(said, Form.UNKNOWN)
    if state := _state(said, core):
        return state
    if _is_thing(core):
        return Fragment(said, Form.THING, many=_is_several(core))
    return Fragment(said, Form.UNKNOWN)


def parts(words: str) -> list[Fragment]:
    """Split what was typed at its commas and semicolons, and read each part.

    A comma inside brackets splits nothing, and a measure or a count belongs to the part before it.
    """
    found: list[str] = []
    depth, begin = 0, 0
    for at, letter in enumerate(words):
        depth += (letter == "(") - (letter == ")")
        if letter in ",;" and depth <= 0 and words[at + 1 : at + 2] in ("", " "):
            found.append(words[begin:at].strip())
            begin = at + 1
    found.append(words[begin:].strip())
    kept: list[str] = []
    for part in (one for one in found if one.strip(" .")):
        if kept and (_belongs_to_what_precedes(part) or _says_where(part, kept[-1])):
            kept[-1] += f", {part}"
        else:
            kept.append(part)
    return [_with_what(part) or read(part) for part in kept]


def _with_what(part: str) -> Fragment | None:
    """Read "with an abrasion ring" as the thing that it has."""
    begins, _, rest = part.partition(" ")
    if begins.lower() != "with":
        return None
    found = read(rest)
    return found if found.form in (Form.THING, Form.NONE) else None


def _belongs_to_what_precedes(part: str) -> bool:
    words = part.split()
    if _MEASURE.match(part) or words[0].lower() in _CONTINUING:
        return True
    if [one.lower() for one in words[:2]] in (["the", "other"], ["the", "others"], ["the", "rest"]):
        return True
    counted = words[0].isdigit() or words[0].lower() in lexicon.DETERMINERS
    return counted and len(words) > 1 and words[1].lower() in lexicon.PREPOSITIONS


def _says_where(part: str, before: str) -> bool:
    """Whether the part says where the thing before it is: a wren on a branch, in a ring."""
    begins = part.split()[0].lower() in lexicon.PREPOSITIONS
    return begins and read(before).form in (Form.THING, Form.NONE, Form.STATE)


def _is_of(said: str, core: Sequence[str]) -> bool:
    """Whether the words before a preposition name what has a measure: a slit of 17 mm."""
    following = said.lower().split()[len(core) : len(core) + 1]
    return following == ["of"]


def _main_verb(tokens: Sequence[str]) -> str:
    """Return the verb that makes a sentence of the words, or nothing."""
    for at, token in enumerate(tokens):
        if token in lexicon.SUBORDINATING and at:
            return ""
        if token in lexicon.VERBS:
            return token
    return ""


def _core(said: str) -> list[str]:
    """The words before the first preposition that has something before it, or the first comma."""
    head = _CUT_AT.split(said, maxsplit=1)[0]
    core: list[str] = []
    for token in head.lower().split():
        if token in lexicon.SUBORDINATING and core:
            break
        if token in lexicon.PREPOSITIONS:
            break
        core.append(token)
    return core


def _is_quality(token: str) -> bool:
    if token in lexicon.LINKING or token in lexicon.DEGREES or token in lexicon.QUALITIES:
        return True
    if token in lexicon.THINGS and token not in lexicon.QUALITIES:
        return False
    last = token.rsplit("-", 1)[-1]
    if token in _HUES or last in _HUES or last in lexicon.QUALITIES:
        return True
    if last in lexicon.NOT_QUALITIES or last in lexicon.THINGS:
        return False
    return last.endswith(lexicon.QUALITY_ENDINGS) and len(last) > 3


def _is_thing(core: Sequence[str]) -> bool:
    """Tell whether the last word is a thing: known as one, several, or described before it."""
    last = core[-1].rsplit("-", 1)[-1]
    if last in lexicon.THINGS or _plural(last) or last in _CUTS:
        return True
    described = core[:-1] and all(
        _is_quality(one) or one in lexicon.DETERMINERS or one[0].isdigit() for one in core[:-1]
    )
    return bool(described) and core[-1].isalpha() and not _is_quality(core[-1])


def _plural(word: str) -> bool:
    return (
        len(word) > 3
        and word.endswith("s")
        and not word.endswith(("ss", "is", "us", "ous"))
        and word not in lexicon.DEGREES
    ) or word in ("petechiae", "maggots", "larvae", "feet", "teeth", "nuclei", "foci", "men")


def _is_several(core: Sequence[str]) -> bool:
    if not core:
        return False
    if "and" in core:
        return True
    if core[0] in _SEVERAL:
        return True
    return _plural(core[-1].rsplit("-", 1)[-1])


def _state(said: str, core: Sequence[str]) -> Fragment | None:
    """Read "edges blood-stained" and "ribs 5 to 8 broken": a thing, and after it how it is."""
    head = _CUT_AT.split(said, maxsplit=1)[0].split()
    if numbered := _NUMBERED.match(said):
        named = numbered.group(0)
        rest = said[len(named) :].strip()
        first = rest.split()[0].lower() if rest else ""
        if named[0].isalpha() and first and _is_quality(first.strip(",")):
            many = not re.fullmatch(r"[A-Za-z-]+ \d+", named) or _plural(named.split()[0].lower())
            return Fragment(rest, Form.STATE, many=many, head=named)
    if core[0] in lexicon.DETERMINERS - WHOSE or core[0][0].isdigit():
        return None
    for at in range(1, len(core)):
        thing, how = core[:at], core[at:]
        is_thing = thing[-1] in lexicon.THINGS or _plural(thing[-1])
        if is_thing and not _is_quality(thing[-1]) and all(_is_quality(one) for one in how):
            if how[0] in lexicon.LINKING:
                return None
            rest = said[len(" ".join(head[:at])) :].strip()
            return Fragment(rest, Form.STATE, many=_is_several(thing), head=" ".join(head[:at]))
    return None


def with_article(fragment: Fragment) -> str:
    """A thing as it is named in a sentence: an ill-defined edge, brown staining, red margins."""
    core = _core(fragment.words)
    if fragment.many or not core:
        return fragment.words
    first, last = core[0], core[-1].rsplit("-", 1)[-1]
    if first in lexicon.DETERMINERS or first[0].isdigit():
        return fragment.words
    uncounted = last in lexicon.UNCOUNTED_THINGS or (
        last.endswith(lexicon.UNCOUNTED_ENDINGS) and last not in lexicon.COUNTED
    )
    return fragment.words if uncounted else f"{article(fragment.words)} {fragment.words}"


def joined(words: Sequence[str], last: str = "and") -> str:
    """Words as a list is read: a; a and b; a, b and c. With commas inside, semicolons part them."""
    if len(words) < 2:
        return "".join(words)
    if any("," in one for one in words):
        return f"{', '.join(words[:-1])}, {last} {words[-1]}"
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def begun(words: str) -> str:
    """The words with a large first letter, as a sentence begins."""
    return words[:1].upper() + words[1:]


def sentence(words: str) -> str:
    """The words begun large and ended once."""
    words = words.strip()
    return begun(words if words.endswith((".", "?", "!")) else f"{words}.") if words else ""


def quoted(subject: str, words: Iterable[str], many: bool) -> str:
    """What is said of words that no sentence can be made of."""
    were = "were" if many else "was"
    return sentence(f"{subject} {were} described as “{', '.join(words)}”")


def measured_out(words: str) -> str:
    """Let a size follow what has it: hemorrhage over 7 × 5 cm, a fracture 4 cm long.

    A size of two numbers is an extent; of one, "over" is right for what spreads and is split, and
    the comma is kept where neither is certain.
    """
    head, comma, size = words.partition(", ")
    if not comma or not _MEASURE.match(size):
        return words
    last = head.split()[-1].lower()
    whole = _MEASURE.match(size)
    bare = whole is not None and whole.end() == len(size)
    spreads = last in lexicon.UNCOUNTED_THINGS or last.endswith("ing") or _is_quality(last)
    if bare and ("×" in size or spreads):
        return f"{head} over {size}"
    if bare and last in _LONG:
        return f"{head} {size} long"
    return words


def tells_volume(words: str) -> bool:
    """Whether the words begin with an amount: 60 mL of blood."""
    return bool(_VOLUME.match(words))

"""What lies beneath a finding, layer by layer, in sentences. No database.

Every layer that was recorded is said: what was found in it, or that it was not examined.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from findings.prose.house import STANDARD, Phrasing
from findings.prose.observed import state_sentence, state_words
from findings.prose.phrases import (
    Form,
    begun,
    joined,
    measured_out,
    quoted,
    read,
    sentence,
    tells_volume,
    with_article,
)

SKIN = "skin"
BONES = ("bone", "skull", "periosteum")
_BONE = re.compile(
    r"\b(ribs?|vertebra\w*|skull|jaw|sternum|clavicles?|scapulas?|humerus|radius|ulna|femur|tibia|"
    r"fibula|pelvis|sacrum|hyoid|mandible|maxilla|orbit\w*|bones?|cartilages?)\b",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class LayerSeen:
    """A layer by its printed name, whether it was examined, and what was found or why not."""

    layer: str
    examined: bool
    found: str = ""


def layers_sentences(
    layers: Iterable[LayerSeen], *, many: bool = False, phrasing: Phrasing = STANDARD
) -> str:
    """Say the layers from the surface down, then what was not examined.

    `many` tells that the finding's term names several things, beneath which the layers lie.
    """
    rows = list(layers)
    seen = [row for row in rows if row.examined]
    said = []
    from_the_skin = any(row.layer == SKIN for row in seen)
    led = not from_the_skin
    for words, group in groupby(seen, key=lambda row: row.found.strip().rstrip(". ")):
        names = [row.layer for row in group]
        one = _found_in(names, words, phrasing)
        if not led and names[0] != SKIN:
            beneath = begun(phrasing.say("beneath-many" if many else "beneath-one"))
            one = f"{beneath}, {one[:1].lower()}{one[1:]}"
            led = True
        said.append(one)
    said += _not_examined([row for row in rows if not row.examined], phrasing)
    return " ".join(said)


def _found_in(names: list[str], words: str, phrasing: Phrasing) -> str:
    found = read(words)
    the = [f"the {phrasing.layer(name)}" for name in names]
    subject, is_are, shows = joined(the), "is", "shows"
    if len(names) > 1:
        is_are, shows = "are", "show"
    if found.form == Form.NOTHING:
        return sentence(f"nothing was found in {joined(the, 'or')}")
    if found.form == Form.NONE:
        there = "there are" if found.many else "there is"
        words = found.words.removesuffix(" in it")
        for ending in (" seen", " found"):
            if words.endswith(ending):
                are = "are" if found.many else "is"
                return sentence(
                    f"{words.removesuffix(ending)} {are}{ending} in {joined(the, 'or')}"
                )
        return sentence(f"{there} {words} in {joined(the, 'or')}")
    if found.form == Form.QUALITY:
        return sentence(f"{subject} {is_are} {measured_out(found.words)}")
    if found.form == Form.PREDICATE:
        return sentence(f"{subject} {found.words}")
    if found.form == Form.STATE and names[0] in BONES and _names_a_bone(found.head):
        return state_sentence(found)
    if found.form in (Form.STATE, Form.CLAUSE):
        said = state_words(found) if found.form == Form.STATE else found.words
        return sentence(f"in {subject}, {said}")
    if found.form == Form.THING:
        held = tells_volume(found.words) and names[0].endswith("space")
        verb = ("hold" if len(names) > 1 else "holds") if held else shows
        return sentence(f"{subject} {verb} {measured_out(with_article(found))}")
    return quoted(begun(subject), [found.words], many=len(names) > 1)


def _names_a_bone(words: str) -> bool:
    return bool(_BONE.search(words))


def _not_examined(rows: list[LayerSeen], phrasing: Phrasing) -> list[str]:
    said = []
    for why, group in groupby(rows, key=lambda row: row.found.strip().rstrip(". ")):
        names = [f"the {phrasing.layer(row.layer)}" for row in group]
        key = "not-examined-many" if len(names) > 1 else "not-examined-one"
        because = f" ({why})" if why else ""
        said.append(sentence(f"{phrasing.say(key, layers=joined(names))}{because}"))
    return said

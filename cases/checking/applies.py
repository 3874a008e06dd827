"""When a rule of completeness applies, and why it does not. No database, no clock.

Each function returns why a rule does not apply, or nothing. What applies where: common practice,
after the standards that `standards.json` names.
"""

from __future__ import annotations

import re
from types import MappingProxyType
from typing import Final

from cases.checking.facts import Facts, Injury

# Deaths in which another hand is suspected, by the manner; and what the injuries are.
_SUSPICIOUS_MANNERS: Final = frozenset({"homicide", "undetermined"})
FIREARM: Final = "firearm"
SHARP: Final = "sharp force"
BLUNT: Final = "blunt force"
_TORSO: Final = frozenset({"head", "face", "neck", "chest", "abdomen", "pelvis", "back"})
_BURN: Final = re.compile(r"\b(?:burns?|thermal|scald|char\w*)\b", re.I)
_NECK_INJURY: Final = re.compile(
    r"\b(?:hang(?:ing|ed)|strang\w+|ligature|throttl\w+|neck compression"
    r"|compression of the neck)\b",
    re.I,
)
_ASSAULT: Final = re.compile(r"\b(?:sexual(?:ly)?[- ]assault\w*|rape[d]?|sexual violence)\b", re.I)
_NO_TRACK: Final = re.compile(r"graze|exit", re.I).search
_NOT_NATURAL: Final = frozenset({"accident", "suicide", "homicide", "undetermined"})


def injuries_by(facts: Facts, cause: str) -> list[Injury]:
    """The injuries that one cause made."""
    return [one for one in facts.injuries if one.cause == cause]


def is_suspicious(facts: Facts) -> bool:
    """Tell whether another hand is suspected: homicide, undetermined with injuries, penetrating."""
    if facts.manner == "homicide":
        return True
    penetrating = any(one.cause in (FIREARM, SHARP) for one in facts.injuries)
    return penetrating or (facts.manner in _SUSPICIOUS_MANNERS and bool(facts.injuries))


def _calls_for_autopsy(facts: Facts) -> bool:
    """Deaths for which a forensic autopsy is asked by the standard's list, where it can be told."""
    if facts.manner == "homicide" or any(one.cause == FIREARM for one in facts.injuries):
        return True
    return facts.age_years is not None and facts.age_years < 1


def _always(facts: Facts) -> str:
    return ""


def _called(facts: Facts) -> str:
    return "" if facts.called else "No call is recorded in this case."


def _visited(facts: Facts) -> str:
    if facts.scene == "not visited":
        return "It is stated that there was no scene visit."
    return "" if facts.scene else "No scene visit is recorded."


def _examined(facts: Facts) -> str:
    return "" if facts.kind else "No examination is opened."


def _body_seen(facts: Facts) -> str:
    if not facts.kind:
        return "No examination is opened."
    return "" if facts.seen else "The body was not examined in this kind of examination."


def _with_skin(facts: Facts) -> str:
    if why := _body_seen(facts):
        return why
    return "Skeletal remains are examined." if facts.kind == "skeletal remains" else ""


def _thorough(facts: Facts) -> str:
    if why := _with_skin(facts):
        return why
    return "The body was inspected and released." if facts.kind == "view and release" else ""


def _body_opened(facts: Facts) -> str:
    if not facts.kind:
        return "No examination is opened."
    return "" if facts.opened else "The body was not opened in this kind of examination."


def _whole_autopsy(facts: Facts) -> str:
    if why := _body_opened(facts):
        return why
    return "" if facts.kind == "full autopsy" else "The autopsy is not a full first one."


def _no_autopsy(facts: Facts) -> str:
    if not facts.kind:
        return "No examination is opened."
    if facts.opened:
        return "An autopsy is made."
    return "" if _calls_for_autopsy(facts) else "Nothing recorded calls for an autopsy."


def _not_identified(facts: Facts) -> str:
    if facts.identity == "confirmed":
        return "The identity is confirmed."
    return _body_seen(facts)


def _suspicious_body(facts: Facts) -> str:
    if why := _with_skin(facts):
        return why
    return "" if is_suspicious(facts) else "Nothing recorded makes the death suspicious."


def _assault(facts: Facts) -> str:
    if not _ASSAULT.search(f"{facts.heading} {facts.circumstances}"):
        return "Neither heading nor circumstances name a sexual assault."
    return _body_seen(facts)


def _injured(facts: Facts) -> str:
    return "" if facts.injuries else "No injury is recorded."


def _injured_suspicious(facts: Facts) -> str:
    if not facts.injuries:
        return "No injury is recorded."
    return "" if is_suspicious(facts) else "Nothing recorded makes the death suspicious."


def _shot(facts: Facts) -> str:
    return "" if injuries_by(facts, FIREARM) else "No firearm injury is recorded."


def _shot_trunk(facts: Facts) -> str:
    if why := _shot(facts):
        return why
    return "" if on_trunk(facts) else "No firearm wound is marked on head, neck or torso."


def on_trunk(facts: Facts) -> list[Injury]:
    """The firearm wounds that are marked on head, neck or torso."""
    return [one for one in injuries_by(facts, FIREARM) if _TORSO & set(one.groups)]


def _cut(facts: Facts) -> str:
    return "" if injuries_by(facts, SHARP) else "No sharp force injury is recorded."


def _burned(facts: Facts) -> str:
    return "" if burns_in(facts) else "No burn is recorded."


def burns_in(facts: Facts) -> list[Injury]:
    """The injuries that are burns by their term."""
    return [one for one in facts.injuries if _BURN.search(one.term)]


def _patterned(facts: Facts) -> str:
    return "" if any(one.patterned for one in facts.injuries) else "No pattern is recorded."


def _penetrated(facts: Facts) -> str:
    if why := _body_opened(facts):
        return why
    return "" if tracks_in(facts) else "No gunshot or stab wound is recorded."


def tracks_in(facts: Facts) -> list[Injury]:
    """The wounds that have a track: gunshots but exits and grazes, and stabs."""
    stabs = [one for one in injuries_by(facts, SHARP) if re.search(r"\bstab", one.term, re.I)]
    return [
        *(
            one
            for one in injuries_by(facts, FIREARM)
            if not re.search(r"graze|exit", one.term, re.I)
        ),
        *stabs,
    ]


def _bruised_inside(facts: Facts) -> str:
    if why := _body_opened(facts):
        return why
    return "" if injuries_by(facts, BLUNT) else "No blunt injury is recorded."


def _neck_injured(facts: Facts) -> str:
    if why := _body_opened(facts):
        return why
    words = " ".join([facts.heading, *facts.causes, *(one.term for one in facts.injuries)])
    if _NECK_INJURY.search(words):
        return ""
    return "Nothing recorded suggests an injury of the neck."


def _radiographed(facts: Facts) -> str:
    if why := _body_seen(facts):
        return why
    if injuries_by(facts, FIREARM):
        return ""
    if facts.age_years is not None and facts.age_years < 1 and facts.manner != "natural":
        return ""
    if re.search(r"\b(?:explosion|blast)\b", " ".join([facts.heading, *facts.causes]), re.I):
        return ""
    if any(re.search(r"\bchar(?:red|ring)\b", one.term, re.I) for one in facts.injuries):
        return ""
    return "No firearm, explosion or charring, and no infant whose death is unexplained."


def _no_gross_cause(facts: Facts) -> str:
    if why := _body_opened(facts):
        return why
    open_cause = facts.manner in ("pending", "undetermined") or any(
        re.search(r"\b(?:undetermined|unascertained|unexplained|pending)\b", line, re.I)
        for line in facts.causes
    )
    return "" if open_cause else "A cause is stated, and the manner is settled."


def _toxicology_reported(facts: Facts) -> str:
    found = any(one.kind == "toxicology" for one in facts.results)
    return "" if found else "No toxicology result is recorded."


def _items_kept(facts: Facts) -> str:
    return "" if facts.specimens or facts.kits else "No specimens are recorded."


def _certified(facts: Facts) -> str:
    return "" if facts.manner else "Cause and manner are not stated yet."


def _outer_cause(facts: Facts) -> str:
    if why := _certified(facts):
        return why
    if facts.manner in _NOT_NATURAL - {"undetermined"} or facts.injury_items_left:
        return ""
    return "No injury caused or contributed to the death as it is stated."


APPLIES: Final = MappingProxyType(
    {
        "always": _always,
        "called": _called,
        "visited": _visited,
        "examined": _examined,
        "body seen": _body_seen,
        "skin seen": _with_skin,
        "thorough": _thorough,
        "opened": _body_opened,
        "full autopsy": _whole_autopsy,
        "no autopsy": _no_autopsy,
        "not identified": _not_identified,
        "suspicious": _suspicious_body,
        "sexual assault": _assault,
        "injured": _injured,
        "injured and suspicious": _injured_suspicious,
        "firearm": _shot,
        "firearm on trunk": _shot_trunk,
        "sharp force": _cut,
        "burned": _burned,
        "patterned": _patterned,
        "penetrating": _penetrated,
        "blunt and opened": _bruised_inside,
        "neck": _neck_injured,
        "radiographs": _radiographed,
        "no gross cause": _no_gross_cause,
        "toxicology reported": _toxicology_reported,
        "specimens kept": _items_kept,
        "certified": _certified,
        "outer cause": _outer_cause,
    }
)  # fmt: skip
# When a rule of the office's own is asked, in the words of its form.
OFFICE_APPLIES: Final = MappingProxyType(
    {
        "always": "in every case",
        "visited": "where there was a scene visit",
        "body seen": "where the body was examined",
        "opened": "where the body was opened",
        "injured": "where an injury is recorded",
        "firearm": "where a firearm injury is recorded",
        "suspicious": "where the death is suspicious",
        "not identified": "while the identity is not confirmed",
        "certified": "once cause and manner are stated",
    }
)
OFFICE_APPLIES_CHOICES: Final = list(OFFICE_APPLIES.items())

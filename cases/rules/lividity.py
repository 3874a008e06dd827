"""Lividity against the position in which a body was found. It asks and never concludes.

Only words for the trunk are compared: what is said of limbs, head or genitals, or of one flank,
speaks neither for nor against. Nothing is compared where lividity could not be judged, where the
position is not stated, and in water or a vehicle, where a body turns or leans in any way.

Sources:
    - Levy AD, Harcke HT. Essentials of Forensic Imaging, chapter 3 (excerpt seen): lividity lies
      where the body is lowest, and the areas of contact of a supine body stay pale.
    - The lowest parts in the other positions: from memory (source not checked).
    - Reading a disagreement as a reason to ask, the scene before the examination: common practice.

No database, no clock.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from me_office.statements import FROM_MEMORY, Statement, statement

BACK, FRONT, ABDOMEN = "back", "front", "abdomen"
LEFT, RIGHT = "left side", "right side"

_WHERE: Final = "Scene and examination, lividity"
_LOWEST: Final = (
    "Levy AD, Harcke HT. Essentials of Forensic Imaging, chapter 3 (excerpt seen); other positions "
    f"and how it is read: {FROM_MEMORY}"
)


def _says(key: str, text: str) -> Statement:
    return statement(f"lividity.{key}", text, where=_WHERE, source=_LOWEST)


NEVER: Final = _says("never", "This is a reason to look and ask again, never a conclusion.").text
TWO_PATTERNS: Final = _says(
    "two-patterns",
    "Lividity on {against} as well as {fits} of a body found {position}: two patterns can mean "
    "that it was turned while lividity could still shift.",
)
MISMATCH: Final = _says(
    "mismatch",
    "The pattern does not go with the position found: lividity on {against}, body {position}.",
)
MOVED: Final = _says("moved", "Was the body moved before anyone arrived?")
NOT_MOVED: Final = _says(
    "not-moved", "Recorded about moving it: {said}. Ask again who touched the body."
)
MOVED_AS: Final = _says(
    "moved-as", "Recorded: {said}. Does that explain it, and at what hour was it?"
)
FIXED: Final = _says(
    "fixed", "Recorded as fixed: such lividity mostly stays where it was when a body is moved."
)
BLANCHED: Final = _says("blanched", "It blanched: it could still shift.")
BLANCHED_PARTLY: Final = _says(
    "blanched-partly", "It blanched in part: a part of it could still shift."
)
NOT_TESTED: Final = _says("not-tested", "Whether it blanched is not recorded.")
STORED: Final = _says(
    "stored",
    "Lividity at the examination, about {hours} later and commonly after storage on the "
    "back, says little.",
)
SPARED: Final = _says(
    "spared",
    "Pressure-spared skin on {against} does not go with a body found {position}: "
    "something pressed there at some time, such as a surface, clothing or a strap.",
)
CANNOT_BE_JUDGED: Final = "cannot be judged"

# What each position leads one to expect on the trunk, and what makes one ask. Positions that are
# not listed are not compared.
EXPECTED: Final = {
    "supine": frozenset({BACK}),
    "prone": frozenset({FRONT, ABDOMEN}),
    "semi-prone": frozenset({FRONT, ABDOMEN, LEFT, RIGHT}),
    "left side": frozenset({LEFT}),
    "right side": frozenset({RIGHT}),
    "sitting": frozenset(),
    "hanging": frozenset(),
    "partly suspended": frozenset(),
    "kneeling": frozenset(),
    "crouched": frozenset(),
    "head down": frozenset({FRONT, BACK}),
}
ASKS: Final = {
    "supine": frozenset({FRONT, ABDOMEN, LEFT, RIGHT}),
    "prone": frozenset({BACK, LEFT, RIGHT}),
    "semi-prone": frozenset({BACK}),
    "left side": frozenset({RIGHT, BACK, FRONT}),
    "right side": frozenset({LEFT, BACK, FRONT}),
    "sitting": frozenset({BACK, FRONT}),
    "hanging": frozenset({BACK, FRONT}),
    "partly suspended": frozenset({BACK}),
    "kneeling": frozenset({BACK}),
    "crouched": frozenset({BACK}),
    "head down": frozenset({ABDOMEN}),
}
POSITION_WORDS: Final = {
    "supine": "on the back",
    "prone": "face down",
    "semi-prone": "semi-prone",
    "left side": "on the left side",
    "right side": "on the right side",
    "sitting": "sitting",
    "hanging": "suspended",
    "partly suspended": "partly suspended",
    "kneeling": "kneeling",
    "crouched": "crouched",
    "head down": "head down",
}
SIDE_SHOWN: Final = {
    BACK: "the back",
    FRONT: "the front of the trunk",
    ABDOMEN: "the abdomen",
    LEFT: "the left side",
    RIGHT: "the right side",
}
# In the order in which they are said.
SIDES: Final = (BACK, FRONT, ABDOMEN, LEFT, RIGHT)

_SIDE_WORDS: Final = {
    BACK: r"(?:upper |lower |mid(?:dle)? )?back|posterior|dorsal|dorsum",
    FRONT: r"front|anterior|ventral|chest|breasts?|sternum",
    ABDOMEN: r"abdomen|belly",
    LEFT: r"left (?:side|half|lateral trunk|trunk)",
    RIGHT: r"right (?:side|half|lateral trunk|trunk)",
}
_NAMES: Final = {side: re.compile(rf"\b(?:{words})\b") for side, words in _SIDE_WORDS.items()}
_DENIED: Final = re.compile(r"\b(no|not|none|without|spared|spares|sparing|pale)\b")
# A clause about these says nothing of the trunk, whatever side it names.
_NOT_TRUNK: Final = re.compile(
    r"\b(?:legs?|thighs?|calf|calves|knees?|shins?|feet|foot|heels?|ankles?|toes?|soles?|arms?"
    r"|forearms?|elbows?|wrists?|hands?|fingers?|palms?|limbs?|extremit\w+|genital\w*|penis|scrot\w+"
    r"|face|forehead|neck|nape|ears?|scalp|buttocks?|flanks?|lateral chest|hips?)\b"
)
_TRUNK: Final = re.compile(r"\b(?:trunk|torso|body|back|chest|abdomen)\b")
# The lower back is among the lowest parts of a body that sits or hangs, as the buttocks are.
_LOW_BACK: Final = re.compile(
    r"(?<!upper and )\b(?:low(?:er)? back|lumbar region(?: of the back)?|small of the back)\b"
)
_UPRIGHT: Final = frozenset({"sitting", "hanging", "partly suspended"})
_NOT_MOVED: Final = re.compile(r"^\s*(?:no|not|none|unmoved|as found|nobody)\b", re.IGNORECASE)


def sides_named(words: str) -> frozenset[str]:
    """Return the sides of the trunk that a description of lividity names.

    A clause that denies ("none on the chest") or speaks of other parts ("backs of both lower
    legs", "left calf") names nothing.
    """
    found: set[str] = set()
    for clause in re.split(r"[,;.]|\bbut\b|\band\b|\bwith\b", words.lower()):
        if _DENIED.search(clause):
            continue
        if _NOT_TRUNK.search(clause) and not _TRUNK.search(_NOT_TRUNK.sub("", clause)):
            continue
        # "back of the right thigh": the side belongs to the limb.
        if re.search(r"\bback of (?:the |both )?(?:left |right )?", clause) and _NOT_TRUNK.search(
            clause
        ):
            continue
        found |= {side for side, names in _NAMES.items() if names.search(clause)}
    return frozenset(found)


@dataclass(frozen=True)
class SceneLividity:
    """What the scene says: position found, lividity there, what was done before.

    `moved` is what is written about moving the body before anybody came, `hours` the time from
    there to the examination, None when not known.
    """

    position: str = ""
    where: str = ""
    blanching: str = ""
    moved: str = ""
    hours: float | None = None


def scene_question(found: SceneLividity) -> str:
    """Return what to ask where the scene's lividity does not go with its position, else nothing."""
    if found.blanching == CANNOT_BE_JUDGED:
        return ""
    against = sides_against(found.position, found.where)
    if not against:
        return ""
    said = _pattern(found.position, found.where, against)
    return f"{said} {_moved_words(found)} {_blanching_words(found.blanching)} {NEVER}"


def examination_question(found: SceneLividity, where: str, blanching: str = "") -> str:
    """Return what to ask of the lividity at the examination, else nothing.

    The scene's lividity is compared first, and alone where it was described: after hours on the
    back, lividity of the back says little. Without it, lividity of the back is not asked about.
    """
    if sides_named(found.where):
        asked = scene_question(found)
        return f"At the scene: {asked} {_stored_words(found)}".strip() if asked else ""
    against = sides_against(found.position, where) - {BACK}
    if not against or CANNOT_BE_JUDGED in (found.blanching, blanching):
        return ""
    parts = (
        f"At the examination: {_pattern(found.position, where, against)}",
        _moved_words(found),
        _blanching_words(blanching),
        _stored_words(found),
        NEVER,
    )
    return " ".join(part for part in parts if part)


def _pattern(position: str, where: str, against: frozenset[str]) -> str:
    """What does not go together: one pattern elsewhere, or two patterns."""
    fits = EXPECTED[position] & sides_named(where)
    if fits:
        return TWO_PATTERNS.say(
            against=_shown(against), fits=_shown(fits), position=POSITION_WORDS[position]
        )
    return MISMATCH.say(against=_shown(against), position=POSITION_WORDS[position])


def sides_against(position: str, where: str) -> frozenset[str]:
    """The named sides of the trunk that make one ask in this position."""
    if position in _UPRIGHT:
        where = _LOW_BACK.sub("", where.lower())
    named = sides_named(where)
    against = ASKS.get(position, frozenset()) & named
    on_its_side = position in (LEFT, RIGHT)
    if on_its_side and position in named:
        # Half of the back and of the front belong to the side that is lowest.
        return against - {BACK, FRONT}
    return against


def _shown(sides: frozenset[str]) -> str:
    return " and ".join(SIDE_SHOWN[side] for side in SIDES if side in sides)


def _moved_words(found: SceneLividity) -> str:
    moved = found.moved.strip().rstrip(".")
    if not moved:
        return MOVED.say()
    # "EMS turned her" and "I turned her" stay as they are; "A neighbor did" is no abbreviation.
    is_kept = moved[:2].isupper() and not moved.startswith("A ")
    said = moved if is_kept else moved[:1].lower() + moved[1:]
    if _NOT_MOVED.search(moved):
        return NOT_MOVED.say(said=said)
    return MOVED_AS.say(said=said)


def _blanching_words(blanching: str) -> str:
    if blanching == "fixed":
        return FIXED.say()
    if blanching == "blanches":
        return BLANCHED.say()
    if blanching in {"partly", "blanches partly"}:
        return BLANCHED_PARTLY.say()
    return NOT_TESTED.say()


def _stored_words(found: SceneLividity) -> str:
    if found.hours is None or found.hours < 1:
        return ""
    return STORED.say(hours=f"{found.hours:.0f} hour{'' if round(found.hours) == 1 else 's'}")


def spared_question(position: str, where: str) -> str:
    """What to ask where skin spared by pressure lies on a side the body did not lie on."""
    against = sides_against(position, where)
    if not against or not EXPECTED.get(position):
        return ""
    said = SPARED.say(against=_shown(against), position=POSITION_WORDS[position])
    return f"{said} {NEVER}"

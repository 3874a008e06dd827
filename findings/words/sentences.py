"""The standard sentence of a finding, from its data alone. No database, no clock."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from findings.words.vocabulary import UNCOUNTED, color_first

_NAMES = ("Tardieu ", "Wischnewski ")
# Places in which, not on which, something lies.
_IN = ("midline of", "gluteal cleft")
# Under this crown-heel length a tap tells half centimeters.
SMALL_BODY_CM = 100
# Numbers that begin with a vowel when read aloud: eight, eleven, eighteen, eighty ...
_SPOKEN_WITH_AN = ("11", "18")


@dataclass(frozen=True)
class Facts:
    """What the sentence is made of; lengths are None and words empty where nothing was recorded.

    `from_midline_cm` is positive to the body's left and 0 in the midline. `separate_marks` is a
    counted range of repeated marks (12 to 15), `far_end` says where a pair's second place lies.
    `places` is the number of marks of which the position is only the first one's. `tapped_cm` is
    the crown-heel length when the position follows from a tapped mark, None when it was measured.
    """

    term: str
    place: str = ""
    above_heel_cm: float | None = None
    from_midline_cm: float | None = None
    midline: str = ""
    length_mm: float | None = None
    width_mm: float | None = None
    depth_mm: float | None = None
    seen_as: str = ""
    shape: str = ""
    margins: str = ""
    colour: str = ""
    pattern: str = ""
    vital_reaction: str = ""
    separate_marks: str = ""
    far_end: str = ""
    places: int = 1
    tapped_cm: float | None = None


def standard_sentence(facts: Facts) -> str:
    """The finding in the words of a report; empty as long as it has no term.

    "On the right lateral chest wall, centered 121.4 cm above the heel and 14.2 cm right of the
    anterior midline, is an 11.0 × 6.5 cm purple-red contusion."
    """
    if not facts.term.strip():
        return ""
    colour, more_color, rest = _colored(facts)
    what = _described(facts, colour)
    where = _where(facts)
    verb = "are" if is_plural(facts.term) else "is"
    sentence = f"{where} {verb} {what}." if where else f"There {verb} {what}."
    if facts.separate_marks:
        sentence += f" Within the outlined area are {facts.separate_marks} separate marks."
    if facts.far_end:
        sentence += f" {facts.far_end}."
    named = (
        ("Color", more_color),
        ("Shape", facts.shape),
        ("Margins", facts.margins),
        ("Pattern", facts.pattern),
        ("Vital reaction", facts.vital_reaction),
        ("Also seen", rest),
    )
    for name, words in named:
        if words.strip():
            sentence += f" {name}: {begin_small(words.strip()).rstrip('. ')}."
    return sentence


def _colored(facts: Facts) -> tuple[str, str, str]:
    """The color that stands before the term, what else is said of it, and what else was seen."""
    first_seen, rest = color_first(facts.seen_as)
    if not facts.colour.strip():
        return first_seen, "", rest
    colour, more = color_first(facts.colour)
    # A color that was typed twice is said once.
    return colour, more, rest if first_seen == colour else facts.seen_as.strip()


def _described(facts: Facts, colour: str) -> str:
    term = begin_small(facts.term.strip())
    words = " ".join(part for part in (size_words(facts), colour, term) if part)
    if facts.depth_mm is not None:
        words += f", {small_cm(facts.depth_mm)} cm deep"
    # A size makes even an uncounted thing one: a 9.0 × 6.0 cm hemorrhage.
    uncounted = term in UNCOUNTED and facts.length_mm is None
    if is_plural(term) or uncounted:
        return words
    return f"{article(words)} {words}"


def size_words(facts: Facts) -> str:
    """Length and width in cm as `small_cm` says them: 11.0 × 6.5 cm; empty when not measured."""
    parts = [small_cm(part) for part in (facts.length_mm, facts.width_mm) if part is not None]
    return f"{' × '.join(parts)} cm" if parts else ""


def _where(facts: Facts) -> str:
    distances = []
    if facts.above_heel_cm is not None:
        distances.append(height_words(facts.above_heel_cm, facts.tapped_cm))
    # A place that is named by the midline says it once.
    said_already = facts.from_midline_cm == 0 and facts.place.startswith("Midline of")
    if facts.from_midline_cm is not None and facts.midline and not said_already:
        distances.append(midline_words(facts.from_midline_cm, facts.midline, facts.tapped_cm))
    first = f"the first of {facts.places} marks " if facts.places > 1 else ""
    measured = f"{first}centered {' and '.join(distances)}" if distances else ""
    if not facts.place.strip():
        return measured[:1].upper() + measured[1:] if measured else ""
    said = begin_small(facts.place.strip().removeprefix("the "))
    place = f"On {said}" if said.startswith("both ") else f"On the {said}"
    if said.startswith(_IN):
        place = f"In the {said}"
    return f"{place}, {measured}," if measured else place


def far_end_words(
    end: str, place: str, above_heel_cm: float | None, tapped_cm: float | None = None
) -> str:
    """Where the second place of a pair lies: The exit is on the left upper back, ..."""
    what = {"exit": "The exit is", "recovered": "The object was recovered"}[end]
    height = "" if above_heel_cm is None else f", {height_words(above_heel_cm, tapped_cm)}"
    where = begin_small(place.strip())
    preposition = "at" if end == "recovered" else "in" if where.startswith(_IN) else "on"
    return f"{what} {preposition} the {where}{height}" if where else ""


def height_words(above_heel_cm: float, tapped_cm: float | None = None) -> str:
    """The height in words: 121.1 cm when measured, about 121 cm when it follows from a tap."""
    return f"{length_words(above_heel_cm, tapped_cm)} above the heel"


def midline_words(from_midline_cm: float, midline: str, tapped_cm: float | None = None) -> str:
    """The distance from the midline in words; positive is to the body's left."""
    if from_midline_cm == 0:
        return f"in the {midline} midline"
    side = "left" if from_midline_cm > 0 else "right"
    return f"{length_words(abs(from_midline_cm), tapped_cm)} {side} of the {midline} midline"


def length_words(centimeters: float, tapped_cm: float | None = None) -> str:
    """A length as it is said; one that follows from a tap is no finer than a tap can tell.

    A tap is good to about 3 thousandths of crown-heel length: whole centimeters, half ones on a
    body under 100 cm (common practice).
    """
    if tapped_cm is None:
        return f"{centimeters:.1f} cm"
    if tapped_cm < SMALL_BODY_CM:
        return f"about {round(centimeters * 2) / 2:.1f} cm"
    return f"about {centimeters:.0f} cm"


def article(words: str) -> str:
    """The indefinite article as the words are read aloud: an 11.0 × 6.5 cm, a 3.1 × 1.6 cm."""
    first = words.split()[0].lower()
    whole = first.split(".")[0]
    if whole.isdigit():
        return "an" if whole in _SPOKEN_WITH_AN or whole.startswith("8") else "a"
    return "an" if first[0] in "aeiou" else "a"


def is_plural(term: str) -> bool:
    """Tell whether a term names several things: fractures, electrode pads, petechiae."""
    noun = term.strip().lower().split(",")[0].split(" of ")[0]
    if noun.endswith("petechiae"):
        return True
    return noun.endswith("s") and not noun.endswith(("ss", "is", "us"))


def share_words(percent: float) -> str:
    """A share of the body surface: 0.8 %; what would round to nothing is said to be small."""
    return f"{percent:.1f} %" if percent >= 0.05 else "under 0.1 %"


def layers_sentence(layers: Iterable[tuple[str, bool, str]]) -> str:
    """Layers (name, examined, found) in a sentence each; what was not examined is said."""
    said = []
    for layer, examined, found in layers:
        name = layer[:1].upper() + layer[1:]
        if examined:
            said.append(f"{name}: {found.strip().rstrip('.')}.")
        else:
            more = f" ({found.strip().rstrip('.')})" if found.strip() else ""
            said.append(f"{name}: not examined{more}.")
    return " ".join(said)


def begin_small(words: str) -> str:
    """The words with a small first letter, as inside a sentence."""
    # Abbreviations and names keep their capitals; an article is neither.
    if (words[:2].isupper() and words[1:2] != " ") or words.startswith(_NAMES):
        return words
    return words[:1].lower() + words[1:]


def small_cm(length_mm: float) -> str:
    """Millimeters as centimeters with one decimal; under 2 mm with the second, where it says more.

    A hole of 0.6 mm is 0.06 cm and not 0.1.
    """
    told = f"{length_mm / 10:.2f}"
    return told if length_mm < 2 and not told.endswith("0") else f"{length_mm / 10:.1f}"

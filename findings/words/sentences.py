"""Small pieces of a finding's sentences: places, lengths, articles. No database, no clock."""

from __future__ import annotations

_NAMES = ("Tardieu ", "Wischnewski ")
# Places in which, not on which, something lies.
IN_WHICH = ("midline of", "gluteal cleft")
# Under this crown-heel length a tap tells half centimeters.
SMALL_BODY_CM = 100
# Numbers that begin with a vowel when read aloud: eight, eleven, eighteen, eighty ...
_SPOKEN_WITH_AN = ("11", "18")


def far_end_words(
    end: str, place: str, above_heel_cm: float | None, tapped_cm: float | None = None
) -> str:
    """Where the second place of a pair lies: The exit is on the left upper back, ..."""
    what = {"exit": "The exit is", "recovered": "The object was recovered"}[end]
    height = "" if above_heel_cm is None else f", {height_words(above_heel_cm, tapped_cm)}"
    where = begin_small(place.strip())
    preposition = "at" if end == "recovered" else "in" if where.startswith(IN_WHICH) else "on"
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
    noun = term.strip().lower().split(",")[0].split(" of ")[0].split(" (")[0]
    if noun.endswith("petechiae"):
        return True
    return noun.endswith("s") and not noun.endswith(("ss", "is", "us"))


def share_words(percent: float) -> str:
    """A share of the body surface: 0.8 %; what would round to nothing is said to be small."""
    return f"{percent:.1f} %" if percent >= 0.05 else "under 0.1 %"


def begin_small(words: str) -> str:
    """The words with a small first letter, as inside a sentence."""
    # Abbreviations and names keep their capitals; an article is neither.
    if (words[:2].isupper() and words[1:2] != " ") or words.startswith(_NAMES):
        return words
    return words[:1].lower() + words[1:]


def size_words(length_mm: float | None, width_mm: float | None) -> str:
    """Length and width in cm as `small_cm` says them: 11.0 × 6.5 cm; empty when not measured."""
    sizes = [small_cm(part) for part in (length_mm, width_mm) if part is not None]
    return f"{' × '.join(sizes)} cm" if sizes else ""


def several(term: str) -> str:
    """A term for more than one: contusions, fingertip-type; gunshot wounds of entrance."""
    for mark in (",", " of ", " ("):
        if mark in term:
            head, rest = term.split(mark, 1)
            return f"{several(head)}{mark}{rest}"
    if term.endswith(("s", "x", "ch", "sh")):
        return f"{term}es"
    if term.endswith("y") and term[-2:-1] not in "aeiou":
        return f"{term[:-1]}ies"
    return f"{term}s"


def small_cm(length_mm: float) -> str:
    """Millimeters as centimeters with one decimal; under 2 mm with the second, where it says more.

    A hole of 0.6 mm is 0.06 cm and not 0.1.
    """
    told = f"{length_mm / 10:.2f}"
    return told if length_mm < 2 and not told.endswith("0") else f"{length_mm / 10:.1f}"

"""What was seen of a finding, in the sentences of a report, from its data alone. No database."""

from __future__ import annotations

from dataclasses import dataclass

from findings.prose import lexicon
from findings.prose.house import STANDARD, Phrasing
from findings.prose.phrases import (
    WHOSE,
    Form,
    Fragment,
    begun,
    joined,
    measured_out,
    parts,
    quoted,
    read,
    sentence,
    with_article,
)
from findings.words.sentences import (
    IN_WHICH,
    article,
    begin_small,
    height_words,
    is_plural,
    midline_words,
    several,
    size_words,
    small_cm,
)
from findings.words.vocabulary import UNCOUNTED, color_first


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


def standard_sentence(facts: Facts, phrasing: Phrasing = STANDARD) -> str:
    """The finding in the words of a report; empty as long as it has no term.

    "On the right lateral chest wall, centered 121.4 cm above the heel and 14.2 cm right of the
    anterior midline, is an 11.0 × 6.5 cm purple-red contusion. It has an ill-defined edge."
    """
    if not facts.term.strip():
        return ""
    how, seen = _seen(facts)
    where = _where(facts)
    verb = "are" if is_plural(facts.term) else "is"
    what = _described(facts, how)
    said = [f"{where} {verb} {what}." if where else f"There {verb} {what}."]
    if facts.separate_marks:
        said.append(sentence(phrasing.say("marks-within", count=facts.separate_marks)))
    if facts.far_end:
        said.append(f"{facts.far_end}.")
    said += seen_sentences(seen, many=is_plural(facts.term))
    said.append(_vital(facts.vital_reaction, many=is_plural(facts.term)))
    return " ".join(one for one in said if one)


def described_several(facts: Facts, count: str) -> tuple[str, list[str]]:
    """Several findings like this one: "four linear abrasions", and what was seen of them."""
    how, seen = _seen(facts)
    words = " ".join(one for one in (count, how, several(begin_small(facts.term.strip()))) if one)
    vital = _vital(facts.vital_reaction, many=True)
    return words, [*seen_sentences(seen, many=True), *([vital] if vital else [])]


def _seen(facts: Facts) -> tuple[str, list[Fragment]]:
    """What stands before the term (color, a shape of one word), and what is said after it."""
    color, more_color, rest = _colored(facts)
    shape = read(facts.shape)
    is_adjective = shape.form == Form.QUALITY and len(shape.words.split()) == 1
    seen = [] if is_adjective or not shape.words else [_named(shape, "shape")]
    seen += [_named(read(facts.margins), "margins")] if facts.margins.strip() else []
    seen += parts(more_color)
    seen += parts(rest)
    seen += [_named(read(facts.pattern), "pattern")] if facts.pattern.strip() else []
    return " ".join(one for one in (color, shape.words if is_adjective else "") if one), seen


def seen_sentences(fragments: list[Fragment], *, many: bool) -> list[str]:
    """What was seen of a finding in whole sentences: It is firm, with an ill-defined edge.

    `many` tells that the finding's term names several things.
    """
    it, verb, shows = ("They", "are", "show") if many else ("It", "is", "shows")
    strung = [one for one in fragments if one.form in _STRUNG]
    told: list[tuple[int, str]] = []
    if strung:
        # Only words without a clause of their own can be strung together.
        qualities = [one.words for one in strung if one.form == Form.QUALITY]
        things = [measured_out(with_article(one)) for one in strung if one.form != Form.QUALITY]
        said = f"{it} {shows} {joined(things)}"
        if qualities:
            more = f", with {joined(things)}" if things else ""
            said = f"{it} {verb} {joined(qualities)}{more}"
        told.append((fragments.index(strung[0]), sentence(said)))
    for at, one in enumerate(fragments):
        if one.form == Form.PREDICATE:
            told.append((at, sentence(f"{it} {one.words}")))
        elif one.form == Form.STATE:
            told.append((at, state_sentence(one)))
        elif one.form == Form.CLAUSE:
            told.append((at, sentence(one.words)))
    said_in_order = [words for _, words in sorted(told)]
    unknown = [one.words for one in fragments if one.form in (Form.UNKNOWN, Form.NOTHING)]
    if unknown:
        said_in_order.append(quoted(it, unknown, many))
    return said_in_order


def state_sentence(fragment: Fragment) -> str:
    """A thing and how it is, as a sentence: The edges are blood-stained; Rib 4 is broken."""
    return sentence(state_words(fragment))


def state_words(fragment: Fragment) -> str:
    """The same inside a sentence: the edges are blood-stained."""
    named = fragment.head
    numbered = any(letter.isdigit() for letter in named)
    the = "" if numbered or named.split()[0].lower() in WHOSE else "the "
    return f"{the}{named} {'are' if fragment.many else 'is'} {measured_out(fragment.words)}"


def _named(fragment: Fragment, name: str) -> Fragment:
    """A field's words with what the field is: sharp gives sharp margins, oval an oval shape."""
    if name.rstrip("s") in fragment.words.lower() or "edge" in fragment.words.lower():
        return fragment
    many = name == "margins"
    if fragment.form == Form.QUALITY:
        said = fragment.words.split()
        plain = "," not in fragment.words and said[0] != "not" and len(said) <= 3
        if plain and not lexicon.PREPOSITIONS & {*said} and said[-1] not in lexicon.DEGREES:
            return Fragment(f"{fragment.words} {name}", Form.THING, many=many)
        return Fragment(fragment.words, Form.STATE, many=many, head=f"its {name}")
    if fragment.form == Form.THING and name != "margins":
        return Fragment(f"{name} of {with_article(fragment)}", Form.THING)
    if fragment.form in (Form.THING, Form.NONE, Form.NOTHING):
        return (
            Fragment(f"the {name} were recorded as {fragment.words}", Form.CLAUSE)
            if many
            else (Fragment(f"the {name} was recorded as {fragment.words}", Form.CLAUSE))
        )
    return fragment


_STRUNG = frozenset({Form.QUALITY, Form.THING, Form.NONE})


def _vital(words: str, *, many: bool) -> str:
    found = read(words)
    if not found.words:
        return ""
    if found.form == Form.NOTHING:
        return "No vital reaction is seen."
    if found.form == Form.NONE:
        return sentence(
            f"as to a vital reaction, {'there are' if found.many else 'there is'} {found.words}"
        )
    if found.form == Form.THING:
        shown = measured_out(with_article(found))
        return sentence(f"{'they show' if many else 'it shows'} a vital reaction, {shown}")
    if found.form == Form.STATE:
        return state_sentence(found)
    if found.form == Form.CLAUSE:
        return sentence(found.words)
    return quoted("The vital reaction", [found.words], many=False)


def _colored(facts: Facts) -> tuple[str, str, str]:
    """The color that stands before the term, what else is said of it, and what else was seen."""
    first_seen, rest = color_first(facts.seen_as)
    if not facts.colour.strip():
        return first_seen, "", rest
    colour, more = color_first(facts.colour)
    # A color that was typed twice is said once.
    return colour, more, rest if first_seen == colour else facts.seen_as.strip()


def _described(facts: Facts, how: str) -> str:
    term = begin_small(facts.term.strip())
    # What is not counted has no size of its own; the area of it has.
    uncounted = term in UNCOUNTED
    if uncounted and facts.length_mm is not None:
        term = f"area of {' '.join(one for one in (how, term) if one)}"
        how = ""
    words = " ".join(
        part for part in (size_words(facts.length_mm, facts.width_mm), how, term) if part
    )
    if facts.depth_mm is not None:
        words += f", {small_cm(facts.depth_mm)} cm deep"
    if is_plural(facts.term) or (uncounted and facts.length_mm is None):
        return words
    return f"{article(words)} {words}"


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
    return place_words(facts.place, measured)


def place_words(place: str, measured: str) -> str:
    """A place and where it was measured, as a sentence begins: "On the left thigh, ...,"."""
    if not place.strip():
        return begun(measured)
    said = begin_small(place.strip().removeprefix("the "))
    where = f"On {said}" if said.startswith("both ") else f"On the {said}"
    if said.startswith(IN_WHICH):
        where = f"In the {said}"
    if measured:
        return f"{where}, {measured},"
    return f"{where}," if "," in where else where

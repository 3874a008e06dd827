"""Counting injuries by what made them: wounds by firearm and blade, impacts by blunt force.

A gunshot or a stab is counted as a wound (of entrance, of exit; stab, incised); only blunt force is
counted in impacts. Common practice; no published standard for counting was found.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from findings.rules import CountKind, PathEnd


class Cause(StrEnum):
    """What made an injury, as far as counting goes."""

    BLUNT = "blunt force"
    SHARP = "sharp force"
    FIREARM = "firearm"
    OTHER = "other"
    NOT_SAID = "not said"


# Beginnings of words. A mechanism is typed freely: "Blunt force", "Blunt" and "blunt trauma" agree.
_BY_MECHANISM = {
    Cause.BLUNT: re.compile(r"\bblunt", re.I),
    Cause.SHARP: re.compile(r"\b(sharp|stab(s|bed|bing)?\b|incis|chop)", re.I),
    Cause.FIREARM: re.compile(r"\b(firearm|gunshot|shotgun|ballistic)", re.I),
}
_BY_TERM = {
    Cause.BLUNT: re.compile(r"\b(contusion|bruise|abrasion|laceration|blunt)", re.I),
    Cause.SHARP: re.compile(r"\b(stab|incised|chop|cuts?|slash|sharp)\b", re.I),
    Cause.FIREARM: re.compile(r"\b(gunshot|gsw\b|shotgun|firearm|bullet|shored exit)", re.I),
}
END_NOT_SAID = "entrance or exit not said"
# What a wound of its kind is called; the first that fits decides.
_SHARP_KINDS = (
    ("stab", re.compile(r"\bstab\b", re.I)),
    ("incised", re.compile(r"\b(incised|cuts?|slash)\b", re.I)),
    ("chop", re.compile(r"\bchop\b", re.I)),
    ("other", re.compile(r"\b(wound|injur)", re.I)),
)
_FIREARM_KINDS = (
    ("entrance", re.compile(r"\b(entrance|entry)\b", re.I)),
    ("exit", re.compile(r"\bexit\b", re.I)),
    ("graze", re.compile(r"\b(graze|tangential)", re.I)),
    (END_NOT_SAID, re.compile(r"\b(wound|injur|gsw\b)", re.I)),
)


@dataclass(frozen=True)
class CountedInjury:
    """What counting needs of an injury.

    Findings that one impact may have left carry the same group. `ends` are the ends of a pair that
    are marked on this finding and are no finding of their own; `projectile_paths` are its recorded
    paths, `projectiles` those of them that end at a recovered object.
    """

    impacts_kind: str
    impacts: int | None
    group: str = ""
    term: str = "Contusion"
    mechanism: str = ""
    ends: frozenset[str] = frozenset()
    projectile_paths: int = 0
    projectiles: int = 0


@dataclass(frozen=True)
class Tally:
    """A number with how it is meant; `not_determined` findings could not be given one."""

    number: int = 0
    is_exact: bool = True
    not_determined: int = 0
    without_number: int = 0

    @property
    def words(self) -> str:
        """The number as it may be said; exact only where nothing stands against it."""
        if not self.number:
            return "number not determined" if self.not_determined else ""
        said = f"{CountKind.EXACTLY if self.is_exact else CountKind.AT_LEAST} {self.number}"
        if self.not_determined:
            said += f"; {_findings(self.not_determined)} without a determined number"
        if self.without_number:
            said += f"; no number recorded for {_findings(self.without_number)}"
        return said


@dataclass(frozen=True)
class InjuryCounts:
    """How many impacts and wounds the counted injuries show, by what made them."""

    impacts: Tally = field(default_factory=Tally)
    other_impacts: Tally = field(default_factory=Tally)
    sharp: dict[str, Tally] = field(default_factory=dict)
    firearm: dict[str, Tally] = field(default_factory=dict)
    projectile_paths: int = 0
    projectiles: int = 0

    @property
    def sentences(self) -> list[str]:
        """One sentence a kind of injury, for the report."""
        said = []
        if self.firearm:
            said.append(f"Gunshot wounds: {_by_kind(self.firearm)}.")
        if self.projectile_paths:
            said.append(_recovered(self.projectiles, self.projectile_paths))
        if self.sharp:
            said.append(f"Sharp force wounds: {_by_kind(self.sharp)}.")
        if self.impacts.words:
            said.append(_distinguished(self.impacts, "blunt impact"))
        if self.other_impacts.words:
            said.append(
                _distinguished(self.other_impacts, "impact", " of another or no recorded mechanism")
            )
        if any(one.number and not one.is_exact for one in (self.impacts, self.other_impacts)):
            said.append("There may have been more impacts than could be told apart.")
        return said

    @property
    def words(self) -> str:
        """The same in one line."""
        return " ".join(self.sentences)

    @property
    def brief(self) -> str:
        """Numbers alone, for the head of a list: 2 gunshot wounds, at least 3 blunt impacts."""
        sums = (
            ("gunshot wound", _sum_words([*self.firearm.values()])),
            ("sharp force wound", _sum_words([*self.sharp.values()])),
            ("blunt impact", _sum_words([self.impacts])),
        )
        return ", ".join(_counted(number, what) for what, number in sums if number)


def cause_of(mechanism: str, term: str) -> Cause:
    """Tell what made an injury: what its mechanism says, else what its term says.

    A mechanism that names two of them, or none ("Thermal"), is another one: it is not guessed.
    """
    if mechanism.strip():
        named = [cause for cause, words in _BY_MECHANISM.items() if words.search(mechanism)]
        return named[0] if len(named) == 1 else Cause.OTHER
    named = [cause for cause, words in _BY_TERM.items() if words.search(term)]
    return named[0] if len(named) == 1 else Cause.NOT_SAID


def counts_of(injuries: Iterable[CountedInjury]) -> InjuryCounts:
    """Count injuries by what made them. Exact stays exact, and a doubt in one is a doubt in all."""
    by_cause: dict[Cause, list[CountedInjury]] = {cause: [] for cause in Cause}
    for injury in injuries:
        by_cause[cause_of(injury.mechanism, injury.term)].append(injury)
    shot = by_cause[Cause.FIREARM]
    return InjuryCounts(
        impacts=impacts_total(by_cause[Cause.BLUNT]),
        other_impacts=impacts_total(
            one for one in by_cause[Cause.OTHER] + by_cause[Cause.NOT_SAID] if one.impacts_kind
        ),
        sharp=_wounds(by_cause[Cause.SHARP], _SHARP_KINDS),
        firearm=_gunshots(shot),
        projectile_paths=sum(one.projectile_paths for one in shot),
        projectiles=sum(one.projectiles for one in shot),
    )


def counts_among(injuries: Mapping[int, CountedInjury], numbers: Collection[int]) -> InjuryCounts:
    """Count only the injuries of these numbers: those that a picture shows, or of a region.

    By the rule of the whole, so a group is one there too. The far end of a pair, a path and what
    was recovered on it lie elsewhere on the body, or in it, and are left out.
    """
    return counts_of(_alone(one) for number, one in injuries.items() if number in numbers)


def _alone(injury: CountedInjury) -> CountedInjury:
    """The injury as one place of it shows it.

    A wound of which only its marks say whether it is entrance or exit keeps one of them.
    """
    ends = sorted({PathEnd.ENTRANCE.value, PathEnd.EXIT.value} & injury.ends)
    unsaid = _kind_of(injury.term, _FIREARM_KINDS) == END_NOT_SAID
    kept = frozenset(ends[:1] if unsaid else ())
    return replace(injury, ends=kept, projectile_paths=0, projectiles=0)


@dataclass(frozen=True)
class Least:
    """The smallest number that is certain, in words; `more` where there may have been more."""

    words: str
    blunt: int
    more: bool


def least_of(counts: InjuryCounts) -> Least:
    """Say the counts as minimums: at least 3 blunt impacts; there may have been more.

    Marks alone never give a largest number of impacts, so an exact one is a minimum as well.
    """
    wounds = (
        ("gunshot wound", [*counts.firearm.values()]),
        ("sharp force wound", [*counts.sharp.values()]),
    )
    impacts = (
        ("blunt impact", counts.impacts),
        ("impact of another or no recorded mechanism", counts.other_impacts),
    )
    said = [_counted(_sum_words(tallies), what) for what, tallies in wounds]
    said += [_counted(f"at least {one.number}", what) for what, one in impacts if one.number]
    tallies = [*(one for _, of in wounds for one in of), *(one for _, one in impacts)]
    more = any(one.number and not one.is_exact for one in tallies)
    words = "; ".join(
        part
        for part in (
            ", ".join(filter(None, said)),
            "there may have been more" if more else "",
            _unsaid("a number cannot be determined for", sum(t.not_determined for t in tallies)),
            _unsaid("no number is recorded for", sum(t.without_number for t in tallies)),
        )
        if part
    )
    return Least(words, counts.impacts.number, more)


def _counted(number: str, what: str) -> str:
    """A number with what is counted: at least 3 blunt impacts; nothing for no number."""
    if not number:
        return ""
    one, _, rest = what.partition(" of ")
    many = one if number.split()[-1] == "1" else f"{one}s"
    return f"{number} {many}" + (f" of {rest}" if rest else "")


def _unsaid(words: str, number: int) -> str:
    return f"{words} {_findings(number)}" if number else ""


def impacts_total(injuries: Iterable[CountedInjury]) -> Tally:
    """Add up impacts.

    Within a group only the largest count is taken, because one impact may have left several marks
    and overlapping marks are never counted twice. The sum is exact only where each injury has an
    exact number and none shares a group with another: `may have left` is not `has left`.
    """
    alone, unsaid, without, exact = 0, 0, 0, True
    groups: dict[str, list[int]] = {}
    for injury in injuries:
        if injury.impacts_kind == CountKind.CANNOT_SAY:
            unsaid += 1
            continue
        if not injury.impacts_kind or not injury.impacts:
            without += 1
            continue
        exact = exact and injury.impacts_kind == CountKind.EXACTLY
        if injury.group:
            groups.setdefault(injury.group, []).append(injury.impacts)
        else:
            alone += injury.impacts
    exact = exact and not unsaid and not without and all(len(one) == 1 for one in groups.values())
    return Tally(alone + sum(map(max, groups.values())), exact, unsaid, without)


def _wounds(
    injuries: list[CountedInjury], kinds: tuple[tuple[str, re.Pattern[str]], ...]
) -> dict[str, Tally]:
    """Wounds by kind. What is no wound (a fracture on the path, a hemothorax) is not counted."""
    found: dict[str, Tally] = {}
    for kind, _ in kinds:
        of_kind = [one for one in injuries if _kind_of(one.term, kinds) == kind]
        if of_kind:
            found[kind] = _sum_of(of_kind)
    return found


def _kind_of(term: str, kinds: tuple[tuple[str, re.Pattern[str]], ...]) -> str:
    return next((kind for kind, words in kinds if words.search(term)), "")


def _sum_of(wounds: list[CountedInjury]) -> Tally:
    """A wound that was given no number is one; a finding in the plural is at least two."""
    number, exact, unsaid = 0, True, 0
    for wound in wounds:
        if wound.impacts_kind == CountKind.CANNOT_SAY:
            unsaid, exact = unsaid + 1, False
        elif wound.impacts_kind and wound.impacts:
            number += wound.impacts
            exact = exact and wound.impacts_kind == CountKind.EXACTLY
        elif re.search(r"\b(wounds|injuries)\b", wound.term, re.I):
            number, exact = number + 2, False
        else:
            number += 1
    return Tally(number, exact, unsaid)


def _gunshots(shot: list[CountedInjury]) -> dict[str, Tally]:
    """Gunshot wounds by kind; an end that is marked on a finding of another name counts too."""
    more = {PathEnd.ENTRANCE: 0, PathEnd.EXIT: 0}
    named: list[CountedInjury] = []
    for one in shot:
        kind = _kind_of(one.term, _FIREARM_KINDS)
        marked = [end for end in more if kind and end in one.ends and kind != end]
        for end in marked:
            more[end] += 1
        if not (marked and kind == END_NOT_SAID):
            named.append(one)
    found = _wounds(named, _FIREARM_KINDS)
    for end, number in more.items():
        if number:
            was = found.get(end, Tally())
            found[end] = Tally(was.number + number, was.is_exact, was.not_determined)
    return {kind: found[kind] for kind, _ in _FIREARM_KINDS if kind in found}


def _recovered(recovered: int, paths: int) -> str:
    """Say of the paths that are recorded, not of the body: more may be lodged or found in it."""
    if paths == 1:
        return f"The recorded wound path ends at {'a' if recovered else 'no'} recovered projectile."
    if recovered in (0, paths):
        return (
            f"{'Each' if recovered else 'None'} of the {paths} recorded wound paths ends at a "
            "recovered projectile."
        )
    end = "ends" if recovered == 1 else "end"
    return f"{recovered} of the {paths} recorded wound paths {end} at a recovered projectile."


def _by_kind(tallies: dict[str, Tally]) -> str:
    return ", ".join(f"{kind} {_bare(tally)}" for kind, tally in tallies.items())


def _bare(tally: Tally) -> str:
    """A number of wounds: 3, at least 3; exact needs no word where each one is described."""
    return tally.words.removeprefix(f"{CountKind.EXACTLY} ").replace("; ", " and ")


def _sum_words(tallies: list[Tally]) -> str:
    number = sum(one.number for one in tallies)
    if not number:
        return ""
    return str(number) if all(one.is_exact for one in tallies) else f"at least {number}"


def _distinguished(tally: Tally, what: str, more: str = "") -> str:
    """Say how many could be told apart: At least 4 blunt impacts are distinguished."""
    count, _, rest = tally.words.partition("; ")
    if not tally.number:
        return f"The number of {what}s{more} is not determined."
    several = tally.number != 1
    said = (
        f"{count} {what}{'s' if several else ''}{more} {'are' if several else 'is'} distinguished"
    )
    return f"{said[:1].upper()}{said[1:]}{f'; {rest}' if rest else ''}."


def _findings(number: int) -> str:
    return "1 finding" if number == 1 else f"{number} findings"

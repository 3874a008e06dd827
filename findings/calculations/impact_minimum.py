"""The smallest number of impacts that explains the marks.

Marks that were not caused by impact are left out; marks that overlap, or that one blow could have
caused, count once. The pathologist decides which marks those are and why; the method only counts.

Formula:
    at least = number of groups left after joining overlapping marks and marks of one blow

Range:
    Blunt impacts. Other injuries are counted by wound.

Sources:
    - Common practice in forensic pathology reporting; no published standard was found.
    - That overlapping blunt marks cannot be separated and that one blow can leave several marks is
      textbook matter (DiMaio and DiMaio; Saukko and Knight): from memory.

Cautions:
    - A minimum only: repeated blows at one place leave one mark, padded or glancing ones none.
    - Marks alone never give an exact or a largest number.
    - Which marks one blow could explain is the pathologist's decision, recorded with its reason.
    - A fall onto several planes or a vehicle can leave many marks in one event: an impact is not a
      blow by a person.
"""

from __future__ import annotations

from findings.calculations.fields import BadInput, Field, Inputs, Kind
from findings.calculations.method import ResultField, define
from findings.calculations.result import Outcome, Plain


def joined(marks: list[str], links: list[list[str]]) -> list[list[str]]:
    """Groups of marks connected by links, in the order of their first mark."""
    group_of = {mark: {mark} for mark in marks}
    for link in links:
        whole = set().union(*(group_of[mark] for mark in link))
        for mark in whole:
            group_of[mark] = whole
    groups: list[list[str]] = []
    seen: set[str] = set()
    for mark in marks:
        if mark not in seen:
            groups.append([other for other in marks if other in group_of[mark]])
            seen |= group_of[mark]
    return groups


def _links(inputs: Inputs, name: str, marks: set[str], excluded: set[str]) -> list[list[str]]:
    """Links between counted marks; an excluded mark joins nothing."""
    links = []
    for link in inputs.values.get(name, []):
        for mark in link:
            if mark not in marks:
                raise BadInput(name, f"names {mark!r}, which is not among the marks")
        if len(link) < 2:
            raise BadInput(name, "each entry must name two marks or more")
        kept = [mark for mark in link if mark not in excluded]
        if len(kept) > 1:
            links.append(kept)
    return links


def compute(inputs: Inputs) -> Outcome:
    """At least how many impacts, and the groups that were counted."""
    marks: list[str] = inputs.raw("marks")
    known = set(marks)
    if len(known) < len(marks):
        raise BadInput("marks", "names a mark twice")
    excluded = set(inputs.values.get("excluded", []))
    if excluded - known:
        raise BadInput("excluded", f"names {min(excluded - known)!r}, which is not among the marks")
    links = _links(inputs, "overlapping", known, excluded)
    links += _links(inputs, "possibly_one_blow", known, excluded)
    groups = joined([mark for mark in marks if mark not in excluded], links)
    plain_groups: list[Plain] = [list[Plain](group) for group in groups]
    return Outcome(
        fields={
            "at_least": len(groups),
            "wording": f"at least {len(groups)}" if groups else "no impact counted",
            "groups": plain_groups,
        },
        value=len(groups),
        unit="impacts",
    )


METHOD = define(
    __doc__,
    name="impacts",
    other_names=("impact_minimum",),
    title="Smallest number of impacts",
    version="1.0",
    fields=(
        Field("marks", Kind.TEXTS, "All marks considered, by name.", required=True),
        Field("overlapping", Kind.GROUPS, "Marks that overlap."),
        Field("possibly_one_blow", Kind.GROUPS, "Marks that one blow could have caused."),
        Field("excluded", Kind.TEXTS, "Marks not caused by impact, such as those of treatment."),
    ),
    result_fields=(
        ResultField("at_least", "impacts", "Smallest number of impacts."),
        ResultField("wording", "", "How to write it."),
        ResultField("groups", "", "Marks that were counted as one."),
    ),
    example={"marks": ["A", "B", "C"], "overlapping": [["A", "B"]]},
    compute=compute,
)

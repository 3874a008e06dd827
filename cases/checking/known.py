"""A case that was read, as the rules of completeness see it."""

from __future__ import annotations

import re
from typing import Any

from cases.certification.items import injury_items_left, other_items_left
from cases.certification.queries import DAYS_A_YEAR
from cases.certification.rules import Manner, lines_of
from cases.checking.facts import Facts, Injury, Reported, Specimen
from cases.checking.places import groups_of
from cases.checking.reading import CaseRead
from cases.checking.told import regions_of
from cases.rules.case import Certainty
from findings.models import Finding
from findings.rules import FindingClass, Timing
from findings.systems.queries import systems_words
from findings.words.counting import cause_of

_PATTERN_NONE = re.compile(r"\b(?:no|none|not)\b", re.I)
# Of these, whether the skin shows soot, or how they lie, is not asked.
_NOT_ASKED = frozenset({Timing.HEALED, Timing.POSTMORTEM})


def facts_of(read: CaseRead) -> Facts:
    """Return a case as plain values."""
    return Facts(
        **_of_call_and_scene(read),
        **_of_decedent(read),
        **_of_examination(read),
        **_of_items(read),
        **_of_conclusion(read),
    )


def _of_call_and_scene(read: CaseRead) -> dict[str, Any]:
    call, scene = read.one("report_of_death"), read.one("scene")
    state = "visited" if scene else "not visited" if "scene" in read.not_done else ""
    return {
        "heading": read.case.heading,
        "called": call is not None,
        "decided": read.case.check_decided,
        "circumstances": call.circumstances if call else "",
        "last_alive": bool(call and call.last_alive_certainty != Certainty.UNKNOWN),
        "found_by": bool(call and call.found_by),
        "pronounced": bool(call and (call.pronounced_by or call.pronounced_at)),
        "scene": state,
        "scene_agencies": bool(scene and scene.agencies),
        "scene_surroundings": bool(scene and (scene.environment or scene.narrative)),
        "scene_position": bool(scene and (scene.position or scene.position_words)),
        "scene_changes": bool(scene and (scene.lividity_where or scene.rigor)),
        "scene_temperatures": read.case.check_temperatures,
        "scene_marks": bool(scene and (scene.body_marks or scene.narrative)),
        "scene_photographs": sum(one.place == "scene" for one in read.photographs),
    }


def _of_decedent(read: CaseRead) -> dict[str, Any]:
    decedent = read.one("decedent")
    steps = tuple(read.identified)
    return {
        "identity": decedent.identity if decedent else "unknown",
        "identity_method": steps[0] if steps else "",
        "identity_tried": steps,
        "sex": decedent.sex if decedent else "",
        "age_years": age_of(read),
    }


def age_of(read: CaseRead) -> float | None:
    """Return the decedent's age in years as stated, or from the date of birth."""
    decedent, certificate = read.one("decedent"), read.certification
    if decedent is None:
        return None
    if decedent.age_years is not None:
        return float(decedent.age_years)
    if decedent.born_on is None:
        return None
    died_on = getattr(certificate, "death_on", None) or read.case.reported_at.date()
    days: int = (died_on - decedent.born_on).days
    return max(days, 0) / DAYS_A_YEAR


def _of_examination(read: CaseRead) -> dict[str, Any]:
    made = read.examination
    if made is None:
        return {}
    active = [one for one in read.findings if not one.is_voided]
    classes = [one.klass for one in active]
    return {
        "kind": made.kind,
        "kind_reason": made.kind_reason,
        "pathologist": made.pathologist_id is not None,
        "ended": made.ended_at is not None,
        "place": bool(made.place),
        "circumstances_reviewed": made.circumstances_reviewed,
        "length": made.crown_heel_cm is not None,
        "weight": made.body_weight_kg is not None,
        "clothing": made.clothing,
        "external": made.external,
        "postmortem": made.postmortem_changes,
        "treatment": made.treatment,
        "cavities": f"{made.cavities} {made.blood_words}".strip(),
        "internal": f"{made.internal} {systems_words(made)}".strip(),
        "deep": made.deep_dissection,
        "lividity": len(read.lividity) + sum(bool(_IS_LIVIDITY(one.term)) for one in active),
        "rigor": len(read.rigor),
        "organs": tuple(one.organ for one in read.weights),
        "injuries": injuries_of(read),
        "findings": len(active),
        "interventions": classes.count(FindingClass.MEDICAL_INTERVENTION),
        "identifying": classes.count(FindingClass.IDENTIFYING_FEATURE),
        "body_photographs": sum(one.place == "examination" for one in read.photographs),
        "identification_photographs": sum(one.view == "identification" for one in read.photographs),
    }


_IS_LIVIDITY = re.compile(r"\bliv(?:idity|or)\b", re.I).search


def injuries_of(read: CaseRead) -> tuple[Injury, ...]:
    """Return the active injuries that are of this death, by number."""
    shown = {link.finding_id for one in read.photographs for link in one.active_links}
    scaled = {
        link.finding_id for one in read.photographs if one.with_scale for link in one.active_links
    }
    return tuple(
        _injury(one, shown=one.pk in shown, scaled=one.pk in scaled)
        for one in read.findings
        if one.klass == FindingClass.INJURY and not one.is_voided and one.timing not in _NOT_ASKED
    )


def _injury(one: Finding, *, shown: bool, scaled: bool) -> Injury:
    marks = [mark for mark in one.marks.all() if not mark.is_voided]
    paths = [path for path in one.paths.all() if not path.is_voided]
    layers = [layer for layer in one.layers.all() if not layer.is_voided and layer.examined]
    ends = {mark.end for mark in marks if mark.end}
    said = re.search(r"\b(?:entrance|entry|exit|graze|tangential|perforating)\b", one.term, re.I)
    measured = (one.length_mm, one.depth_mm, one.closed_length_mm)
    pattern, said_of = one.pattern.strip(), f"{one.seen_as} {one.sentence}"
    return Injury(
        number=one.number,
        term=one.term,
        cause=cause_of(one.mechanism, one.term).value,
        placed=bool(one.place or marks),
        sized=any(size is not None for size in measured) or bool(_MANY(one.term)),
        described=any((one.seen_as, one.shape, one.margins, one.colour, one.pattern, one.sentence)),
        patterned=bool(pattern) and not _PATTERN_NONE.search(pattern),
        groups=tuple(groups_of(regions_of([one]))),
        from_landmarks=one.from_midline_cm is not None
        and (one.above_heel_cm is not None or one.below_top_cm is not None),
        soot=bool(one.soot) or bool(_SOOT(said_of)),
        stippling=bool(one.stippling) or bool(_STIPPLING(said_of)),
        end_said=bool(said or ends),
        is_exit=bool(re.search(r"\bexit\b", one.term, re.I)) or ends == {"exit"},
        traced=bool(paths or layers),
        photographed=shown,
        with_scale=scaled,
    )


_SOOT = re.compile(r"\bsoot", re.I).search
_STIPPLING = re.compile(r"\bstippl|\bpowder\b", re.I).search
# Several marks that are recorded as one finding have no one size; neither has a fracture.
_MANY = re.compile(
    r"\b(?:abrasions|contusions|lacerations|petechiae|burns?|fractures?|stippling|wounds|marks"
    r"|dislocations?|h[ae]m\w+|injur\w+)\b",
    re.I,
).search


def _of_items(read: CaseRead) -> dict[str, Any]:
    categories = [one.category for one in read.things]
    return {
        "specimens": tuple(
            Specimen(one.material, one.site, one.purpose, not one.is_of_others)
            for one in read.specimens
        ),
        "kits": tuple(read.kits),
        "clothing_kept": "clothing" in categories,
        "trace_kept": "trace" in categories,
        "projectiles_kept": categories.count("ammunition"),
        "items_without_collector": tuple(read.uncollected),
        "items_without_seal": tuple(read.loose),
        "slides": read.case.check_slides,
        "results": tuple(
            Reported(one.kind, len(one.reported_lines), one.reported_by) for one in read.results
        ),
    }


def _of_conclusion(read: CaseRead) -> dict[str, Any]:
    report, stated = read.one("report"), read.certification
    said = {"opinion": report.opinion if report else ""}
    if stated is None:
        return said
    entry = {one.name: getattr(stated, one.attname) for one in stated._meta.concrete_fields}
    facts = _of_decedent(read)
    is_pending = stated.manner == Manner.PENDING
    return said | {
        "manner": stated.manner,
        "causes": tuple(lines_of(entry)),
        "basis": stated.basis,
        "injury_items_left": () if is_pending else tuple(injury_items_left(entry)),
        "other_items_left": ()
        if is_pending
        else tuple(other_items_left(entry, sex=facts["sex"], age_years=facts["age_years"])),
    }

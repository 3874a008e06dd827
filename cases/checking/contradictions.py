"""Where a case contradicts itself: every rule asked of what was read, each with both places.

What other rooms ask already is asked there, and only named here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from cases.checking import compared, disagreements
from cases.checking.compared import of_finding
from cases.checking.disagreements import Differs
from cases.checking.reading import CaseRead
from cases.checking.rules import Alarm, Place
from cases.checking.told import lengths_of, told_of
from cases.queries.file import moved_of
from cases.rules.lividity import SceneLividity, scene_question
from cases.rules.places import Stay, place_questions
from findings.models import Examination, Finding
from findings.postmortem.queries import as_region
from findings.postmortem.wording import distribution_cautions
from findings.questions.negatives import BY_SYSTEM
from findings.questions.queries import (
    contradictions_of,
    probe_hole_question,
    side_question_of,
    unopened_of,
)

EXAMINATION = Place("Written examination", "findings:examination")
SCENE = Place("Scene", "cases:scene")


def alarms_in(read: CaseRead) -> list[Alarm]:
    """Return everything that does not agree, in the order of the rules; no statement."""
    return [alarm for rule in RULES for alarm in rule(read)]


def section(name: str) -> Place:
    """A section of the written examination, or what was decided by system."""
    if name == BY_SYSTEM:
        return Place("Examination by system", "findings:systems")
    return Place("Written examination", "findings:examination", name)


def sides_of(finding: Finding) -> tuple[str, ...]:
    """What stands at a finding: by it what was set aside comes back."""
    marks = [f"{mark.view} {mark.region}" for mark in finding.marks.all() if not mark.is_voided]
    return (finding.klass, finding.term, finding.place, finding.mechanism, *marks)


def _negatives(read: CaseRead) -> Iterator[Alarm]:
    made = read.examination
    if made is None:
        return
    by_number = {one.number: one for one in read.findings}
    for one in contradictions_of(made, read.findings):
        against = [by_number[number] for number in one.numbers]
        places = (section(one.statement.section), *map(of_finding, against[:3]))
        sides = [part for finding in against for part in sides_of(finding)]
        yield Alarm("negative", one.words, places, (one.statement.key, one.more, *sides))


def _unopened(read: CaseRead) -> Iterator[Alarm]:
    made = read.examination
    if made is None:
        return
    for one in unopened_of(made, bool(read.weights)):
        there = (
            Place("Organ weights", "findings:organs")
            if one.section == "organs"
            else section(one.section)
        )
        written = str(getattr(made, one.section, ""))
        yield Alarm("unopened", one.words, (EXAMINATION, there), (made.kind, written))


def _probe_hole(read: CaseRead) -> Iterator[Alarm]:
    made = read.examination
    if made is None:
        return
    asked = probe_hole_question(made, read.findings, list(read.liver_read_at))
    if asked:
        chart = Place("Body chart", "findings:chart")
        yield Alarm("probe-hole", asked, (SCENE, chart), (made.kind,))


def _sides(read: CaseRead) -> Iterator[Alarm]:
    for one in read.findings:
        if side := side_question_of(one):
            words = f"Finding {one.number}, {one.term.lower()}: {side}."
            offset = "" if one.from_midline_cm is None else str(one.from_midline_cm)
            yield Alarm("side", words, (of_finding(one),), (*sides_of(one), offset))


def _photographs(read: CaseRead) -> Iterator[Alarm]:
    told = {one.pk: told_of(one) for one in read.findings if not one.is_voided}
    by_number = {one.number: one for one in read.findings}
    for picture in read.photographs:
        seen = [told[link.finding_id] for link in picture.active_links if link.finding_id in told]
        if not seen:
            continue
        # Each by itself: one of the two may say the other side.
        for words in (picture.shows, picture.region):
            said = disagreements.log_side(words, seen, picture.number)
            for one in said:
                page = Place(f"Photograph {picture.number}", "evidence:photograph", picture.pk)
                there = by_number[one.finding] if one.finding is not None else None
                yield Alarm(
                    "caption-side",
                    one.words,
                    (page, *([of_finding(there)] if there else [])),
                    (words, *(sides_of(there) if there else ())),
                )
            if said:
                break


def _sizes(read: CaseRead) -> Iterator[Alarm]:
    pictures = {one.number: one for one in read.photographs}
    for finding in read.findings:
        if finding.is_voided:
            continue
        told, lengths = told_of(finding), lengths_of(read, finding)
        # One with a note says itself what was measured: a band of it, a distance.
        comparable = [each for each in lengths if each.gives or not each.note]
        found: list[Differs] = disagreements.sizes_apart(told, comparable)
        for one in found:
            picture = pictures.get(one.photograph or 0)
            page = (
                (Place(f"Photograph {picture.number}", "evidence:photograph", picture.pk),)
                if picture
                else ()
            )
            sizes = (str(told.length_mm), str(told.width_mm), told.measured_by)
            yield Alarm("size", one.words, (of_finding(finding), *page), sizes)


def _lividity(read: CaseRead) -> Iterator[Alarm]:
    scene, made = read.one("scene"), read.examination
    if scene is None:
        return
    at_scene = _scene_lividity(read, made)
    postmortem = Place("Lividity and rigor", "findings:postmortem")
    sides = (scene.position, scene.lividity_where, scene.lividity_blanching, scene.moved_before)
    if asked := scene_question(at_scene):
        yield Alarm("lividity", f"At the scene: {asked}", (SCENE,), sides)
        return
    if made is None:
        return
    rows = [as_region(row) for row in read.lividity]
    for words in distribution_cautions(at_scene, rows):
        seen = [f"{row.region} {row.state} {row.blanching}" for row in rows]
        yield Alarm("lividity", words, (SCENE, postmortem), (*sides, *seen))


def _scene_lividity(read: CaseRead, made: Examination | None) -> SceneLividity:
    scene = read.one("scene")
    seen_at = scene.lividity_seen_at or scene.left_at
    hours = (made.began_at - seen_at).total_seconds() / 3600 if made and seen_at else None
    return SceneLividity(
        position=scene.position,
        where=scene.lividity_where,
        blanching=scene.lividity_blanching,
        moved=moved_of(scene.moved_before, list(read.places)),
        hours=hours,
    )


def _stays(read: CaseRead) -> Iterator[Alarm]:
    stays = [Stay(one.kind, one.address, one.from_at, one.to_at) for one in read.places]
    for words in place_questions(stays):
        yield Alarm("places", words, (SCENE,), tuple(map(str, stays)))


Rule = Callable[[CaseRead], Iterator[Alarm]]
RULES: tuple[Rule, ...] = (
    _negatives,
    _unopened,
    _sides,
    _photographs,
    _sizes,
    _lividity,
    _stays,
    _probe_hole,
    *compared.RULES,
)

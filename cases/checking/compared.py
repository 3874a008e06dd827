"""The rules of consistency that compare words, findings and conclusions, asked of a read case."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from django.utils import timezone

from cases.certification.rules import lines_of
from cases.checking import conflicts, order
from cases.checking.conflicts import Recorded, Seen, Weighed
from cases.checking.known import age_of
from cases.checking.order import Times, When, uncertain
from cases.checking.reading import CaseRead
from cases.checking.rules import Alarm, Place
from cases.checking.told import told_of
from findings.models import Finding
from findings.organs.models import OrganWeight
from findings.organs.table import reference_for
from findings.queries import injury_counts_of
from findings.rules import FindingClass
from findings.systems.queries import systems_words
from findings.words.counting import Tally, cause_of
from me_office.audit.fields import said_of

CHART = Place("Body chart", "findings:chart")
CERTIFICATE = Place("Cause and manner", "certification:cause-and-manner")
ORGANS = Place("Organ weights", "findings:organs")
DECEDENT = Place("Body and identification", "cases:body")
SPECIMENS = Place("Specimens", "evidence:specimens")
EXAMINATION = Place("Written examination", "findings:examination")
REPORT = Place("Report", "review:report")
# The sections of the examination with their names; clothing is no part of a body.
SECTIONS = {
    "external": "The external examination",
    "postmortem_changes": "The changes after death",
    "treatment": "The signs of treatment",
    "cavities": "The body cavities",
    "internal": "The internal examination",
    "deep_dissection": "The deep dissection",
}
REPORT_WORDS = {"summary": "The summary", "opinion": "The opinion"}


def of_finding(finding: Finding) -> Place:
    """A finding on the chart."""
    return Place(f"Finding {finding.number}", "findings:chart", finding.pk)


def written_in(read: CaseRead) -> dict[str, str]:
    """What is written of the examination, by section."""
    made = read.examination
    if made is None:
        return {}
    written = said_of(made, SECTIONS)
    return {**written, "internal": f"{made.internal}\n{systems_words(made)}".strip()}


def active(read: CaseRead) -> list[Finding]:
    """The findings that count."""
    return [one for one in read.findings if not one.is_voided]


def seen_in(read: CaseRead) -> list[Seen]:
    """The active findings as the rules see them."""
    return [_seen(one) for one in active(read)]


def _seen(one: Finding) -> Seen:
    layers = [f"{row.layer} {row.found}" for row in one.layers.all() if not row.is_voided]
    paths = [row for row in one.paths.all() if not row.is_voided]
    words = [one.seen_as, one.sentence, *layers, *(row.structures for row in paths)]
    return Seen(
        number=one.number,
        term=one.term,
        klass=one.klass,
        cause=cause_of(one.mechanism, one.term).value if one.klass == FindingClass.INJURY else "",
        place=one.place,
        words=" ".join([one.mechanism, *words]),
        timing=one.timing,
        depth_mm=None if one.depth_mm is None else float(one.depth_mm),
        traced=bool(paths),
    )


def _finished(read: CaseRead) -> bool:
    made = read.examination
    return bool(made and made.ended_at and made.kind in _WHOLE)


# Kinds of examination in which an injury would have been seen and written down here.
_WHOLE = frozenset({"full autopsy", "limited", "external", "second autopsy"})


def regions(read: CaseRead) -> Iterator[Alarm]:
    """A place in words beside the part of the body on which the mark lies."""
    for one in active(read):
        if one.place_source == "by hand" and (words := conflicts.region_apart(told_of(one))):
            bases = sorted(told_of(one).bases)
            yield Alarm("region", words, (of_finding(one),), (one.place, *bases))


def sexes(read: CaseRead) -> Iterator[Alarm]:
    """What is recorded of the other sex."""
    decedent, made = read.one("decedent"), read.examination
    if decedent is None or made is None:
        return
    by_number = {str(one.number): one for one in active(read)}
    found = conflicts.sex_apart(
        decedent.sex,
        made.chart_body,
        [one.organ for one in read.weights],
        seen_in(read),
        written_in(read),
    )
    for words, where in found:
        if where in by_number:
            there = of_finding(by_number[where])
        elif where in SECTIONS:
            there = Place("Written examination", "findings:examination", where)
        else:
            there = ORGANS if where == "organs" else EXAMINATION
        yield Alarm("sex", words, (DECEDENT, there), (decedent.sex, made.chart_body))


def weights(read: CaseRead) -> Iterator[Alarm]:
    """An organ's weight outside its range that no words mention."""
    decedent = read.one("decedent")
    sex, age = (decedent.sex if decedent else ""), age_of(read)
    weighed = [_weighed(one, sex, age) for one in read.weights]
    report = read.one("report")
    said = [*written_in(read).values()]
    said += [getattr(report, name) for name in REPORT_WORDS] if report else []
    for words, one in conflicts.weights_unmentioned(weighed, seen_in(read), "\n".join(said)):
        place = Place("Internal examination", "findings:examination", "internal")
        yield Alarm("weight", words, (ORGANS, place), (f"{one.grams:g}", one.seen_as))


def _weighed(one: OrganWeight, sex: str, age: float | None) -> Weighed:
    grams = float(one.weight_g)
    reference = reference_for(one.organ, grams, sex, age)
    outside = reference.is_outside and not one.after_fixation
    # "above that range" of "proposed 95 % range 233 to 383 g".
    place = f"{reference.place.partition(' ')[0]} its {reference.range_words}" if outside else ""
    return Weighed(one.organ, one.get_organ_display(), grams, outside, one.seen_as, place)


_PAGES = {
    "call": Place("First call", "cases:report"),
    "scene": Place("Scene", "cases:scene"),
    "body": DECEDENT,
    "examination": EXAMINATION,
    "certificate": CERTIFICATE,
    "specimens": SPECIMENS,
}


def times(read: CaseRead) -> Iterator[Alarm]:
    """Times that cannot follow one another."""
    for one in order.out_of_order(times_of(read)):
        places = tuple(dict.fromkeys((_PAGES[one.earlier.page], _PAGES[one.later.page])))
        sides = tuple(str(at) for at in (one.earlier.at, one.earlier.until, one.later.at))
        yield Alarm("times", one.words, places, sides)


def times_of(read: CaseRead) -> Times:
    """Return the times of a case with their certainty."""
    call, scene, made = read.one("report_of_death"), read.one("scene"), read.examination
    receipt, stated = read.one("body_receipt"), read.certification
    own = [one.item.collected_at for one in read.specimens if not one.is_of_others]
    taken = [at for at in own if at is not None]

    def told(name: str, field: str) -> When:
        if call is None:
            return When(name, "call")
        return uncertain(
            name,
            "call",
            getattr(call, f"{field}_certainty"),
            getattr(call, f"{field}_at"),
            getattr(call, f"{field}_until"),
        )

    def of(row: Any, name: str, page: str, field: str) -> When:
        return When(name, page, getattr(row, field) if row is not None else None)

    return Times(
        last_alive=told("the time last known alive", "last_alive"),
        found=told("the time found", "found"),
        pronounced=of(call, "the pronouncement of death", "call", "pronounced_at"),
        scene_reached=of(scene, "the arrival at the scene", "scene", "arrived_at"),
        rigor_seen=When(
            "rigor at the scene", "scene", scene.rigor_seen_at if scene and scene.rigor not in
            ("", "none", "absent", "not tested") else None,
        ),
        lividity_seen=When(
            "lividity at the scene",
            "scene",
            scene.lividity_seen_at if scene and scene.lividity_where else None,
        ),
        body_received=of(receipt, "the receipt of the body", "body", "received_at"),
        examination_began=of(made, "the beginning of the examination", "examination", "began_at"),
        death=When("the stated time of death", "certificate", _moment_of(stated)),
        first_specimen=When(
            "the taking of the first specimen", "specimens", min(taken, default=None)
        ),
    )  # fmt: skip


def _moment_of(stated: Any) -> datetime | None:
    """The moment of death, where the certificate has it as actual; a presumed one says little."""
    if stated is None or stated.death_on is None or stated.death_time is None:
        return None
    if "presumed" in (stated.death_on_is, stated.death_time_is):
        return None
    local = timezone.get_current_timezone()
    return datetime.combine(stated.death_on, stated.death_time, tzinfo=local)


def _entry(read: CaseRead) -> dict[str, Any]:
    stated = read.certification
    if stated is None:
        return {}
    names = ("cause_a", "cause_b", "cause_c", "cause_d", "contributing", "basis", "injury_how")
    return said_of(stated, names)


def manners(read: CaseRead) -> Iterator[Alarm]:
    """A manner beside the injuries that are recorded, or are not."""
    stated = read.certification
    if stated is None:
        return
    by_number = {one.number: one for one in active(read)}
    seen = seen_in(read)
    for words, one in conflicts.natural_with_violence(stated.manner, seen):
        there = of_finding(by_number[one.number])
        sides = (stated.manner, one.term, one.cause, one.timing)
        yield Alarm("manner", words, (CERTIFICATE, there), sides)
    report = read.one("report")
    said = [*_entry(read).values(), *(written_in(read).values())]
    said += [report.opinion, report.summary, report.history] if report else []
    call = read.one("report_of_death")
    said += [call.circumstances] if call else []
    words = conflicts.homicide_without_ground(
        stated.manner, finished=_finished(read), findings=seen, words=" ".join(said)
    )
    if words:
        yield Alarm("manner", words, (CERTIFICATE, CHART), (stated.manner, *_entry(read).values()))


def causes(read: CaseRead) -> Iterator[Alarm]:
    """What part I names and nothing records."""
    lines = lines_of(_entry(read))
    found = conflicts.cause_without_finding(
        lines,
        finished=_finished(read),
        findings=seen_in(read),
        written=" ".join(written_in(read).values()),
    )
    for words, line in found:
        yield Alarm("cause", words, (CERTIFICATE, CHART), (line, str(len(active(read)))))


def counts(read: CaseRead) -> Iterator[Alarm]:
    """Numbers of wounds in words beside those on the chart."""
    recorded = recorded_in(read)
    report = read.one("report")
    said = [(words, REPORT, getattr(report, name)) for name, words in REPORT_WORDS.items()
            if report]  # fmt: skip
    said += [("Part I", CERTIFICATE, line) for line in lines_of(_entry(read))]
    for where, place, text in said:
        for words, quoted in conflicts.counts_apart(where, text, recorded):
            sides = (quoted, *(f"{kind} {sorted(one.wounds)}" for kind, one in recorded.items()))
            yield Alarm("count", words, (place, CHART), sides)


def recorded_in(read: CaseRead) -> dict[str, Recorded]:
    """How many gunshot and stab wounds the chart has, as words may count them."""
    found = injury_counts_of(active(read))
    shots, stabs = found.firearm, found.sharp
    several = [one for one in active(read) if one.klass == FindingClass.INJURY]
    many = any(one.impacts and one.impacts > 1 for one in several)
    plural = any(word in one.term.lower() for one in several for word in ("wounds", "injuries"))
    entrance = _sum(shots, "entrance", "entrance or exit not said")
    return {
        # Entrances alone, with grazes, or every wound of the skin.
        "gunshot": Recorded(
            {n for n in (entrance, entrance + _sum(shots, "graze"), _sum(shots, *shots)) if n},
            _is_open(shots) or many or plural,
        ),
        "stab": Recorded(
            {n for n in (_sum(stabs, "stab"), _sum(stabs, *stabs)) if n},
            _is_open(stabs) or many or plural,
        ),
    }


def _sum(tallies: dict[str, Tally], *kinds: str) -> int:
    return sum(tallies[kind].number for kind in kinds if kind in tallies)


def _is_open(tallies: dict[str, Tally]) -> bool:
    return any(one.not_determined or one.without_number or not one.is_exact
               for one in tallies.values())  # fmt: skip


def specimens(read: CaseRead) -> Iterator[Alarm]:
    """What words say was taken, and no specimen is."""
    listed = [f"{one.label} {one.material} {one.site}" for one in read.specimens]
    listed += [*read.kits, *(one.item.title for one in read.things)]
    if {"toxicology", "sexual assault", "other"} & set(read.kits):
        # What a kit holds may be told by its name alone.
        return
    for name, text in written_in(read).items():
        for words, clause in conflicts.taken_in_words(SECTIONS[name], text, listed):
            there = Place("Written examination", "findings:examination", name)
            yield Alarm("taken", words, (there, SPECIMENS), (clause, *listed))


RULES = (regions, sexes, weights, times, manners, causes, counts, specimens)

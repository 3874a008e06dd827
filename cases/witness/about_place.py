"""What is answered about a place on the body: counts, what was looked for, what was taken there."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from django.urls import reverse

from cases.checking import places
from cases.checking.told import regions_of
from cases.review.reported import result_title
from cases.witness.about_pictures import held
from cases.witness.answers import (
    CountAnswer,
    CountsAnswer,
    NegativeAnswer,
    ResultAnswer,
    TakenAnswer,
)
from cases.witness.reading import CaseRead
from cases.witness.taken import Tie, tie_of
from evidence.items.models import Item
from evidence.property.models import PropertyItem
from evidence.results.models import Result
from evidence.specimens.models import Specimen
from findings.body.regions import REGIONS
from findings.models import Finding
from findings.questions.contradicting import finding_sites, findings_against
from findings.questions.negatives import stated_in
from findings.questions.queries import seen_of, written_of
from findings.questions.sites import BENEATH, NOWHERE, Sites, region_sites
from findings.words.counting import InjuryCounts, counts_among, counts_of, least_of
from findings.words.sentences import begin_small

_LIMBS = frozenset({"thigh", "upper_arm", "forearm", "hand", "leg", "foot"})


def counts_in(read: CaseRead, findings: Sequence[Finding], pictures: int = 1) -> CountsAnswer:
    """Count what the exhibit shows, each region of it, and the whole case."""
    shown = {one.number for one in findings}
    parts = dict.fromkeys(part for one in findings for part in _parts_of(one))
    by_part: dict[str, set[int]] = {part: set() for part in parts}
    for number in read.injuries:
        for part in _parts_of(read.by_number[number]):
            if part in by_part:
                by_part[part].add(number)
    return CountsAnswer(
        in_exhibit=_counted("this picture" if pictures == 1 else "these pictures", read, shown),
        in_regions=tuple(_counted(part, read, numbers) for part, numbers in by_part.items()),
        in_case=_count("the whole case", counts_of(read.injuries.values()), len(read.injuries)),
    )


def _parts_of(finding: Finding) -> list[str]:
    """The larger parts of the body on which a finding is marked; a limb with its side."""
    found = []
    for key in regions_of([finding]):
        if key in REGIONS:
            region = REGIONS[key]
            words = places.GROUP_WORDS[region.group]
            sided = region.group in _LIMBS and region.side != "midline"
            found.append(f"{region.side} {words}" if sided else words)
    return list(dict.fromkeys(found))


def _counted(where: str, read: CaseRead, numbers: Collection[int]) -> CountAnswer:
    among = counts_among(read.injuries, numbers)
    return _count(where, among, sum(number in read.injuries for number in numbers))


def _count(where: str, counts: InjuryCounts, injuries: int) -> CountAnswer:
    least = least_of(counts)
    words = least.words or ("no number is recorded" if injuries else "no injury is recorded")
    return CountAnswer(where, words, least.blunt, least.more, injuries)


def looked_for(read: CaseRead, findings: Sequence[Finding]) -> tuple[NegativeAnswer, ...]:
    """The confirmed negative statements that concern the places of the findings."""
    if read.examination is None or not findings:
        return ()
    concerned = _sites_of(findings)
    seen = [seen_of(one) for one in read.findings]
    return tuple(
        NegativeAnswer(one.words, tuple(findings_against(one, seen)))
        for one in stated_in(written_of(read.examination))
        if one.sites & concerned
    )


def _sites_of(findings: Iterable[Finding]) -> Sites:
    found = NOWHERE
    for one in findings:
        bases = places.bases_of(regions_of([one]))
        found |= finding_sites(seen_of(one))
        found |= region_sites(bases) | region_sites(bases, broken=True)
        found |= frozenset().union(*(BENEATH.get(base, NOWHERE) for base in bases))
    return found


def taken_here(read: CaseRead, findings: Sequence[Finding]) -> tuple[TakenAnswer, ...]:
    """Specimens and things from the places of the findings, with holder and results."""
    placed = [(one.number, regions_of([one])) for one in findings]
    found: list[TakenAnswer] = []
    for specimen in read.specimens:
        tie = tie_of(specimen.site, specimen.material, placed)
        if tie is not None:
            found.append(_specimen(read, specimen, tie))
    numbers = {one.pk: one.number for one in findings}
    for thing in read.things:
        if thing.finding_id in numbers:
            found.append(_thing(read, thing, numbers[thing.finding_id]))
    return tuple(sorted(found, key=lambda one: (not one.of_finding, one.item_number)))


def _specimen(read: CaseRead, specimen: Specimen, tie: Tie) -> TakenAnswer:
    words = f"Item {specimen.item.number}, {begin_small(specimen.labeled_material)}"
    words += f", {begin_small(specimen.site)}"
    if specimen.is_of_others:
        words += f" ({specimen.origin_words})"
    page = reverse(
        "evidence:specimen", kwargs={"case_id": read.case.pk, "specimen_id": specimen.pk}
    )
    return _taken(read, specimen.item, words, specimen.purpose, tie, page)


def _thing(read: CaseRead, thing: PropertyItem, number: int) -> TakenAnswer:
    words = f"Item {thing.item.number}, {begin_small(thing.description)}"
    page = reverse(
        "evidence:property-item", kwargs={"case_id": read.case.pk, "property_id": thing.pk}
    )
    tie = Tie((number,), True, f"its record names finding {number}")
    return _taken(read, thing.item, words, "", tie, page)


def _taken(
    read: CaseRead, item: Item, words: str, purpose: str, tie: Tie, page: str
) -> TakenAnswer:
    custody = read.custody.get(item.pk)
    results = tuple(
        _result(read, one)
        for one in read.results
        if item.number in {named.number for named in one.named_items}
    )
    return TakenAnswer(
        item_number=item.number,
        words=words,
        purpose=begin_small(purpose),
        of_finding=tie.of_finding,
        finding_numbers=tie.numbers,
        why=tie.why,
        held=held(custody),
        custody_unbroken=custody is not None and custody.chain.unbroken,
        results=results,
        result_words="; ".join(one.title for one in results) or "No result is recorded.",
        url=page,
        custody_url=reverse("custody:item", kwargs={"case_id": read.case.pk, "item_id": item.pk}),
    )


def _result(read: CaseRead, result: Result) -> ResultAnswer:
    return ResultAnswer(
        number=result.number,
        title=result_title(result),
        status=result.get_status_display(),
        words=" ".join(result.statement.split()),
        after_signing=result.after_signing,
        url=reverse("results:one", kwargs={"case_id": read.case.pk, "result_id": result.pk}),
    )

"""The rules of disagreement, asked about one exhibit, each with both places that it names."""

from __future__ import annotations

from collections.abc import Sequence

from cases.checking import disagreements as rules
from cases.checking.disagreements import Differs, Kind
from cases.checking.told import lengths_of, told_of
from cases.exhibits.models import Exhibit
from cases.witness.addresses import exhibit_url, photograph_url
from cases.witness.answers import Disagreement, FindingAnswer, Ref
from cases.witness.reading import CaseRead, pictures_of
from findings.models import Finding

_SIDES = ("left", "right")


def disagreements_of(
    read: CaseRead, exhibit: Exhibit, findings: Sequence[Finding], told: Sequence[FindingAnswer]
) -> tuple[Disagreement, ...]:
    """Return every two places about the exhibit that do not say the same."""
    seen = [told_of(one) for one in findings]
    lengths = {one.number: lengths_of(read, one) for one in findings}
    of_all = [length for one in findings for length in lengths[one.number]]
    found = rules.caption_side(exhibit.caption, seen)
    found += rules.caption_place(exhibit.caption, seen)
    found += rules.caption_size(exhibit.caption, seen, of_all)
    for picture in pictures_of(exhibit):
        log = read.photographs[picture.pk]
        shown = {link.finding.number for link in log.active_links}
        of_log = [one for one in seen if one.number in shown]
        # Each by itself: one of the two may say the other side.
        for words in (log.shows, log.region):
            if said := rules.log_side(words, of_log, log.number):
                found += said
                break
    for one in seen:
        # One with a note says itself what was measured: a band of it, a distance.
        comparable = [each for each in lengths[one.number] if each.gives or not each.note]
        found += rules.sizes_apart(one, comparable)
        found += rules.not_measured(one, lengths[one.number])
    answered = {one.number: one for one in told}
    for one in seen:
        for passage in answered[one.number].passages:
            if passage.record and passage.signed_at is not None and not passage.taken_out:
                signed = passage.now or passage.words
                found += rules.report_apart(one, signed, passage.record)
    return tuple(_with_places(read, exhibit, one, answered) for one in found)


def _with_places(
    read: CaseRead, exhibit: Exhibit, one: Differs, answered: dict[int, FindingAnswer]
) -> Disagreement:
    here, there = _ends(read, exhibit, one, answered)
    return Disagreement(one.kind.value, one.words, here, there)


def _ends(
    read: CaseRead, exhibit: Exhibit, one: Differs, answered: dict[int, FindingAnswer]
) -> tuple[Ref, Ref]:
    finding = answered[one.finding] if one.finding is not None else None
    of_finding = Ref(f"Finding {one.finding}", finding.url if finding else "")
    if one.kind in (Kind.CAPTION_SIDE, Kind.CAPTION_PLACE, Kind.CAPTION_SIZE):
        return Ref(f"Exhibit {exhibit.number}", exhibit_url(exhibit)), of_finding
    if one.kind is Kind.LOG_SIDE:
        picture = next(p for p in read.photographs.values() if p.number == one.photograph)
        page = photograph_url(read.case.pk, picture.pk)
        return Ref(f"Photograph {one.photograph}", page), of_finding
    if one.kind is Kind.REPORT and finding:
        return Ref("Report", finding.passages[0].url), of_finding
    measured = next(
        (
            each
            for each in (finding.size.on_photographs if finding else ())
            if (each.photograph_number, each.number) == (one.photograph, one.measurement)
        ),
        None,
    )
    if measured is None:
        return of_finding, of_finding
    words = f"Measurement {measured.number} on photograph {measured.photograph_number}"
    return of_finding, Ref(words, measured.url)

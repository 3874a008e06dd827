"""Reads of what an exhibit answers; the number of statements does not grow with the case."""

from __future__ import annotations

from uuid import UUID

from cases.exhibits.models import Exhibit, ExhibitSet
from cases.models import Case
from cases.witness.about_findings import about_finding
from cases.witness.about_pictures import about_picture, elsewhere, findings_in, places_of
from cases.witness.about_place import counts_in, looked_for, taken_here
from cases.witness.about_report import about_report
from cases.witness.addresses import answers_url
from cases.witness.answers import Disagreement, ExhibitAnswers, Neighbor, Said
from cases.witness.compared import disagreements_of
from cases.witness.reading import CaseRead, pictures_of, read_case
from findings.words.sentences import begin_small
from me_office.audit.errors import known


def answers_for(case: Case, exhibit: Exhibit) -> ExhibitAnswers:
    """Return everything that an exhibit of the case answers."""
    read = read_case(case, exhibit.exhibit_set)
    return answers_in(read, exhibit)


def answers_for_set(case: Case, exhibit_set: ExhibitSet) -> list[ExhibitAnswers]:
    """Return the answers of every exhibit of a set, in its order; as many statements as for one."""
    read = read_case(case, exhibit_set)
    return [answers_in(read, exhibit) for exhibit in read.exhibits]


def answers_to(case: Case, exhibit_id: UUID) -> ExhibitAnswers:
    """Return the answers of an active exhibit of the case by its key. Raises NotKnown."""
    rows = Exhibit.objects.active().filter(case=case, exhibit_set__voided_at=None, pk=exhibit_id)
    return answers_for(case, known(rows.select_related("exhibit_set").first(), "exhibit"))


def answers_in(read: CaseRead, exhibit: Exhibit) -> ExhibitAnswers:
    """Return the answers of an exhibit from what was read; no statement. Raises NotKnown."""
    order = [one.pk for one in read.exhibits]
    place = known(order.index(exhibit.pk) if exhibit.pk in order else None, "exhibit")
    # With what was read of it, whatever was read with the one that is asked for.
    exhibit = read.exhibits[place]
    pictures = pictures_of(exhibit)
    findings = findings_in(read, [read.photographs[one.pk] for one in pictures])
    told = tuple(about_finding(read, exhibit, one) for one in findings)
    parts = places_of(findings)
    return ExhibitAnswers(
        case_id=read.case.pk,
        case_label=read.case.label,
        set_id=read.exhibit_set.pk,
        set_title=read.exhibit_set.title,
        exhibit_id=exhibit.pk,
        number=exhibit.number,
        caption=exhibit.caption,
        plain_words=exhibit.plain_words,
        place_in_set=place + 1,
        of_set=len(order),
        url=answers_url(exhibit),
        previous=_neighbor(read, place - 1),
        next=_neighbor(read, place + 1),
        body_part=_body_part(parts, read, exhibit),
        pictures=tuple(about_picture(read, exhibit, one) for one in pictures),
        findings=told,
        counts=counts_in(read, findings, len(pictures)),
        looked_for=looked_for(read, findings),
        taken_here=taken_here(read, findings),
        elsewhere=elsewhere(read, exhibit, findings),
        disagreements=disagreements_of(read, exhibit, findings, told),
        report=about_report(read),
    )


def differences_in(read: CaseRead) -> list[tuple[Exhibit, tuple[Disagreement, ...]]]:
    """Return the exhibits of a set about which two places of the record differ; no statement."""
    found = []
    for exhibit in read.exhibits:
        shown = [read.photographs[one.pk] for one in pictures_of(exhibit)]
        findings = findings_in(read, shown)
        told = [about_finding(read, exhibit, one) for one in findings]
        differing = disagreements_of(read, exhibit, findings, told)
        if differing:
            found.append((exhibit, differing))
    return found


def _neighbor(read: CaseRead, place: int) -> Neighbor | None:
    if not 0 <= place < len(read.exhibits):
        return None
    one = read.exhibits[place]
    return Neighbor(one.pk, one.number, one.caption, answers_url(one))


def _body_part(parts: list[str], read: CaseRead, exhibit: Exhibit) -> Said:
    """Which part of the body it is of: by the marks of its findings, else as the log words it."""
    if parts:
        words = "; ".join([parts[0], *map(begin_small, parts[1:])])
        return Said(words, "from where its findings are marked on the body chart")
    worded = [read.photographs[one.pk].region.strip() for one in pictures_of(exhibit)]
    said = "; ".join(dict.fromkeys(words for words in worded if words))
    if said:
        return Said(said, "as the photograph log words it; no finding of it is marked")
    return Said("Not recorded which part of the body this is.", recorded=False)

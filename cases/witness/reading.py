"""What of a case has to be read before an exhibit can answer: a fixed number of statements."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any
from uuid import UUID

from django.db.models import Prefetch, Q

from cases.exhibits.models import Exhibit, ExhibitSet
from cases.exhibits.queries import exhibits_of_all, redactions_in_force
from cases.models import Case
from cases.review.content import content_of
from cases.review.lines import Lines
from cases.review.models import Addendum
from cases.review.queries import addenda_of, case_to_report_on, signed_draft
from cases.rules.case import CaseState
from evidence.clocks.models import CameraClock
from evidence.clocks.queries import Key, clocks_of
from evidence.custody.queries import ItemCustody, custody_by_item
from evidence.fixity.models import FixityProblem, FixityRun
from evidence.fixity.queries import last_finished
from evidence.measuring.models import Measurement
from evidence.measuring.queries import measurements_in
from evidence.photographs.models import Photograph, SeriesPhotograph, active_links
from evidence.property.models import PropertyItem
from evidence.results.models import Result
from evidence.results.queries import current_results
from evidence.specimens.models import Specimen
from evidence.specimens.queries import specimens_of
from findings.models import Examination, Finding
from findings.queries import counted_injuries, examination_of, findings_of
from findings.words.counting import CountedInjury
from me_office.audit.models import AuditEvent

# What tells that a finding or a photograph was changed: its own row, and what hangs on it.
_WATCHED = (
    "findings_finding",
    "findings_mark",
    "findings_layerfinding",
    "findings_interpretation",
    "paths_woundpath",
    "evidence_photograph",
    "evidence_photographfinding",
    "measuring_measurement",
    "measuring_measurementuse",
)
_OF_JOBS = {"preview", "version", "changed_at", "changed_by_id"}
MOST_CHANGES = 400


@dataclass(frozen=True)
class Changed:
    """A change after the signature, and the findings and photographs that it belongs to."""

    event: AuditEvent
    of: frozenset[str]


@dataclass(frozen=True)
class CaseRead:
    """Everything of a case that its exhibits answer from."""

    case: Case
    exhibit_set: ExhibitSet
    exhibits: Sequence[Exhibit]
    photographs: Mapping[UUID, Photograph]
    series: Mapping[UUID, frozenset[UUID]]
    examination: Examination | None
    findings: Sequence[Finding]
    injuries: Mapping[int, CountedInjury]
    measurements: Sequence[Measurement]
    clocks: Mapping[Key, CameraClock]
    custody: Mapping[UUID, ItemCustody]
    last_run: FixityRun | None
    problems: Mapping[UUID, FixityProblem]
    specimens: Sequence[Specimen]
    things: Sequence[PropertyItem]
    results: Sequence[Result]
    signed: dict[str, Any] | None
    lines: Mapping[str, Lines]
    record: dict[str, Any]
    addenda: Sequence[Addendum]
    changes: Sequence[Changed] = field(default=())
    redacted: frozenset[UUID] = frozenset()

    @cached_property
    def by_number(self) -> dict[int, Finding]:
        """The findings by their numbers."""
        return {one.number: one for one in self.findings}

    @cached_property
    def exhibit_numbers(self) -> dict[UUID, Exhibit]:
        """The exhibit of this set that shows a photograph, by the photograph."""
        found: dict[UUID, Exhibit] = {}
        for exhibit in self.exhibits:
            for photograph in pictures_of(exhibit):
                found.setdefault(photograph.pk, exhibit)
        return found


def pictures_of(exhibit: Exhibit) -> list[Photograph]:
    """The photographs of an exhibit in their order."""
    return exhibit.photographs


def read_case(case: Case, exhibit_set: ExhibitSet) -> CaseRead:
    """Read a case for the answers of all exhibits of a set."""
    return read_sets(case, [exhibit_set])[0]


def read_sets(case: Case, exhibit_sets: Sequence[ExhibitSet]) -> list[CaseRead]:
    """Read a case for all exhibits of several sets, each as `read_case`; no statement more."""
    exhibits = exhibits_of_all(exhibit_sets)
    read = _read(case, exhibit_sets[0], exhibits)
    return [
        replace(
            read,
            exhibit_set=one,
            exhibits=[each for each in exhibits if each.exhibit_set_id == one.pk],
        )
        for one in exhibit_sets
    ]


def _read(case: Case, exhibit_set: ExhibitSet, exhibits: Sequence[Exhibit]) -> CaseRead:
    shown = {one.pk for exhibit in exhibits for one in pictures_of(exhibit)}
    photographs = _photographs(case, shown)
    findings = findings_of(case)
    specimens = [one for one in specimens_of(case) if not one.is_voided]
    things = _things(case)
    items = [photographs[key].item for key in shown]
    items += [one.item for one in specimens]
    items += [one.item for one in things]
    files = [photographs[key].file_id for key in shown]
    draft = signed_draft(case.pk) if case.state == CaseState.SIGNED else None
    kept = getattr(draft, "signed_pdf", None)
    measurements = measurements_in(case)
    return CaseRead(
        case=case,
        exhibit_set=exhibit_set,
        exhibits=exhibits,
        photographs=photographs,
        series=_series(case),
        examination=examination_of(case),
        findings=findings,
        injuries=counted_injuries(findings),
        measurements=measurements,
        clocks=clocks_of(case),
        custody=custody_by_item(items),
        last_run=last_finished(),
        problems=_problems(files),
        specimens=specimens,
        things=things,
        results=current_results(case.pk),
        signed=draft.content if draft else None,
        lines=kept.places if kept else {},
        record=content_of(case_to_report_on(case.pk), findings),
        addenda=addenda_of(case.pk),
        changes=_changes(case, findings, measurements, photographs.values()),
        redacted=frozenset(redactions_in_force(case)),
    )


def _photographs(case: Case, shown: Collection[UUID]) -> dict[UUID, Photograph]:
    """The active photographs of the case, and those that the set shows; with item, file, links."""
    rows = Photograph.objects.filter(case=case).filter(Q(voided_at=None) | Q(pk__in=shown))
    links: Any = Prefetch("finding_links", active_links(), to_attr="active_links")
    read = rows.select_related("item", "file").prefetch_related(links).order_by("number")
    return {one.pk: one for one in read}


def _series(case: Case) -> dict[UUID, frozenset[UUID]]:
    rows = SeriesPhotograph.objects.active().filter(case=case, series__voided_at=None)
    held: dict[UUID, set[UUID]] = {}
    for photograph, series in rows.values_list("photograph_id", "series_id"):
        held.setdefault(photograph, set()).add(series)
    return {photograph: frozenset(series) for photograph, series in held.items()}


def _things(case: Case) -> list[PropertyItem]:
    rows = PropertyItem.objects.active().filter(case=case, finding__isnull=False)
    return list(rows.select_related("item", "finding").order_by("item__number"))


def _problems(files: Collection[UUID]) -> dict[UUID, FixityProblem]:
    rows = FixityProblem.objects.filter(file__in=files, resolved_at=None)
    return {one.file_id: one for one in rows if one.file_id}


def _changes(
    case: Case,
    findings: Iterable[Finding],
    measurements: Iterable[Measurement],
    photographs: Iterable[Photograph],
) -> list[Changed]:
    """What was changed after the signature, each with whose it is; one statement."""
    if case.signed_at is None or case.state != CaseState.SIGNED:
        return []
    owners: dict[str, set[str]] = {}
    for finding in findings:
        parts = (finding.marks, finding.layers, finding.interpretations, finding.paths)
        for row in (finding, *(row for rows in parts for row in rows.all())):
            owners.setdefault(str(row.pk), set()).add(str(finding.pk))
    for one in measurements:
        named = {str(one.photograph_id), *([str(one.finding_id)] if one.finding_id else [])}
        owners.setdefault(str(one.pk), set()).update(named)
    for photograph in photographs:
        owners[str(photograph.pk)] = {str(photograph.pk)}
        for link in photograph.active_links:
            owners[str(link.pk)] = {str(photograph.pk), str(link.finding_id)}
    events = AuditEvent.objects.filter(
        case_id=case.pk, at__gt=case.signed_at, table__in=_WATCHED
    ).order_by("id")[:MOST_CHANGES]
    return [
        Changed(event, frozenset(owners.get(event.record_id, ())) | _named_in(event.changes))
        for event in events
        if set(event.changes) - _OF_JOBS
    ]


def _named_in(changes: Mapping[str, Any]) -> frozenset[str]:
    """The findings and photographs that a row names itself: of what was added or withdrawn."""
    named = (changes.get(name) for name in ("finding_id", "photograph_id"))
    return frozenset(
        str(value) for pair in named if isinstance(pair, list) for value in pair if value
    )

"""Measuring, putting a size into a finding, keeping derived copies, withdrawing either."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db.models import Max

from cases import access
from cases.access import Act
from cases.actions.entry import case_to_change, withdraws
from cases.actions.requests import Alike
from cases.models import Case
from evidence import store
from evidence.measuring import copy_rules, queries, rules
from evidence.measuring.models import CopyRequest, DerivedCopy, Measurement, MeasurementUse
from evidence.measuring.rules import CopyKind
from evidence.photographs.actions import link_finding
from evidence.photographs.models import Photograph
from evidence.photographs.queries import photograph_for_update
from evidence.store import Incoming
from findings.actions import change_finding
from findings.calculations.photo_assumptions import WITHHELD_WARNING
from findings.calculations.photo_measurement import NAME, VERSION
from findings.models import Finding
from findings.rules import MeasuredBy
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import NotKnown, Refused
from me_office.audit.ids import new_id
from me_office.audit.records import recorded_before, save_new
from me_office.entries import Entry
from me_office.jobs import actions as jobs
from me_office.jobs.rules import UNDER_WAY

COPY_TASK = "evidence.measuring.tasks.make_copy"


@action
def measure_photograph(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    photograph_id: UUID,
    entry: Entry,
    reason: str = "",
) -> Measurement:
    """Measure in a photograph and keep what was picked, the result and the method's version.

    A finding that is measured in it is shown by it: the two are linked.
    `entry` is what `rules.reading_of` takes, and may hold `finding_id` and `note`.
    Raises NotKnown, NotAllowed, Refused, Conflict, Invalid.
    """
    case, photograph = _opened(actor, case_id, photograph_id)
    rules.check_picture(photograph.file.media_type)
    exif = photograph.exif
    orientation = exif.get("orientation", 1)
    size = rules.upright_size(photograph.width_px, photograph.height_px, orientation)
    reading = rules.reading_of(entry)
    measurement = Measurement(
        pk=record_id,
        case=case,
        photograph=photograph,
        number=0,
        finding=_finding(case, entry.get("finding_id")),
        kind=reading.kind,
        scale_kind=reading.scale_kind,
        points=[list(point) for point in reading.points],
        inputs=reading.inputs(size=size, exif=exif, sha256=photograph.file.sha256),
        result=rules.measured(reading, size, exif),
        method=NAME,
        method_version=VERSION,
        note=str(entry.get("note", "")).strip(),
    )
    there = recorded_before(measurement, assigned=("number",))
    if there is not None:
        return there
    last = photograph.measurements.aggregate(last=Max("number"))["last"]
    measurement.number = (last or 0) + 1
    saved = save_new(actor, measurement)
    if saved.finding is not None:
        _link(actor, photograph, saved.finding)
    return saved


def _opened(actor: Staff, case_id: UUID, photograph_id: UUID) -> tuple[Case, Photograph]:
    case = case_to_change(actor, Act.PHOTOGRAPH, case_id)
    photograph = photograph_for_update(case, photograph_id)
    if photograph.is_voided:
        raise Refused(f"Photograph {photograph.number} was withdrawn.")
    return case, photograph


def _finding(case: Case, finding_id: Any) -> Finding | None:
    if not finding_id:
        return None
    finding: Finding | None = Finding.objects.filter(pk=finding_id, case=case).first()
    if finding is None:
        raise NotKnown("There is no such finding in this case.")
    if finding.is_voided:
        raise Refused(f"Finding {finding.number} was withdrawn.", field="finding")
    return finding


def _measurement_for_update(case: Case, measurement_id: UUID) -> Measurement:
    Measurement.objects.select_for_update().filter(pk=measurement_id, case=case).first()
    return queries.measurement_of(case, measurement_id)


# A finding that took its size from a measurement keeps it until it is changed.
void_measurement = withdraws(
    "void_measurement", Act.PHOTOGRAPH, _measurement_for_update, key="measurement_id"
)


def use_measurement(
    actor: Staff,
    *,
    case_id: UUID,
    measurement_id: UUID,
    record_id: UUID,
    finding_id: UUID,
    version: int,
    dimension: str,
) -> MeasurementUse:
    """Put a measured size into a finding; the history's reason names photograph and measurement.

    `version` is the finding's. Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid.
    """
    named = (
        Measurement.objects.filter(pk=measurement_id, case_id=case_id)
        .values_list("photograph__number", "number")
        .first()
    )
    if named is None:
        raise NotKnown("There is no such measurement in this case.")
    return put_measurement_into_finding(
        actor,
        case_id=case_id,
        measurement_id=measurement_id,
        record_id=record_id,
        finding_id=finding_id,
        version=version,
        dimension=dimension,
        reason=f"Measured on photograph {named[0]} (measurement {named[1]})",
    )


@action
def put_measurement_into_finding(
    actor: Staff,
    *,
    case_id: UUID,
    measurement_id: UUID,
    record_id: UUID,
    finding_id: UUID,
    version: int,
    dimension: str,
    reason: str,
) -> MeasurementUse:
    """Set a finding's length or width as measured on a photograph, and link both.

    Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid.
    """
    case = case_to_change(actor, Act.EXAMINE, case_id)
    measurement = _measurement_for_update(case, measurement_id)
    use = MeasurementUse(
        pk=record_id,
        case=case,
        measurement=measurement,
        finding=_finding(case, finding_id),
        dimension=dimension,
    )
    there = recorded_before(use)
    if there is not None:
        return there
    if measurement.is_voided:
        raise Refused(f"Measurement {measurement.number} was withdrawn.")
    if measurement.is_withheld:
        raise Refused(f"Measurement {measurement.number}: {WITHHELD_WARNING}.")
    if not measurement.is_length:
        raise Refused("A finding takes its length or width from a length, not from this.")
    if dimension not in set(rules.Dimension):
        raise Refused("Choose length or width.", field="dimension")
    change_finding(
        actor,
        case_id=case_id,
        finding_id=finding_id,
        version=version,
        entry={
            f"{dimension}_mm": rules.size_mm(measurement.result),
            "measured_by": MeasuredBy.PHOTOGRAPH.value,
        },
        reason=reason,
    )
    _link(actor, measurement.photograph, use.finding)
    return save_new(actor, use)


def _link(actor: Staff, photograph: Photograph, finding: Finding) -> None:
    linked = photograph.finding_links.filter(finding=finding, voided_at=None).exists()
    if not linked and access.may(actor, Act.PHOTOGRAPH, photograph.case):
        link_finding(
            actor,
            case_id=photograph.case_id,
            record_id=new_id(),
            photograph_id=photograph.pk,
            finding_id=finding.pk,
        )


@action
def request_copy(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    photograph_id: UUID,
    measurement_id: UUID,
    kind: str,
    with_line: bool = True,
    note: str = "",
    reason: str = "",
) -> CopyRequest:
    """Ask for a marked, rectified or cropped copy; a worker makes it under the same key.

    Raises NotKnown, NotAllowed, Refused, Conflict.
    """
    case, photograph = _opened(actor, case_id, photograph_id)
    measurement = queries.measurement_of(case, measurement_id)
    if measurement.photograph_id != photograph.pk or measurement.is_voided:
        raise Refused("Choose a measurement of this photograph.", field="measurement")
    if kind not in set(CopyKind):
        raise Refused("Choose marked, rectified or cropped.", field="kind")
    operations = copy_rules.operations_for(CopyKind(kind), measurement, with_line=with_line)
    asked = CopyRequest(
        pk=record_id,
        case=case,
        photograph=photograph,
        measurement=measurement,
        kind=kind,
        with_line=with_line or kind != CopyKind.RECTIFIED,
        note=note.strip(),
    )
    there = recorded_before(asked, assigned=("state", "attempts", "failure"))
    if there is not None:
        return there
    _refuse_second(asked, operations)
    save_new(actor, asked)
    jobs.send_after_commit(COPY_TASK, asked.pk)
    return asked


def _refuse_second(asked: CopyRequest, operations: list[dict[str, object]]) -> None:
    """Refuse to make the same bytes again. Raises Refused."""
    same = {"measurement": asked.measurement, "kind": asked.kind, "with_line": asked.with_line}
    waiting = asked.photograph.copy_requests.filter(voided_at=None, state__in=UNDER_WAY, **same)
    if waiting.exists():
        raise Refused("This copy is already being made.", field="kind")
    for copy in asked.photograph.copies.filter(voided_at=None, kind=asked.kind):
        if copy.operations == operations:
            raise Refused(f"Copy {copy.number} is already the same.", field="kind")


@action
def finish_copy(
    actor: Staff,
    *,
    request_id: UUID,
    attempt: int,
    incoming: Incoming,
    made: Mapping[str, object],
    reason: str = "",
) -> DerivedCopy:
    """Keep the copy that was made; its file is published as the last step.

    `made` holds kind, measurement, operations, software, pixels_sha256, parent_sha256, note.
    Raises NotKnown, NotAllowed, Refused, TakenOver.
    """
    asked = queries.copy_request_for_update(request_id)
    case, photograph = _opened(actor, asked.case_id, asked.photograph_id)
    jobs.require_attempt(asked, attempt)
    if made["parent_sha256"] != photograph.file.sha256:
        raise Refused("This copy was made from another file.")
    last = photograph.copies.aggregate(last=Max("number"))["last"]
    copy = DerivedCopy(
        pk=asked.pk, case=case, photograph=photograph, number=(last or 0) + 1, **made
    )
    jobs.finish(actor, asked)
    copy.file = store.publish(incoming, folder=store.DERIVED)
    return save_new(actor, copy)


def _copy_for_update(case: Case, copy_id: UUID) -> DerivedCopy:
    DerivedCopy.objects.select_for_update().filter(pk=copy_id, case=case).first()
    return queries.copy_of(case, copy_id)


# The file of a copy that was withdrawn stays in the store.
void_copy = withdraws("void_copy", Act.PHOTOGRAPH, _copy_for_update, key="copy_id")


ATTEMPTS = Alike(
    "copy", Act.PHOTOGRAPH, COPY_TASK, "reads the original", queries.copy_request_for_update
)
begin_copy, fail_copy = ATTEMPTS.begin, ATTEMPTS.fail
retry_copy, abandon_copy = ATTEMPTS.retry, ATTEMPTS.abandon

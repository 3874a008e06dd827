"""Series of photographs: making one, adding to it, taking out of it, withdrawing it."""

from __future__ import annotations

import uuid
from uuid import UUID

from cases.access import Act
from cases.actions.entry import case_to_change, withdraws
from cases.models import Case
from evidence.custody.opening import require_active
from evidence.photographs import queries
from evidence.photographs.models import Photograph, PhotographSeries, SeriesPhotograph
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused, known, known_of_office
from me_office.audit.records import recorded_before, require_reason, require_version, save_new, void
from me_office.entries import Entry


@action
def make_series(
    actor: Staff, *, case_id: UUID, record_id: UUID, entry: Entry, reason: str = ""
) -> PhotographSeries:
    """Say that photographs show the same area, from further and nearer.

    `entry` holds `title` and `photograph_ids`, at least two.

    Raises NotKnown, NotAllowed, Refused, Invalid, Conflict.
    """
    case = case_to_change(actor, Act.PHOTOGRAPH, case_id)
    series = PhotographSeries(pk=record_id, case=case, title=str(entry["title"]).strip())
    there = recorded_before(series)
    if there is not None:
        return there
    photograph_ids = list(dict.fromkeys(UUID(str(key)) for key in entry["photograph_ids"]))
    if len(photograph_ids) < 2:
        raise Refused("A series has two photographs or more.", field="photograph_ids")
    save_new(actor, series)
    for photograph_id in photograph_ids:
        # Each place's key follows from the series': the same request again is the same records.
        member_id = uuid.uuid5(record_id, str(photograph_id))
        _add(actor, case, series, photograph_id, record_id=member_id)
    return series


@action
def add_to_series(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    series_id: UUID,
    photograph_id: UUID,
    reason: str = "",
) -> SeriesPhotograph:
    """Add a photograph to a series.

    Raises NotKnown, NotAllowed, Refused, Conflict.
    """
    case = case_to_change(actor, Act.PHOTOGRAPH, case_id)
    series = queries.series_for_update(case, series_id)
    require_active(series, "series")
    return _add(actor, case, series, photograph_id, record_id=record_id)


def _add(
    actor: Staff, case: Case, series: PhotographSeries, photograph_id: UUID, *, record_id: UUID
) -> SeriesPhotograph:
    photograph = known(Photograph.objects.filter(case=case, pk=photograph_id).first(), "photograph")
    member = SeriesPhotograph(pk=record_id, case=case, series=series, photograph=photograph)
    there = recorded_before(member)
    if there is not None:
        return there
    require_active(photograph, "photograph")
    if series.members.filter(photograph=photograph, voided_at=None).exists():
        raise Refused(
            f"Photograph {photograph.number} is in this series already.", field="photograph"
        )
    return save_new(actor, member)


def _member_for_update(case: Case, member_id: UUID) -> SeriesPhotograph:
    member = (
        SeriesPhotograph.objects.select_for_update(of=("self",))
        .select_related("photograph", "series")
        .filter(pk=member_id, case=case)
        .first()
    )
    return known_of_office(member, "photograph in this series")


# The photograph itself stays.
take_from_series = withdraws(
    "take_from_series", Act.PHOTOGRAPH, _member_for_update, key="member_id"
)


@action
def void_series(
    actor: Staff, *, case_id: UUID, series_id: UUID, version: int, reason: str
) -> PhotographSeries:
    """Withdraw a series; its photographs stay.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.PHOTOGRAPH, case_id)
    series = queries.series_for_update(case, series_id)
    require_version(series, version)
    why = require_reason(reason)
    for member in series.members.select_for_update().filter(voided_at=None).order_by("id"):
        void(actor, member, reason=why)
    return void(actor, series, reason=why)

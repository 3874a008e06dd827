"""What a case file holds, for its pages."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar
from uuid import UUID

from django.utils import timezone

from cases.models import (
    BodyReceipt,
    Case,
    CaseRecord,
    Decedent,
    Identification,
    JurisdictionDecision,
    Medication,
    NotDone,
    Person,
    Place,
    ReportOfDeath,
    Scene,
    SceneReading,
    TeamMember,
)
from cases.rules.scene import PositionSeen, moved_words
from me_office.audit.errors import NotKnown
from me_office.audit.models import AuditEvent, rows_of
from me_office.audit.queries import told_of
from me_office.audit.words import AUTOMATIC, act_words

RowT = TypeVar("RowT", bound=CaseRecord)

CHANGES_READ, CHANGES_SHOWN = 40, 6


@dataclass(frozen=True)
class Change:
    """One act on a case, as the trail has it."""

    at: datetime
    who: str
    act: str
    reason: str


@dataclass(frozen=True)
class CaseFile:
    """What stands in a case file from first call to identification; None where there is none."""

    report: ReportOfDeath | None
    scene: Scene | None
    receipt: BodyReceipt | None
    decisions: list[JurisdictionDecision]
    people: list[Person]
    identifications: list[Identification]
    places: list[Place]


def case_file(case: Case) -> CaseFile:
    """Return what stands in a case file, in five statements."""
    whole = Case.objects.select_related(
        "report_of_death", "scene", "body_receipt__received_by"
    ).get(pk=case.pk)
    return CaseFile(
        report=getattr(whole, "report_of_death", None),
        scene=getattr(whole, "scene", None),
        receipt=getattr(whole, "body_receipt", None),
        decisions=decisions_on(case),
        people=people_of(case),
        identifications=identifications_of(case),
        places=places_of(case),
    )


def report_on(case: Case) -> ReportOfDeath | None:
    """Return the report of death; a case from elsewhere may have none."""
    report: ReportOfDeath | None = ReportOfDeath.objects.filter(case=case).first()
    return report


def scene_of(case: Case) -> Scene | None:
    """Return the scene, if it is recorded."""
    scene: Scene | None = Scene.objects.filter(case=case).first()
    return scene


def receipt_of(case: Case) -> BodyReceipt | None:
    """Return the body's receipt, if there is one."""
    receipt: BodyReceipt | None = (
        BodyReceipt.objects.filter(case=case).select_related("received_by").first()
    )
    return receipt


def not_done_of(case: Case, kind: str) -> NotDone | None:
    """Return the statement that there was no scene visit or no receipt here, if it stands."""
    stated: NotDone | None = NotDone.objects.active().filter(case=case, kind=kind).first()
    return stated


def all_not_done(case: Case) -> list[NotDone]:
    """Return every statement that something was not done."""
    return list(NotDone.objects.active().filter(case=case))


def decedent_of(case: Case) -> Decedent:
    """Return the decedent of a case."""
    decedent: Decedent = Decedent.objects.get(case=case)
    return decedent


def decisions_on(case: Case) -> list[JurisdictionDecision]:
    """Return the decisions on jurisdiction, the latest last."""
    return _standing(JurisdictionDecision, case, "decided_by")


def places_of(case: Case | UUID) -> list[Place]:
    """Return the other places and positions, in the order of their times; without one last."""
    return sorted(
        _standing(Place, case),
        key=lambda one: (one.from_at is None, one.from_at or one.created_at),
    )


def moved_of(moved_before: str, places: list[Place]) -> str:
    """Say what is recorded of moving the body: the scene's words and its other positions."""
    return moved_words(
        moved_before,
        [
            PositionSeen(
                place.get_position_display(),
                place.address,
                place.told_by,
                f"{timezone.localtime(place.from_at):%d %b %Y, %H:%M}" if place.from_at else "",
            )
            for place in places
            if place.position
        ],
    )


def readings_of(case: Case) -> list[SceneReading]:
    """Return the temperatures taken at the scene."""
    return _standing(SceneReading, case)


def medication_of(case: Case) -> list[Medication]:
    """Return the medicines and drugs found."""
    return _standing(Medication, case)


def people_of(case: Case) -> list[Person]:
    """Return the people connected with the death."""
    return _standing(Person, case, "notified_by")


def identifications_of(case: Case) -> list[Identification]:
    """Return the steps of identification, the latest last."""
    return _standing(Identification, case)


def team_members(case: Case) -> list[TeamMember]:
    """Return who is on the team of a restricted case."""
    rows = TeamMember.objects.active().filter(case=case).select_related("member")
    return list(rows.order_by("member__display_name", "id"))


def entry_of(model: type[RowT], case: Case, record_id: UUID) -> RowT:
    """Return one active record of a case. Raises NotKnown."""
    record = rows_of(model).active().filter(case=case, pk=record_id).first()
    if record is None:
        raise NotKnown("There is no such record in this case, or it was voided.")
    return record


def latest_changes(case: Case) -> list[Change]:
    """Return the latest acts of people on a case, one line an act."""
    events = told_of(case.pk).exclude(act__in=AUTOMATIC)
    events = events.order_by("-transaction", "-id")[:CHANGES_READ]
    return _by_act(events)


def _by_act(events: Iterable[AuditEvent]) -> list[Change]:
    acts: dict[int, Change] = {}
    for event in events:
        words = act_words(event.act) or "changed directly in the database"
        who = event.actor_name or event.database_role
        acts.setdefault(event.transaction, Change(event.at, who, words, event.reason))
    return list(acts.values())[:CHANGES_SHOWN]


def _standing(model: type[RowT], case: Case | UUID, *related: str) -> list[RowT]:
    rows = rows_of(model).active().filter(case=case)
    return list(rows.select_related(*related) if related else rows)

"""Cases that wait for somebody: one statement a section."""

from __future__ import annotations

from typing import Any

from django.db.models import Count, Exists, IntegerField, OuterRef, Q, Subquery
from django.db.models.functions import Coalesce

from cases.access import cases_open_to
from cases.models import BodyReceipt, Case, Decedent, NotDone, Person, Place, Scene
from cases.rules.case import CaseState
from cases.worklists import LIMIT
from me_office.accounts.models import Staff

HAS_SCENE = Exists(Scene.objects.active().filter(case=OuterRef("pk")))
# Positions at one address are one place; what lies at the scene itself is no other place.
OTHER_PLACES = Coalesce(
    Subquery(
        Place.objects.active()
        .filter(case=OuterRef("pk"))
        .exclude(address__in=Scene.objects.filter(case=OuterRef("case")).values("address"))
        .order_by()
        .values("case")
        .annotate(places=Count("address", distinct=True))
        .values("places"),
        output_field=IntegerField(),
    ),
    0,
)
HAS_RECEIPT = Exists(BodyReceipt.objects.active().filter(case=OuterRef("pk")))
NO_SCENE_VISIT = Exists(NotDone.objects.active().filter(case=OuterRef("pk"), kind="scene"))
NOT_RECEIVED_HERE = Exists(NotDone.objects.active().filter(case=OuterRef("pk"), kind="body"))
# Nobody can be told of the death of somebody whose name is not known.
NO_NAME_YET = Exists(Decedent.objects.filter(case=OuterRef("pk"), family_name=""))
HAS_NOTIFIED_KIN = Exists(
    Person.objects.active().filter(
        case=OuterRef("pk"), part="next of kin", notified_at__isnull=False
    )
)


def undecided_reports(actor: Staff) -> list[Case]:
    """Return reports of death on which jurisdiction is not decided, the oldest first."""
    return _first(cases_open_to(actor).filter(state=CaseState.REPORTED.value))


def incomplete_cases_of(actor: Staff) -> list[Any]:
    """Return an investigator's open cases without scene, receipt or notified next of kin.

    A scene visit that never was, and a body that never came here, are not missing.

    Each has `has_scene`, `has_receipt`, `has_notified_kin` and `no_name_yet`.
    """
    mine = cases_open_to(actor).filter(state=CaseState.OPEN.value, investigator=actor)
    marked = mine.annotate(
        has_scene=HAS_SCENE | NO_SCENE_VISIT,
        has_receipt=HAS_RECEIPT | NOT_RECEIVED_HERE,
        has_notified_kin=HAS_NOTIFIED_KIN,
        no_name_yet=NO_NAME_YET,
    )
    lacking = Q(has_scene=False) | Q(has_receipt=False)
    lacking |= Q(has_notified_kin=False, no_name_yet=False)
    return _first(marked.filter(lacking))


def cases_without_pathologist(actor: Staff) -> list[Case]:
    """Return open cases that no pathologist is assigned to, or one who has left, the oldest first.

    `pathologist` is set where the account of the assigned one is closed.
    """
    waiting = cases_open_to(actor).filter(state=CaseState.OPEN.value)
    nobody = _first(waiting.filter(pathologist=None))
    gone = _first(waiting.filter(pathologist__is_active=False).select_related("pathologist"))
    found = sorted([*nobody, *gone], key=lambda case: (case.reported_at, case.pk))
    return found[:LIMIT]


def _first(cases: Any) -> list[Any]:
    rows = cases.select_related("decedent", "investigator").order_by("reported_at", "id")
    return list(rows[:LIMIT])

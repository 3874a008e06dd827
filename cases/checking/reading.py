"""What the checks read of a case: a fixed number of statements, however large the case is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any
from uuid import UUID

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from cases.certification.models import Certification
from cases.models import Case, Identification, JurisdictionDecision, NotDone, Place, SceneReading
from evidence.custody.models import CustodyState
from evidence.items.models import Item
from evidence.measuring.models import Measurement
from evidence.measuring.queries import measurements_in
from evidence.photographs.models import Photograph, active_links
from evidence.property.models import PropertyItem
from evidence.results.models import Result
from evidence.results.queries import current_results
from evidence.specimens.models import Kit, Specimen
from findings.models import Examination, Finding
from findings.organs.models import OrganWeight
from findings.postmortem.models import Lividity, Rigor
from findings.queries import findings_of
from findings.systems.models import MicroscopicSlide, SystemPart
from me_office.prepared import PreparedRows


@dataclass(frozen=True)
class CaseRead:
    """Everything of a case that completeness and consistency are told by."""

    case: Any
    findings: Sequence[Finding]
    weights: Sequence[OrganWeight]
    lividity: Sequence[Lividity]
    rigor: Sequence[Rigor]
    places: Sequence[Place]
    photographs: Sequence[Photograph]
    measurements: Sequence[Measurement]
    specimens: Sequence[Specimen]
    things: Sequence[PropertyItem]
    results: Sequence[Result]
    liver_read_at: Sequence[Any]
    identified: Sequence[str]
    not_done: frozenset[str]
    kits: Sequence[str]
    loose: Sequence[int]
    uncollected: Sequence[int]

    def one(self, name: str) -> Any:
        """A record that a case has at most one of, or None."""
        return getattr(self.case, name, None)

    @property
    def examination(self) -> Examination | None:
        """The examination, or None while it is not opened."""
        found: Examination | None = self.one("examination")
        return found

    @property
    def certification(self) -> Certification | None:
        """The statement of cause and manner, or None."""
        found: Certification | None = self.one("certification")
        return found


def read_case(case: Case) -> CaseRead:
    """Read a case for its checks."""
    whole = _whole(case)
    made = getattr(whole, "examination", None)
    if made is not None:
        # What the body systems say is read with the case, for whoever asks the examination.
        made.systems_said = list(whole.check_systems)
    links: Any = Prefetch("finding_links", active_links(), to_attr="active_links")
    photographs = Photograph.objects.active().filter(case=case).prefetch_related(links)
    specimens = Specimen.objects.active().filter(case=case).select_related("item")
    things = PropertyItem.objects.active().filter(case=case).select_related("item")
    return CaseRead(
        case=whole,
        findings=findings_of(case),
        weights=_standing(OrganWeight, case),
        lividity=_standing(Lividity, case),
        rigor=_standing(Rigor, case),
        places=_standing(Place, case),
        photographs=list(photographs.order_by("number")),
        measurements=measurements_in(case),
        specimens=list(specimens.order_by("item__number")),
        things=list(things.order_by("item__number")),
        results=current_results(case.pk),
        liver_read_at=whole.check_liver,
        identified=whole.check_identified,
        not_done=frozenset(whole.check_not_done),
        kits=whole.check_kits,
        loose=sorted(whole.check_loose),
        uncollected=sorted(whole.check_uncollected),
    )


def _whole(case: Case) -> Any:
    """The case with what it has at most one of, and short lists of the others; one statement."""
    whole = _cases_to_check().one(Case, case.pk)
    if whole is None:
        raise Case.DoesNotExist(f"There is no case {case.pk}.")
    return whole


@cache
def _cases_to_check() -> PreparedRows:
    return PreparedRows(_to_check)


def _to_check(case_id: UUID) -> QuerySet[Any]:
    of_case = {"case": OuterRef("pk")}
    steps = Identification.objects.active().filter(**of_case).order_by("-made_at", "-id")
    liver = SceneReading.objects.active().filter(**of_case, kind="liver").order_by("read_at")
    readings = SceneReading.objects.active().filter(**of_case)
    decided = JurisdictionDecision.objects.active().filter(**of_case)
    kits = Kit.objects.active().filter(**of_case).order_by("created_at", "id")
    systems = SystemPart.objects.filter(**of_case).exclude(decision="").order_by("pk")
    stated = NotDone.objects.active().filter(**of_case).order_by("created_at", "id")
    loose = CustodyState.objects.filter(
        item__case=OuterRef("pk"), item__voided_at=None, loose=True, left_office=False
    ).order_by("item__number")
    items = Item.objects.active().filter(**of_case).exclude(kind="photograph")
    uncollected = items.filter(container=None, collected_at=None) | items.filter(
        container=None, collected_by=None
    )
    return (
        Case.objects.select_related(
            "decedent",
            "report_of_death",
            "scene",
            "body_receipt",
            "certification",
            "examination",
            "report",
        )
        .annotate(
            check_identified=ArraySubquery(steps.values("method")),
            check_liver=ArraySubquery(liver.values("read_at")),
            check_temperatures=Exists(readings),
            check_decided=Exists(decided),
            check_systems=ArraySubquery(systems.values("said")),
            check_slides=Exists(MicroscopicSlide.objects.active().filter(**of_case)),
            check_kits=ArraySubquery(kits.values("kind")),
            check_not_done=ArraySubquery(stated.values("kind")),
            check_loose=ArraySubquery(loose.values("item__number")),
            check_uncollected=ArraySubquery(uncollected.order_by("number").values("number")),
        )
        .filter(pk=case_id)
        .order_by()
    )


def _standing(model: Any, case: Case) -> list[Any]:
    return list(model.objects.active().filter(case=case).order_by("created_at", "pk"))

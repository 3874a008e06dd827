"""What specimens add to the course of a case."""

from __future__ import annotations

from typing import Any

from django.db.models import Exists, OuterRef, Q

from cases.course import Step, count_of
from cases.course import register as register_step
from cases.models import Case
from evidence.custody.models import Seal
from evidence.specimens.models import Specimen
from me_office.prepared import Facts


def _sealed_specimens() -> Any:
    intact = Seal.objects.active().filter(
        Q(item=OuterRef("item")) | Q(item=OuterRef("item__container")), broken_at=None
    )
    return Specimen.objects.active().filter(Exists(intact))


def _specimen_words(case: Case, facts: Facts) -> str:
    taken, sealed = facts["evidence_specimens"], facts["evidence_sealed"]
    if not taken:
        return "none yet"
    return f"{sealed} sealed" if taken == sealed else f"{sealed} of {taken} sealed"


register_step(
    Step(
        key="specimens",
        title="Specimens",
        order=60,
        url_name="evidence:specimens",
        words=_specimen_words,
        annotations={
            "evidence_specimens": count_of(Specimen.objects.active()),
            "evidence_sealed": count_of(_sealed_specimens()),
        },
    )
)

"""Reads of what was set aside."""

from __future__ import annotations

from uuid import UUID

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import OuterRef

from cases.models import Case
from evidence.gaps import rules
from evidence.gaps.models import SetAside
from evidence.photographs.queries import as_shot, shots_from, shots_that_count
from findings.models import Finding
from findings.rules import FindingClass
from me_office.audit.errors import NotKnown


def keys_set_aside(case: Case) -> frozenset[str]:
    """Return what need not be pointed out in a case again; one statement."""
    rows = SetAside.objects.active().filter(case=case)
    return frozenset(rows.values_list("key", flat=True))


def keys_of_case() -> ArraySubquery:
    """Return the same for the case of an outer query."""
    return ArraySubquery(SetAside.objects.active().filter(case=OuterRef("pk")).values("key"))


def set_aside_in(case: Case) -> list[SetAside]:
    """Return what was set aside in a case, newest first, with who did it; one statement."""
    rows = SetAside.objects.active().filter(case=case).select_related("created_by")
    return list(rows.order_by("-created_at", "-id"))


def one_set_aside(case: Case, record_id: UUID) -> SetAside:
    """Return what was set aside, also when it was taken back. Raises NotKnown."""
    found: SetAside | None = SetAside.objects.filter(case=case, pk=record_id).first()
    if found is None:
        raise NotKnown("Nothing with this key is set aside in this case.")
    return found


def missing_in_log(case: Case) -> list[rules.LogGap]:
    """Return what the case's photograph log lacks and nobody set aside, in three statements."""
    return gaps_and_proposals(case)[0]


def proposed_series(case: Case) -> list[rules.Proposal]:
    """Return series that a person may confirm and nobody set aside, in three statements."""
    return gaps_and_proposals(case)[1]


def gaps_and_proposals(case: Case) -> tuple[list[rules.LogGap], list[rules.Proposal]]:
    """Return both of the above from the same three statements."""
    rows = shots_that_count().filter(case=case).values_list(as_shot(), flat=True)
    shots, seen, aside = shots_from(rows), _seen_in(case), keys_set_aside(case)
    return (
        [one for one in rules.missing_pictures(shots, seen) if one.key not in aside],
        [one for one in rules.proposed_series(shots, seen) if one.key not in aside],
    )


def _seen_in(case: Case) -> list[rules.Seen]:
    rows = Finding.objects.active().filter(case=case).order_by("number")
    return [
        rules.Seen(key, number, term, klass == FindingClass.INJURY)
        for key, number, term, klass in rows.values_list("pk", "number", "term", "klass")
    ]

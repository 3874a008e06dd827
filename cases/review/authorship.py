"""Who wrote what of a report, read from the records themselves and from the trail.

Pressing "send" makes nobody the only author: whoever wrote a word, a finding, an interpretation
or the certification has a share in the report and cannot be its reviewer.
"""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import CharField, Func, Q, QuerySet, TextField, Value

from cases.certification.models import Certification
from cases.review.models import Report
from cases.review.rules import WROTE_REPORT, why_no_reviewer
from findings.models import Examination, Finding, Interpretation, LayerFinding, Mark
from findings.organs.models import OrganWeight
from findings.paths.models import WoundPath
from findings.postmortem.models import Lividity, Rigor
from findings.systems.models import MicroscopicSlide, SystemPart
from me_office.accounts.models import Staff
from me_office.audit.models import AuditEvent, Record, rows_of

# What each table is to the person who is told that they wrote it.
PARTS: dict[type[Record], str] = {
    Certification: "cause and manner",
    Finding: "findings",
    Mark: "findings",
    LayerFinding: "findings",
    WoundPath: "findings",
    Interpretation: "interpretations",
    Examination: "the examination",
    OrganWeight: "the examination",
    Lividity: "the examination",
    Rigor: "the examination",
    SystemPart: "the examination",
    MicroscopicSlide: "the examination",
    Report: WROTE_REPORT,
}
_PART_OF_TABLE = {model._meta.db_table: part for model, part in PARTS.items()}
_REPORT = Report._meta.db_table
# Sending back and signing touch the report's row too; only its words are writing.
_OWN_WORDS = ["history", "summary", "opinion"]


def parts_written_by(person_id: UUID, case_id: UUID) -> list[str]:
    """Return which parts of a case's report a person wrote or changed; one statement."""
    tables = [table for table in _PART_OF_TABLE if table != _REPORT]
    wrote = Q(table__in=tables) | Q(table=_REPORT, changes__has_any_keys=_OWN_WORDS)
    events = AuditEvent.objects.filter(wrote, case_id=case_id, actor_id=person_id)
    rows = [
        _naming(model, person_id, case_id)
        for model in (Certification, Examination, Finding, Interpretation, Report)
    ]
    found = events.order_by().values_list("table").union(*rows)
    return sorted({_PART_OF_TABLE[table] for (table,) in found})


def parts_by_person(case_id: UUID) -> dict[UUID, list[str]]:
    """Return who wrote or changed which parts of a case's report; one statement."""
    tables = [table for table in _PART_OF_TABLE if table != _REPORT]
    wrote = Q(table__in=tables) | Q(table=_REPORT, changes__has_any_keys=_OWN_WORDS)
    events = AuditEvent.objects.filter(wrote, case_id=case_id, actor_id__isnull=False)
    rows = [
        rows_of(model)
        .filter(Q(case_id=case_id))
        .order_by()
        .values_list(Value(model._meta.db_table, output_field=CharField()), f"{name}_id")
        for model in (Certification, Examination, Finding, Interpretation, Report)
        for name in _names_of_writers(model)
    ]
    found: dict[UUID, set[str]] = {}
    for table, person in events.order_by().values_list("table", "actor_id").union(*rows):
        if person is not None:
            found.setdefault(person, set()).add(_PART_OF_TABLE[table])
    return {person: sorted(parts) for person, parts in found.items()}


def why_not_by(name: str, case_id: UUID) -> str:
    """Return why nobody of this name can have reviewed a report: one of the office wrote of it.

    Empty where nobody of the office has the name, or had no part.
    """
    for person in called_so(name):
        if why := why_no_reviewer(parts_written_by(person.pk, case_id), who=str(person)):
            return why
    return ""


def called_so(name: str) -> QuerySet[Staff]:
    """Return the people of the office who have a name.

    Names are compared as accounts are told apart, with and without what stands after a comma
    (credentials).
    """
    same = Q(pk=None)
    for said in {name, name.partition(",")[0]}:
        key = Func(Value(said), function="accounts_name_key", output_field=TextField())
        same |= Q(name_key=key)
    return Staff.objects.filter(same).exclude(name_key="")


def _naming(model: type[Record], person_id: UUID, case_id: UUID) -> Any:
    """Return the table's name where a row of the case names the person as its writer."""
    who = Q(pk=None)
    for name in _names_of_writers(model):
        who |= Q(**{f"{name}_id": person_id})
    rows = rows_of(model).filter(who & Q(case_id=case_id)).order_by()
    return rows.values_list(Value(model._meta.db_table, output_field=CharField()))


def _names_of_writers(model: type[Record]) -> list[str]:
    """Name the fields of a record that say who wrote it."""
    there = {field.name for field in model._meta.fields}
    names = ("created_by", "changed_by", "stated_by", "pathologist", "author")
    return [one for one in names if one in there and not (one == "changed_by" and model is Report)]

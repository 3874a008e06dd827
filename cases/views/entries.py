"""Temperatures, medicines, people and steps of identification: added, changed, withdrawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from uuid import UUID

from django.http import HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from cases import actions
from cases.access import Act
from cases.course import CaseFrame, case_frame
from cases.forms.scene import (
    IdentificationForm,
    MedicationForm,
    PersonForm,
    PlaceForm,
    ReadingForm,
    VoidForm,
)
from cases.models import CaseRecord, Identification, Medication, Person, Place, SceneReading
from cases.queries.file import entry_of
from me_office.accounts.requests import StaffRequest
from me_office.shell.confirming import Confirmation, confirming
from me_office.shell.forms import RecordForm, answer_done, answer_form, submitted


@dataclass(frozen=True)
class RecordKind:
    """A kind of record of a case: how it is written, withdrawn and spoken of."""

    model: type[CaseRecord]
    form: type[RecordForm]
    act: Act
    record: Callable[..., object]
    void: Callable[..., object]
    words: str


@dataclass(frozen=True)
class EntryKind(RecordKind):
    """A kind of record that a case has many of, on the page of a step."""

    step: str
    page: str
    moment: str = ""  # the field that begins with now
    template: str = "cases/entry.html"


KINDS = {
    "readings": EntryKind(
        SceneReading, ReadingForm, Act.RECORD_SCENE, actions.record_reading,
        actions.void_reading, "temperature", "scene", "cases:scene", "read_at",
    ),
    "places": EntryKind(
        Place, PlaceForm, Act.RECORD_SCENE, actions.record_place,
        actions.void_place, "place or position", "scene", "cases:scene",
        template="cases/place.html",
    ),
    "medication": EntryKind(
        Medication, MedicationForm, Act.RECORD_SCENE, actions.record_medication,
        actions.void_medication, "medicine or drug", "scene", "cases:scene",
    ),
    "people": EntryKind(
        Person, PersonForm, Act.CONTACT_FAMILY, actions.record_person,
        actions.void_person, "person", "scene", "cases:scene",
    ),
    "identifications": EntryKind(
        Identification, IdentificationForm, Act.IDENTIFY, actions.record_identification,
        actions.void_identification, "step of identification", "body", "cases:body", "made_at",
    ),
}  # fmt: skip


@require_http_methods(["GET", "POST"])
def add_entry(request: StaffRequest, case_id: UUID, kind: str) -> HttpResponse:
    """Add a record of one kind."""
    of = KINDS[kind]
    frame = case_frame(request.user, case_id, current=of.step, act=of.act)
    initial: dict[str, object] = {of.moment: timezone.now()} if of.moment else {}
    if request.GET.get("part"):
        initial["part"] = request.GET["part"]
    form = of.form(request.POST or None, initial=initial)
    saved = submitted(request, form, of.record, case_id=case_id, version=0)
    if saved:
        return answer_done(request, f"Saved: {saved}.", of.page, case_id=case_id)
    return answer_form(request, of.template, {"frame": frame, "kind": kind, "of": of}, form)


@require_http_methods(["GET", "POST"])
def edit_entry(request: StaffRequest, case_id: UUID, kind: str, record_id: UUID) -> HttpResponse:
    """Change a record of one kind."""
    of = KINDS[kind]
    frame = case_frame(request.user, case_id, current=of.step, act=of.act)
    record = entry_of(of.model, frame.case, record_id)
    form = of.form(request.POST or None, instance=record)
    saved = submitted(request, form, of.record, case_id=case_id, record_id=record_id)
    if saved:
        return answer_done(request, f"Saved: {saved}.", of.page, case_id=case_id)
    table = of.model._meta.db_table
    context = {"frame": frame, "kind": kind, "of": of, "record": record, "table": table}
    return answer_form(request, of.template, context, form)


@require_http_methods(["GET", "POST"])
def void_entry(request: StaffRequest, case_id: UUID, kind: str, record_id: UUID) -> HttpResponse:
    """Withdraw a record of one kind, with the reason."""
    of = KINDS[kind]
    frame = case_frame(request.user, case_id, current=of.step, act=of.act)
    record = entry_of(of.model, frame.case, record_id)
    return voiding(request, frame, of, record, page=of.page)


def voiding(
    request: StaffRequest, frame: CaseFrame, of: RecordKind, record: CaseRecord, *, page: str
) -> HttpResponse:
    """Ask why and withdraw a record of the case; afterward show the `page` it stood on."""
    said = Confirmation(
        f"Void this {of.words}",
        f"{record} will be voided: it stays in the history and no longer counts.",
        "Void it",
        back=reverse(page, kwargs={"case_id": frame.case.pk}),
        done=f"Voided: {record}.",
        form_class=VoidForm,
    )
    return confirming(request, record, of.void, said, frame=frame, record_id=record.pk)

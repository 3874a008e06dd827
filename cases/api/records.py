"""API: the scene, the body's receipt, and the records that a case has many of."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.urls import URLPattern

from cases import actions
from cases.api import serializers as shapes
from cases.api.shared import CASE, framed
from cases.models import Case
from cases.queries import file
from me_office.shell.endpoints import Shape, at, changes, lists, reads, saves


def the_one(
    word: str, name: str, title: str, read: Callable[[Case], Any], write: Callable[..., Any],
    takes: Shape, answers: Shape,
) -> URLPattern:  # fmt: skip
    """Return the address of the one record of a kind that a case has."""
    says = f"{title} of one case; `version` 0 makes the record."
    return at(
        f"{CASE}/{word.replace('_', '-')}/", name,
        get=reads(
            f"{word}_read", framed(word), read, answers, says,
            absent=f"{title} is not recorded yet.",
        ),
        put=changes(f"{word}_record", write, takes, answers, says),
    )  # fmt: skip


def the_many(
    word: str, title: str, read: Callable[[Case], list[Any]], write: Callable[..., Any],
    void: Callable[..., Any], takes: Shape, answers: Shape,
) -> list[URLPattern]:  # fmt: skip
    """Return the addresses of a kind of record: the list with changes, and voiding."""
    says = f"{title} of one case; `version` 0 makes a record, a later one changes it."
    withdraws = f"Withdraws one of: {title.lower()}."
    name = word.replace("_", "-")
    return [
        at(
            f"{CASE}/{name}/", name,
            get=lists(f"{word}_list", framed(word), read, answers, says),
            post=saves(f"{word}_record", write, takes, answers, says),
        ),
        at(
            f"{CASE}/{name}/<uuid:record_id>/void/", f"void-{name}",
            post=changes(f"{word}_void", void, shapes.ReasonInput, answers, withdraws),
        ),
    ]  # fmt: skip


routes = [
    the_one("scene", "scene", "The scene", file.scene_of, actions.record_scene, shapes.SceneInput,
        shapes.SceneOutput),
    the_one("body_receipt", "receipt", "The body's receipt", file.receipt_of, actions.receive_body,
        shapes.ReceiptInput, shapes.ReceiptOutput),
    *the_many("readings", "Temperatures", file.readings_of, actions.record_reading,
        actions.void_reading, shapes.ReadingInput, shapes.ReadingOutput),
    *the_many("places", "Other places and positions", file.places_of, actions.record_place,
        actions.void_place, shapes.PlaceInput, shapes.PlaceOutput),
    *the_many("medication", "Medication", file.medication_of, actions.record_medication,
        actions.void_medication, shapes.MedicationInput, shapes.MedicationOutput),
    *the_many("people", "People", file.people_of, actions.record_person, actions.void_person,
        shapes.PersonInput, shapes.PersonOutput),
    *the_many("identifications", "Steps of identification", file.identifications_of,
        actions.record_identification, actions.void_identification, shapes.IdentificationInput,
        shapes.IdentificationOutput),
]  # fmt: skip

"""The scene: what was seen, read, found, and who was there."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.utils import timezone

from cases import queries
from cases.access import Act, require
from cases.actions.entry import (
    case_to_change,
    key_or_new,
    names_entered,
    records,
    refuse_wrong,
    save_entry,
    save_only_one,
    voids,
)
from cases.actions.not_done import refuse_where_not_done
from cases.models import Case, Medication, NotDone, Person, Place, Scene, SceneReading
from cases.rules import intake as intake_rules
from cases.rules.scene import SAME_READING, TWICE, same_reading
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.fields import said_of
from me_office.entries import Entry
from me_office.units import with_kept_units

SCENE_NAMES = names_entered(Scene)
READING_UNITS = {"value_c": ("°C", 1)}
SCENE_MOMENTS = ("arrived_at", "left_at", "lividity_seen_at", "rigor_seen_at")
KIN = "next of kin"


@action
def record_scene(
    actor: Staff,
    *,
    case_id: UUID,
    version: int,
    entry: Entry,
    record_id: UUID | None = None,
    reason: str = "",
) -> Scene:
    """Write what the investigator saw; version 0 makes the scene's record.

    Raises NotKnown, NotAllowed, StaleRecord, Conflict, Invalid.
    """
    case = case_to_change(actor, Act.RECORD_SCENE, case_id)
    refuse_wrong(_ahead(entry, *SCENE_MOMENTS))
    standing: Scene | None = Scene.objects.select_for_update().filter(case=case).first()
    if standing is None:
        refuse_where_not_done(case, NotDone.SCENE)
    new = Scene(pk=key_or_new(record_id), case=case)
    return save_only_one(actor, standing, new, version, entry, SCENE_NAMES)


# Another place, or another position of the body.
record_place = records(
    "record_place", Place, Act.RECORD_SCENE,
    wrong=lambda entry: _ahead(entry, "from_at", "to_at", "visited_at"),
)  # fmt: skip


@action
def record_reading(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    version: int = 0,
    entry: Entry,
    reason: str = "",
) -> SceneReading:
    """Note a temperature with where and how it was taken; version 0 makes it, else it is changed.

    Raises NotKnown, NotAllowed, StaleRecord, Conflict, Refused, Invalid.
    """
    case = case_to_change(actor, Act.RECORD_SCENE, case_id)
    refuse_wrong(_ahead(entry, "read_at"))
    said, wrong = with_kept_units(entry, READING_UNITS)
    refuse_wrong(wrong)
    _ask_about_the_same_reading(case, record_id, said)
    return save_entry(
        actor, SceneReading, case=case, record_id=record_id, version=version, entry=said
    )


def _ask_about_the_same_reading(case: Case, record_id: UUID, said: Mapping[str, Any]) -> None:
    """Ask where the same temperature of the same minute stands already. Raises Refused."""
    standing = SceneReading.objects.active().filter(case=case)
    own = standing.filter(pk=record_id).first()
    now = {name: said.get(name, getattr(own, name, None)) for name in SAME_READING}
    if any(now[name] is None for name in ("kind", "value_c", "read_at")):
        return
    others = standing.filter(kind=now["kind"]).exclude(pk=record_id)
    if any(same_reading(now, said_of(one, now)) for one in others):
        raise Refused(TWICE.say(), field="method")


# A medicine or drug that was found.
record_medication = records("record_medication", Medication, Act.RECORD_SCENE)


@action
def record_person(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    version: int = 0,
    entry: Entry,
    reason: str = "",
) -> Person:
    """Note a witness, next of kin or other person; version 0 makes it, else it is changed.

    Where a time of notification is given without a name, the actor notified them.
    Raises NotKnown, NotAllowed, StaleRecord, Conflict, Refused, Invalid.
    """
    case = queries.case_for_update(case_id)
    said = dict(entry)
    require(actor, Act.CONTACT_FAMILY if _is_kin(record_id, said) else Act.RECORD_SCENE, case)
    if said.get("notified_at") and not said.get("notified_by"):
        said["notified_by"] = actor
    refuse_wrong(intake_rules.wrong_in_notification(said))
    refuse_wrong(_ahead(said, "notified_at"))
    return save_entry(actor, Person, case=case, record_id=record_id, version=version, entry=said)


void_place = voids("void_place", Place, Act.RECORD_SCENE)
void_reading = voids("void_reading", SceneReading, Act.RECORD_SCENE)
void_medication = voids("void_medication", Medication, Act.RECORD_SCENE)
void_person = voids("void_person", Person, Act.RECORD_SCENE)


def _is_kin(record_id: UUID, entry: Entry) -> bool:
    """Tell whether this is, and was, about next of kin: their notification goes on for months."""
    stands = Person.objects.filter(pk=record_id).values_list("part", flat=True).first()
    return {entry.get("part", stands), stands or KIN} == {KIN}


def _ahead(entry: Entry, *names: str) -> dict[str, str]:
    return intake_rules.ahead_of_now({name: entry.get(name) for name in names}, timezone.now())

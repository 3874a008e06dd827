"""The report prints where, when and how the body was found, and every other place with its time."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.conf import settings

from cases import actions
from cases.models import Scene, SceneReading
from cases.queries.file import moved_of, places_of
from cases.review.content import report_content
from cases.rules.scene import PositionSeen, moved_words
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import MOMENT, make_case, make_staff, set_back


def printed(case) -> dict[str, str]:
    sections = {section["key"]: section for section in report_content(case.pk)["sections"]}
    if "scene" not in sections:
        return {}
    return {
        one["key"]: f"{one.get('lead', '')}|{one['text']}" for one in sections["scene"]["passages"]
    }


@pytest.mark.django_db
def test_scene_readings_and_places_stand_in_the_report_in_the_order_of_their_times():
    case, quill = make_case(), make_staff(Role.INVESTIGATOR)
    assert printed(case) == {}
    scene = actions.record_scene(
        quill, case_id=case.pk, version=0,
        entry={"arrived_at": MOMENT, "address": "Mill Street 3", "position": "prone",
               "position_words": "Left arm under the chest", "moved_before": "Not moved",
               "lividity_where": "Back", "lividity_blanching": "fixed", "rigor": "full",
               "rigor_where": "Jaw"},
    )  # fmt: skip
    for hours, kind, value in ((2, "rectal", "31.2"), (1, "ambient", "8.5")):
        actions.record_reading(
            quill, case_id=case.pk, record_id=new_id(),
            entry={"kind": kind, "value_c": value, "read_at": MOMENT + timedelta(hours=hours)},
        )  # fmt: skip
    for entry in (
        {"name": "Apixaban", "strength": "5 mg", "quantity_found": 41, "quantity_dispensed": 60,
         "where_found": "Bedside"},
        {"name": "White powder"},
        {"name": "Diazepam", "quantity_found": 0},
    ):  # fmt: skip
        actions.record_medication(quill, case_id=case.pk, record_id=new_id(), entry=entry)
    kept = []
    for hours, entry in (
        (None, {"kind": "vehicle", "address": "Ambulance 4", "told_by": "K. Morrow"}),
        (-1, {"kind": "death", "address": "Eskmere hospital", "told_by": "Dr. V. Amsel",
              "position": "supine"}),
        (-4, {"kind": "injury", "address": "Weir bridge", "told_by": "A patron",
              "seen": "Blood on the rail"}),
    ):  # fmt: skip
        from_at = None if hours is None else MOMENT + timedelta(hours=hours)
        kept.append(
            actions.record_place(
                quill, case_id=case.pk, record_id=new_id(), entry={**entry, "from_at": from_at}
            )
        )
    said = printed(case)
    assert list(said) == [
        "scene-visit", "scene-found", "scene-changes", "scene-readings", "scene-medication",
        "scene-place-1", "scene-place-2", "scene-place-3",
    ]  # fmt: skip
    assert said["scene-visit"].endswith(": Mill Street 3.")
    assert said["scene-found"] == (
        "|Position found: face down (prone). Left arm under the chest. Not moved before the visit."
    )
    assert said["scene-changes"] == (
        "|Lividity at the scene: back, fixed. Rigor at the scene: full, jaw."
    )
    air, body = said["scene-readings"].split("; ")
    assert air.startswith("|Temperatures: air beside the body 8.5 °C at ")
    assert body.startswith("rectal 31.2 °C at ")
    assert said["scene-medication"] == (
        "|Medication: Apixaban 5 mg, 41 of 60 found (bedside); White powder; Diazepam, 0 found."
    )
    assert said["scene-place-1"].startswith("Place of injury|Weir bridge, from ")
    assert said["scene-place-1"].endswith(" Blood on the rail. Seen or told by: A patron.")
    assert "Position: on the back (supine). Seen or told by: Dr. V." in said["scene-place-2"]
    assert said["scene-place-3"] == "Vehicle, transport|Ambulance 4. Seen or told by: K. Morrow."
    # A position elsewhere is asked about with the lividity, though the scene says "not moved".
    moved = moved_of(scene.moved_before, places_of(case))
    assert moved.startswith("on the back (supine) at Eskmere hospital, ")
    assert moved.endswith("(told by Dr. V. Amsel); the scene says: Not moved")
    actions.void_place(quill, record_id=kept[1].pk, version=1, reason="wrong case")
    assert "Eskmere" not in str(printed(case))
    assert moved_of(scene.moved_before, places_of(case)) == "Not moved"


@pytest.mark.parametrize(
    ("before", "positions", "said"),
    [
        ("", [], ""),
        ("Not moved", [], "Not moved"),
        ("From bay X.", [PositionSeen("sitting", "the porch", "A. Orme")],
         "sitting at the porch (told by A. Orme); the scene says: From bay X"),
        ("", [PositionSeen("sitting", "the porch", "A. Orme")],
         "sitting at the porch (told by A. Orme)"),
        ("By the crew.", [PositionSeen("sitting", "the porch", "A. Orme", "14:00"),
                          PositionSeen("kneeling", "the yard", "B. Orme")],
         "sitting at the porch, 14:00 (told by A. Orme); kneeling at the yard (told by B. Orme);"
         " the scene says: By the crew"),
    ],
)  # fmt: skip
def test_what_is_recorded_of_moving_the_body(before, positions, said):
    assert moved_words(before, positions) == said


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("later", "rigor"), [(0, "Rigor at the same time: full."), (1, "Rigor at the scene, 3 ")]
)
def test_one_time_is_said_once_and_a_position_without_a_name_in_its_own_words(later, rigor):
    case, quill = make_case(), make_staff(Role.INVESTIGATOR)
    seen = datetime(2026, 6, 3, 14, 5, tzinfo=UTC)
    actions.record_scene(
        quill, case_id=case.pk, version=0,
        entry={"arrived_at": MOMENT, "left_at": MOMENT, "address": "Mill Street 3",
               "position": "other", "position_words": "Wedged behind the stove",
               "moved_before": "Onto the porch", "lividity_where": "Back", "rigor": "full",
               "lividity_seen_at": seen, "rigor_seen_at": seen + timedelta(minutes=later)},
    )  # fmt: skip
    said = printed(case)
    assert said["scene-found"] == (
        "|Position found: wedged behind the stove. Moved before the visit: onto the porch."
    )
    assert said["scene-changes"].startswith("|Lividity at the scene, 3 June 2026, 10:05 EDT: back.")
    assert f" {rigor}" in said["scene-changes"]


@pytest.mark.django_db
def test_the_scene_is_printed_in_office_time_as_read_and_not_once_withdrawn():
    case, quill = make_case(), make_staff(Role.INVESTIGATOR)
    actions.record_scene(
        quill, case_id=case.pk, version=0,
        entry={"arrived_at": MOMENT, "address": "Mill Street 3", "lividity_where": "Back"},
    )  # fmt: skip
    actions.record_reading(
        quill, case_id=case.pk, record_id=new_id(),
        entry={"kind": "ambient", "value_c": "8.5", "read_at": MOMENT},
    )  # fmt: skip
    SceneReading.objects.filter(case=case).update(value_c_read="47.3 °F")
    said = printed(case)
    at = MOMENT.astimezone(settings.OFFICE_ZONE).strftime("%d %B %Y, %H:%M %Z").lstrip("0")
    assert said["scene-visit"] == f"|Visited {at}: Mill Street 3."
    assert said["scene-changes"] == "|Lividity at the scene: back."
    assert said["scene-readings"].startswith(
        f"|Temperatures: air beside the body 8.5 °C (read as 47.3 °F) at {at}"
    )
    set_back(Scene.objects.filter(case=case), voided_at=MOMENT)
    assert list(printed(case)) == ["scene-readings"]


@pytest.mark.django_db
def test_a_temperature_that_was_entered_twice_is_printed_once():
    case, quill = make_case(), make_staff(Role.INVESTIGATOR)
    for value, method, seconds in (
        ("31.2", "", 0), ("31.2", "Probe 3", 20), ("31.2", "probe 3", 0), ("31.2", "Probe 4", 0),
        ("31.3", "", 0),
    ):  # fmt: skip
        # Past the action, which asks about a second one.
        SceneReading.objects.create(
            case=case, kind="rectal", value_c=value, method=method, created_by=quill,
            changed_by=quill, read_at=MOMENT + timedelta(seconds=seconds),
        )  # fmt: skip
    text = printed(case)["scene-readings"]
    assert text.count("31.2 °C") == 2
    assert text.lower().count("probe 3") == text.count("Probe 4") == text.count("31.3 °C") == 1

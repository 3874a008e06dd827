"""The scene, with what is listed with it."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from cases import access, actions
from cases.access import Act, may
from cases.actions.scene import SCENE_NAMES
from cases.course import case_frame
from cases.forms.scene import SceneForm
from cases.models import NotDone, Person, Place, ReportOfDeath, Scene, SceneReading
from cases.queries import file
from cases.rules.lividity import SceneLividity, scene_question
from cases.rules.places import Stay, place_questions
from cases.rules.scene import Reading, SceneWritten, not_written, reading_cautions
from cases.views import facts
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import answer_done, answer_form, submitted


@require_GET
def scene(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the scene and its lists."""
    frame = case_frame(request.user, case_id, current="scene")
    recorded = file.scene_of(frame.case)
    places = file.places_of(frame.case)
    readings = file.readings_of(frame.case)
    people = file.people_of(frame.case)
    context = {
        "frame": frame,
        "scene": recorded,
        "no_visit": None if recorded else file.not_done_of(frame.case, NotDone.SCENE),
        "groups": facts.scene_groups(recorded) if recorded else [],
        "caution": _caution(recorded, places) if recorded else "",
        "places": places,
        "place_questions": place_questions(
            Stay(one.kind, one.address, one.from_at, one.to_at) for one in places
        ),
        "readings": readings,
        "reading_cautions": reading_cautions(Reading(r.kind, float(r.value_c)) for r in readings),
        "medication": file.medication_of(frame.case),
        "people": people,
        "not_written": not_written(_written(recorded, readings, people, file.report_on(frame.case)))
        if recorded
        else [],
        "may_record": may(request.user, Act.RECORD_SCENE, frame.case),
        "may_contact": may(request.user, Act.CONTACT_FAMILY, frame.case),
    }
    return render(request, "cases/scene.html", context)


@require_http_methods(["GET", "POST"])
def edit_scene(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Write what was seen at the scene."""
    frame = case_frame(request.user, case_id, current="scene", act=Act.RECORD_SCENE)
    recorded = file.scene_of(frame.case)
    first_time = {"address": frame.case.place_of_death, "arrived_at": timezone.now()}
    initial = {} if recorded else first_time
    form = SceneForm(request.POST or None, instance=recorded, initial=initial)
    saved = submitted(request, form, actions.record_scene, case_id=case_id)
    if saved:
        return answer_done(request, "The scene is saved.", "cases:scene", case_id=case_id)
    shown = {
        "frame": frame,
        "scene": recorded,
        "caution": _typed_caution(form, file.places_of(frame.case)),
    }
    return answer_form(request, "cases/edit_scene.html", shown, form)


@require_GET
def scene_caution(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Answer, while the scene is written, whether lividity goes with the position."""
    case = access.case_for(request.user, Act.SEE, case_id)
    typed = request.GET
    caution = scene_question(
        SceneLividity(
            position=typed.get("position", ""),
            where=typed.get("lividity_where", ""),
            blanching=typed.get("lividity_blanching", ""),
            moved=file.moved_of(typed.get("moved_before", ""), file.places_of(case)),
        )
    )
    return render(request, "cases/_scene_caution.html", {"caution": caution})


def _written(
    recorded: Scene,
    readings: list[SceneReading],
    people: list[Person],
    report: ReportOfDeath | None,
) -> SceneWritten:
    told = {name for name in SCENE_NAMES if getattr(recorded, name) not in (None, "")}
    return SceneWritten(
        frozenset(told),
        frozenset(reading.kind for reading in readings),
        frozenset(person.part for person in people),
        finder_named=bool(report and report.found_by.strip()),
    )


def _caution(recorded: Scene, places: list[Place]) -> str:
    return scene_question(
        SceneLividity(
            recorded.position,
            recorded.lividity_where,
            recorded.lividity_blanching,
            file.moved_of(recorded.moved_before, places),
        )
    )


def _typed_caution(form: SceneForm, places: list[Place]) -> str:
    names = ("position", "lividity_where", "lividity_blanching", "moved_before")
    position, where, blanching, moved = (str(form[name].value() or "") for name in names)
    return scene_question(SceneLividity(position, where, blanching, file.moved_of(moved, places)))

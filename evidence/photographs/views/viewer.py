"""Looking closely: the squares of a large photograph, and two photographs side by side."""

from __future__ import annotations

from contextlib import closing
from typing import TypeVar
from uuid import UUID

from django.core.cache import cache
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from cases.access import Act, case_for, may
from cases.course import CaseFrame, case_frame
from cases.models import Case
from evidence import store
from evidence.imaging import tiles
from evidence.photographs import queries as photograph_queries
from evidence.photographs.models import Photograph
from evidence.photographs.outlines import overlay_of
from evidence.photographs.tile_tasks import ask_for_tiles
from evidence.store.models import StoredFile
from me_office.accounts.requests import StaffRequest
from me_office.audit.actions import note_access

PICTURE = "photographs"
# Squares fetched within this time belong to one look at the picture.
ONE_LOOK_SECONDS = 1800
PLACES_KEPT_SECONDS = 86_400

AnswerT = TypeVar("AnswerT", bound=HttpResponse)


def note_look(request: StaffRequest, case: Case, photograph_id: UUID) -> None:
    """Note that somebody looks at a photograph."""
    note_access(request.user, case_id=case.pk, what="photograph", record_id=photograph_id)
    cache.set(_look_key(request, photograph_id), True, timeout=ONE_LOOK_SECONDS)


def note_look_once(request: StaffRequest, case: Case, photograph_id: UUID) -> None:
    """Note a look unless it is part of one that was noted a short while ago."""
    if cache.add(_look_key(request, photograph_id), True, timeout=ONE_LOOK_SECONDS):
        note_access(request.user, case_id=case.pk, what="photograph", record_id=photograph_id)


def _look_key(request: StaffRequest, photograph_id: UUID) -> str:
    return f"evidence-look-{request.user.pk}-{photograph_id}"


@require_GET
def photograph_tiles(request: StaffRequest, case_id: UUID, photograph_id: UUID) -> JsonResponse:
    """Say how a photograph is cut into squares; ask for the squares where there are none yet."""
    case = case_for(request.user, Act.SEE, case_id)
    shown = photograph_queries.photograph_of(case, photograph_id)
    stored = photograph_queries.tiles_of(case, shown.pk)
    if stored is None:
        return _uncached(JsonResponse({"state": ask_for_tiles(shown.pk)}))
    with store.open_stored(stored) as file:
        return _uncached(JsonResponse({"state": "made", **tiles.read_note(file)}))


@require_GET
def photograph_tile(
    request: StaffRequest, case_id: UUID, photograph_id: UUID, level: int, column: int, row: int
) -> HttpResponse:
    """Send one square of a photograph; the first one of a look is noted."""
    case = case_for(request.user, Act.SEE, case_id)
    stored = photograph_queries.tiles_of(case, photograph_id)
    if stored is None:
        raise Http404
    place = _places(stored).get(tiles.name_of(level, column, row))
    if place is None:
        raise Http404
    with closing(store.open_part(stored.path, *place)) as part:
        square = part.read()
    note_look_once(request, case, photograph_id)
    return _uncached(HttpResponse(square, content_type="image/jpeg"))


def _places(stored: StoredFile) -> dict[str, tuple[int, int]]:
    """Return where each square lies; a file never changes, so that it is looked up once."""
    key = f"evidence-squares-{stored.sha256}"
    places: dict[str, tuple[int, int]] | None = cache.get(key)
    if places is None:
        with store.open_stored(stored) as file:
            places = tiles.places_of(file)
        cache.set(key, places, timeout=PLACES_KEPT_SECONDS)
    return places


def _uncached(answer: AnswerT) -> AnswerT:
    # No case content stays in the browser.
    answer["Cache-Control"] = "private, no-store"
    answer["X-Content-Type-Options"] = "nosniff"
    return answer


@require_GET
def compare(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show two photographs side by side; without two, go back to the log."""
    frame = case_frame(request.user, case_id, current=PICTURE)
    numbers = [_number(request.GET.get(side, "")) for side in ("left", "right")]
    there = {
        each.number: each for each in photograph_queries.photographs_by_number(frame.case, numbers)
    }
    if not all(number in there for number in numbers):
        return redirect("evidence:photographs", case_id=case_id)
    context = {
        "frame": frame,
        "sides": [_side(request, frame, there, numbers, place) for place in (0, 1)],
        "swapped": f"?left={numbers[1]}&right={numbers[0]}",
    }
    return render(request, "evidence/photographs_compare.html", context)


def _number(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < 9 else 0


def _side(
    request: StaffRequest,
    frame: CaseFrame,
    there: dict[int, Photograph],
    numbers: list[int],
    place: int,
) -> dict[str, object]:
    shown = there[numbers[place]]
    name, other = (("left", "right"), ("right", "left"))[place]
    turn = [
        f"?{name}={each.number}&{other}={numbers[1 - place]}" if each else ""
        for each in photograph_queries.neighbors(frame.case, shown.number)
    ]
    links = shown.active_links
    return {
        "name": name,
        "other": other,
        "other_number": numbers[1 - place],
        "photograph": shown,
        "overlay": overlay_of(shown, links, part=f"-{name}"),
        "veiled": shown.graphic and not may(request.user, Act.PHOTOGRAPH, frame.case),
        "before": turn[0],
        "after": turn[1],
    }

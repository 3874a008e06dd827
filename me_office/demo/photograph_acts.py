"""Acts on photographs: taking one in, pointing in it, measuring in it, showing it to a court.

Each function is named like the office's action that it calls. Where a person would point is known
from the painted picture, so that it fits at every size.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

from cases.court.models import RecordsRequest
from cases.exhibits import actions as exhibits
from cases.exhibits import redacting
from cases.exhibits.tasks import make_redaction as make_redacted_copy
from evidence import store
from evidence.intake import checking as pictures
from evidence.measuring import actions as measuring
from evidence.measuring.rules import Dimension, ScaleKind
from evidence.photographs import actions as evidence
from evidence.photographs.models import Photograph, PhotographFinding
from evidence.photographs.tasks import derive_images
from findings.calculations.photo_measurement import MeasureKind
from findings.models import Finding
from me_office.demo.painting import Arm
from me_office.demo.play import Given, Play, as_request, own_work
from me_office.demo.scenario import Point

# The painter knows a mark's outline by 144 corners; a hand draws fewer.
EVERY_CORNER = 4
# Marks of the scale that a hand picks along each arm, as parts of its length; the zero, where the
# arms meet, would be the same place twice.
PICKED_MARKS = (0.2, 0.6, 1.0)


def add_photograph(play: Play, given: Given) -> None:
    """Take in a painted photograph, and make its smaller copies at once."""
    content = play.next_picture(given.act.name).content
    said = {"photographer": str(given.actor), "transfer_place": "Photograph intake"}
    name = f"TCM{100 * play.index + play.photographs:05d}.jpg"
    with store.receive(io.BytesIO(content), name=name) as incoming:
        added = evidence.add_photograph(
            given.actor,
            record_id=given.key,
            incoming=pictures.check_picture(incoming),
            entry=given.entry | said,
            **given.common,
        )
    with as_request(own_work()):
        derive_images(photograph_id=str(added.pk))


def outline_finding(play: Play, given: Given) -> None:
    """Draw the outline of a finding over a photograph."""
    on, shown = given.act.about, play.key(given.act.more["finding"])
    link = PhotographFinding.objects.get(photograph=play.key(on), finding=shown, voided_at=None)
    outline = [list(corner) for corner in play.painted[on].outline[::EVERY_CORNER]]
    evidence.outline_finding(
        given.actor,
        link_id=link.pk,
        version=link.version,
        entry={"outline": outline},
        **given.common,
    )


def measure_photograph(play: Play, given: Given) -> None:
    """Measure the greatest length of a finding against the scale in a photograph."""
    photograph = Photograph.objects.get(pk=play.key(given.act.about))
    painted = play.painted[given.act.about]
    entry = {
        "kind": MeasureKind.LENGTH.value,
        "scale_kind": ScaleKind.RIGHT_ANGLED.value,
        "scale_points": list(_picks(photograph, painted.arms)),
        "scale_in_plane": True,
        "points": [_picked(photograph, end) for end in painted.ends],
        "finding_id": play.key(given.act.more["finding"]),
        **given.entry,
    }
    measuring.measure_photograph(
        given.actor, record_id=given.key, photograph_id=photograph.pk, entry=entry, **given.common
    )


def _picks(photograph: Photograph, arms: tuple[Arm, ...]) -> Iterator[dict[str, Any]]:
    for n, (arm, words) in enumerate(zip(arms, ("first arm", "second arm"), strict=True)):
        for part in PICKED_MARKS:
            mm = arm.length_mm * part
            x, y = (arm.zero[axis] + (arm.end[axis] - arm.zero[axis]) * part for axis in (0, 1))
            yield {
                "label": f"{mm:g} mm, {words}",
                "px": _picked(photograph, (x, y)),
                "mm": [0.0, mm] if n else [mm, 0.0],
            }


def _picked(photograph: Photograph, place: Point) -> list[float]:
    """Return where a hand puts the point when it looks at half picture points."""
    x, y = place[0] * photograph.width_px, place[1] * photograph.height_px
    return [round(x * 2) / 2, round(y * 2) / 2]


def use_measurement(play: Play, given: Given) -> None:
    """Put a measured length into its finding."""
    finding = Finding.objects.get(pk=play.key(given.act.more["finding"]))
    measuring.use_measurement(
        given.actor,
        case_id=play.case_id,
        measurement_id=play.key(given.act.about),
        record_id=given.key,
        finding_id=finding.pk,
        version=finding.version,
        dimension=Dimension.LENGTH.value,
    )


def make_exhibit_set(play: Play, given: Given) -> None:
    """Begin a set of exhibits, for a subpoena where `about` names one."""
    entry: dict[str, Any] = {}
    if given.act.about:
        asked = RecordsRequest.objects.get(pk=play.key(given.act.about))
        entry = {"court": asked.court, "cause_number": asked.cause_number, "request": asked}
    exhibits.make_exhibit_set(
        given.actor, record_id=given.key, entry=entry | given.entry, **given.common
    )


def add_exhibit(play: Play, given: Given) -> None:
    """Put a photograph at the end of a set."""
    exhibits.add_exhibit(
        given.actor,
        set_id=play.key(given.act.about),
        photograph_id=play.key(given.act.more["photograph"]),
        **given.made,
    )


def request_redaction(play: Play, given: Given) -> None:
    """Ask for a copy with a part covered and make it at once, without waiting for a worker."""
    photograph = Photograph.objects.get(pk=play.key(given.act.about))
    corners = [
        [round(x * photograph.width_px), round(y * photograph.height_px)]
        for x, y in given.act.more["corners"]
    ]
    redacting.ask(
        given.actor,
        photograph_id=photograph.pk,
        record_id=given.key,
        version=0,
        entries=[{"shape": "rectangle", "manner": "cover", "points": corners}],
        **given.common,
    )
    with as_request(own_work()):
        make_redacted_copy(request_id=str(given.key))

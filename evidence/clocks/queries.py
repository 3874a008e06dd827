"""Reads of cameras and their clocks."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from zoneinfo import ZoneInfo

from cases.models import Case
from evidence.clocks.models import CameraClock
from evidence.imaging import exif
from evidence.photographs.models import Photograph
from me_office.audit.errors import NotKnown

Key = tuple[str, str]


@dataclass(frozen=True)
class Timed:
    """A photograph with its camera's time as recorded, and as corrected (None: not known)."""

    photograph: Photograph
    recorded: str
    corrected: datetime | None

    @property
    def corrected_words(self) -> str:
        """Say the corrected time with its zone's offset, to the second as cameras do."""
        if self.corrected is None:
            return "not known"
        return self.corrected.strftime("%Y-%m-%d %H:%M:%S %z")


@dataclass(frozen=True)
class Camera:
    """One camera of the case, what is known of its clock, and its photographs."""

    camera: str
    serial: str
    clock: CameraClock | None
    shots: list[Timed] = field(default_factory=list)

    @property
    def words(self) -> str:
        """Name the camera."""
        named = self.camera or "Unnamed camera"
        return f"{named}, serial number {self.serial}" if self.serial else named


def camera_of(facts: dict[str, object]) -> Key:
    """Return make and model, and serial number, as the file names them."""
    named = f"{facts.get('make', '')} {facts.get('model', '')}".strip()
    return named[:250], str(facts.get("serial", ""))[:120]


def cameras_in(case: Case) -> set[Key]:
    """Return the cameras that the case's active photographs name, one statement."""
    rows = Photograph.objects.active().filter(case=case).values_list("exif", flat=True)
    return {camera_of(facts) for facts in rows if exif.said_by_clock(facts)}


def clocks_of(case: Case) -> dict[Key, CameraClock]:
    """Return what is known of the case's cameras, one statement."""
    rows = CameraClock.objects.active().filter(case=case).select_related("changed_by")
    return {(clock.camera, clock.serial): clock for clock in rows.order_by("camera", "serial")}


def cameras_with_times(case: Case) -> list[Camera]:
    """Return the cameras with the times of their photographs, two statements."""
    clocks = clocks_of(case)
    cameras: dict[Key, Camera] = {}
    rows = Photograph.objects.active().filter(case=case).only("number", "case_id", "exif")
    for photograph in rows.order_by("number"):
        if exif.said_by_clock(photograph.exif) is None:
            continue
        key = camera_of(photograph.exif)
        camera = cameras.setdefault(key, Camera(*key, clocks.get(key)))
        camera.shots.append(timed(photograph, camera.clock))
    return [cameras[key] for key in sorted(cameras)]


def camera_with_times(case: Case, key: Key) -> Camera:
    """Return one camera of the case. Raises NotKnown."""
    for camera in cameras_with_times(case):
        if (camera.camera, camera.serial) == key:
            return camera
    raise NotKnown("This photograph's file does not say when it was taken.")


def timed(photograph: Photograph, clock: CameraClock | None) -> Timed:
    """Return a photograph's times by its camera's clock; no statement."""
    facts = photograph.exif
    recorded = f"{facts.get('taken', '')} {facts.get('taken_offset', '')}".strip()
    return Timed(photograph, recorded, corrected_time(photograph, clock))


def corrected_time(photograph: Photograph, clock: CameraClock | None) -> datetime | None:
    """Return when a photograph was taken, by what is known of its camera's clock."""
    if clock is None:
        return None
    return exif.corrected(
        photograph.exif, zone=ZoneInfo(clock.zone), ahead_seconds=clock.ahead_seconds
    )


def times_of(photograph: Photograph) -> Timed:
    """Return one photograph's times as recorded and as corrected; one statement."""
    camera, serial = camera_of(photograph.exif)
    clock = (
        CameraClock.objects.active()
        .filter(case_id=photograph.case_id, camera=camera, serial=serial)
        .first()
    )
    return timed(photograph, clock)

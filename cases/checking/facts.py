"""What the checks know of a case, as plain values. No database, no clock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any


@dataclass(frozen=True)
class Injury:
    """One active injury as the checks see it; `cause` is one of `findings.words.counting.Cause`."""

    number: int = 1
    term: str = "Contusion"
    cause: str = "blunt force"
    placed: bool = True
    sized: bool = True
    described: bool = True
    patterned: bool = False
    groups: tuple[str, ...] = ()  # the larger parts of the body on which it is marked
    from_landmarks: bool = False  # height and distance from the midline are known
    soot: bool = False  # present or absent, but stated
    stippling: bool = False
    end_said: bool = False  # entrance, exit, graze
    is_exit: bool = False
    traced: bool = False  # a path, or layers beneath, are recorded
    photographed: bool = False
    with_scale: bool = False


@dataclass(frozen=True)
class Specimen:
    """One active specimen of the office's own, or one that was received."""

    material: str = "Blood"
    site: str = "Right femoral vein"
    purpose: str = ""
    by_office: bool = True


@dataclass(frozen=True)
class Reported:
    """One current result of somebody outside the office."""

    kind: str = "toxicology"
    lines: int = 0
    reported_by: str = ""


@dataclass(frozen=True)
class Facts:
    """A case as the rules of completeness see it; what is not recorded is empty or False."""

    # The call, the scene, the body
    called: bool = True
    circumstances: str = ""
    heading: str = ""
    decided: bool = False
    last_alive: bool = False
    found_by: bool = False
    pronounced: bool = False
    scene: str = ""  # "visited", "not visited" or empty
    scene_agencies: bool = False
    scene_surroundings: bool = False
    scene_position: bool = False
    scene_changes: bool = False  # lividity or rigor as seen there
    scene_temperatures: bool = False
    scene_marks: bool = False
    scene_photographs: int = 0
    identity: str = "unknown"
    identity_method: str = ""
    identity_tried: tuple[str, ...] = ()  # methods of all steps of identification
    sex: str = ""
    age_years: float | None = None
    # The examination
    kind: str = ""  # empty while no examination is opened
    kind_reason: str = ""
    pathologist: bool = False
    ended: bool = False
    place: bool = False
    circumstances_reviewed: bool = False
    length: bool = False
    weight: bool = False
    clothing: str = ""
    external: str = ""
    postmortem: str = ""
    treatment: str = ""
    cavities: str = ""
    internal: str = ""
    deep: str = ""
    lividity: int = 0
    rigor: int = 0
    organs: tuple[str, ...] = ()
    injuries: tuple[Injury, ...] = ()
    findings: int = 0
    interventions: int = 0
    identifying: int = 0
    body_photographs: int = 0
    identification_photographs: int = 0
    # What was taken and reported
    specimens: tuple[Specimen, ...] = ()
    kits: tuple[str, ...] = ()
    slides: bool = False  # microscopic slides were read here
    clothing_kept: bool = False
    trace_kept: bool = False
    projectiles_kept: int = 0
    items_without_collector: tuple[int, ...] = ()
    items_without_seal: tuple[int, ...] = ()
    results: tuple[Reported, ...] = ()
    # What was concluded
    manner: str = ""
    causes: tuple[str, ...] = ()
    basis: str = ""
    opinion: str = ""
    injury_items_left: tuple[str, ...] = ()
    other_items_left: tuple[str, ...] = ()

    @property
    def opened(self) -> bool:
        """Tell whether the body was opened."""
        return self.kind in OPENED

    @property
    def seen(self) -> bool:
        """Tell whether somebody of the office examined the body from outside."""
        return self.kind in SEEN

    @property
    def written(self) -> str:
        """All words of the examination."""
        parts = (
            self.clothing, self.external, self.postmortem, self.treatment,
            self.cavities, self.internal, self.deep,
        )  # fmt: skip
        return " ".join(part for part in parts if part)


OPENED = frozenset({"full autopsy", "limited", "second autopsy"})
SEEN = OPENED | {"external", "view and release", "skeletal remains"}


def facts_from(given: Mapping[str, Any]) -> Facts:
    """Return facts from plain data, as the examples of the rules are written."""
    known = {one.name for one in fields(Facts)}
    if unknown := given.keys() - known:
        raise ValueError(f"No facts: {', '.join(sorted(unknown))}")
    rows = {"injuries": Injury, "specimens": Specimen, "results": Reported}
    values: dict[str, Any] = {}
    for name, value in given.items():
        if name in rows:
            values[name] = tuple(rows[name](**_plain(row)) for row in value)
        else:
            values[name] = tuple(value) if isinstance(value, list) else value
    return Facts(**values)


def _plain(row: Mapping[str, Any]) -> dict[str, Any]:
    return {name: tuple(one) if isinstance(one, list) else one for name, one in row.items()}

"""The words in which the demonstration cases are written: data alone, nothing is done here.

A case is a list of acts. An act names the person, the office's action, and what is entered.
Times are told from the case's first call: `h(2, 10)` is two hours and ten minutes after it.
Records that later acts speak of carry a name, unique within the case.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

from me_office.entries import Entry

Point = tuple[float, float]
LABORATORY = "Laboratory counter"


@dataclass(frozen=True)
class Who:
    """A member of staff by user name, where an entry wants the person."""

    username: str


@dataclass(frozen=True)
class InDays:
    """A date so many days after the day of loading."""

    days: int


@dataclass(frozen=True)
class OnDay:
    """A moment so many days after the day of loading, by the office's clock: 10:40."""

    days: int
    clock: str


@dataclass(frozen=True)
class Named:
    """The key of a record of this case that carries a name."""

    name: str


@dataclass(frozen=True)
class Picture:
    """How a synthetic photograph is painted."""

    kind: str
    scale: bool
    options: Mapping[str, Any]


@dataclass(frozen=True)
class Act:
    """One act of one person: the action's name and what it is given.

    `at` is when it was entered, where neither its words nor the acts before it say so.
    """

    by: str
    do: str
    entry: Entry = field(default_factory=dict)
    name: str = ""
    about: str = ""
    reason: str = ""
    more: Mapping[str, Any] = field(default_factory=dict)
    at: timedelta | OnDay | None = None


@dataclass(frozen=True)
class DemoCase:
    """An invented case: when the first call came, and what was done since."""

    name: str
    acts: Sequence[Act]
    days_ago: int = 0
    clock: str = "00:00"
    minutes_ago: int = 0
    tone: int = 1


def h(hours: int, minutes: int = 0) -> timedelta:
    """Return a time after the first call."""
    return timedelta(hours=hours, minutes=minutes)


def story(*parts: Act | Iterable[Act]) -> list[Act]:
    """Join acts and lists of acts, in their order."""
    acts: list[Act] = []
    for part in parts:
        acts.extend([part] if isinstance(part, Act) else part)
    return acts


def then(at: timedelta | OnDay, *parts: Act | Iterable[Act]) -> list[Act]:
    """Say when the first of some acts was entered; the others follow it."""
    first, *others = story(*parts)
    return [replace(first, at=at), *others]


def oval(cx: float, cy: float, across: float, down: float, turn: float = 0) -> list[Point]:
    """Return the outline of an oval mark; sizes in the chart's units, turn in degrees."""
    angle, corners = math.radians(turn), []
    for n in range(14):
        x = across / 2 * math.cos(math.tau * n / 14)
        y = down / 2 * math.sin(math.tau * n / 14)
        corners.append(
            (
                round(cx + x * math.cos(angle) - y * math.sin(angle), 1),
                round(cy + x * math.sin(angle) + y * math.cos(angle), 1),
            )
        )
    return corners


def area(view: str, points: Sequence[Point]) -> dict[str, Any]:
    """Return an outlined mark on the body chart."""
    return {"view": view, "kind": "area", "points": [list(point) for point in points]}


def line(view: str, *points: Point) -> dict[str, Any]:
    """Return a line on the body chart."""
    return {"view": view, "kind": "line", "points": [list(point) for point in points]}


def dot(view: str, u: float, v: float) -> dict[str, Any]:
    """Return a point on the body chart."""
    return {"view": view, "kind": "point", "points": [[u, v]]}


def report(by: str, **entry: Any) -> Act:
    """Log the report of death; the call is the case's zero hour."""
    return Act(by, "log_report_of_death", {"called_at": h(0), **entry})


def accept(by: str, at: timedelta, ground: str, reason: str) -> Act:
    """Accept jurisdiction."""
    return Act(by, "accept_jurisdiction", {"ground": ground, "decided_at": at}, reason=reason)


def decline(by: str, at: timedelta, ground: str, reason: str) -> Act:
    """Decline jurisdiction."""
    return Act(by, "decline_jurisdiction", {"ground": ground, "decided_at": at}, reason=reason)


def assign(**people: str) -> Act:
    """Let the supervisor assign investigator, pathologist or both."""
    return Act("thorne", "assign_case", {part: Who(name) for part, name in people.items()})


def brought(
    by: str, at: timedelta, origin: str, tag: str, seal: str, kept_at: str, **entry: Any
) -> Act:
    """Receive the body: brought by the county's driver, under an intact seal."""
    said = {
        "received_at": at,
        "received_by": Who("renn"),
        "delivered_by": "R. Cobb, county transport",
        "received_from": origin,
        "tag_number": tag,
        "seal_number": seal,
        "seal_state": "intact",
        "kept_at": kept_at,
    }
    return Act(by, "receive_body", {**said, **entry})


def finding(
    by: str,
    name: str,
    klass: str,
    term: str,
    *,
    marks: Sequence[Mapping[str, Any]] = (),
    layers: Iterable[tuple[str, str]] = (),
    means: Iterable[tuple[str, str, str]] = (),
    **entry: Any,
) -> list[Act]:
    """Record a finding with its marks, then its layers and what it may mean.

    A layer whose second part is empty was not examined; `means` are standing, statement, ground.
    """
    said = {"klass": klass, "term": term, **entry}
    acts = [Act(by, "record_finding", said, name=name, more={"marks": list(marks)})]
    for layer, found in layers:
        under = {"layer": layer, "examined": bool(found), "found": found}
        acts.append(Act(by, "record_layer", under, about=name))
    for standing, statement, ground in means:
        may_be = {"standing": standing, "statement": statement, "ground": ground}
        acts.append(Act(by, "record_interpretation", may_be, about=name))
    return acts


def injury(by: str, name: str, term: str, **entry: Any) -> list[Act]:
    """Record an injury."""
    return finding(by, name, "injury", term, **entry)


def photo(
    by: str,
    at: timedelta,
    view: str,
    kind: str,
    shows: str,
    *,
    name: str = "",
    region: str = "",
    of: Sequence[str] = (),
    scale: bool = False,
    place: str = "examination",
    graphic: bool = True,
    **options: Any,
) -> Act:
    """Add a photograph of some findings; `options` are those of the painted picture.

    An option that bears the name of a parameter here ends in "_": view_="back".
    """
    painted = {name.rstrip("_"): value for name, value in options.items()}
    entry = {
        "photographer": Who(by),
        "taken_at": at,
        "received_at": at + timedelta(minutes=50),
        "place": place,
        "view": view,
        "with_scale": scale,
        "graphic": graphic,
        "region": region,
        "shows": shows,
        "finding_ids": [Named(name) for name in of],
    }
    taken = {"picture": Picture(kind, scale, painted)}
    return Act(by, "add_photograph", entry, name=name, more=taken)


def scene_photo(by: str, at: timedelta, kind: str, shows: str, **options: Any) -> Act:
    """Add a photograph of the scene, which nobody needs to veil."""
    view = options.pop("view", "overview")
    return photo(by, at, view, kind, shows, place="scene", graphic=False, **options)


def outlined(by: str, on: str, what: str) -> Act:
    """Draw a finding's outline over a photograph that shows it."""
    return Act(by, "outline_finding", about=on, more={"finding": what})


def measured(by: str, on: str, what: str, note: str = "") -> list[Act]:
    """Measure a finding's length on a photograph, and put it into the finding."""
    name, of = f"{what} measured", {"finding": what}
    return [
        Act(by, "measure_photograph", {"note": note}, name=name, about=on, more=of),
        Act(by, "use_measurement", about=name, more=of),
    ]


def series(by: str, title: str, *photographs: str) -> Act:
    """Say that photographs show the same area, from further and nearer."""
    entry = {"title": title, "photograph_ids": [Named(name) for name in photographs]}
    return Act(by, "make_series", entry)


def exhibit(by: str, in_set: str, number: str, photograph: str, caption: str, plain: str) -> Act:
    """Put a photograph at the end of a set, under the court's number."""
    said = {"number": number, "caption": caption, "plain_words": plain}
    return Act(by, "add_exhibit", said, about=in_set, more={"photograph": photograph})


def covered(by: str, photograph: str, corners: tuple[Point, Point], why: str) -> Act:
    """Cover a part of a photograph for release; corners are shares of width and height."""
    more = {"corners": corners}
    return Act(by, "request_redaction", about=photograph, reason=why, more=more)


def _closed(by: str, at: timedelta, to: str, purpose: str) -> dict[str, Any]:
    return {
        "collected_at": at,
        "collected_by": Who(by),
        "to_party": to,
        "handed_over_at": at + timedelta(minutes=25),
        "transfer_purpose": purpose,
    }


def specimen(
    by: str,
    name: str,
    at: timedelta,
    material: str,
    site: str,
    *,
    to: str = "Specimen refrigerator 2",
    **entry: Any,
) -> Act:
    """Take a specimen, seal it and put it away."""
    said = {"material": material, "site": site, "transfer_place": "Examination room 1"}
    return Act(by, "take_specimen", {**said, **_closed(by, at, to, "storage"), **entry}, name=name)


def kit(
    by: str, name: str, at: timedelta, kind: str, parts: tuple[str, ...], *, to: str, **entry: Any
) -> Act:
    """Record several specimens under one seal, each as it is typed: A1: Heart, septum."""
    said = {"kind": kind, "transfer_place": "Examination room 1"}
    closed = _closed(by, at, to, "storage")
    return Act(by, "record_kit", {**said, **closed, **entry}, name=name, more={"parts": parts})


def thing(
    by: str, name: str, at: timedelta, category: str, description: str, found: str, **entry: Any
) -> Act:
    """Take a thing into keeping: an effect of the decedent's, or with `kept_as` evidence."""
    closed = _closed(by, at, entry.pop("to", "Property locker 3"), "safe keeping")
    said = {"category": category, "kept_as": "property", "description": description, "found": found}
    said |= {"transfer_place": "Property room", **closed, **entry}
    return Act(by, "record_property", said, name=name)


def hand_on(by: str, item: str, at: timedelta, to: str, purpose: str, place: str = "") -> Act:
    """Record that an item passed on from whoever holds it; the seal is found as it stands."""
    entry = {"to_party": to, "at": at, "purpose": purpose, "place": place or "Evidence room"}
    return Act(by, "record_transfer", entry, about=item)


def hand_to_agency(by: str, items: tuple[str, ...], at: timedelta, **entry: Any) -> Act:
    """Hand items to an agency against a receipt."""
    said = {"at": at, "place": "Evidence room", **entry}
    return Act(by, "hand_to_agency", said, more={"items": items})


def open_seal(by: str, item: str, at: timedelta, why: str, broken_by: str = "") -> Act:
    """Record that a seal was broken; by somebody else where a name is given."""
    return Act(
        by, "break_seal", {"broken_at": at, "broken_why": why, "broken_by": broken_by}, about=item
    )


def close_again(by: str, item: str, at: timedelta, applied_by: str = "") -> Act:
    """Put a new numbered seal on an item."""
    return Act(by, "apply_seal", {"applied_at": at, "applied_by": applied_by}, about=item)


def organs(by: str, *weights: tuple[str, str, str]) -> list[Act]:
    """Weigh organs: name, grams, what was seen."""
    return [
        Act(by, "weigh_organ", {"organ": organ, "weight_g": Decimal(grams), "seen_as": seen})
        for organ, grams, seen in weights
    ]


def confirmed(by: str, *statements: str) -> list[Act]:
    """Confirm negative statements one by one, by their keys."""
    return [Act(by, "confirm_negative", more={"statement": each}) for each in statements]


def system_part(by: str, part: str, words: str = "", *kept: Any) -> list[Act]:
    """Describe one part of a body system in words, and with the sentences that were laid.

    Each of these is False where it is struck, True where it is kept, and the values of its blanks
    where it has any.
    """
    sentences = [
        {"kept": one is not False, "filled": one if isinstance(one, dict) else {}} for one in kept
    ]
    entry: dict[str, Any] = {"decision": "described", "words": words}
    return [Act(by, "decide_part", {**entry, "sentences": sentences or None}, more={"part": part})]


def stated_parts(by: str, *parts: str) -> list[Act]:
    """State the negatives of parts of the body systems, one by one."""
    return [Act(by, "state_part_negative", more={"part": part}) for part in parts]


def sentences_laid(by: str, *systems: str) -> list[Act]:
    """Lay the standard sentences of systems, to be kept or struck."""
    return [Act(by, "use_template", more={"system": system}) for system in systems]


def wound_path(by: str, entrance: str, exit_: str, *structures: str, **entry: Any) -> Act:
    """Record the path of a wound from its entrance through structures to its exit."""
    said = {"structures": "\n".join(structures), "ends_as": "exit", "exit_finding": Named(exit_)}
    return Act(by, "record_path", {**said, **entry}, about=entrance)


def one(by: str, do: str, name: str = "", /, *, because: str = "", **entry: Any) -> Act:
    """Return an act whose action takes an entry and nothing else."""
    return Act(by, do, entry, name=name, reason=because)


def draft(by: str, name: str, note: str = "", *, reviewer: str = "") -> Act:
    """Let its author sign the report and send it to peer review, to somebody or anybody."""
    return Act(by, "submit_report", {}, name=name, more={"note": note, "reviewer": reviewer})


def comment(name: str, on: str, passage: str, words: str, *, weight: str = "suggestion") -> Act:
    """Let the supervisor comment on a passage of a draft."""
    return Act(
        "thorne",
        "comment_on_passage",
        name=name,
        about=on,
        more={"passage": passage, "comment": words, "weight": weight},
    )


def reply(by: str, to: str, words: str) -> Act:
    """Reply in the thread of a comment."""
    return Act(by, "reply_to_comment", about=to, more={"words": words})


def answer(by: str, to: str, words: str) -> Act:
    """Answer a comment."""
    return Act(by, "answer_comment", about=to, more={"answer": words})


def send_back(on: str, words: str) -> Act:
    """Let the supervisor send a draft back."""
    return Act("thorne", "return_report", about=on, more={"words": words})


def sign(on: str, words: str = "") -> Act:
    """Let the chief, a pathologist too, sign the review."""
    return Act("thorne", "sign_off", about=on, more={"words": words})

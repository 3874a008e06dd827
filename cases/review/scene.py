"""The report's section on the scene: where and how the body was found, and what was read there.

Every other place and position stands with its time and with who saw or told it.
"""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.conf import settings

from cases.models import Place, Scene, SceneReading
from cases.rules.scene import same_reading
from findings.words.sentences import begin_small
from me_office.moments import written_out, written_span

KEY = "scene"
PLACE_WORDS = (
    "kind", "address", "from_at", "to_at", "told_by", "visited_at", "position", "position_words",
    "lividity_where", "agencies", "weather", "seen",
)  # fmt: skip
MEDICATION_WORDS = ("name", "strength", "quantity_found", "quantity_dispensed", "where_found")
READING_WORDS = ("kind", "value_c", "value_c_read", "read_at", "method")
POSITIONS = dict(Scene.POSITIONS)
RIGOR = dict(Scene.RIGOR)
BLANCHING = dict(Scene.BLANCHING)
PLACES = dict(Place.KINDS)
READ = dict(SceneReading.KINDS)


def scene_section(case: Any) -> dict[str, object]:
    """Return the section from what `case_to_report_on` read; without passages where nothing is.

    `case.review_places` and `case.review_readings` are rows of words as the database prints them.
    """
    scene = getattr(case, "scene", None)
    passages = []
    if scene is not None and not scene.voided_at:
        passages = [
            {"key": f"{KEY}-{name}", "text": text}
            for name, text in (
                ("visit", _visit(scene)),
                ("found", _found(scene)),
                ("changes", _changes(scene)),
            )
            if text
        ]
    if read := [_reading(row) for row in _once(_in_time(case.review_readings, "read_at"))]:
        passages.append({"key": f"{KEY}-readings", "text": f"Temperatures: {'; '.join(read)}."})
    if found := [_medicine(row) for row in case.review_medication]:
        passages.append({"key": f"{KEY}-medication", "text": f"Medication: {'; '.join(found)}."})
    for number, row in enumerate(_in_time(case.review_places, "from_at"), start=1):
        lead = PLACES[row["kind"]]
        passages.append(
            {
                "key": f"{KEY}-place-{number}",
                "lead": lead[:1].upper() + lead[1:],
                "text": _place(row),
            }
        )
    return {"key": KEY, "title": "Scene", "passages": passages}


def _visit(scene: Scene) -> str:
    came, left = scene.arrived_at, scene.left_at
    when = written_span(came, left, settings.OFFICE_ZONE) if left else _moment(came)
    return f"Visited {when}: {_ended(scene.address)}"


def _found(scene: Scene) -> str:
    parts = []
    if scene.position or scene.position_words:
        parts.append(f"Position found: {_position(scene.position, scene.position_words)}")
    if scene.moved_before:
        moved = begin_small(scene.moved_before).strip()
        if moved.rstrip(".") == "not moved":
            parts.append("Not moved before the visit.")
        else:
            parts.append(f"Moved before the visit: {_ended(moved)}")
    return " ".join(parts)


def _changes(scene: Scene) -> str:
    parts = []
    if scene.lividity_where or scene.lividity_blanching:
        said = [scene.lividity_where, scene.lividity_colour, BLANCHING[scene.lividity_blanching]]
        words = ", ".join(begin_small(one) for one in said if one and one != "not stated")
        parts.append(f"Lividity at the scene{_seen(scene.lividity_seen_at)}: {_ended(words)}")
    if scene.rigor:
        where = f", {begin_small(scene.rigor_where)}" if scene.rigor_where else ""
        when = f"the scene{_seen(scene.rigor_seen_at)}"
        if parts and scene.rigor_seen_at and scene.rigor_seen_at == scene.lividity_seen_at:
            when = "the same time"
        parts.append(f"Rigor at {when}: {_ended(RIGOR[scene.rigor] + where)}")
    return " ".join(parts)


def _once(rows: list[dict[str, str]]) -> list[dict[str, str]]:
    """Leave out a temperature that was entered again and says no more than the one that is kept."""
    kept: list[dict[str, str]] = []
    for row in sorted(rows, key=lambda one: not one["method"]):
        if not any(same_reading(_as_read(row), _as_read(one)) for one in kept):
            kept.append(row)
    return [row for row in rows if any(row is one for one in kept)]


def _as_read(row: dict[str, str]) -> dict[str, object]:
    return {**row, "read_at": _time(row["read_at"])}


def _reading(row: dict[str, str]) -> str:
    read = f" (read as {row['value_c_read']})" if row["value_c_read"] else ""
    method = f", {row['method']}" if row["method"] else ""
    value = f"{Decimal(row['value_c']).normalize():f}"
    return f"{READ[row['kind']]} {value} °C{read}{_at(_time(row['read_at']))}{method}"


def _medicine(row: dict[str, str]) -> str:
    count = ""
    if row["quantity_found"] is not None:
        of = f" of {row['quantity_dispensed']}" if row["quantity_dispensed"] is not None else ""
        count = f", {row['quantity_found']}{of} found"
    where = f" ({begin_small(row['where_found'])})" if row["where_found"] else ""
    return f"{' '.join(part for part in (row['name'], row['strength']) if part)}{count}{where}"


def _place(row: dict[str, str]) -> str:
    began, ended = _time(row["from_at"]), _time(row["to_at"])
    when = ""
    if began and ended:
        when = f", {written_span(began, ended, settings.OFFICE_ZONE)}"
    elif began:
        when = f", from {_moment(began)}"
    elif ended:
        when = f", until {_moment(ended)}"
    parts = [_ended(f"{row['address']}{when}")]
    if row["position"] or row["position_words"]:
        parts.append(f"Position: {_position(row['position'], row['position_words'])}")
    if row["lividity_where"]:
        parts.append(f"Lividity: {_ended(begin_small(row['lividity_where']))}")
    if row["agencies"]:
        parts.append(f"Others there: {_ended(row['agencies'])}")
    if row["weather"]:
        parts.append(f"Weather and temperature: {_ended(row['weather'])}")
    if row["seen"]:
        parts.append(_ended(row["seen"]))
    visited = f"; visited {_moment(visit)}" if (visit := _time(row["visited_at"])) else ""
    parts.append(f"Seen or told by: {_ended(row['told_by'] + visited)}")
    return " ".join(parts)


def _position(position: str, words: str) -> str:
    if position == "other" and words:
        return _ended(begin_small(words))
    named = POSITIONS[position] if position else ""
    return _ended(". ".join(one.rstrip(".") for one in (named, words) if one))


def _ended(words: str) -> str:
    words = words.strip()
    return words if words.endswith((".", "?", "!")) else f"{words}."


def _in_time(rows: list[dict[str, str]], name: str) -> list[dict[str, str]]:
    timed = [row for row in rows if row[name]]
    return sorted(timed, key=lambda row: datetime.fromisoformat(row[name])) + [
        row for row in rows if not row[name]
    ]


def _time(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text else None


def _at(value: datetime | None) -> str:
    return f" at {_moment(value)}" if value else ""


def _seen(value: datetime | None) -> str:
    return f", {_moment(value)}" if value else ""


def _moment(value: datetime) -> str:
    return written_out(value, settings.OFFICE_ZONE)

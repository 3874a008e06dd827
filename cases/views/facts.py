"""Records as pairs of label and value, and as moments of one time line."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from cases.course import moments_in
from cases.models import BodyReceipt, Case, Decedent, Place, ReportOfDeath, Scene
from cases.queries.file import CaseFile
from me_office.shell.templatetags.office import clock, day, decimal_words, moment, uncertain

Facts = list[tuple[str, Any]]


def _joined(*parts: str) -> str:
    return ", ".join(part for part in parts if part)


def call_facts(report: ReportOfDeath) -> Facts:
    """Who called, when, and where the body is."""
    return [
        ("Called", moment(report.called_at)),
        ("Caller", _joined(report.caller_name, report.caller_role, report.caller_agency)),
        ("Telephone", report.caller_phone),
        ("Agency number", report.agency_number),
        ("Where the body is", report.place_found),
        ("Kind of place", report.place_kind),
    ]


def time_facts(report: ReportOfDeath) -> Facts:
    """Last known alive, found and pronounced."""
    return [
        ("Last known alive", uncertain(report, "last_alive")),
        ("Seen or heard by", report.last_alive_by),
        ("Found", uncertain(report, "found")),
        ("Found by", report.found_by),
        ("Pronounced by", report.pronounced_by),
        ("Pronounced at", moment(report.pronounced_at)),
    ]


def decedent_facts(decedent: Decedent) -> Facts:
    """Who died, as far as it is known."""
    return [
        ("Name", f"{decedent.given_names} {decedent.family_name}".strip()),
        ("Working name", decedent.working_name),
        ("Also known as", decedent.also_known_as),
        ("Sex", decedent.sex),
        ("Born", day(decedent.born_on)),
        ("Age", decedent.age_words),
        ("Race and origin", decedent.race_and_origin_words),
        ("Home", decedent.home_address),
        ("Description", decedent.description),
    ]


def scene_groups(scene: Scene) -> list[tuple[str, Facts]]:
    """The scene's facts under their titles, those without any facts left out."""
    place = f"{scene.latitude}, {scene.longitude}" if scene.latitude is not None else ""
    groups: list[tuple[str, Facts]] = [
        (
            "Arrival",
            [
                ("Arrived", moment(scene.arrived_at)),
                ("Left", moment(scene.left_at)),
                ("Others there", scene.agencies),
                ("Hazards", scene.hazards),
            ],
        ),
        (
            "Place and surroundings",
            [("Place", scene.address), ("Coordinates", place), ("As found", scene.environment)],
        ),
        (
            "The body as found",
            [
                ("Position", scene.get_position_display() if scene.position else ""),
                ("In words", scene.position_words),
                ("Moved before", scene.moved_before),
            ],
        ),
        (
            "Lividity",
            [
                ("Where", scene.lividity_where),
                ("Spared", scene.lividity_spared),
                ("Color", scene.lividity_colour),
                ("When pressed", _chosen(scene, "lividity_blanching")),
                ("Seen at", moment(scene.lividity_seen_at)),
            ],
        ),
        (
            "Rigor",
            [
                ("Stage", _chosen(scene, "rigor")),
                ("Where", scene.rigor_where),
                ("Felt at", moment(scene.rigor_seen_at)),
            ],
        ),
        (
            "Clothing and marks",
            [("Clothing", scene.clothing), ("Marks on the body", scene.body_marks)],
        ),
    ]
    return [(title, facts) for title, facts in groups if any(value for _, value in facts)]


def _chosen(record: Any, name: str) -> str:
    return str(getattr(record, f"get_{name}_display")()) if getattr(record, name) else ""


def receipt_facts(receipt: BodyReceipt) -> Facts:
    """How the body came into the office's keeping."""
    return [
        ("Received", moment(receipt.received_at)),
        ("By", receipt.received_by),
        ("Delivered by", receipt.delivered_by),
        ("From", receipt.received_from),
        ("Body tag", receipt.tag_number),
        ("Seal", _joined(receipt.seal_number, receipt.get_seal_state_display())),
        ("As received", receipt.condition),
        ("Temperature", _temperature(receipt)),
        ("Kept at", receipt.kept_at),
    ]


def _temperature(receipt: BodyReceipt) -> str:
    if receipt.body_temp_c is None:
        return ""
    read = f" (read as {receipt.body_temp_c_read})" if receipt.body_temp_c_read else ""
    return f"{decimal_words(receipt.body_temp_c)} °C{read}"


def moments_of(case: Case, file: CaseFile) -> list[dict[str, Any]]:
    """The case so far as a time line, with a line for each new day."""
    more = [{**vars(one)} for one in moments_in(case)]
    events = [*_reported(file.report), *_stays(file.places), *_later(file), *more]
    events.sort(key=lambda event: event["at"])
    shown_day = ""
    for event in events:
        event["day"] = "" if day(event["at"]) == shown_day else day(event["at"])
        shown_day = day(event["at"])
        event["when"] = _when(event)
    return events


def _when(event: dict[str, Any]) -> str:
    if event.get("day_only"):
        return ""
    if event.get("until"):
        same_day = day(event["at"]) == day(event["until"])
        until = clock(event["until"]) if same_day else moment(event["until"])
        return f"{clock(event['at'])} to {until}"
    return f"about {clock(event['at'])}" if event.get("uncertain") else clock(event["at"])


def _moment(at: datetime | None, title: str, **more: Any) -> list[dict[str, Any]]:
    return [{"at": at, "title": title, **more}] if at is not None else []


def _reported(report: ReportOfDeath | None) -> list[dict[str, Any]]:
    if report is None:
        return []
    called_by = _joined(report.caller_name, report.caller_agency)
    return [
        *_moment(
            report.last_alive_at,
            "Last known alive",
            detail=report.last_alive_by,
            uncertain=report.last_alive_certainty != "exact",
            until=report.last_alive_until,
        ),
        *_moment(
            report.found_at,
            "Found",
            detail=report.found_by,
            uncertain=report.found_certainty != "exact",
            until=report.found_until,
        ),
        *_moment(report.pronounced_at, "Pronounced dead", detail=report.pronounced_by),
        *_moment(report.called_at, "First call", detail=called_by),
    ]


def _stays(places: list[Place]) -> list[dict[str, Any]]:
    """Where the decedent was, as far as a time is known; of a stay without a beginning, its end."""
    events: list[dict[str, Any]] = []
    for one in places:
        kind, until = one.get_kind_display(), one.to_at if one.from_at else None
        title = kind.capitalize() if one.from_at else f"Until then: {kind}"
        told = {"told_by": one.told_by, "who": f"as seen or reported by {one.told_by}"}
        at = one.from_at or one.to_at
        events += _moment(at, title, detail=one.address, until=until, **told)
    return events


def _later(file: CaseFile) -> list[dict[str, Any]]:
    events: list[dict[str, Any]] = []
    for decision in file.decisions:
        title = f"Jurisdiction {decision.outcome}"
        said = {"detail": decision.ground, "reason": decision.why, "who": str(decision.decided_by)}
        events += _moment(decision.decided_at, title, **said)
    if file.scene is not None:
        events += _moment(file.scene.arrived_at, "Arrived at the scene", detail=file.scene.address)
        events += _moment(file.scene.left_at, "Left the scene")
    if file.receipt is not None:
        kept = _joined(f"tag {file.receipt.tag_number}", file.receipt.kept_at)
        who = str(file.receipt.received_by)
        events += _moment(file.receipt.received_at, "Body received", detail=kept, who=who)
    for step in file.identifications:
        by = f"{step.get_method_display()}; {step.made_by}"
        events += _moment(step.made_at, f"Identity {step.identity}", detail=by)
    for person in file.people:
        title = f"{person.name} notified"
        by = str(person.notified_by) if person.notified_by else ""
        events += _moment(person.notified_at, title, detail=person.relation, who=by)
    return events

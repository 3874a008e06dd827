"""What a report of death, an assignment or an identification may say. No database, no clock."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any

from cases.rules.case import Certainty, IdentityState
from cases.rules.decedent import PRESUMPTIVE, PRESUMPTIVE_METHODS
from me_office.statements import COMMON_PRACTICE, statement

JURISDICTION = statement(
    "jurisdiction.law",
    "Which deaths the office takes is set by local law; this page keeps the decision and its "
    "reason.",
    where="Jurisdiction",
    source=COMMON_PRACTICE,
)

# A watch or a phone may be this much ahead of the server. Common practice.
CLOCK_SKEW = timedelta(minutes=5)


def lacking_in_time(certainty: str, at: datetime | None, until: datetime | None) -> dict[str, str]:
    """Return what an uncertain time lacks: `certainty`, `at` or `until` with a sentence."""
    if certainty == Certainty.UNKNOWN:
        if at is not None or until is not None:
            return {"certainty": "A time was entered: say how certain it is, or clear the time."}
        return {}
    if at is None:
        return {"at": "Enter the time, or say that it is unknown."}
    if certainty == Certainty.BETWEEN:
        if until is None:
            return {"until": "Enter the second time."}
        if until <= at:
            return {"until": "The second time must be after the first."}
    return {}


def is_ahead(moment: datetime | None, now: datetime) -> bool:
    """Tell whether a moment has not come yet."""
    return moment is not None and moment > now + CLOCK_SKEW


def ahead_of_now(moments: Mapping[str, datetime | None], now: datetime) -> dict[str, str]:
    """Return the fields whose moment has not come yet, each with a sentence."""
    return {
        name: "This time is in the future." for name, at in moments.items() if is_ahead(at, now)
    }


def was_found_alive(
    alive: datetime | None, found: datetime | None, found_until: datetime | None
) -> bool:
    """Tell whether somebody was known alive after having been found, so not found dead."""
    last = found_until or found
    return alive is not None and last is not None and alive > last


def wrong_in_report(report: Mapping[str, Any], now: datetime) -> dict[str, str]:
    """Return the fields of a report of death that cannot be so, each with a sentence."""
    wrong: dict[str, str] = {}
    for name in ("last_alive", "found"):
        lacking = lacking_in_time(
            report[f"{name}_certainty"], report[f"{name}_at"], report[f"{name}_until"]
        )
        wrong |= {f"{name}_{part}": sentence for part, sentence in lacking.items()}
    moments = ("called_at", "last_alive_at", "last_alive_until", "found_at", "pronounced_at")
    wrong |= ahead_of_now({name: report[name] for name in moments}, now)
    if wrong:
        return wrong
    alive, pronounced = report["last_alive_at"], report["pronounced_at"]
    if alive and alive > report["called_at"]:
        wrong["last_alive_at"] = "Last known alive cannot be after the call."
    elif alive and pronounced and alive > pronounced:
        wrong["last_alive_at"] = "Last known alive cannot be after death was pronounced."
    elif was_found_alive(alive, report["found_at"], report["found_until"]) and not pronounced:
        wrong["pronounced_at"] = (
            "Last known alive is later than the time found. For someone who was found alive, enter "
            "when death was pronounced."
        )
    if report["found_at"] and report["found_at"] > report["called_at"] + CLOCK_SKEW:
        wrong["found_at"] = "The body cannot have been found after the call."
    return wrong


def certain_only(certainty: str, until: datetime | None) -> datetime | None:
    """Return the second time only where the first alone does not say it."""
    return until if certainty == Certainty.BETWEEN else None


def search_name(*names: str) -> str:
    """Return all names a decedent may be looked up by, once each, in one line."""
    return " ".join(dict.fromkeys(name.strip() for name in names if name.strip()))


def why_not_identified(
    identity: str, method: str, *, is_named: bool, basis: str = ""
) -> dict[str, str]:
    """Return what keeps a step of identification from standing, by field."""
    if identity == IdentityState.CONFIRMED and method == "none":
        return {"method": "A confirmed identity needs its method."}
    if identity == IdentityState.CONFIRMED and not is_named:
        return {
            "identity": "Enter the name first: identity cannot be confirmed while only a "
            "working name is known."
        }
    if identity == IdentityState.CONFIRMED and method in PRESUMPTIVE_METHODS and not basis.strip():
        return {"basis": PRESUMPTIVE.say(method=PRESUMPTIVE_METHODS[method])}
    if identity == IdentityState.TENTATIVE and method == "none":
        return {"method": "State the basis of the tentative identity."}
    return {}


def wrong_in_decedent(
    *, identity: str, is_named: bool, born_on: date | None, today: date
) -> dict[str, str]:
    """Return what cannot be said of a decedent, by field."""
    wrong: dict[str, str] = {}
    if identity == IdentityState.CONFIRMED and not is_named:
        wrong["family_name"] = "Identity is confirmed: the name stays."
    if born_on is not None and born_on > today:
        wrong["born_on"] = "The date of birth is in the future."
    return wrong


def wrong_in_notification(person: Mapping[str, Any]) -> dict[str, str]:
    """Return what a notification of next of kin lacks, by field."""
    if person.get("notified_by") and not person.get("notified_at"):
        return {"notified_at": "Enter when they were notified."}
    return {}


def why_not_off_team(*, is_assigned: bool, supervisors_left: int) -> str:
    """Return why a person has to stay on a restricted case's team, or nothing."""
    if is_assigned:
        return "This person is assigned to the case. Assign someone else first."
    if supervisors_left == 0:
        return "At least one supervisor must stay on the team, or nobody could change it again."
    return ""

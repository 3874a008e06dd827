"""The report of death: the first call, logged and corrected."""

from __future__ import annotations

import uuid
from typing import Any

from django.utils import timezone

from cases import queries
from cases.access import Act, require, require_role
from cases.actions.entry import (
    case_to_change,
    names_entered,
    refuse_wrong,
    require_correction,
)
from cases.models import Case, Decedent, ReportOfDeath
from cases.rules import intake as intake_rules
from cases.rules.decedent import wrong_in_origin, wrong_in_race
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit import keys
from me_office.audit.actions import action
from me_office.audit.fields import said_of, set_fields
from me_office.audit.records import (
    VOIDING,
    recorded_before,
    save_new,
    save_next_version,
)
from me_office.entries import Entry
from me_office.units import with_kept_units

REPORT_NAMES = names_entered(ReportOfDeath)
DECEDENT_NAMES = names_entered(Decedent, leave_out=("identity",))
AGE_UNITS = {"age_years": ("years", 6)}
CASE_NAMES = ("heading", "place_of_death")
# Decided later by other acts, so a repeated report does not compare them.
DECIDED_LATER = (
    "number", "number_year", "number_running", "state", "restricted", "investigator",
    "pathologist", "signed_at", *VOIDING,
)  # fmt: skip


@action
def log_report_of_death(
    actor: Staff, *, record_id: uuid.UUID, entry: Entry, reason: str = ""
) -> Case:
    """Log a first call: makes the case, its decedent and its report of death.

    `entry` holds the fields of ReportOfDeath, `heading` and `place_of_death` of the case, and
    what is known of the decedent. `record_id` becomes the case's key; the same key again with
    the same report returns the same case. Raises NotAllowed, Conflict, Invalid.
    """
    require_role(actor, Act.REPORT)
    queries.reserve_key(record_id)
    report = ReportOfDeath(pk=_part_of(record_id, "report"))
    set_fields(report, entry, REPORT_NAMES)
    case = Case(pk=record_id, reported_at=report.called_at)
    set_fields(case, entry, CASE_NAMES)
    case.place_of_death = case.place_of_death or report.place_found
    there = Case.objects.filter(pk=record_id).first()
    if there is not None:
        require(actor, Act.SEE, there)
        recorded_before(case, assigned=DECIDED_LATER)
        report.case = there
        recorded_before(report)
        return there
    keys.recall()
    _check(report)
    said = decedent_entry(entry)
    # Whoever takes the call as an investigator has the case until it is assigned otherwise.
    case.investigator = actor if actor.has_role(Role.INVESTIGATOR) else None
    case = save_new(actor, case)
    report.case = case
    save_new(actor, report)
    decedent = Decedent(pk=_part_of(record_id, "decedent"), case=case)
    set_fields(decedent, said, DECEDENT_NAMES)
    save_new(actor, name_for_search(decedent))
    return case


@action
def correct_report_of_death(
    actor: Staff, *, case_id: uuid.UUID, version: int, entry: Entry, reason: str
) -> ReportOfDeath:
    """Change what the report of death says; `version` is the report's.

    Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid.
    """
    case = case_to_change(actor, Act.REPORT, case_id)
    report: ReportOfDeath = ReportOfDeath.objects.select_for_update().get(case=case)
    require_correction(report, version, reason)
    set_fields(report, entry, REPORT_NAMES)
    _check(report)
    set_fields(case, entry, CASE_NAMES)
    case.place_of_death = case.place_of_death or report.place_found
    case.reported_at = report.called_at
    save_next_version(actor, case)
    return save_next_version(actor, report)


def decedent_entry(entry: Entry) -> dict[str, Any]:
    """What is known of the decedent, the age in years with what was given. Raises Invalid."""
    said, wrong = with_kept_units(entry, AGE_UNITS)
    races, words = said.get("race"), said.get("race_words", "")
    if races is not None:
        wrong |= wrong_in_race(races, words)
    if "hispanic_origin" in said:
        wrong |= wrong_in_origin(said["hispanic_origin"], said.get("hispanic_origin_other", ""))
    refuse_wrong(wrong)
    return said


def name_for_search(decedent: Decedent) -> Decedent:
    """Keep the line that a search by name reads."""
    decedent.search_name = intake_rules.search_name(
        decedent.given_names, decedent.family_name, decedent.also_known_as, decedent.working_name
    )
    return decedent


def _part_of(case_id: uuid.UUID, part: str) -> uuid.UUID:
    # Keys that follow from the case's, so that a repeated report is the same three records.
    return uuid.uuid5(case_id, part)


def _check(report: ReportOfDeath) -> None:
    for name in ("last_alive", "found"):
        certainty, until = f"{name}_certainty", f"{name}_until"
        kept = intake_rules.certain_only(getattr(report, certainty), getattr(report, until))
        setattr(report, until, kept)
    said = said_of(report, REPORT_NAMES)
    if said["called_at"] is not None:
        refuse_wrong(intake_rules.wrong_in_report(said, timezone.now()))

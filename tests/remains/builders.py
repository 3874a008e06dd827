"""Bodies that came in, and what people enter when they leave."""

from __future__ import annotations

from typing import Any

from cases import actions as case_actions
from cases.models import Case, Decedent
from cases.remains import actions
from cases.remains.models import BodyHold, BodyRelease, BodyReturn
from cases.rules.case import CaseState
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import MOMENT, make_case, make_staff
from tests.cases.entries import ago, received


def technician() -> Staff:
    """Who hands bodies over."""
    return make_staff(Role.EVIDENCE_TECHNICIAN, name="D. Renn")


def body_in(by: Staff | None = None, *, identity: str = "confirmed", hours: float = 72) -> Case:
    """An open case whose body came in with the tag T-118, its identity confirmed."""
    case = make_case()
    Decedent.objects.filter(case=case).update(identity=identity)
    entry = received(received_at=ago(hours=hours))
    case_actions.receive_body(by or technician(), case_id=case.pk, version=0, entry=entry)
    case.refresh_from_db()
    return case


def sign(case: Case) -> Case:
    """Sign a case past the actions."""
    case.refresh_from_db()
    case.state, case.signed_at = CaseState.SIGNED.value, MOMENT
    case.save()
    return case


def leaving(**said: Any) -> dict[str, Any]:
    """A release as the form hands it over."""
    return {
        "released_at": ago(hours=5),
        "authority": "kin",
        "authorized_by": "Marit Hallstead",
        "relation": "widow",
        "authority_seen": "signed release, driver's license of the state",
        "tag_number": "T-118",
        "second_reader": "P. Lowe, Lowe & Daughter",
        "identity_remark": "",
        "released_to": "Lowe & Daughter, funeral home",
        "receiver_license": "FH-221",
        "taken_by": "P. Lowe",
        "identification_seen": "employee card of the funeral home",
        "belongings": "some",
        "belongings_given": "Wedding ring, wallet.",
        "belongings_kept": "Work coat, in the property room.",
        "wrap": "White bag, seal S-5102.",
        "told": "No infection known. Pacemaker in place.",
    } | said


def coming_back(**said: Any) -> dict[str, Any]:
    """A return as the form hands it over."""
    return {
        "returned_at": ago(hours=3),
        "purpose": "exhumation",
        "authority": "order of the county court, 26-MC-0044",
        "delivered_by": "P. Lowe, Lowe & Daughter",
        "received_from": "Tarnford cemetery, plot 14",
        "tag_number": "T-203",
        "condition": "Coffin intact, embalmed.",
        "kept_at": "Cooler 1, place 1",
    } | said


def hold_entry(**said: Any) -> dict[str, Any]:
    """A hold as the form hands it over."""
    return {
        "kind": "police",
        "asked_by": "Det. A. Sorrel, county sheriff",
        "placed_at": ago(hours=10),
        "why": "A second look at the hands is asked for.",
    } | said


def release(case: Case, by: Staff | None = None, **said: Any) -> BodyRelease:
    """Record a release."""
    return actions.release_body(
        by or technician(), case_id=case.pk, record_id=new_id(), entry=leaving(**said)
    )


def bring_back(case: Case, by: Staff | None = None, **said: Any) -> BodyReturn:
    """Record a return."""
    return actions.return_body(
        by or technician(), case_id=case.pk, record_id=new_id(), entry=coming_back(**said)
    )


def hold(case: Case, by: Staff | None = None, **said: Any) -> BodyHold:
    """Place a hold."""
    return actions.place_hold(
        by or make_staff(Role.INVESTIGATOR),
        case_id=case.pk,
        record_id=new_id(),
        entry=hold_entry(**said),
    )

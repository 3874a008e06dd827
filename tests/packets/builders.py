"""A case that went the whole way to sign-off, with what a packet holds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.core.files.storage import default_storage
from django.utils import timezone

from cases.certification.actions import state_cause_and_manner
from cases.court.actions import log_request
from cases.court.models import RecordsRequest
from cases.models import Case
from cases.packets.actions import request_packet
from cases.packets.models import Packet
from cases.review import actions as review
from cases.review.models import Addendum, ReportDraft
from cases.review.reported import from_outside
from evidence.specimens import actions as specimen_actions
from evidence.store.models import StoredFile
from findings import actions as findings
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import MOMENT, make_case, make_staff
from tests.evidence.pictures import add, link_to, picture_bytes

CHEST = [[-96, 260], [-70, 252], [-62, 285], [-72, 322], [-94, 318]]
BACK = [[-60, 230], [60, 230], [66, 300], [58, 400], [-58, 400], [-66, 300]]


def make_clerk(**fields: Any) -> Staff:
    """A records clerk."""
    return make_staff(Role.RECORDS_CLERK, **{"name": "R. Ostrander", **fields})


def asked_for(**fields: Any) -> dict[str, Any]:
    """What is entered for a subpoena."""
    today = timezone.localdate()
    return {
        "kind": "subpoena",
        "court": "Circuit Court",
        "cause_number": "26-CF-0117",
        "party": "Office of the county attorney",
        "contact": "11 Assize Yard, Tarnford",
        "served_on": today - timedelta(days=3),
        "due_on": today + timedelta(days=1),
        "asks_for": "The file and all photographs.",
        **fields,
    }


def make_request(case: Case, by: Staff, **fields: Any) -> RecordsRequest:
    """A logged request."""
    return log_request(by, case_id=case.pk, record_id=new_id(), entry=asked_for(**fields))


def make_packet(asked: RecordsRequest, by: Staff, **fields: Any) -> Packet:
    """A packet that was asked for."""
    entry = {"with_photographs": True, "with_history": True, **fields}
    return request_packet(
        by, case_id=asked.case_id, request_id=asked.pk, record_id=new_id(), entry=entry
    )


def packet_for(case: Case, clerk: Staff, **chosen: Any) -> Packet:
    """A packet that was asked for, for a request of its own."""
    return make_packet(make_request(case, clerk), clerk, **chosen)


def examined_case(
    vasko: Staff, *, pictures: Sequence[bytes] = (), term: str = "Contusion", **fields: Any
) -> Case:
    """An open case whose report is written but not sent."""
    case = make_case(by=vasko, **fields)
    findings.open_examination(
        vasko,
        case_id=case.pk,
        record_id=new_id(),
        entry={
            "kind": "full autopsy",
            "chart_body": "adult_male",
            "began_at": MOMENT - timedelta(hours=3),
            "ended_at": MOMENT,
            "circumstances_reviewed": True,
            "crown_heel_cm": Decimal("171.0"),
            "external": "Well nourished man.\nHair gray.",
        },
    )
    _findings(case, vasko, term)
    for shade, content in enumerate(pictures or [picture_bytes(1), picture_bytes(2)]):
        name = "DSC_0001.png" if content.startswith(b"\x89PNG") else "DSC_0001.jpg"
        shows = f"Chest from the front, {shade + 1}"
        add(vasko, case, content, name=name, shows=shows, with_scale=True)
    first = case.photograph_set.order_by("number").first()
    link_to(vasko, first, case.finding_set.get(number=1))
    _specimen(case, vasko)
    _words(case, vasko)
    return case


def _findings(case: Case, vasko: Staff, term: str) -> None:
    for entry, view, points in (
        ({"klass": "injury", "term": term, "length_mm": Decimal(110), "width_mm": Decimal(65),
          "measured_by": "ruler"},
         "anterior", CHEST),
        ({"klass": "postmortem change", "term": "Lividity", "seen_as": "fixed, purple"},
         "posterior", BACK),
    ):  # fmt: skip
        findings.record_finding(
            vasko,
            case_id=case.pk,
            record_id=new_id(),
            entry=entry,
            marks=[{"id": new_id(), "view": view, "kind": "area", "points": points}],
        )


def _specimen(case: Case, vasko: Staff) -> None:
    specimen_actions.take_specimen(
        vasko,
        case_id=case.pk,
        record_id=new_id(),
        entry={
            "material": "Femoral blood",
            "site": "left femoral vein",
            "amount": Decimal(10),
            "unit": "mL",
            "container": "gray-top tube",
            "purpose": "toxicology",
            "collected_at": MOMENT,
            "seal_number": f"T-{new_id().hex[-6:]}",
            "to_party": "Refrigerator 2",
            "handed_over_at": MOMENT,
            "transfer_place": "Examination room 1",
            "transfer_purpose": "storage",
        },
    )


def _words(case: Case, vasko: Staff) -> None:
    cause = {"cause_a": "Blunt force injuries of the chest", "manner": "accident"}
    state_cause_and_manner(vasko, case_id=case.pk, record_id=new_id(), version=0, entry=cause)
    words = {"opinion": "He died of the injuries of the chest.", "history": "", "summary": ""}
    review.write_report(vasko, case_id=case.pk, record_id=new_id(), version=0, entry=words)


def send(case: Case, vasko: Staff) -> ReportDraft:
    """Send the report to review, with what is not available acknowledged."""
    gaps = from_outside(case.pk).not_available
    return review.submit_report(
        vasko, case_id=case.pk, record_id=new_id(), version=1,
        acknowledged=[gap.key for gap in gaps],
    )  # fmt: skip


def sign(case: Case, vasko: Staff, thorne: Staff) -> Case:
    """Send the report to review and sign it off."""
    draft = send(case, vasko)
    review.sign_off(
        thorne, case_id=case.pk, record_id=new_id(), draft_id=draft.pk, sha256=draft.sha256
    )
    case.refresh_from_db()
    return case


@contextmanager
def altered(stored: StoredFile) -> Iterator[None]:
    """Change a byte of a picture's data in the store for a while: it can still be opened."""
    there = Path(default_storage.path(stored.path))
    content = bytearray(there.read_bytes())
    content[-5] ^= 1
    kept = there.rename(there.with_suffix(".kept"))
    there.write_bytes(content)
    try:
        yield
    finally:
        kept.rename(there)


def amend(case: Case, by: Staff, **entry: str) -> Addendum:
    """An amendment of a signed report: what it amends, the new text, and why."""
    entry = {"kind": "amendment", **entry}
    return review.add_addendum(by, case_id=case.pk, record_id=new_id(), entry=entry)


def make_people() -> tuple[Staff, Staff]:
    """The pathologist who writes and the supervisor who signs off."""
    vasko = make_staff(Role.PATHOLOGIST, name="I. Vasko", credentials="MD")
    thorne = make_staff(Role.PATHOLOGIST, Role.SUPERVISOR, name="M. Thorne", credentials="MD")
    return vasko, thorne


def signed_case(**fields: Any) -> Case:
    """A signed case with two findings, two photographs and a specimen."""
    vasko, thorne = make_people()
    return sign(examined_case(vasko, **fields), vasko, thorne)

"""How something named by hand goes out: a file attached to it, or handed over apart."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from cases.access import Act, require
from cases.actions.entry import refuse_wrong
from cases.court.models import RecordsRequest
from cases.court.queries import request_of
from cases.decisions import queries
from cases.decisions.actions.request import (
    end_standing_approval,
    request_to_decide,
    require_open,
)
from cases.decisions.enclosed_rules import kind_of, wrong_apart, wrong_size
from cases.decisions.models import Enclosure, Reach
from cases.models import Case
from cases.redaction import reading
from evidence import store
from evidence.store import Incoming
from evidence.store.uploads import taken_in
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Refused, known
from me_office.audit.records import (
    VOIDING,
    recorded_before,
    require_version,
    save_new,
    void,
)
from me_office.entries import Entry

APART_FIELDS = ("apart_to", "apart_on", "apart_how")
PDF = "application/pdf"
PICTURES = frozenset({"image/jpeg", "image/png"})


def attach(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    reach_id: UUID,
    record_id: UUID,
    upload: Any,
    reason: str = "",
) -> Enclosure:
    """Take a file in for something named by hand; one that stands is replaced, with the reason.

    Who may not is refused before a byte is stored; the action asks again. Raises NotKnown,
    NotAllowed, Refused, Conflict, Invalid.
    """
    reach = queries.reach_by_hand(request_of(case_id, request_id), reach_id)
    require(actor, Act.DECIDE_RELEASE, reach.case)
    wrong = wrong_size(upload.size or 0)
    if wrong:
        raise Refused(wrong, field="upload")
    upload.seek(0)
    kind = kind_of(upload.read(64))
    pages = _pages(upload, kind)
    upload.seek(0)
    with taken_in(upload, kind) as incoming:
        return enclose_file(
            actor,
            case_id=case_id,
            request_id=request_id,
            reach_id=reach_id,
            record_id=record_id,
            incoming=incoming,
            pages=pages,
            reason=reason,
        )


def _pages(upload: Any, kind: str) -> int:
    """Return how many numbered pages a file becomes. Raises Refused."""
    if kind in PICTURES:
        return 1
    if kind != PDF:
        return 0
    try:
        # In a program of its own, with limits: a PDF from elsewhere may be made to do harm.
        return reading.pages_of(upload)
    except Refused as error:
        raise Refused(error.message, field="upload") from error


def _item(
    actor: Staff, case_id: UUID, request_id: UUID, reach_id: UUID
) -> tuple[RecordsRequest, Reach, Case]:
    asked, cases = request_to_decide(actor, Act.DECIDE_RELEASE, case_id, request_id)
    reach = queries.reach_by_hand(asked, reach_id)
    case = known(cases.get(reach.case_id), "item")
    require(actor, Act.DECIDE_RELEASE, case)
    return asked, reach, case


def _replaces(actor: Staff, asked: RecordsRequest, reach: Reach, reason: str) -> None:
    require_open(asked)
    stands = queries.enclosure_for_update(reach)
    if stands is not None:
        void(actor, stands, reason=reason)
    end_standing_approval(actor, asked)


@action
def enclose_file(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    reach_id: UUID,
    record_id: UUID,
    incoming: Incoming,
    pages: int,
    reason: str = "",
) -> Enclosure:
    """Attach a file to something named by hand; what stood is withdrawn with the reason.

    Raises NotAllowed, NotKnown, Refused, Conflict, Invalid.
    """
    asked, reach, case = _item(actor, case_id, request_id, reach_id)
    there = Enclosure.objects.select_related("file").filter(pk=record_id).first()
    if there is not None:
        if there.reach_id != reach.pk or not there.file or there.file.sha256 != incoming.sha256:
            raise Conflict("A record with this key has different content.")
        return there
    stands = queries.enclosure_for_update(reach)
    if stands is not None and stands.file and stands.file.sha256 == incoming.sha256:
        raise Refused("This file is attached already.", field="upload")
    _replaces(actor, asked, reach, reason)
    made = Enclosure(
        pk=record_id, case=case, request=asked, reach=reach, file_name=incoming.name[-200:],
        pages=pages,
    )  # fmt: skip
    with store.kept(incoming) as made.file:
        return save_new(actor, made, own_key=True)


@action
def hand_over_apart(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    reach_id: UUID,
    record_id: UUID,
    entry: Entry,
    reason: str = "",
) -> Enclosure:
    """Note that something named by hand is handed over apart. `entry` holds APART_FIELDS.

    Raises NotAllowed, NotKnown, Refused, Conflict, Invalid.
    """
    asked, reach, case = _item(actor, case_id, request_id, reach_id)
    made = Enclosure(
        pk=record_id,
        case=case,
        request=asked,
        reach=reach,
        **{name: entry.get(name) or ("" if name != "apart_on" else None) for name in APART_FIELDS},
    )
    there = recorded_before(made, assigned=VOIDING)
    if there is not None:
        return there
    refuse_wrong(wrong_apart(made.apart_to, made.apart_on))
    _replaces(actor, asked, reach, reason)
    return save_new(actor, made, own_key=True)


@action
def withdraw_enclosure(
    actor: Staff, *, case_id: UUID, request_id: UUID, record_id: UUID, version: int, reason: str
) -> Enclosure:
    """Take back what was enclosed, with the reason. Raises NotAllowed, NotKnown, StaleRecord."""
    asked, cases = request_to_decide(actor, Act.DECIDE_RELEASE, case_id, request_id)
    rows = Enclosure.objects.select_for_update(of=("self",)).filter(request=asked, pk=record_id)
    made = known(rows.first(), "enclosure")
    require(actor, Act.DECIDE_RELEASE, known(cases.get(made.case_id), "enclosure"))
    require_version(made, version)
    require_open(asked)
    end_standing_approval(actor, asked)
    return void(actor, made, reason=reason)

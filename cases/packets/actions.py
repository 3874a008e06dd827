"""Asking for a packet, making it, and handing it over."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Max

from cases import access
from cases.access import Act
from cases.actions.entry import case_to_change
from cases.actions.requests import Alike
from cases.court.actions import record_release
from cases.court.models import Release
from cases.court.opening import request_to_change
from cases.court.rules import RequestState
from cases.exhibits.queries import (
    photographs_to_be_hidden,
    redactions_in_force,
    waits_for_redaction,
)
from cases.packets import queries
from cases.packets.built import MadeFile, note_built, require_as_built
from cases.packets.currency import changed_since, holds_now
from cases.packets.curricula import may_be_sent
from cases.packets.models import Packet
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.records import recorded_before, save_new
from me_office.entries import Entry
from me_office.jobs import actions as jobs

BUILD_TASK = "cases.packets.tasks.build_packet"


@dataclass(frozen=True)
class MadePacket(MadeFile):
    """What an attempt made, with what only a packet counts."""

    redacted: int = 0
    holds: Mapping[str, object] | None = None


@action
def request_packet(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    entry: Entry,
    reason: str = "",
) -> Packet:
    """Ask for a packet of the signed case for one request; a job makes it.

    `entry`: with_photographs, with_history; camera_notes (originals unchanged, else copies without
    the camera's notes); originals (photographs that go out as originals although a redacted copy
    stands, which else goes out) and originals_why; curricula (versions of curricula vitae).
    Raises NotAllowed, NotKnown, Refused, Conflict.
    """
    asked = request_to_change(actor, case_id, request_id, act=Act.BUILD_PACKET)
    case = asked.case
    last = Packet.objects.filter(case=case).aggregate(last=Max("number"))["last"] or 0
    packet = Packet(
        pk=record_id,
        case=case,
        request=asked,
        number=last + 1,
        with_photographs=entry["with_photographs"],
        with_history=entry["with_history"],
        camera_notes=entry.get("camera_notes", True),
        originals=sorted(str(key) for key in entry.get("originals", ())),
        originals_why=entry.get("originals_why", "").strip(),
        curricula=sorted(str(key) for key in entry.get("curricula", ())),
    )
    made = ("number", "state", "attempts", "built_at", "path", "sha256", "size_bytes", "pages",
            "photographs", "redacted", "holds", "failure")  # fmt: skip
    there = recorded_before(packet, assigned=made)
    if there is not None:
        return there
    if asked.state != RequestState.OPEN:
        raise Refused(f"The request is {asked.state}; a packet is built for an open one.")
    if queries.packet_under_way(asked.pk) is not None:
        raise Refused("A packet for this request is already being built.")
    check_nothing_to_be_hidden(packet)
    _check_originals(packet)
    _check_curricula(packet)
    save_new(actor, packet)
    jobs.send_after_commit(BUILD_TASK, packet.pk)
    return packet


def check_nothing_to_be_hidden(packet: Packet) -> None:
    """Refuse to send a photograph of which a redacted copy was asked for and is not kept yet."""
    if not packet.with_photographs or not waits_for_redaction(packet.case_id):
        return
    for asked in photographs_to_be_hidden(packet.case).values():
        number = asked.photograph.number
        if asked.is_under_way:
            raise Refused(
                f"A redacted copy of photograph {number} is being made. Wait until it is ready."
            )
        raise Refused(
            f"A redacted copy of photograph {number} was requested and could not be made. On "
            "the exhibits page, try again or dismiss it first."
        )


def _check_originals(packet: Packet) -> None:
    """Refuse an original that no redacted copy stands for, and one without a reason."""
    if not packet.originals:
        packet.originals_why = ""
        return
    hidden = {str(key) for key in redactions_in_force(packet.case)}
    if not set(packet.originals) <= hidden:
        raise Refused(
            "One of these photographs has no redacted copy; its original goes out anyway.",
            field="originals",
        )
    if not packet.originals_why:
        raise Refused("Say why the originals go out.", field="originals_why")


def _check_curricula(packet: Packet) -> None:
    """Refuse the curriculum vitae of somebody who has no part in the case."""
    if not packet.curricula:
        return
    if not set(packet.curricula) <= {key for key, _ in may_be_sent(packet.case)}:
        raise Refused(
            "One of these is of nobody who examined or testifies in this case.", field="curricula"
        )


@action
def finish_packet(
    actor: Staff, *, packet_id: UUID, attempt: int, made: MadePacket, reason: str = ""
) -> Packet:
    """Publish what an attempt made: from here on the packet is built and never changes.

    Raises NotAllowed, and TakenOver when a later attempt took over.
    """
    packet = queries.packet_for_update(packet_id)
    access.require(actor, Act.BUILD_PACKET, packet.case)
    jobs.require_attempt(packet, attempt)
    note_built(packet, made)
    packet.redacted, packet.holds = made.redacted, made.holds
    return jobs.finish(actor, packet)


def release_packet(
    actor: Staff, *, case_id: UUID, packet_id: UUID, record_id: UUID, version: int, entry: Entry
) -> Release:
    """Check the packet's file against its digest, then record that it was handed over.

    The file is read before any row is locked. `version` is the request's.
    Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid, Conflict.
    """
    packet = queries.packet_of(case_id, packet_id)
    access.require(actor, Act.RELEASE, packet.case)
    require_as_built(packet, "packet")
    return hand_over_packet(
        actor,
        case_id=case_id,
        packet_id=packet.pk,
        record_id=record_id,
        version=version,
        entry=entry,
    )


@action
def hand_over_packet(
    actor: Staff,
    *,
    case_id: UUID,
    packet_id: UUID,
    record_id: UUID,
    version: int,
    entry: Entry,
    reason: str = "",
) -> Release:
    """Record that a packet was handed over, if it still holds what would go out today.

    It holds the whole file, so it leaves as it may be built: of a signed case only. What is decided
    item by item goes out as an answer. `release_packet` has compared the file. Raises the same.
    """
    case = case_to_change(actor, Act.RELEASE, case_id)
    access.require(actor, Act.BUILD_PACKET, case)
    packet = queries.packet_for_update(packet_id, case=case)
    if not Release.objects.filter(pk=record_id).exists():
        require_current(packet)
    return record_release(
        actor,
        case_id=case_id,
        request_id=packet.request_id,
        record_id=record_id,
        version=version,
        packet=queries.facts_of(packet),
        entry=entry,
    )


def require_current(packet: Packet) -> None:
    """Refuse a packet that holds what would not go out today. Raises Refused."""
    changed = changed_since(packet, holds_now(packet.case))
    if changed:
        raise Refused(
            f"This packet is out of date. Since it was built: {' '.join(changed)} Build it again."
        )


ATTEMPTS = Alike(
    "packet",
    act=Act.BUILD_PACKET,
    task=BUILD_TASK,
    step="reads the case file",
    # Read when it is called: the control of the race puts another in its place.
    locked=lambda key, case=None: queries.packet_for_update(key, case=case),
    key="packet_id",
)
begin_packet, fail_packet = ATTEMPTS.begin, ATTEMPTS.fail
retry_packet = ATTEMPTS.retry

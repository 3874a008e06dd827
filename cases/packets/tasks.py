"""Jobs of this part of the office: making packets, and taking up those that were left lying."""

from __future__ import annotations

import logging
from uuid import UUID

from celery import shared_task

from cases.packets import actions, queries, store
from cases.packets.build import CannotBuild, Stage, build
from cases.packets.models import Packet
from cases.packets.rules import MAX_ATTEMPTS
from me_office.audit.errors import NotAllowed, NotKnown, Refused

log = logging.getLogger(__name__)
BROKE = (
    "Something broke while the packet was built. Try again; if it happens twice, tell an "
    "administrator the case and the time."
)
NO_LONGER = "The person who asked for this packet may no longer build packets of this case."
STOPPED = (
    "The making stopped {attempts} times without a word. Tell an administrator before you try "
    "again."
)


@shared_task
def build_packet(*, packet_id: str) -> str:
    """Make one packet in the name of the person who asked; run again, it makes nothing twice."""
    return make_packet(UUID(packet_id))


def make_packet(packet_id: UUID, *, reached: Stage = lambda stage: None) -> str:
    """Make one packet; `reached` is told each stage as it begins. Return how it came out."""
    packet = queries.packet_with_person(packet_id)
    if packet is None:
        return "gone"
    try:
        begun = actions.begin_packet(packet.created_by, packet_id=packet.pk)
    except (NotAllowed, NotKnown):
        return _fail(packet, packet.attempts, NO_LONGER)
    if begun is None:
        return "nothing to do"
    try:
        return _attempt(packet, begun.attempts, reached)
    except CannotBuild as error:
        return _fail(packet, begun.attempts, str(error))
    except (NotAllowed, NotKnown):
        return _fail(packet, begun.attempts, NO_LONGER)
    except Exception:
        # Named by its key alone: the log holds no case content.
        log.exception("Packet %s could not be built", packet.pk)
        return _fail(packet, begun.attempts, BROKE)


def _attempt(packet: Packet, attempt: int, reached: Stage) -> str:
    made = build(packet.pk, attempt, reached=reached)
    try:
        actions.finish_packet(packet.created_by, packet_id=packet.pk, attempt=attempt, made=made)
    except Refused:
        log.warning("Packet %s was taken over by a later attempt", packet.pk)
        store.remove(made.path)
        return "taken over"
    return "built"


def _fail(packet: Packet, attempt: int, failure: str) -> str:
    try:
        actions.fail_packet(
            packet.created_by, packet_id=packet.pk, attempt=attempt, failure=failure
        )
    except Refused:
        log.warning("Packet %s was taken over by a later attempt", packet.pk)
        return "taken over"
    return "failed"


@shared_task
def resume_packets() -> int:
    """Take up packets that nobody is making although somebody should; return how many."""
    left = queries.abandoned_packets()
    for packet in left:
        if packet.attempts >= MAX_ATTEMPTS:
            _fail(packet, packet.attempts, STOPPED.format(attempts=packet.attempts))
        else:
            actions.send_build(packet.pk)
    return len(left)

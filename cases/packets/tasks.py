"""Packet jobs: making packets, and taking up those that were left lying."""

from __future__ import annotations

from uuid import UUID

from celery import shared_task

from cases.packets import actions, queries
from cases.packets.build import build
from cases.packets.models import Packet
from me_office.jobs import sending
from me_office.jobs.kinds import Kind
from me_office.jobs.running import Stage

# 2,000 originals of 12 MB take a slow disk the better part of an hour.
LONGEST_SECONDS = 6 * 3600


def _make(packet: Packet, reached: Stage) -> None:
    attempt = packet.attempts
    with build(packet.pk, attempt, reached=reached) as made:
        actions.finish_packet(packet.created_by, packet_id=packet.pk, attempt=attempt, made=made)


PACKETS = Kind(
    Packet,
    task=actions.BUILD_TASK,
    queue=sending.LONG,
    read=queries.packet_with_person,
    begin=lambda actor, key: actions.begin_packet(actor, packet_id=key),
    make=_make,
    fail=lambda actor, key, attempt, words: actions.fail_packet(
        actor, packet_id=key, attempt=attempt, failure=words
    ),
)
make_requested = PACKETS.make_requested


@shared_task(soft_time_limit=LONGEST_SECONDS, time_limit=LONGEST_SECONDS + 300)
def build_packet(*, request_id: str) -> str:
    """Make one packet in the name of the person who asked; run again, it makes nothing twice."""
    return make_requested(UUID(request_id))


@shared_task
def resume_packets() -> int:
    """Take up packets that nobody is making although somebody should; return how many."""
    return PACKETS.resume()

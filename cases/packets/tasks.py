"""Packet jobs: making packets, and taking up those that were left lying."""

from __future__ import annotations

from uuid import UUID

from celery import shared_task

from cases.packets import actions, queries
from cases.packets.build import Stage, build
from cases.packets.models import Packet
from me_office.jobs import actions as jobs
from me_office.jobs import running, sending
from me_office.jobs.queries import abandoned

# 2,000 originals of 12 MB take a slow disk the better part of an hour.
LONGEST_SECONDS = 6 * 3600


@shared_task(soft_time_limit=LONGEST_SECONDS, time_limit=LONGEST_SECONDS + 300)
def build_packet(*, request_id: str) -> str:
    """Make one packet in the name of the person who asked; run again, it makes nothing twice."""
    return make_requested(UUID(request_id))


def make_requested(packet_id: UUID, *, reached: Stage = lambda stage: None) -> str:
    """Make one packet; `reached` is told each stage as it begins. Return how it came out."""
    packet = queries.packet_with_person(packet_id)
    if packet is None:
        return "gone"

    def make(begun: Packet) -> None:
        with build(begun.pk, begun.attempts, reached=reached) as made:
            actions.finish_packet(
                packet.created_by, packet_id=begun.pk, attempt=begun.attempts, made=made
            )

    return running.run(
        packet,
        begin=lambda: actions.begin_packet(packet.created_by, packet_id=packet.pk),
        make=make,
        fail=lambda attempt, words: _fail(packet, attempt, words),
    )


def _fail(packet: Packet, attempt: int, words: str) -> Packet:
    return actions.fail_packet(
        packet.created_by, packet_id=packet.pk, attempt=attempt, failure=words
    )


@shared_task
def resume_packets() -> int:
    """Take up packets that nobody is making although somebody should; return how many."""
    return running.resume(
        abandoned(Packet.objects.all(), queue=sending.LONG),
        send=lambda packet: jobs.send(actions.BUILD_TASK, packet.pk),
        fail=_fail,
    )

"""Reads of packets."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict
from uuid import UUID

from django.db.models import Exists, F, OuterRef, QuerySet, Subquery

from cases.access import cases_open_to
from cases.court.marking import orders_since
from cases.court.models import RecordsRequest, Release
from cases.court.rules import PacketFacts, RequestState
from cases.models import Case
from cases.packets import built
from cases.packets.currency import changed_since, holds_now
from cases.packets.curricula import of_packets, words_of
from cases.packets.models import Packet
from cases.packets.rules import Holds
from cases.queries import locked_after_case
from me_office.accounts.models import Staff
from me_office.audit.errors import known, known_of_office
from me_office.jobs.queries import with_progress
from me_office.jobs.rules import UNDER_WAY, JobState

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations


def packet_for_update(packet_id: UUID, *, case: Case | None = None) -> Packet:
    """Return a packet, locked after its case. Raises NotKnown."""
    rows = Packet.objects.filter(pk=packet_id).select_related("case", "created_by")
    return locked_after_case(rows, "packet", case=case)


def packet_of(case_id: UUID, packet_id: UUID) -> Packet:
    """Return a packet of the case with its progress, its release, and what `changed` since.

    Raises NotKnown.
    """
    packet = known(_whole().filter(case=case_id, pk=packet_id).first(), "packet")
    packet.release = _releases([packet]).get(packet.pk)
    packet.changed = changed_since(packet, holds_now(packet.case))
    packet.curricula_words = words_of(of_packets([packet])[packet.pk])
    return packet


def packets_of(case_id: UUID) -> list[Packet]:
    """Return the case's packets, newest first, each with `release` and what `changed` since."""
    packets = list(_whole().filter(case=case_id).order_by("-number"))
    releases = _releases(packets)
    now = holds_now(packets[0].case) if packets else Holds()
    orders = orders_since(packets[0].case) if packets else ()
    curricula = of_packets(packets)
    for packet in packets:
        packet.release = releases.get(packet.pk)
        packet.changed = changed_since(packet, now, orders)
        packet.curricula_words = words_of(curricula[packet.pk])
    return packets


def _whole() -> QuerySet[Packet]:
    return with_progress(Packet.objects.select_related("case", "request", "created_by"))


def _releases(packets: list[Packet]) -> dict[UUID, Release]:
    rows = Release.objects.active().filter(packet_id__in=[packet.pk for packet in packets])
    return {row.packet_id: row for row in rows.select_related("released_by").order_by("id")}


def open_requests_of(case_id: UUID) -> QuerySet[RecordsRequest]:
    """Return the case's open requests, the earliest due first."""
    rows: QuerySet[RecordsRequest] = RecordsRequest.objects.filter(
        case=case_id, state=RequestState.OPEN.value
    ).order_by("due_on", "id")
    return rows


def packet_under_way(request_id: UUID) -> Packet | None:
    """Return the packet that is being made for a request, or None."""
    found: Packet | None = Packet.objects.filter(
        request=request_id, state__in=UNDER_WAY, voided_at=None
    ).first()
    return found


def facts_of(packet: Packet) -> PacketFacts:
    """Return what a release needs to know of a packet."""
    released = Release.objects.active().filter(packet_id=packet.pk).exists()
    return built.facts_of(packet, is_released=released)


def _with_open_request(actor: Staff) -> QuerySet[Packet]:
    rows: QuerySet[Packet] = Packet.objects.active().filter(
        case__in=cases_open_to(actor), request__state=RequestState.OPEN.value
    )
    return rows.select_related("case__decedent", "request")


def packets_to_release(actor: Staff, *, most: int) -> list[Packet]:
    """Return packets that wait for a clerk, the earliest due first; one statement.

    Built ones are to be released, failed ones to be tried again. Of several for one request only
    the newest waits.
    """
    newer = Packet.objects.active().filter(
        request=OuterRef("request"), number__gt=OuterRef("number")
    )
    rows = _with_open_request(actor).filter(
        ~Exists(newer),
        ~Exists(_released()),
        state__in=[JobState.MADE.value, JobState.FAILED.value],
    )
    return list(rows.order_by("request__due_on", "id")[:most])


class _LeftToSend(TypedDict):
    left_to_send: str | None


def requests_without_packet(
    actor: Staff, *, most: int
) -> list[WithAnnotations[RecordsRequest, _LeftToSend]]:
    """Return open requests that no packet is built for, the earliest due first; one statement."""
    built = Packet.objects.active().filter(
        ~Exists(_released()),
        request=OuterRef("pk"),
        state__in=[JobState.MADE.value, JobState.FAILED.value],
    )
    rows = RecordsRequest.objects.filter(
        ~Exists(built), case__in=cases_open_to(actor), state=RequestState.OPEN.value
    )
    left = Release.objects.active().filter(request=OuterRef("pk")).order_by("-released_at", "-id")
    with_left = rows.annotate(left_to_send=Subquery(left.values("still_due")[:1]))
    # Where the clock is stopped nothing is due: those come after all others.
    order = (F("stopped_since").asc(nulls_first=True), "due_on", "id")
    return list(with_left.select_related("case__decedent").order_by(*order)[:most])


def _released() -> QuerySet[Release]:
    rows: QuerySet[Release] = Release.objects.active().filter(packet_id=OuterRef("pk"))
    return rows


def packet_to_build(packet_id: UUID) -> Packet:
    """Return a packet with its request and the person who asked. Raises NotKnown."""
    found: Packet | None = (
        Packet.objects.select_related("case", "request", "created_by").filter(pk=packet_id).first()
    )
    return known_of_office(found, "packet")

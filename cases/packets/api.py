"""API of packets."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.urls import reverse
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.course import case_frame
from cases.court.actions import RELEASE_FIELDS
from cases.court.api import ReleaseOutput
from cases.court.models import Release
from cases.packets import actions, queries
from cases.packets.models import Packet
from me_office.shell.api import REFUSALS, checked


class PacketInput(serializers.Serializer[Any]):
    """Asks for a packet; `id` is made by the client."""

    id = serializers.UUIDField()
    request_id = serializers.UUIDField()
    with_photographs = serializers.BooleanField(default=True)
    with_history = serializers.BooleanField(default=True)
    camera_notes = serializers.BooleanField(
        default=True, help_text="Originals, unchanged; else copies without the camera's notes"
    )
    originals = serializers.ListField(
        child=serializers.UUIDField(),
        default=list,
        help_text="Photographs that go out as originals although a redacted copy stands",
    )
    originals_why = serializers.CharField(default="", allow_blank=True)


class RetryInput(serializers.Serializer[Any]):
    """Tries again."""

    version = serializers.IntegerField(min_value=1)


class ReleaseInput(serializers.ModelSerializer[Release]):
    """Records that the packet was handed over; `version` is the request's."""

    id = serializers.UUIDField()
    version = serializers.IntegerField(min_value=1)

    class Meta:
        model = Release
        fields = ["id", "version", *RELEASE_FIELDS]
        validators: list[Any] = []


class PacketOutput(serializers.ModelSerializer[Packet]):
    """A packet as it stands, with how far its making is."""

    percent = serializers.IntegerField()
    step = serializers.CharField()
    changed = serializers.ListField(
        child=serializers.CharField(),
        help_text="What has changed since it was built; with anything here it is not released",
    )
    file = serializers.SerializerMethodField()

    class Meta:
        model = Packet
        fields = [
            "id",
            "version",
            "number",
            "request",
            "state",
            "percent",
            "step",
            "failure",
            "with_photographs",
            "with_history",
            "camera_notes",
            "originals",
            "originals_why",
            "built_at",
            "sha256",
            "size_bytes",
            "pages",
            "photographs",
            "redacted",
            "changed",
            "file",
        ]

    def get_file(self, packet: Packet) -> str | None:
        """Return where the built packet is fetched."""
        if not packet.is_built or (packet.changed and packet.release is None):
            return None
        keys = {"case_id": packet.case_id, "packet_id": packet.pk}
        return reverse("packets:download-packet", kwargs=keys)


def _answer(case_id: UUID, packet_id: UUID, *, status: int = 200) -> Response:
    return Response(PacketOutput(queries.packet_of(case_id, packet_id)).data, status=status)


class PacketsOfCase(APIView):
    """The packets of one case."""

    @extend_schema(
        operation_id="packets_list", responses={200: PacketOutput(many=True), **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """Return the case's packets, newest first."""
        case_frame(request.user, case_id, current="court")
        return Response(PacketOutput(queries.packets_of(case_id), many=True).data)

    @extend_schema(
        operation_id="packets_request",
        request=PacketInput,
        responses={201: PacketOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Ask for a packet; the same id again gets the same packet."""
        entry = checked(PacketInput, request)
        packet = actions.request_packet(
            request.user,
            case_id=case_id,
            request_id=entry.pop("request_id"),
            record_id=entry.pop("id"),
            entry=entry,
        )
        return _answer(case_id, packet.pk, status=201)


class OnePacket(APIView):
    """One packet."""

    @extend_schema(operation_id="packets_read", responses={200: PacketOutput, **REFUSALS})
    def get(self, request: Request, case_id: UUID, packet_id: UUID) -> Response:
        """Return the packet and how far its making is."""
        case_frame(request.user, case_id, current="court")
        return _answer(case_id, packet_id)


class RetryPacket(APIView):
    """Tries a failed packet again."""

    @extend_schema(
        operation_id="packets_retry", request=RetryInput, responses={200: PacketOutput, **REFUSALS}
    )
    def post(self, request: Request, case_id: UUID, packet_id: UUID) -> Response:
        """Try again to build a packet that failed."""
        entry = checked(RetryInput, request)
        actions.retry_packet(request.user, case_id=case_id, packet_id=packet_id, **entry)
        return _answer(case_id, packet_id)


class ReleasePacket(APIView):
    """Records the release of a packet."""

    @extend_schema(
        operation_id="packets_release",
        request=ReleaseInput,
        responses={201: ReleaseOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, packet_id: UUID) -> Response:
        """Record that the packet was handed over; its request is answered."""
        entry = checked(ReleaseInput, request)
        release = actions.release_packet(
            request.user,
            case_id=case_id,
            packet_id=packet_id,
            record_id=entry.pop("id"),
            version=entry.pop("version"),
            entry=entry,
        )
        return Response(ReleaseOutput(release).data, status=201)

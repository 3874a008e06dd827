"""API of packets."""

from __future__ import annotations

from django.urls import reverse
from rest_framework import serializers

from cases.api.shared import CASE, framed, key
from cases.court.actions import RELEASE_FIELDS
from cases.court.api import ReleaseOutput
from cases.court.models import Release
from cases.packets import actions, queries
from cases.packets.models import Packet
from me_office.shell.endpoints import adds, at, changes, lists, reads
from me_office.shell.shapes import NewShape, ReadShape, sent_shape


class PacketInput(NewShape):
    """Asks for a packet; `id` is made by the client."""

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
    curricula = serializers.ListField(
        child=serializers.UUIDField(), default=list, help_text="Issued curricula vitae to send"
    )


class RetryInput(ReadShape):
    """Tries again."""


ReleaseInput = sent_shape(
    "ReleaseInput", Release, ("id", "version", *RELEASE_FIELDS),
    "Records that the packet was handed over; `version` is the request's.",
)  # fmt: skip


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
            "curricula",
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


def _as_it_stands(packet: Packet) -> Packet:
    return queries.packet_of(packet.case_id, packet.pk)


routes = [
    at(f"{CASE}/packets/", "packets",
       get=lists("packets_list", key(framed("court")), queries.packets_of, PacketOutput,
           "Return the case's packets, newest first."),
       post=adds("packets_request", actions.request_packet, PacketInput, PacketOutput,
           "Ask for a packet; the same id again gets the same packet.", shown=_as_it_stands)),
    at(f"{CASE}/packets/<uuid:packet_id>/", "packet",
       get=reads("packets_read", key(framed("court")), queries.packet_of, PacketOutput,
           "Return the packet and how far its making is.")),
    at(f"{CASE}/packets/<uuid:packet_id>/retry/", "retry-packet",
       post=changes("packets_retry", actions.retry_packet, RetryInput, PacketOutput,
           "Try again to build a packet that failed.", shown=_as_it_stands)),
    at(f"{CASE}/packets/<uuid:packet_id>/release/", "release-packet",
       post=adds("packets_release", actions.release_packet, ReleaseInput, ReleaseOutput,
           "Record that the packet was handed over; its request is answered.")),
]  # fmt: skip

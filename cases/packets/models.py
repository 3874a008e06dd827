"""Release packets and their making."""

from __future__ import annotations

from django.db import models

from cases.court.models import RecordsRequest
from cases.models import CaseRecord
from cases.packets.rules import PacketState
from me_office.audit.models import Record


class Packet(CaseRecord):
    """A BagIt ZIP of the case file for one request. Its bytes never change once built."""

    request = models.ForeignKey(
        RecordsRequest, models.PROTECT, related_name="packets", editable=False
    )
    number = models.PositiveIntegerField(editable=False)
    state = models.CharField(
        max_length=10,
        choices=[(s.value, s.value) for s in PacketState],
        default=PacketState.WAITING.value,
        editable=False,
    )
    with_photographs = models.BooleanField(default=True)
    with_history = models.BooleanField(default=True)
    camera_notes = models.BooleanField(
        default=True, help_text="Originals, unchanged; else copies without the camera's notes"
    )
    originals = models.JSONField(
        default=list,
        blank=True,
        help_text="Photographs that go out as originals although a redacted copy stands",
    )
    originals_why = models.TextField("reason for the originals", blank=True)
    attempts = models.PositiveIntegerField(default=0, editable=False)
    built_at = models.DateTimeField(null=True, blank=True, editable=False)
    path = models.CharField(max_length=200, blank=True, editable=False)
    sha256 = models.CharField(max_length=64, blank=True, editable=False)
    size_bytes = models.BigIntegerField(null=True, blank=True, editable=False)
    pages = models.PositiveIntegerField(null=True, blank=True, editable=False)
    photographs = models.PositiveIntegerField(null=True, blank=True, editable=False)
    redacted = models.PositiveIntegerField(null=True, blank=True, editable=False)
    failure = models.TextField(blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="packet_number_once"),
            models.CheckConstraint(
                condition=~models.Q(state=PacketState.BUILT.value)
                | (
                    models.Q(built_at__isnull=False, size_bytes__isnull=False)
                    & ~models.Q(sha256="")
                    & ~models.Q(path="")
                ),
                name="packet_built_is_whole",
            ),
        ]
        indexes = [models.Index(fields=["state", "changed_at"], name="packet_by_state")]

    def __str__(self) -> str:
        return f"Packet {self.number}"

    @property
    def is_under_way(self) -> bool:
        """Tell whether the packet is being made, or waits for its turn."""
        return self.state in {PacketState.WAITING, PacketState.BUILDING}


class PacketProgress(models.Model):
    """How far the making of a packet is; overwritten as it goes, so no record of the office."""

    packet = models.OneToOneField(Packet, models.PROTECT, related_name="progress", primary_key=True)
    percent = models.PositiveSmallIntegerField(default=0)
    step = models.CharField(max_length=120, blank=True)
    beat_at = models.DateTimeField(auto_now=True)

    def __str__(self) -> str:
        return f"{self.percent} % {self.step}"

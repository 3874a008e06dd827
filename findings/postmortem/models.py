"""Lividity and rigor, region by region."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from cases.models import CaseRecord
from findings.models.examination import Examination
from findings.rules import Blanching, LividityState, RigorStage
from me_office.audit.models import Record
from me_office.audit.tables import must, once_active, points_to
from me_office.worded import as_choices


class Lividity(CaseRecord):
    """Lividity in one region: present, absent, or spared by pressure."""

    REGIONS: ClassVar[list[tuple[str, str]]] = [
        (name, name)
        for name in (
            "face",
            "back of the head and neck",
            "front of the trunk",
            "back of the trunk",
            "left side of the trunk",
            "right side of the trunk",
            "buttocks",
            "front of the upper limbs",
            "back of the upper limbs",
            "hands and forearms",
            "front of the lower limbs",
            "back of the lower limbs",
            "legs and feet",
        )
    ]

    examination = points_to(Examination, "lividity")
    region = models.CharField(max_length=40, choices=REGIONS)
    state = models.CharField(max_length=20, choices=as_choices(LividityState))
    colour = models.CharField("color", max_length=80, blank=True, help_text="In your words")
    blanching = models.CharField(max_length=12, choices=as_choices(Blanching), blank=True)
    note = models.CharField(
        max_length=160, blank=True, help_text="Shape of a spared area, from what"
    )

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            once_active(
                "lividity_once_a_region",
                "case",
                "region",
                message="This region is recorded already.",
            ),
            must(
                "lividity_blanches_where_present",
                models.Q(state="present") | models.Q(blanching=""),
                "Blanching is tested where lividity is present.",
            ),
        ]

    def __str__(self) -> str:
        return f"Lividity {self.state}, {self.region}"


class Rigor(CaseRecord):
    """Rigor of one joint or region, and its stage."""

    JOINTS: ClassVar[list[tuple[str, str]]] = [
        (name, name)
        for name in (
            "jaw",
            "neck",
            "right shoulder",
            "left shoulder",
            "right elbow",
            "left elbow",
            "right wrist and fingers",
            "left wrist and fingers",
            "right hip",
            "left hip",
            "right knee",
            "left knee",
            "right ankle and toes",
            "left ankle and toes",
        )
    ]

    examination = points_to(Examination, "rigor")
    joint = models.CharField(max_length=40, choices=JOINTS)
    stage = models.CharField(max_length=20, choices=as_choices(RigorStage))
    note = models.CharField(max_length=160, blank=True)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            once_active(
                "rigor_once_a_joint", "case", "joint", message="This joint is recorded already."
            ),
        ]

    def __str__(self) -> str:
        return f"Rigor {self.stage}, {self.joint}"

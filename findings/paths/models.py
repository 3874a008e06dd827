"""The path of a wound through the body."""

from __future__ import annotations

from decimal import Decimal

from django.db import models

from cases.models import CaseRecord
from findings.models.examination import Finding
from findings.rules import DepthWay, Terminus
from me_office.audit.models import Record
from me_office.audit.tables import must, points_to
from me_office.worded import as_choices


class WoundPath(CaseRecord):
    """Where a projectile or a blade went: from its entrance through structures to its end.

    Coordinates are kept only where somebody measured them; the others follow from the findings.
    """

    finding = points_to(Finding, "paths")
    structures = models.TextField(
        help_text="What the path goes through, in order, one structure a line"
    )
    ends_as = models.CharField(max_length=20, choices=as_choices(Terminus))
    exit_finding = models.ForeignKey(
        Finding, models.PROTECT, related_name="+", null=True, blank=True
    )
    end_words = models.CharField(
        max_length=240, blank=True, help_text="Where it ends, and what was recovered there"
    )
    entrance_above_heel_cm = models.DecimalField(
        max_digits=5, decimal_places=1, null=True, blank=True
    )
    entrance_from_midline_cm = models.DecimalField(
        max_digits=5, decimal_places=1, null=True, blank=True, help_text="Positive to the left"
    )
    end_above_heel_cm = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    end_from_midline_cm = models.DecimalField(
        max_digits=5, decimal_places=1, null=True, blank=True, help_text="Positive to the left"
    )
    depth_cm = models.DecimalField(
        max_digits=5,
        decimal_places=1,
        null=True,
        blank=True,
        help_text="How far the end lies behind or in front of the entrance",
    )
    depth_way = models.CharField(max_length=16, choices=as_choices(DepthWay), blank=True)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            must(
                "wound_path_through_something",
                ~models.Q(structures=""),
                "Name what the path goes through.",
            ),
            must(
                "wound_path_exit_is_an_exit",
                models.Q(exit_finding=None) | models.Q(ends_as="exit"),
                "Only an exit has a finding of its own.",
            ),
            must(
                "wound_path_depth_with_its_way",
                models.Q(depth_cm=None, depth_way="")
                | models.Q(depth_cm__gte=0, depth_cm__lte=80) & ~models.Q(depth_way=""),
                "Give the depth with its direction, front or back.",
            ),
        ]

    def __str__(self) -> str:
        return f"Path of {self.finding}"

    @property
    def structures_in_order(self) -> list[str]:
        """The structures as they were written, from the entrance on."""
        return [line.strip() for line in self.structures.splitlines() if line.strip()]

    @property
    def entrance_midline_cm(self) -> Decimal | None:
        """The entrance's distance from the midline without its side."""
        return _size(self.entrance_from_midline_cm)

    @property
    def entrance_side(self) -> str:
        """On which side of the midline the entrance lies: left, right, in; empty when not typed."""
        return _side(self.entrance_from_midline_cm)

    @property
    def end_midline_cm(self) -> Decimal | None:
        """The end's distance from the midline without its side."""
        return _size(self.end_from_midline_cm)

    @property
    def end_side(self) -> str:
        """On which side of the midline the end lies: left, right, in; empty when not typed."""
        return _side(self.end_from_midline_cm)


def _size(signed: Decimal | None) -> Decimal | None:
    return None if signed is None else abs(signed)


def _side(signed: Decimal | None) -> str:
    if signed is None:
        return ""
    if signed == 0:
        return "in"
    return "left" if signed > 0 else "right"

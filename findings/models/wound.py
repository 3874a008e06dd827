"""What is recorded of a gunshot or sharp wound in fields of its own."""

from __future__ import annotations

from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from findings.words.wounds import END_CHOICES, PRESENCE_CHOICES


def _millimeters() -> models.DecimalField[Any, Any]:
    # A new field each time: a field belongs to one column.
    return models.DecimalField(
        max_digits=6,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(1000)],
    )


class WoundFields(models.Model):
    """Clock face (12 toward the head), ends, closed length, ring, soot, stippling; sizes in mm."""

    clock_hour = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(12)]
    )
    first_end = models.CharField(max_length=14, choices=END_CHOICES, blank=True)
    second_end = models.CharField(max_length=14, choices=END_CHOICES, blank=True)
    closed_length_mm = _millimeters()
    ring_12_mm = _millimeters()
    ring_3_mm = _millimeters()
    ring_6_mm = _millimeters()
    ring_9_mm = _millimeters()
    soot = models.CharField(max_length=16, choices=PRESENCE_CHOICES, blank=True)
    soot_across_mm = _millimeters()
    soot_down_mm = _millimeters()
    stippling = models.CharField(max_length=16, choices=PRESENCE_CHOICES, blank=True)
    stippling_across_mm = _millimeters()
    stippling_down_mm = _millimeters()

    class Meta:
        abstract = True

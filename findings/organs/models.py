"""The weight of an organ."""

from __future__ import annotations

from django.db import models

from cases.models import CaseRecord
from findings.models.examination import Examination
from me_office.audit.models import Record
from me_office.audit.tables import must, points_to


class OrganWeight(CaseRecord):
    """The weight of one organ, with what was seen."""

    ORGANS = [
        ("brain", "Brain"),
        ("heart", "Heart"),
        ("right lung", "Right lung"),
        ("left lung", "Left lung"),
        ("lungs combined", "Lungs, both together"),
        ("liver", "Liver"),
        ("spleen", "Spleen"),
        ("right kidney", "Right kidney"),
        ("left kidney", "Left kidney"),
        ("thymus", "Thymus"),
        ("thyroid", "Thyroid gland"),
        ("pancreas", "Pancreas"),
        ("right adrenal", "Right adrenal gland"),
        ("left adrenal", "Left adrenal gland"),
        ("pituitary", "Pituitary gland"),
        ("uterus", "Uterus"),
        ("right ovary", "Right ovary"),
        ("left ovary", "Left ovary"),
        ("prostate", "Prostate"),
        ("right testis", "Right testis"),
        ("left testis", "Left testis"),
        ("other", "Other"),
    ]

    examination = points_to(Examination, "organ_weights")
    organ = models.CharField(max_length=20, choices=ORGANS)
    weight_g = models.DecimalField(max_digits=7, decimal_places=1)
    after_fixation = models.BooleanField(default=False)
    seen_as = models.TextField(blank=True)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["case", "organ", "after_fixation"],
                condition=models.Q(voided_at=None) & ~models.Q(organ="other"),
                name="organ_weighed_once",
                violation_error_message="This organ has a weight already.",
            ),
            must(
                "organ_weight_possible",
                models.Q(weight_g__gt=0, weight_g__lte=20000),
                "Between 0 and 20,000 g.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.organ} {self.weight_g} g"

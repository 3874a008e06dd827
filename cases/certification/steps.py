"""What cause and manner add to the course of a case."""

from __future__ import annotations

from django.db.models import OuterRef, Subquery

from cases import course
from cases.certification.models import Certification

STATED = Certification.objects.filter(case=OuterRef("pk"))

course.register(
    course.Step(
        key="cause_and_manner",
        title="Cause and manner",
        order=80,
        url_name="certification:cause-and-manner",
        words=lambda case: case.manner or "not stated",
        # Named without a prefix: the head line of every case page shows it.
        annotations={
            "manner": Subquery(
                Certification.objects.filter(case=OuterRef("pk")).values("manner")[:1]
            )
        },
    )
)

"""What cause and manner add to the course of a case."""

from __future__ import annotations

from django.db.models import Case, CharField, F, OuterRef, Subquery, Value, When

from cases import course
from cases.certification.models import Certification
from cases.certification.rules import FORM_WORDS

STATED = Certification.objects.filter(case=OuterRef("pk"))

IN_WORDS = Case(
    *(When(manner=manner.value, then=Value(words)) for manner, words in FORM_WORDS.items()),
    default=F("manner"),
    output_field=CharField(),
)

course.register(
    course.Step(
        key="cause_and_manner",
        title="Cause and manner",
        order=80,
        url_name="certification:cause-and-manner",
        words=lambda case: case.manner_words or "not stated",
        # Named without a prefix: the head line of every case page shows the words.
        annotations={
            "manner": Subquery(STATED.values("manner")[:1]),
            "manner_words": Subquery(STATED.values(words=IN_WORDS)[:1]),
        },
    )
)

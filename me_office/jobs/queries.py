"""Reads of requests that workers make."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import DurationField, ExpressionWrapper, F, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Now

from me_office.jobs.alive import is_held
from me_office.jobs.models import JobProgress
from me_office.jobs.rules import SILENCE, WAITS_TOO_LONG, JobState
from me_office.jobs.sending import EXPIRES_SECONDS, is_idle

AT_ONCE = 20
EXPIRED = timedelta(seconds=EXPIRES_SECONDS)


def with_progress(rows: QuerySet[Any]) -> QuerySet[Any]:
    """Return requests, each with `percent` and `step`, in the same statement."""
    progress = JobProgress.objects.filter(key=OuterRef("pk"))
    told: QuerySet[Any] = rows.annotate(
        percent=Subquery(progress.values("percent")), step=Subquery(progress.values("step"))
    )
    return told


def silent_for(key: UUID) -> timedelta:
    """Return how long nothing was heard of a request, by the database's clock."""
    rows = JobProgress.objects.filter(key=key)
    silent = ExpressionWrapper(Now() - F("beat_at"), output_field=DurationField())
    found: timedelta | None = rows.values_list(silent, flat=True).first()
    return timedelta.max if found is None else found


def abandoned(rows: QuerySet[Any], *, queue: str) -> list[Any]:
    """Return the requests that nobody makes although somebody should, oldest first.

    What was sent is not sent again while it may lie in the queue: only where nothing is in that,
    so that it was lost, or so late that it has expired. What no broker took lies in no queue.
    """
    lost = WAITS_TOO_LONG if is_idle(queue) else EXPIRED
    progress = JobProgress.objects.filter(key=OuterRef("pk"))
    left: QuerySet[Any] = rows.filter(voided_at=None).annotate(
        heard_at=Subquery(progress.values("beat_at")),
        sent_at=Subquery(progress.values("sent_at")),
    )
    left = left.filter(
        Q(sent_at__lt=Now() - lost) | Q(sent_at=None, heard_at__lt=Now() - WAITS_TOO_LONG)
    )
    left = left.filter(state=JobState.WAITING.value) | left.filter(
        state=JobState.MAKING.value, heard_at__lt=Now() - SILENCE
    )
    found = left.select_related("created_by").order_by("changed_at", "id")[:AT_ONCE]
    with transaction.atomic():
        return [job for job in found if job.state == JobState.WAITING or not is_held(job.pk)]

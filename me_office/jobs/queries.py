"""Reads of requests that workers make."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

from django.db.models import OuterRef, QuerySet, Subquery
from django.utils import timezone

from me_office.jobs.models import JobProgress
from me_office.jobs.rules import SILENCE, WAITS_TOO_LONG, JobState

AT_ONCE = 20


def with_progress(rows: QuerySet[Any]) -> QuerySet[Any]:
    """Return requests, each with `percent` and `step`, in the same statement."""
    progress = JobProgress.objects.filter(key=OuterRef("pk"))
    told: QuerySet[Any] = rows.annotate(
        percent=Subquery(progress.values("percent")), step=Subquery(progress.values("step"))
    )
    return told


def silent_for(key: UUID) -> timedelta:
    """Return how long nothing was heard of a request."""
    beat = JobProgress.objects.filter(key=key).values_list("beat_at", flat=True).first()
    return timezone.now() - beat if beat else timedelta.max


def abandoned(rows: QuerySet[Any]) -> list[Any]:
    """Return the requests that nobody makes although somebody should, oldest first."""
    now = timezone.now()

    def silent(state: JobState, limit: timedelta) -> QuerySet[Any]:
        heard = JobProgress.objects.filter(key=OuterRef("pk")).values("beat_at")
        named = rows.filter(state=state.value, voided_at=None)
        left: QuerySet[Any] = named.annotate(heard_at=Subquery(heard))
        return left.filter(heard_at__lt=now - limit)

    left = silent(JobState.MAKING, SILENCE) | silent(JobState.WAITING, WAITS_TOO_LONG)
    return list(left.select_related("created_by").order_by("changed_at", "id")[:AT_ONCE])

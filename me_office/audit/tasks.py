"""Clears what is kept for a time only: answers to request keys, counts of tries, sessions."""

from __future__ import annotations

from datetime import timedelta
from importlib import import_module

from celery import shared_task
from django.conf import settings
from django.db import connection
from django.utils import timezone

from me_office.accounts import limits
from me_office.accounts.models import TryCount

A_PART = 10_000


@shared_task
def clear_answers() -> int:
    """Clear the answers to keys under which no retry can be expected; return how many.

    Until then a form that waited on a device, for a connection or over a long leave, is still
    recognized as sent. The trail itself is never cleared.
    """
    cleared = 0
    with connection.cursor() as cursor:
        while True:
            cursor.execute(
                "SELECT audit_clear_answers(%s::interval, %s)",
                [str(settings.REQUEST_KEYS_KEPT), A_PART],
            )
            part: int = cursor.fetchone()[0]
            cleared += part
            if part < A_PART:
                return cleared


@shared_task
def clear_tries() -> int:
    """Clear the counts of wrong passwords and codes that no limit remembers; return how many."""
    before = timezone.now() - timedelta(seconds=limits.DAY_S)
    cleared, _ = TryCount.objects.filter(last_at__lt=before).delete()
    return cleared


@shared_task
def clear_sessions() -> None:
    """Clear the sessions that ran out."""
    import_module(settings.SESSION_ENGINE).SessionStore.clear_expired()

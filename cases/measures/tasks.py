"""What comes back every ten minutes: the daily mails that are due."""

from __future__ import annotations

from celery import shared_task
from django.utils import timezone

from cases.measures.mailing import send_due


@shared_task
def send_daily_mails() -> int:
    """Send the daily mails that are due and not sent yet; return how many were sent."""
    return send_due(timezone.now())

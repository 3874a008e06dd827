"""What comes back every minute: letters that wait to be mailed."""

from __future__ import annotations

from celery import shared_task
from django.utils import timezone

from cases.letters.mailing import send_letters


@shared_task
def mail_letters() -> int:
    """Send the letters that wait to go out by e-mail; return how many went out."""
    return send_letters(timezone.now())

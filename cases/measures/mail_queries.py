"""Reads of daily mails: who still waits for one, and which could not be sent."""

from __future__ import annotations

from datetime import date, timedelta

from django.db.models import Exists, OuterRef, Q

from cases.measures.mail_rules import MOST_TRIES
from cases.measures.models import DailyMail, DailyMailSent
from me_office.accounts.models import Staff

# As many people as an office has; the rest is sent by the next run.
MOST_PEOPLE = 500


def daily_mail_of(person: Staff) -> DailyMail | None:
    """Return a person's own choice, if they ever made one."""
    found: DailyMail | None = DailyMail.objects.active().filter(person=person).first()
    return found


def last_sent_to(person: Staff) -> DailyMailSent | None:
    """Return how a person's last mail went, if there was one."""
    found: DailyMailSent | None = (
        DailyMailSent.objects.filter(person=person).order_by("-day", "id").first()
    )
    return found


def wanting(day: date) -> list[tuple[Staff, str]]:
    """Return who wants a mail and has no finished one of a day, each with the address."""
    over = DailyMailSent.objects.filter(person=OuterRef("person"), day=day).filter(
        ~Q(outcome="") | Q(tries__gte=MOST_TRIES)
    )
    rows = (
        DailyMail.objects.active()
        .filter(~Exists(over), wanted=True, person__is_active=True)
        .select_related("person")
        .order_by("person_id")
    )
    return [(row.person, row.address) for row in rows[:MOST_PEOPLE]]


def not_sent(today: date) -> list[DailyMailSent]:
    """Return the mails of today and yesterday that failed and are not sent since."""
    rows = DailyMailSent.objects.filter(day__gte=today - timedelta(days=1), outcome="")
    return list(rows.exclude(fault="").order_by("-day", "id")[:MOST_PEOPLE])

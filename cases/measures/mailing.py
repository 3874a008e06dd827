"""The daily mail: who gets which, claimed in the database before it goes out.

A person's row of a day is written, and committed, before the mail server is asked: two workers, or
a job that runs twice, send one mail. Who is ended between the server's yes and the note of it sends
the same mail again under the same Message-ID, a quarter of an hour later.
"""

from __future__ import annotations

import hashlib
import logging
import smtplib
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.db import transaction
from django.urls import reverse

from cases import worklists
from cases.measures import mail_rules, queries
from cases.measures.mail_queries import wanting
from cases.measures.mail_rules import MailRow, MailSection
from cases.measures.models import DailyMailSent
from cases.measures.waits import WaitKind, cell_of
from me_office.accounts.models import Staff
from me_office.audit import looks
from me_office.mailing import can_mail, sent_in_turn
from me_office.moments import local

log = logging.getLogger(__name__)
# A run begins no mail after this.
LONGEST_SECONDS = 120.0
CASES = "/cases/"


def send_due(now: datetime) -> int:
    """Send the mails that are due and not sent yet; return how many were."""
    here = local(now, settings.OFFICE_ZONE)
    if not can_mail() or not mail_rules.is_due(here, settings.DAILY_MAIL_HOUR):
        return 0
    day, link = here.date(), get_connection()

    def send(to: tuple[Staff, str]) -> tuple[bool, bool]:
        claim = claimed(to[0].pk, day, now)
        if claim is None:
            return False, True
        answers = _send(link, *to, claim, now)
        return claim.outcome == DailyMailSent.SENT, answers

    return sent_in_turn(link, wanting(day), send, longest=LONGEST_SECONDS)


def claimed(person_id: UUID, day: date, now: datetime) -> DailyMailSent | None:
    """Take a person's mail of a day in hand; None where that is done, under way or given up."""
    with transaction.atomic():
        DailyMailSent.objects.bulk_create(
            [DailyMailSent(person_id=person_id, day=day)], ignore_conflicts=True
        )
        rows = DailyMailSent.objects.select_for_update()
        row: DailyMailSent = rows.get(person_id=person_id, day=day)
        if not mail_rules.may_try(
            outcome=row.outcome, tries=row.tries, tried_at=row.tried_at, now=now
        ):
            return None
        row.tries, row.tried_at = row.tries + 1, now
        row.save()
    return row


def _send(link: Any, person: Staff, address: str, claim: DailyMailSent, now: datetime) -> bool:
    """Send one mail and note how it went; tell whether the mail server answers."""
    sections = sections_of(person, now)
    waiting, _ = mail_rules.count_of(sections)
    if not waiting:
        _note(claim, DailyMailSent.NOTHING)
        return True
    mail = mail_of(person, address, sections, claim.day)
    mail.connection = link
    try:
        mail.send()
    except smtplib.SMTPRecipientsRefused:
        _note(claim, fault="the mail server refuses the address")
        return True
    except OSError as error:
        log.warning("A daily mail was not sent", exc_info=True)
        _note(claim, fault=f"the mail server does not take it ({type(error).__name__})")
        return False
    _note(claim, DailyMailSent.SENT)
    looks.note_list(person, "daily mail", rows=waiting)
    return True


def _note(claim: DailyMailSent, outcome: str = "", fault: str = "") -> None:
    claim.outcome, claim.fault = outcome, fault
    claim.save(update_fields=["outcome", "fault"])


def mail_of(person: Staff, address: str, sections: list[MailSection], day: date) -> EmailMessage:
    """Write a person's mail of a day; the same one each time it is written."""
    origin = next(iter(settings.CSRF_TRUSTED_ORIGINS), "")
    body = mail_rules.letter_of(
        sections,
        day=day,
        office_lines=_office_lines(person) if queries.sees_all(person) else (),
        own_page=mail_rules.address_of_page(reverse("measures:daily-mail"), origin),
    )
    name = hashlib.sha256(f"{person.pk} {day}".encode()).hexdigest()[:32]
    place = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2] or "office.invalid"
    return EmailMessage(
        mail_rules.subject_of(settings.OFFICE_NAME, sections), body,
        settings.DEFAULT_FROM_EMAIL or "office@office.invalid", [address],
        headers={"Message-ID": f"<{name}@{place}>", "Auto-Submitted": "auto-generated"},
    )  # fmt: skip


def sections_of(person: Staff, now: datetime) -> list[MailSection]:
    """Return what waits on a person's first page, without names."""
    origin = next(iter(settings.CSRF_TRUSTED_ORIGINS), "")
    found = []
    for section in worklists.sections_for(person):
        rows = section.rows(person, now) if section.waits else []
        # What is of no case is named by something else than a case's number.
        of_cases = tuple(
            MailRow(
                row.number, row.when, mail_rules.address_of_page(row.url, origin),
                bool(row.urgency),
            )
            for row in rows
            if row.url.startswith(CASES)
        )  # fmt: skip
        if of_cases:
            found.append(MailSection(section.title, of_cases, len(rows) >= worklists.LIMIT))
    return found


def _office_lines(person: Staff) -> list[str]:
    found, today = queries.waiting(person), queries.today()
    lines = []
    for kind in WaitKind:
        cell = cell_of((one for one in found.waits if one.kind is kind), today)
        if cell.count:
            most = " or more" if kind in found.cut else ""
            lines.append(f"{kind.words}: {cell.count}{most}, the oldest {cell.oldest_words}")
    return lines

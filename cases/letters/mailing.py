"""Letters that go out by e-mail: each taken in hand in the database before the server is asked.

A mail is tried again only where it certainly did not go out: the server was not reached, or refused
it. Where a worker ended between the server's yes and the note of it, the office does not know; it
says so, and a person asks the recipient before sending again.
"""

from __future__ import annotations

import logging
import smtplib
from datetime import datetime
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.db.models import Q

from cases.letters.actions import finish_letter_mail
from cases.letters.conversation import in_time, link_to_server, was_offered
from cases.letters.models import LetterMail, LetterSending
from cases.letters.printing import file_name
from cases.letters.rules import AGAIN_AFTER, MOST_TRIES, Outcome, is_lost, may_try
from evidence import store
from evidence.store import StoreAway, StoreFault
from me_office.mailing import can_mail, sent_in_turn
from me_office.shell.templatetags.office import day

log = logging.getLogger(__name__)
# A run begins no mail after this.
LONGEST_SECONDS = 45.0
MOST_A_RUN = 50
LOST = "the program that sent it ended before it noted how that went"


def send_letters(now: datetime) -> int:
    """Send the mails that wait; return how many went out."""
    if not can_mail():
        return 0
    link = link_to_server()

    def send(key: Any) -> tuple[bool, bool]:
        mail = claimed(key, now)
        if mail is None:
            return False, True
        with in_time(link):
            answers = _send(link, mail)
        return mail.outcome == Outcome.SENT, answers

    return sent_in_turn(link, _open_mails(now), send, longest=LONGEST_SECONDS)


def _open_mails(now: datetime) -> list[Any]:
    rows = LetterMail.objects.filter(outcome__in=[Outcome.WAITING.value, Outcome.TRYING.value])
    late = Q(tried_at=None) | Q(tried_at__lte=now - AGAIN_AFTER) | Q(tried_at__gt=now)
    return list(rows.filter(late).order_by("id").values_list("pk", flat=True)[:MOST_A_RUN])


def claimed(key: Any, now: datetime) -> LetterMail | None:
    """Take a mail in hand; None where that is done, under way, given up or withdrawn."""
    with transaction.atomic():
        mail = (
            LetterMail.objects.select_for_update(of=("self",))
            .select_related("sending__letter__file", "sending__letter__case", "sending__created_by")
            .filter(pk=key)
            .first()
        )
        if mail is None:
            return None
        sending = mail.sending
        if is_lost(mail.outcome, mail.tried_at, now):
            _note(mail, Outcome.UNKNOWN, LOST)
            return None
        if sending.is_voided or sending.letter.is_voided:
            _note(mail, Outcome.FAILED, "withdrawn before it was sent")
            return None
        if not may_try(mail.outcome, mail.tries, mail.tried_at, now):
            return None
        mail.outcome, mail.tries, mail.tried_at = Outcome.TRYING.value, mail.tries + 1, now
        mail.save()
    return mail


def _send(link: Any, mail: LetterMail) -> bool:
    """Send one mail and note how it went; tell whether the mail server answers."""
    try:
        message = message_of(mail.sending)
    except (StoreAway, StoreFault, OSError):
        log.warning("A letter could not be read", exc_info=True)
        _again(mail, "the letter’s file could not be read")
        return True
    try:
        link.open()
    except (OSError, smtplib.SMTPException) as error:
        log.warning("A letter was not mailed", exc_info=True)
        _again(mail, f"the mail server was not reached ({type(error).__name__})")
        return False
    message.connection = link
    try:
        message.send()
    except (ValueError, AttributeError) as error:
        # Written before a byte goes out, so it certainly did not; one such mail holds up no other.
        log.warning("A letter could not be written as a mail", exc_info=True)
        _note(mail, Outcome.FAILED, f"it cannot be written as a mail ({type(error).__name__})")
        return True
    except smtplib.SMTPRecipientsRefused as error:
        codes = [code for code, _ in error.recipients.values()]
        if codes and all(400 <= code < 500 for code in codes):
            _again(mail, f"the mail server does not take it yet ({codes[0]})")
        else:
            _note(mail, Outcome.FAILED, "the mail server refuses the address")
        return True
    except (smtplib.SMTPResponseException, smtplib.SMTPNotSupportedError) as error:
        code = getattr(error, "smtp_code", "")
        _again(mail, f"the mail server does not take it ({type(error).__name__} {code})".strip())
        return True
    except OSError as error:
        if not was_offered(link):
            log.warning("A letter was not mailed", exc_info=True)
            _again(mail, f"the connection ended before it was taken ({type(error).__name__})")
            return False
        # The connection ended in the middle: it may have gone out.
        log.warning("It is not known whether a letter was mailed", exc_info=True)
        _note(mail, Outcome.UNKNOWN, f"the connection ended meanwhile ({type(error).__name__})")
        return False
    _note(mail, Outcome.SENT)
    return True


def _again(mail: LetterMail, fault: str) -> None:
    """Have it tried again, or give it up: after several times, or where it was told as not known.

    Who was told that may have sent the letter otherwise by now; a person asks for it anew.
    """
    with transaction.atomic():
        rows = LetterMail.objects.select_for_update().filter(pk=mail.pk)
        ours = rows.filter(outcome=Outcome.TRYING.value, tries=mail.tries).exists()
        if not ours or mail.tries >= MOST_TRIES:
            _note(mail, Outcome.FAILED, fault)
            return
        mail.outcome, mail.fault = Outcome.WAITING.value, fault
        mail.save(update_fields=["outcome", "fault"])


def _note(mail: LetterMail, outcome: Outcome, fault: str = "") -> None:
    with transaction.atomic():
        mail.outcome, mail.fault = outcome.value, fault
        mail.save(update_fields=["outcome", "fault"])
        finish_letter_mail(
            mail.sending.created_by, sending_id=mail.sending_id, outcome=outcome.value, fault=fault
        )


def message_of(sending: LetterSending) -> EmailMessage:
    """Write the mail with the kept PDF; the same one each time it is written."""
    letter = sending.letter
    if letter.file is None:
        raise StoreFault("The letter has no file.")
    with store.open_stored(letter.file) as file:
        pdf = file.read()
    place = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2] or "office.invalid"
    message = EmailMessage(
        f"{settings.OFFICE_NAME}: {letter.reference}",
        _body(sending),
        settings.DEFAULT_FROM_EMAIL or "office@office.invalid",
        [sending.address],
        headers={"Message-ID": f"<letter-{sending.pk}@{place}>"},
    )
    message.attach(file_name(letter), pdf, "application/pdf")
    return message


def _body(sending: LetterSending) -> str:
    """Say what is attached, without the name of the decedent."""
    letter = sending.letter
    lines = [
        f"{sending.to_name}:",
        f"Attached is our letter {letter.reference} of {day(letter.dated_on)} as a PDF.",
        f"SHA-256 of the attached file: {letter.file.sha256 if letter.file else ''}",
        f"{settings.OFFICE_NAME}",
    ]
    if settings.OFFICE_PHONE:
        lines[-1] += f", telephone {settings.OFFICE_PHONE}"
    return "\n\n".join(lines) + "\n"

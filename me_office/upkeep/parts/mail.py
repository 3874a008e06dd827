"""Whether those who keep the office can be told."""

from __future__ import annotations

import smtplib
import ssl
from collections.abc import Iterator

from django.conf import settings
from django.core.mail.backends.smtp import EmailBackend
from django.utils import timezone

from cases.letters.queries import letters_not_sent
from cases.measures import mail_queries
from me_office.upkeep.conditions import Said, condition, dangerous, right

SECONDS = 4


@condition("mail")
def mail() -> Iterator[Said]:
    """Does the mail server take this office's mail?"""
    if settings.EMBEDDED:
        yield right("A try-out writes to nobody.")
        return
    if not settings.EMAIL_HOST:
        if settings.MAIL_GIVEN_UP:
            yield right("ME_MAIL_URL is none: nobody is written to.")
            return
        yield dangerous(
            "No mail server is named: nobody is told when something breaks.",
            "Set ME_MAIL_URL, ME_MAIL_FROM and ME_ADMINISTRATORS; or ME_MAIL_URL=none where the "
            "office is watched another way.",
        )
        return
    fault = why_not_sent()
    if fault:
        yield dangerous(f"The mail server {fault}.", "Mend ME_MAIL_URL, or the mail server.")
        return
    yield right("The mail server takes this office's mail.")


@condition("daily mail", asks_database=True)
def daily_mail() -> Iterator[Said]:
    """Did the daily mails go out that people asked for?"""
    failed = mail_queries.not_sent(timezone.localdate())
    if failed:
        what = "1 daily mail" if len(failed) == 1 else f"{len(failed)} daily mails"
        days = ", ".join(sorted({f"{one.day:%d %b}".lstrip("0") for one in failed}))
        yield dangerous(
            f"{what} of {days} could not be sent: {failed[0].fault}.",
            "Look at the mail server, and at the address on the page of the person's account. "
            "Each is tried four times a day.",
        )
    else:
        yield right("Each that was asked for went out, or will.")


@condition("letters by mail", asks_database=True)
def letters_by_mail() -> Iterator[Said]:
    """Did the letters go out that were to be mailed?"""
    failed = letters_not_sent(timezone.now())
    if failed:
        what = "1 letter" if len(failed) == 1 else f"{len(failed)} letters"
        yield dangerous(
            f"{what} could not be mailed: {failed[0]}.",
            "Look at the mail server. The board of requests names each; whoever sent it is to look "
            "at the address, and send it again or another way.",
        )
    else:
        yield right("Each that was to be mailed went out, or will.")


def why_not_sent() -> str:
    """Return what the mail server has against this office, or nothing; no mail is sent."""
    link = EmailBackend(timeout=SECONDS)
    try:
        link.open()
        link.close()
    except smtplib.SMTPAuthenticationError:
        return "refuses the user or the password"
    except smtplib.SMTPNotSupportedError:
        return "offers no STARTTLS, or asks for no password; see ?tls=no"
    except ssl.SSLError as error:
        return f"has no TLS as it is set ({error.reason or type(error).__name__})"
    except (OSError, smtplib.SMTPException) as error:
        return f"does not answer ({error.strerror or type(error).__name__})"
    return ""

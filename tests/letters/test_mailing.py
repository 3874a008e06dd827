"""Letters by e-mail: each once, tried again only where it certainly did not go out."""

from __future__ import annotations

import smtplib
from datetime import timedelta
from typing import Any

import pytest
from django.core import mail
from django.core.mail.backends.locmem import EmailBackend
from django.utils import timezone

from cases.letters import actions, mailing
from cases.letters.models import LetterMail, LetterSending
from me_office.audit.models import AuditEvent
from tests.builders import make_case
from tests.letters.builders import made, mailed
from tests.packets.builders import make_request

pytestmark = pytest.mark.django_db


@pytest.fixture
def letter(clerk):
    return made(make_request(make_case(), clerk), clerk)


def stands(sending: LetterSending) -> LetterSending:
    sending.refresh_from_db()
    return sending


def later(minutes: int = 0) -> Any:
    return timezone.now() + timedelta(minutes=minutes)


def test_a_letter_is_mailed_once_with_the_kept_pdf_and_without_a_name(clerk, letter):
    sending = mailed(letter, clerk)
    assert mailing.send_letters(later()) == 1
    for minutes in (0, 20, 600):
        assert mailing.send_letters(later(minutes)) == 0
    [message] = mail.outbox
    assert message.to == ["pell@hale.invalid"]
    [(name, pdf, kind)] = message.attachments
    assert (name, kind) == (f"letter-{letter.reference}.pdf", "application/pdf")
    assert pdf == actions.letter_pdf(letter.case, letter.pk)
    assert letter.file.sha256 in message.body and letter.reference in message.subject
    assert "Hallstead" not in message.body + message.subject
    assert message.extra_headers["Message-ID"].startswith(f"<letter-{sending.pk}@")
    there = stands(sending)
    assert (there.outcome, there.fault, there.waits) == ("sent", "", False)
    assert there.sent_at
    event = AuditEvent.objects.latest("id")
    assert (event.act, event.actor_name) == ("finish_letter_mail", clerk.display_name)
    # What was noted of it once is not noted over by a job that comes late.
    late = actions.finish_letter_mail(clerk, sending_id=sending.pk, outcome="failed", fault="late")
    assert (late.outcome, stands(sending).outcome, sending.fault) == ("sent", "sent", "")


def breaking(monkeypatch: pytest.MonkeyPatch, name: str, error: Exception) -> list[int]:
    tries: list[int] = []

    def fail(self: EmailBackend, *_: Any) -> int:
        tries.append(1)
        raise error

    monkeypatch.setattr(EmailBackend, name, fail)
    return tries


def test_a_server_that_is_not_reached_is_tried_four_times_and_then_said_to_have_failed(
    clerk, letter, monkeypatch
):
    sending = mailed(letter, clerk)
    tries = breaking(monkeypatch, "open", TimeoutError())
    for n in range(6):
        assert mailing.send_letters(later(16 * n)) == 0
    assert len(tries) == 4
    assert (stands(sending).outcome, sending.fault) == (
        "failed", "the mail server was not reached (TimeoutError)",
    )  # fmt: skip
    monkeypatch.undo()
    assert mailing.send_letters(later(200)) == 0, "a person asks for it anew"


def test_what_was_not_reached_goes_out_when_the_server_is_back(clerk, letter, monkeypatch):
    sending = mailed(letter, clerk)
    breaking(monkeypatch, "open", ConnectionRefusedError())
    mailing.send_letters(later())
    monkeypatch.undo()
    assert mailing.send_letters(later(5)) == 0
    assert mailing.send_letters(later(16)) == 1
    assert stands(sending).outcome == "sent"


@pytest.mark.parametrize(
    ("error", "outcome", "words"),
    [
        (smtplib.SMTPRecipientsRefused({}), "failed", "refuses the address"),
        (smtplib.SMTPRecipientsRefused({"p": (550, b"no")}), "failed", "refuses the address"),
        (smtplib.SMTPServerDisconnected(), "unknown", "the connection ended meanwhile"),
        (TimeoutError(), "unknown", "the connection ended meanwhile"),
    ],
)
def test_a_refusal_or_a_broken_connection_is_told_and_not_tried_again(
    clerk, letter, monkeypatch, error, outcome, words
):
    sending = mailed(letter, clerk)
    tries = breaking(monkeypatch, "send_messages", error)
    for minutes in (0, 20, 40):
        mailing.send_letters(later(minutes))
    assert len(tries) == 1
    assert stands(sending).outcome == outcome and words in sending.fault


@pytest.mark.parametrize(
    "error",
    [
        smtplib.SMTPDataError(451, b"later"),
        smtplib.SMTPRecipientsRefused({"p": (450, b"greylisted")}),
    ],
)
def test_a_server_that_does_not_take_it_now_is_asked_again(clerk, letter, monkeypatch, error):
    sending = mailed(letter, clerk)
    breaking(monkeypatch, "send_messages", error)
    mailing.send_letters(later())
    monkeypatch.undo()
    assert mailing.send_letters(later(16)) == 1
    assert stands(sending).outcome == "sent"


def test_a_mail_that_cannot_be_written_is_told_and_holds_up_no_other(clerk, letter):
    wrong, right = mailed(letter, clerk), mailed(letter, clerk, "moss@hale.invalid")
    LetterSending.objects.filter(pk=wrong.pk).update(address="a@b.invalid\nBcc: c@d.invalid")
    assert mailing.send_letters(later()) == 1
    assert stands(wrong).outcome == "failed" and "cannot be written as a mail" in wrong.fault
    assert stands(right).outcome == "sent"


def test_a_mail_whose_sender_was_ended_is_told_as_not_known_and_never_sent_again(clerk, letter):
    sending = mailed(letter, clerk)
    held = LetterMail.objects.get()
    assert mailing.claimed(held.pk, later()) is not None
    assert mailing.claimed(held.pk, later(1)) is None
    assert mailing.send_letters(later(16)) == 0
    assert mail.outbox == []
    assert (stands(sending).outcome, sending.fault) == ("unknown", mailing.LOST)


@pytest.mark.parametrize(
    ("error", "outcome", "fault"),
    [
        (None, "sent", ""),
        (smtplib.SMTPDataError(451, b"later"), "failed", "does not take it (SMTPDataError 451)"),
        (TimeoutError(), "unknown", mailing.LOST),
    ],
)
def test_a_worker_that_learns_it_late_says_so_and_has_nothing_sent_again(
    clerk, letter, monkeypatch, error, outcome, fault
):
    sending, tries = mailed(letter, clerk), []

    def slow(self: EmailBackend, *_: Any) -> int:
        tries.append(1)
        assert mailing.claimed(LetterMail.objects.get().pk, later(16)) is None
        assert stands(sending).outcome == "unknown", "another worker gave this one up"
        if error:
            raise error
        return 1

    monkeypatch.setattr(EmailBackend, "send_messages", slow)
    for minutes in (0, 20, 40):
        mailing.send_letters(later(minutes))
    assert len(tries) == 1
    assert stands(sending).outcome == outcome and fault in sending.fault
    assert bool(sending.sent_at) == (outcome == "sent")


def test_a_withdrawn_letter_or_record_is_not_mailed(clerk, letter):
    first, second = mailed(letter, clerk), mailed(letter, clerk, "moss@hale.invalid")
    actions.withdraw_letter_sent(clerk, record_id=first.pk, version=1, reason="wrong address")
    actions.withdraw_letter(clerk, record_id=letter.pk, version=2, reason="wrong name")
    assert mailing.send_letters(later()) == 0
    assert mail.outbox == []
    assert {stands(one).outcome for one in (first, second)} == {"failed"}


def test_without_a_mail_server_what_waits_goes_on_waiting(clerk, letter, settings):
    mailed(letter, clerk)
    settings.EMAIL_BACKEND = "django.core.mail.backends.dummy.EmailBackend"
    assert mailing.send_letters(later()) == 0
    assert LetterMail.objects.get().tries == 0

"""The daily mail: once a day and person whatever runs twice, without names, in nobody's way."""

from __future__ import annotations

import smtplib
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.core import mail
from django.core.mail.backends.locmem import EmailBackend
from django.urls import reverse

from cases import worklists
from cases.measures import actions, mail_queries, mailing
from cases.measures.models import DailyMail, DailyMailSent
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.errors import Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent, AuditEvent
from me_office.upkeep.parts.mail import daily_mail as condition
from tests.builders import as_person, make_staff
from tests.measures.builders import examined_case, reported, sent_back

pytestmark = pytest.mark.django_db
# Eight in the morning in New York, where the office of the tests is.
MORNING = datetime(2026, 11, 30, 13, tzinfo=UTC)


@pytest.fixture
def vasko_wants(vasko: Staff) -> Staff:
    choose(vasko)
    boss = make_staff(Role.SUPERVISOR)
    case = examined_case(vasko, 9, family_name="Hallstead")
    sent_back(case, boss, reported(case, vasko, "returned", 2), 2)
    return vasko


def choose(person: Staff, **said: Any) -> DailyMail:
    entry = {"wanted": True, "address": "someone@tarn.invalid", **said}
    return actions.choose_daily_mail(person, record_id=new_id(), entry=entry)


def row(person: Staff) -> DailyMailSent:
    return DailyMailSent.objects.get(person=person)


def test_a_mail_goes_out_once_a_day_without_names(vasko_wants):
    assert mailing.send_due(MORNING - timedelta(hours=2)) == 0, "not before its hour"
    assert mailing.send_due(MORNING) == 1
    for minutes in (0, 10, 600):
        assert mailing.send_due(MORNING + timedelta(minutes=minutes)) == 0
    # The clock is set back, and goes on again.
    assert mailing.send_due(MORNING - timedelta(minutes=30)) == 0
    assert mailing.send_due(MORNING + timedelta(minutes=30)) == 0
    [sent] = mail.outbox
    assert sent.to == ["someone@tarn.invalid"]
    assert "2026-" in sent.body
    assert "/review/" in sent.body
    assert reverse("measures:daily-mail") in sent.body
    for name in ("Hallstead", "Oren", "grain store"):
        assert name not in sent.body + sent.subject
    look = AccessEvent.objects.latest("id")
    assert (look.what, look.rows, look.actor_id) == ("daily mail", 2, vasko_wants.pk)
    assert mailing.send_due(MORNING + timedelta(days=1)) == 1
    first, second = (one.extra_headers["Message-ID"] for one in mail.outbox)
    assert first != second


def test_what_is_of_no_case_is_in_no_mail(vasko, monkeypatch):
    rows = [
        worklists.Waiting(number, "Oren Hallstead", "A grain store", "today", url)
        for number, url in (("2026-0001", "/cases/1/"), ("Oren Hallstead", "/store/"))
    ]
    section = worklists.Section("x", "Due", frozenset(), 1, lambda *_: rows)
    later = replace(section, title="Lately done", waits=False)
    monkeypatch.setattr(worklists, "sections_for", lambda _: [section, later])
    [told] = mailing.sections_of(vasko, MORNING)
    assert (told.title, [one.number for one in told.rows]) == ("Due", ["2026-0001"])


def test_who_did_not_ask_or_stopped_it_or_left_is_sent_nothing(vasko_wants, clerk):
    choice = DailyMail.objects.get(person=vasko_wants)
    assert mail_queries.daily_mail_of(clerk) is None
    actions.choose_daily_mail(vasko_wants, record_id=choice.pk, version=1, entry={"wanted": False})
    assert mailing.send_due(MORNING) == 0
    actions.choose_daily_mail(vasko_wants, record_id=choice.pk, version=2, entry={"wanted": True})
    Staff.objects.filter(pk=vasko_wants.pk).update(is_active=False)
    assert mailing.send_due(MORNING) == 0
    assert mail.outbox == []


def test_on_a_day_on_which_nothing_waits_nothing_is_sent(clerk):
    choose(clerk)
    assert mailing.send_due(MORNING) == 0
    assert row(clerk).outcome == DailyMailSent.NOTHING
    assert mail.outbox == []


def test_a_supervisor_reads_what_waits_in_the_office(vasko_wants):
    boss = make_staff(Role.SUPERVISOR, Role.PATHOLOGIST)
    case = examined_case(boss, 9)
    sent_back(case, vasko_wants, reported(case, boss, "returned", 2), 2)
    choose(boss)
    assert mailing.send_due(MORNING) == 2
    [own] = [one.body for one in mail.outbox if "In the office" in one.body]
    assert "Sent back: 2, the oldest" in own


def failing(monkeypatch: pytest.MonkeyPatch, error: Exception) -> list[int]:
    tries: list[int] = []

    def send_messages(self: EmailBackend, messages: Any) -> int:
        tries.append(1)
        raise error

    monkeypatch.setattr(EmailBackend, "send_messages", send_messages)
    return tries


def test_a_mail_server_that_hangs_is_asked_once_a_run_and_seen_in_the_office(
    vasko_wants, monkeypatch
):
    other = make_staff(Role.PATHOLOGIST)
    choose(other)
    case = examined_case(other, 9)
    sent_back(case, vasko_wants, reported(case, other, "returned", 2), 2)
    assert [one.state for one in condition()] == ["right"]
    tries = failing(monkeypatch, TimeoutError())
    assert mailing.send_due(MORNING) == 0
    assert len(tries) == 1, "the run ends with the first that hangs"
    [failed] = mail_queries.not_sent(MORNING.date())
    assert failed.fault == "the mail server does not take it (TimeoutError)"
    [said] = condition()
    assert (said.state, "1 daily mail" in said.says) == ("dangerous", True)
    monkeypatch.undo()
    assert mailing.send_due(MORNING + timedelta(minutes=15)) == 2
    assert mail_queries.not_sent(MORNING.date()) == []


def test_an_address_that_is_refused_keeps_no_other_waiting(vasko_wants, monkeypatch):
    error = smtplib.SMTPRecipientsRefused({"someone@tarn.invalid": (550, b"no such person")})
    tries = failing(monkeypatch, error)
    for n in range(6):
        mailing.send_due(MORNING + timedelta(minutes=16 * n))
    assert len(tries) == 4, "then it is given up for the day"
    assert row(vasko_wants).fault == "the mail server refuses the address"


def test_two_workers_at_once_send_one(vasko_wants):
    first = mailing.claimed(vasko_wants.pk, MORNING.date(), MORNING)
    assert first is not None
    assert mailing.claimed(vasko_wants.pk, MORNING.date(), MORNING) is None
    later = MORNING + timedelta(minutes=15)
    assert mailing.claimed(vasko_wants.pk, MORNING.date(), later) is not None, "whose worker ended"


def test_an_office_without_a_mail_server_claims_nothing(vasko_wants, settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.dummy.EmailBackend"
    assert mailing.send_due(MORNING) == 0
    assert not DailyMailSent.objects.exists()


def test_the_choice_is_one_s_own_and_kept(vasko, settings):
    settings.DAILY_MAIL_DOMAINS = ["tarn.invalid"]
    with pytest.raises(Refused, match="ends in @tarn"):
        choose(vasko, address="someone@elsewhere.invalid")
    with pytest.raises(Refused, match="Give the address"):
        choose(vasko, address="")
    choice = choose(vasko)
    again = actions.choose_daily_mail(
        vasko, record_id=choice.pk, entry={"wanted": True, "address": "someone@tarn.invalid"}
    )
    assert again.pk == choice.pk
    with pytest.raises(StaleRecord):
        choose(vasko)
    changed = {"record_id": choice.pk, "entry": {"wanted": False}}
    assert actions.choose_daily_mail(vasko, version=1, **changed).version == 2
    with pytest.raises(StaleRecord):
        actions.choose_daily_mail(vasko, version=1, **changed)
    acts = AuditEvent.objects.filter(act="choose_daily_mail", record_id=str(choice.pk))
    assert [str(event.actor_id) for event in acts] == [str(vasko.pk)] * 2


def test_page_and_api_of_one_s_own(clerk, settings):
    settings.DAILY_MAIL_DOMAINS = ["tarn.invalid"]
    browser = as_person(clerk)
    address = reverse("measures:daily-mail")
    assert b"Daily mail" in browser.get(reverse("accounts:account")).content
    page = browser.get(address)
    form = page.context["form"]
    said = {
        "wanted": "on", "address": "x@elsewhere.invalid", "version": "0",
        "record_id": str(form["record_id"].value()), "request_key": str(new_id()),
    }  # fmt: skip
    refused = browser.post(address, said)
    assert refused.status_code == 422
    assert refused.context["form"].errors["address"]
    kept = browser.post(address, {**said, "address": "x@tarn.invalid", "request_key": new_id()})
    assert kept.status_code == 302
    own = browser.get("/api/own/daily-mail/").json()
    assert (own["wanted"], own["address"], own["version"]) == (True, "x@tarn.invalid", 1)
    stopped = browser.put(
        "/api/own/daily-mail/", {"id": own["id"], "version": 1, "wanted": False},
        content_type="application/json",
    )  # fmt: skip
    assert stopped.json()["wanted"] is False
    assert mailing.send_due(MORNING) == 0

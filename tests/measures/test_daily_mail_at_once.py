"""Two workers that take the daily mails in hand at the same moment: one of them gets each."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from cases.measures import mail_rules, mailing
from cases.measures.models import DailyMailSent
from me_office.accounts.roles import Role
from tests.builders import make_staff

pytestmark = pytest.mark.django_db(transaction=True)
MORNING = datetime(2026, 11, 30, 13, tzinfo=UTC)


@pytest.mark.parametrize(("guarded", "taken"), [(True, 1), (False, 2)])
def test_one_of_two_workers_gets_a_person_s_mail(at_once, monkeypatch, guarded, taken):
    person = make_staff(Role.PATHOLOGIST)
    if not guarded:  # the control: without the question both would send it
        monkeypatch.setattr(mail_rules, "may_try", lambda **_: True)
    results = at_once(mailing.claimed, by=[person.pk, person.pk], day=MORNING.date(), now=MORNING)
    assert [one.code for one in results] == ["done", "done"]
    assert sum(one.value is not None for one in results) == taken
    assert DailyMailSent.objects.get().tries == taken

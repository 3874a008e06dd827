"""Two workers that take a letter's mail in hand at the same moment: one of them gets it."""

from __future__ import annotations

import pytest
from django.utils import timezone

from cases.letters import mailing
from cases.letters.models import LetterMail
from tests.builders import make_case
from tests.letters.builders import made, mailed
from tests.packets.builders import make_clerk, make_request

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.parametrize(("guarded", "taken"), [(True, 1), (False, 2)])
def test_one_of_two_workers_gets_a_letter(at_once, monkeypatch, guarded, taken):
    clerk = make_clerk()
    mailed(made(make_request(make_case(), clerk), clerk), clerk)
    if not guarded:  # the control: without the question both would send it
        monkeypatch.setattr(mailing, "may_try", lambda *_: True)
    key = LetterMail.objects.get().pk
    results = at_once(mailing.claimed, by=[key, key], now=timezone.now())
    assert [one.code for one in results] == ["done", "done"]
    assert sum(one.value is not None for one in results) == taken
    assert LetterMail.objects.get().tries == taken

"""Two workers that take a letter's mail in hand at the same moment: one of them gets it."""

from __future__ import annotations

import pytest
from django.utils import timezone

from cases.letters import actions, mailing
from cases.letters.models import LetterMail
from me_office.audit.ids import new_id
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


@pytest.mark.parametrize("guarded", [True, False])
def test_of_two_people_who_mail_a_letter_at_once_the_second_is_told(at_once, monkeypatch, guarded):
    first, second = make_clerk(name="R. Ostrander"), make_clerk(name="P. Quill")
    letter = made(make_request(make_case(), first), first)
    if not guarded:  # the control: without the question both would go
        monkeypatch.setattr(actions, "refuse_mailed_since", lambda *_: None)
    said = {"way": "email", "to_name": "A. Pell", "address": "pell@hale.invalid"}
    ended = at_once(
        actions.record_letter_sent, by=[first, second], case_id=letter.case_id,
        letter_id=letter.pk, each=[{"record_id": new_id(), "entry": said} for _ in range(2)],
    )  # fmt: skip
    codes = sorted(one.code for one in ended)
    assert codes == (["done", "refused"] if guarded else ["done", "done"])
    assert LetterMail.objects.count() == (1 if guarded else 2)

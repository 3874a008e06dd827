"""Since when something is wrong, and how often the job tells of the one thing that it tells."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.core import mail
from django.db.models import F

from me_office.upkeep import tasks, watching
from me_office.upkeep.conditions import Condition, State, names
from me_office.upkeep.models import Standing
from tests.conftest import Caught, Outcome

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _somebody_to_tell(settings: Any) -> None:
    settings.ADMINS = [("A. Birch", "birch@office.invalid")]


def found(state: State, says: str = "", name: str = "watch") -> Condition:
    return Condition(name, state, says, "Start it." if state is not State.RIGHT else "")


def looked(*ones: Condition) -> int:
    before = len(mail.outbox)
    watching.tell(watching.keep(ones))
    return len(mail.outbox) - before


BAD = [State.WRONG, State.DANGER, State.NOT_SEEN]


@pytest.mark.parametrize("state", BAD)
def test_an_alarm_comes_with_the_second_look_once_and_again_after_a_day_and_when_it_is_over(
    state: State,
):
    bad, good = found(state, "It is silent."), found(State.RIGHT)
    assert [looked(bad) for _ in range(4)] == [0, 1, 0, 0]
    assert "watch needs attention" in mail.outbox[0].subject
    assert f"{state}: watch, since " in mail.outbox[0].body and "Start it." in mail.outbox[0].body
    assert mail.outbox[0].to == ["birch@office.invalid"]
    Standing.objects.update(mailed_at=F("mailed_at") - timedelta(hours=23))
    assert looked(bad) == 0
    Standing.objects.update(mailed_at=F("mailed_at") - timedelta(hours=2))
    assert looked(bad) == 1
    assert [looked(good) for _ in range(3)] == [0, 1, 0]
    assert "right again: watch." in mail.outbox[-1].body


def test_what_is_over_before_the_second_look_wakes_nobody():
    bad, good = found(State.WRONG), found(State.RIGHT)
    assert [looked(one) for one in (bad, good, bad, good, bad, bad)] == [0, 0, 0, 0, 0, 1]


def test_whatever_the_watch_tells_the_job_does_not():
    others = [found(State.WRONG, "Away.", name) for name in names() if name != "watch"]
    assert len(others) > 15
    assert [looked(*others) for _ in range(3)] == [0, 0, 0]
    assert Standing.objects.filter(looks=3, mailed_at=None).count() == len(others)


def test_since_when_is_kept_while_it_stays_and_begins_anew_when_it_changes():
    looked(found(State.DANGER))
    Standing.objects.update(since=F("since") - timedelta(hours=5))
    first = Standing.objects.get().since
    looked(found(State.DANGER, "Other words."))
    assert (Standing.objects.get().since, Standing.objects.get().says) == (first, "Other words.")
    looked(found(State.WRONG))
    assert Standing.objects.get().since > first + timedelta(hours=4)


def test_two_findings_of_one_name_are_one_row_with_the_words_of_both():
    (one,) = watching.worst([found(State.DANGER, "Little."), found(State.WRONG, "Away.")])
    assert (one.state, one.says, one.to_do) == (State.WRONG, "Away. Little.", "Start it.")


def test_a_mail_that_cannot_be_sent_ends_no_look(monkeypatch: pytest.MonkeyPatch, caplog: Caught):
    def refused(**_: object) -> None:
        raise ConnectionRefusedError

    monkeypatch.setattr(watching, "get_connection", refused)
    for _ in range(2):
        looked(found(State.WRONG, "Away."))
    assert "could not be mailed" in caplog.text


def test_nobody_to_tell_is_no_fault(settings: Any):
    settings.ADMINS = []
    assert [looked(found(State.WRONG)) for _ in range(3)] == [0, 0, 0]


def test_a_mail_that_was_not_sent_is_sent_with_the_next_look(monkeypatch: pytest.MonkeyPatch):
    sent = watching.get_connection

    def away(**_: object) -> None:
        raise ConnectionRefusedError

    bad, good = found(State.WRONG, "Away."), found(State.RIGHT)
    monkeypatch.setattr(watching, "get_connection", away)
    assert [looked(bad) for _ in range(3)] == [0, 0, 0]
    monkeypatch.setattr(watching, "get_connection", sent)
    assert [looked(bad) for _ in range(2)] == [1, 0]
    monkeypatch.setattr(watching, "get_connection", away)
    assert [looked(good) for _ in range(3)] == [0, 0, 0]
    monkeypatch.setattr(watching, "get_connection", sent)
    assert [looked(good) for _ in range(2)] == [1, 0]


def test_what_comes_and_goes_is_told_once():
    bad, good = found(State.WRONG, "Away."), found(State.RIGHT)
    assert sum(looked(one) for one in (bad, bad, good) * 6) == 1


def test_two_who_keep_the_first_look_at_the_same_time_both_keep_it(
    at_once: Callable[..., list[Outcome]],
):
    both = at_once(
        lambda one: watching.keep([one]), by=[found(State.WRONG)] * 2,
        meet_after="me_office.upkeep.watching._locked",
    )  # fmt: skip
    assert [one.code for one in both] == ["done", "done"]
    assert Standing.objects.get().looks == 2


@pytest.mark.django_db(transaction=True)
def test_the_job_of_every_minute_keeps_each_condition():
    assert tasks.watch() >= len(names())
    assert set(Standing.objects.values_list("name", flat=True)) == set(names())

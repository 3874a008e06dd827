"""What is kept for a time only is cleared after it, and not before."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.contrib.sessions.models import Session
from django.utils import timezone

from me_office.audit import tasks
from me_office.audit.ids import new_id
from me_office.audit.models import RequestAnswer
from me_office.celery import app
from tests.builders import make_staff, set_back


@pytest.mark.django_db
def test_answers_are_cleared_part_by_part_once_no_retry_can_come(settings, monkeypatch):
    monkeypatch.setattr(tasks, "A_PART", 3)
    anna, kept = make_staff(), settings.REQUEST_KEYS_KEPT
    assert kept >= timedelta(days=7)
    for age in (timedelta(), kept - timedelta(minutes=1), *[kept + timedelta(minutes=1)] * 7):
        row = RequestAnswer.objects.create(key=new_id(), act="record_scene", ordinal=0, actor=anna)
        set_back(RequestAnswer.objects.filter(pk=row.pk), at=timezone.now() - age)
    assert tasks.clear_answers() == 7
    assert tasks.clear_answers() == 0
    assert RequestAnswer.objects.count() == 2


@pytest.mark.django_db
def test_sessions_are_cleared_once_they_ran_out():
    now = timezone.now()
    for name, end in (("over", now - timedelta(seconds=1)), ("open", now + timedelta(hours=1))):
        Session.objects.create(session_key=name, session_data="", expire_date=end)
    tasks.clear_sessions()
    assert list(Session.objects.values_list("session_key", flat=True)) == ["open"]


def test_both_are_asked_for_by_the_clock_and_known_to_the_worker():
    app.loader.import_default_modules()
    asked = {one["task"] for one in app.conf.beat_schedule.values()}
    assert {"me_office.audit.tasks.clear_answers", "me_office.audit.tasks.clear_sessions"} <= asked
    assert asked <= set(app.tasks)

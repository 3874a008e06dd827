"""The job that makes the smaller copies."""

from __future__ import annotations

from datetime import timedelta
from unittest.mock import Mock

import pytest
from django.core.files.storage import default_storage
from django.utils import timezone

from evidence import store
from evidence.imaging import pictures
from evidence.photographs import tasks
from evidence.photographs.models import DerivedImage, Photograph
from me_office.accounts.roles import Role
from me_office.audit.models import AuditEvent
from me_office.jobs import own_work
from me_office.jobs.models import JobProgress
from me_office.jobs.rules import MAX_ATTEMPTS
from tests.builders import make_case, make_staff, set_back
from tests.evidence.pictures import add, picture_bytes


@pytest.fixture
def photograph(db):
    return add(make_staff(Role.PATHOLOGIST), make_case(), picture_bytes(size=(2400, 1600)))


def derive(photograph):
    result = tasks.derive_images(photograph_id=str(photograph.pk))
    photograph.refresh_from_db()
    return result


def test_both_copies_are_made_and_name_parent_and_method(photograph):
    assert derive(photograph) == "made"
    copies = {copy.kind: copy for copy in DerivedImage.objects.filter(photograph=photograph)}
    assert set(copies) == {"thumb", "screen"}
    assert "400 px" in copies["thumb"].method
    assert photograph.preview == "made"
    assert copies["screen"].file.path.startswith("derived/")
    assert store.is_whole(photograph.file)


def test_run_twice_it_changes_nothing(photograph):
    derive(photograph)
    before = list(DerivedImage.objects.values_list("pk", "file_id"))
    Photograph.objects.update(preview="waiting")
    assert derive(photograph) == "made"
    assert list(DerivedImage.objects.values_list("pk", "file_id")) == before


def test_a_copy_does_not_make_anybodys_description_stale(photograph):
    derive(photograph)
    assert photograph.version == 1
    event = AuditEvent.objects.filter(record_id=str(photograph.pk)).last()
    assert (event.act, event.changes) == ("add_preview", {"preview": ["waiting", "made"]})


def test_a_failure_says_so_and_the_original_stays_whole(photograph, monkeypatch, caplog):
    def broken(file, *, longest_px):
        raise OSError("unexpected end")

    monkeypatch.setattr(pictures, "smaller_copy", broken)
    assert derive(photograph) == "failed"
    assert photograph.preview == "failed"
    assert DerivedImage.objects.count() == 0
    assert store.is_whole(photograph.file)
    assert default_storage.listdir("incoming")[1] == []
    assert photograph.original_name not in caplog.text


def test_photographs_that_wait_too_long_are_asked_for_again(photograph, monkeypatch):
    asked = []
    monkeypatch.setattr(own_work.sending, "send", lambda task, **keys: not asked.append(keys))
    monkeypatch.setattr(own_work.sending, "is_idle", lambda queue: True)
    assert tasks.derive_missing_images() == 0
    set_back(Photograph.objects.all(), created_at=timezone.now() - timedelta(minutes=2))
    assert tasks.derive_missing_images() == 1
    assert asked == [{"photograph_id": str(photograph.pk)}]
    # The queue is behind: what was sent lies in it, and is not sent a second time.
    monkeypatch.setattr(own_work.sending, "is_idle", lambda queue: False)
    assert [tasks.derive_missing_images() for _ in range(3)] == [0, 0, 0]
    expired = timezone.now() - own_work.SENT_AGAIN_AFTER - timedelta(seconds=1)
    JobProgress.objects.update(sent_at=expired)
    assert [tasks.derive_missing_images() for _ in range(2)] == [1, 0]
    # Nothing is in it: the message was lost.
    monkeypatch.setattr(own_work.sending, "is_idle", lambda queue: True)
    assert tasks.derive_missing_images() == 1


def test_a_picture_that_ends_its_worker_is_given_up(photograph, monkeypatch):
    monkeypatch.setattr(pictures, "smaller_copy", Mock(side_effect=KeyboardInterrupt))
    for attempt in range(1, MAX_ATTEMPTS + 1):
        with pytest.raises(KeyboardInterrupt):
            tasks.derive_images(photograph_id=str(photograph.pk))
        assert JobProgress.objects.get().attempts == attempt
    monkeypatch.undo()
    assert tasks.derive_images(photograph_id=str(photograph.pk)) == "failed"
    photograph.refresh_from_db()
    assert photograph.preview == "failed"


@pytest.mark.django_db
def test_an_unknown_photograph_is_left_alone():
    assert tasks.derive_images(photograph_id="01890000-0000-7000-8000-000000000000") == "gone"


@pytest.mark.django_db(transaction=True)
def test_a_photograph_asks_for_its_copies_once_it_is_saved(monkeypatch):
    sent = []
    monkeypatch.setattr(
        "evidence.photographs.actions.photographs.sending.send",
        lambda name, **named: sent.append((name, named)),
    )
    photograph = add(make_staff(Role.PATHOLOGIST), make_case(), picture_bytes())
    assert sent == [
        ("evidence.photographs.tasks.derive_images", {"photograph_id": str(photograph.pk)})
    ]


@pytest.mark.django_db(transaction=True)
def test_a_queue_that_cannot_be_reached_does_not_lose_the_photograph(monkeypatch, caplog):
    def unreachable(name, **options):
        raise ConnectionError("no queue")

    monkeypatch.setattr("me_office.jobs.sending.current_app.send_task", unreachable)
    add(make_staff(Role.PATHOLOGIST), make_case(), picture_bytes())
    assert Photograph.objects.get().preview == "waiting"


def test_the_worker_knows_both_jobs_by_the_names_they_are_sent_under(settings):
    from me_office.celery import app

    app.loader.import_default_modules()
    assert "evidence.photographs.tasks.derive_images" in app.tasks
    scheduled = settings.CELERY_BEAT_SCHEDULE["derive-missing-images"]["task"]
    assert scheduled in app.tasks

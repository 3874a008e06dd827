"""A queue or a cache that is away or hangs keeps nobody: what was asked for is sent later."""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module

import pytest
from celery import Celery
from django.contrib.sessions.backends import db
from django.core.cache import caches
from django.urls import reverse

from evidence.photographs.models import Photograph
from me_office.accounts.roles import Role
from me_office.jobs import cache as office_cache
from me_office.jobs import sending
from me_office.jobs.models import JobProgress
from tests.builders import PASSWORD, make_case, make_staff, with_password
from tests.evidence.pictures import add, picture_bytes

# Longer than one patient look at a broker, shorter than a person's patience.
PATIENCE_SECONDS = 20.0


@contextmanager
def silent_server() -> Iterator[int]:
    """Accept connections and never answer: a server that hangs, not one that is down."""
    with socket.create_server(("127.0.0.1", 0), backlog=64) as server:
        server.settimeout(0.2)
        over, taken = threading.Event(), []

        def accept() -> None:
            while not over.is_set():
                try:
                    taken.append(server.accept()[0])
                except TimeoutError:
                    continue

        thread = threading.Thread(target=accept)
        thread.start()
        try:
            yield server.getsockname()[1]
        finally:
            over.set()
            thread.join()
            for one in taken:
                one.close()


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as server:
        return server.getsockname()[1]


@pytest.fixture(params=["hangs", "away"])
def dead_redis(request) -> Iterator[str]:
    """The address of a Redis that hangs, or of none."""
    if request.param == "away":
        yield f"redis://127.0.0.1:{free_port()}/0"
        return
    with silent_server() as port:
        yield f"redis://127.0.0.1:{port}/0"


@pytest.fixture
def dead_queue(dead_redis, monkeypatch, settings) -> Iterator[None]:
    """Point sending at it, as a start with that address would."""
    impatient = {"socket_timeout": 0.2, "socket_connect_timeout": 0.2}
    settings.CELERY_BROKER_TRANSPORT_OPTIONS = {
        **settings.CELERY_BROKER_TRANSPORT_OPTIONS, **impatient,
    }  # fmt: skip
    settings.CELERY_BROKER_URL = dead_redis
    other = Celery("other", broker=dead_redis, set_as_current=False)
    other.conf.broker_transport_options = settings.CELERY_BROKER_TRANSPORT_OPTIONS
    monkeypatch.setattr(sending, "current_app", other)
    sending.broker_pause.end()
    yield
    sending.broker_pause.end()
    other.close()


@pytest.mark.filterwarnings("ignore::ResourceWarning")
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
@pytest.mark.django_db(transaction=True)
def test_a_photograph_is_kept_and_its_copies_are_asked_for_when_the_queue_is_back(
    dead_queue, monkeypatch
):
    from evidence.photographs import tasks

    monkeypatch.setattr(tasks, "PATIENCE", tasks.PATIENCE * 0)
    photograph = add(make_staff(Role.PATHOLOGIST), make_case(), picture_bytes())
    assert Photograph.objects.get().preview == "waiting"
    # One failure speaks for all: the next request does not even try.
    assert sending.broker_pause.is_on()
    monkeypatch.setattr(sending.current_app, "send_task", lambda *_, **__: pytest.fail("tried"))
    assert not sending.send(
        "evidence.photographs.tasks.derive_images", photograph_id=str(photograph.pk)
    )
    assert tasks.derive_missing_images() == 0
    assert JobProgress.objects.filter(sent_at__isnull=False).count() == 0
    sending.broker_pause.end()
    sent = []
    monkeypatch.setattr(sending, "is_idle", lambda queue: True)
    monkeypatch.setattr(
        sending.current_app, "send_task", lambda name, **given: sent.append(given["kwargs"])
    )
    assert tasks.derive_missing_images() == 1
    assert sent == [{"photograph_id": str(photograph.pk)}]


@pytest.mark.filterwarnings("ignore::ResourceWarning")
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_a_queue_that_does_not_answer_counts_as_behind(dead_queue):
    assert not sending.is_idle(sending.QUICK)
    assert sending.broker_pause.is_on()
    assert not sending.send("evidence.photographs.tasks.derive_images", photograph_id="x")


def test_the_offices_own_queue_and_cache_are_waited_for_seconds_only(settings):
    # The tests above are impatient on their own account; this is what an office runs with.
    queue = settings.CELERY_BROKER_TRANSPORT_OPTIONS
    for waits in (queue, settings.CACHES["default"]["OPTIONS"]):
        assert 0 < waits["socket_timeout"] <= 5
        assert 0 < waits["socket_connect_timeout"] <= 5
    assert queue["max_retries"] <= 1
    assert settings.CACHES["default"]["BACKEND"].endswith("PatientCache")
    kept_by = import_module(settings.SESSION_ENGINE).SessionStore
    assert issubclass(kept_by, db.SessionStore), "without a cache that may be away"
    # A periodic job that nobody took is gone before the next one comes.
    late = {
        name
        for name, one in settings.CELERY_BEAT_SCHEDULE.items()
        if not 0 < one["options"]["expires"] <= one["schedule"]
    }
    assert late == set()


def test_a_message_expires_before_the_next_one_is_sent(monkeypatch):
    sent = []
    monkeypatch.setattr(sending.current_app, "send_task", lambda name, **given: sent.append(given))
    sending.broker_pause.end()
    assert sending.send("a.task", key="x")
    assert sent == [{"kwargs": {"key": "x"}, "retry": False, "expires": sending.EXPIRES_SECONDS}]


def test_long_work_has_a_queue_of_its_own(settings):
    from me_office.celery import app

    names = {queue.name for queue in settings.CELERY_TASK_QUEUES}
    assert names == {sending.QUICK, sending.LONG}
    route = app.amqp.router.route
    app.loader.import_default_modules()
    long = {name for name in app.tasks if route({}, name)["queue"].name == sending.LONG}
    assert long == {
        "cases.packets.tasks.build_packet", "evidence.fixity.tasks.check_store",
        "cases.answers.tasks.build_answer", "cases.redaction.tasks.make_redacted_document",
    }  # fmt: skip
    # A quick job ends before its message is delivered to somebody else.
    assert (
        (settings.CELERY_BROKER_TRANSPORT_OPTIONS["visibility_timeout"])
        > settings.CELERY_TASK_TIME_LIMIT
    )
    assert app.tasks["cases.packets.tasks.build_packet"].time_limit > 3600


@pytest.fixture
def dead_cache(dead_redis, settings) -> Iterator[None]:
    settings.CACHES = {
        "default": {
            **settings.CACHES["default"],
            "LOCATION": dead_redis,
            "OPTIONS": {"socket_timeout": 0.2, "socket_connect_timeout": 0.2},
        }
    }
    yield
    caches["default"].close()


@pytest.mark.filterwarnings("ignore::ResourceWarning")
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_a_cache_that_does_not_answer_is_an_empty_one(dead_cache, monkeypatch):
    cache = caches["default"]
    assert cache.get("a", "nothing") == "nothing"
    asked = []
    monkeypatch.setattr(office_cache.RedisCache, "get", lambda *_, **__: asked.append("get"))
    cache.set("a", 1)
    assert cache.get("a") is None
    assert cache.add("a", 1) is True
    assert (cache.get_many(["a"]), cache.has_key("a"), cache.touch("a")) == ({}, False, False)
    assert (cache.delete("a"), cache.set_many({"a": 1}), cache.clear()) == (False, ["a"], False)
    cache.delete_many(["a"])
    with pytest.raises(ValueError):
        cache.incr("a")
    assert asked == []  # one failure speaks for the next seconds


@pytest.mark.filterwarnings("ignore::ResourceWarning")
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
@pytest.mark.django_db
def test_signing_in_and_looking_at_pictures_need_no_cache(dead_cache, client):
    person = with_password(make_staff(Role.PATHOLOGIST))
    photograph = add(person, make_case(), picture_bytes())
    answer = client.post("/sign-in/", {"login": person.username, "password": PASSWORD})
    assert (answer.status_code, answer.url) == (302, "/")
    assert client.get("/").status_code == 200
    keys = {"case_id": photograph.case_id, "photograph_id": photograph.pk}
    assert client.get(reverse("evidence:photograph", kwargs=keys)).status_code == 200
    original = client.get(reverse("evidence:photograph-original", kwargs=keys))
    assert original.status_code == 200
    assert original.getvalue()


@pytest.mark.parametrize("turn", ["first", "second"])
def test_a_pause_ends_with_the_test_in_which_it_began(turn):
    assert not sending.broker_pause.is_on()
    sending.broker_pause.begin()

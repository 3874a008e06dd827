"""A session of requests with tell-tale words: the log holds none, and names each request."""

from __future__ import annotations

import io
import json
import logging
import uuid
from collections.abc import Iterator
from typing import Any

import pytest
from celery import current_app, signals
from celery.app.trace import build_tracer
from django.conf import settings
from django.db import connection, transaction
from django.test import Client
from django.urls import reverse

from me_office.audit.context import RequestFacts
from me_office.audit.models import AccessEvent
from me_office.logs import current, jobs, paths
from me_office.logs.lines import Line
from me_office.shell import statement_page

TOLD = "Hallsteadtelltale"
PROXY = "192.0.2.10"
FROM_PROXY = {"REMOTE_ADDR": PROXY, "HTTP_X_FORWARDED_FOR": "198.51.100.7",
              "HTTP_X_REQUEST_ID": "b7c1d2e3f4a5968778695a4b3c2d1e0f"}  # fmt: skip


class Log:
    """What is written while a test runs, from every logger, at its lowest level."""

    def __init__(self) -> None:
        self.stream = io.StringIO()

    @property
    def text(self) -> str:
        return self.stream.getvalue()

    @property
    def lines(self) -> list[dict[str, Any]]:
        return [json.loads(line) for line in self.text.splitlines()]

    def of(self, logger: str) -> list[dict[str, Any]]:
        return [line for line in self.lines if line["logger"] == logger]


@pytest.fixture
def log() -> Iterator[Log]:
    written = Log()
    handler = logging.StreamHandler(written.stream)
    handler.setFormatter(Line())
    root = logging.getLogger()
    root.addHandler(handler)
    yield written
    root.removeHandler(handler)


@pytest.fixture
def visitor(vasko: Any) -> Client:
    client = Client(raise_request_exception=False)
    client.force_login(vasko)
    return client


def broken_by_the_database(*_: object, **__: object) -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("CREATE TEMP TABLE told (name text PRIMARY KEY) ON COMMIT DROP")
        cursor.execute("INSERT INTO told VALUES (%s), (%s)", [TOLD, TOLD])


def test_no_line_holds_what_people_typed_or_records_say(
    visitor: Client, log: Log, monkeypatch: pytest.MonkeyPatch, vasko: Any
) -> None:
    assert visitor.get("/search/", {"q": TOLD}).status_code == 200
    assert visitor.get(f"/{TOLD}/of Tarnford/").status_code == 404
    assert visitor.get("/api/search/", {"q": TOLD}).status_code == 200
    refused = visitor.post(reverse("cases:log-report"), {"family_name": TOLD, "reported_at": TOLD})
    assert refused.status_code in {200, 403, 422}
    assert visitor.post(f"/api/cases/?{TOLD}", TOLD, "application/json").status_code >= 400
    monkeypatch.setattr(statement_page, "render", broken_by_the_database)
    broken = visitor.get("/help/statements/", {"q": TOLD})
    assert broken.status_code == 500
    assert visitor.post("/sign-in/", {"login": TOLD, "password": TOLD}).status_code in {200, 302}

    assert TOLD not in log.text
    assert vasko.display_name not in log.text
    assert "CREATE" not in log.text
    assert "of Tarnford" not in log.text
    [error] = log.of("django.request")
    assert "UniqueViolation" in error["error"]["from"]["what"]
    assert "23505" in error["error"]["what"]
    assert "table told" in error["error"]["what"]
    assert error["person"] == str(vasko.pk)
    assert error["request"] == broken["X-Request-ID"]
    assert error["request"] in broken.content.decode()
    [line] = [one for one in log.of("office.requests") if one["status"] == 500]
    assert (line["view"], line["path"], line["method"]) == (
        "statements",
        "/help/statements/",
        "GET",
    )
    assert line["request"] == error["request"]
    assert line["level"] == "WARNING"


def test_each_request_has_a_line_and_an_id_of_its_own(visitor: Client, log: Log) -> None:
    ids = [visitor.get("/search/")["X-Request-ID"] for _ in range(2)]
    ids.append(visitor.get("/nothing/")["X-Request-ID"])
    assert len(set(ids)) == 3
    assert [line["request"] for line in log.of("office.requests")] == ids
    assert current.request_id() == ""


@pytest.mark.parametrize(
    ("brought", "trusted"),
    [
        ({}, True),
        ({"REMOTE_ADDR": "198.51.100.7"}, False),
        ({"HTTP_X_REQUEST_ID": "short"}, False),
        ({"HTTP_X_REQUEST_ID": "x" * 65}, False),
        ({"HTTP_X_REQUEST_ID": 'with "quotes" in it'}, False),
    ],
)
def test_only_a_trusted_proxy_names_a_request(
    client: Client, settings: Any, log: Log, brought: dict[str, str], trusted: bool
) -> None:
    from ipaddress import ip_network

    settings.TRUSTED_PROXIES = (ip_network("192.0.2.8/29"),)
    answer = client.get("/sign-in/", **{**FROM_PROXY, **brought})  # type: ignore[arg-type]
    assert (answer["X-Request-ID"] == FROM_PROXY["HTTP_X_REQUEST_ID"]) is trusted
    [line] = log.of("office.requests")
    assert line["request"] == answer["X-Request-ID"]
    assert line["address"] == "198.51.100.7"


def test_the_trail_has_the_request_s_id_of_the_log(signed_in: Client, case: Any) -> None:
    answer = signed_in.get(reverse("cases:case", args=[case.pk]))
    assert answer.status_code == 200
    told = AccessEvent.objects.get(case_id=case.pk)
    assert told.request_id == answer["X-Request-ID"]
    token = current.doing.set(current.Doing(id="the-request-2"))
    try:
        assert RequestFacts().request_id == "the-request-2"
    finally:
        current.doing.reset(token)
    assert RequestFacts().request_id == ""


def test_machines_that_ask_all_the_time_leave_no_line_and_files_that_are_missing_do(
    client: Client, log: Log, db: None
) -> None:
    assert client.get("/health/").status_code == 200
    assert log.of("office.requests") == []
    assert client.get("/static/nothing.css").status_code == 404
    assert [line["path"] for line in log.of("office.requests")] == ["/static/*"]


@pytest.mark.parametrize("broken", [False, True])
def test_a_job_carries_the_request_that_led_to_it(log: Log, broken: bool) -> None:
    def work(name: str, of: str) -> str:
        logging.getLogger("cases").warning("at it")
        if broken:
            raise ValueError(name)
        return "made"

    jobs.listen()
    task = current_app.task(work, name="tests.tell_nothing", shared=False)
    headers: dict[str, Any] = {}
    token = current.doing.set(current.Doing(id="the-request-1"))
    try:
        signals.before_task_publish.send(sender=task.name, headers=headers, body=())
    finally:
        current.doing.reset(token)
    key = str(uuid.uuid4())
    request = {"id": key, "is_eager": False, "called_directly": False, **headers}
    build_tracer(task.name, task, app=current_app)(key, (), {"name": TOLD, "of": key}, request)
    current_app.tasks.pop(task.name)

    assert TOLD not in log.text
    assert {line["request"] for line in log.lines} == {"the-request-1"}
    assert {line["job"] for line in log.lines} == {"tests.tell_nothing"}
    [end] = log.of("office.jobs")
    assert end["of"] == key
    assert end["state"] == ("FAILURE" if broken else "SUCCESS")
    assert end.get("outcome") == (None if broken else "made")
    assert [line["error"]["what"] for line in log.of("celery.app.trace")] == ["ValueError"] * broken
    assert current.request_id() == ""


def test_no_failed_request_is_mailed_and_no_library_tells_what_it_was_given() -> None:
    for name in ("django", "django.server", "django.request", "django.security"):
        assert logging.getLogger(name).handlers == []
        assert logging.getLogger(name).propagate
    assert settings.LOGGING["root"]["level"] == "WARNING"
    for library in ("botocore", "urllib3", "PIL", "django.db.backends"):
        assert not logging.getLogger(library).isEnabledFor(logging.INFO)


@pytest.mark.parametrize(
    ("path", "told"),
    [
        ("/search/?q=name", "/search/"),
        ("/cases/0198f3aa-1c2d-7e3f-8a4b-5c6d7e8f9a0b/", None),
        (
            "/pictures/0198f3aa1c2d7e3f8a4b5c6d7e8f9a0b.jpg",
            "/*/0198f3aa1c2d7e3f8a4b5c6d7e8f9a0b.jpg",
        ),
        ("/cases/12345/", None),
        ("/cases/123456789/", "/cases/*/"),
        ("/cases/2026-0412/", "/cases/*/"),
        ("/cases/John Doe/", "/cases/*/"),
        ("//", None),
        ("", None),
    ],
)
def test_a_path_keeps_the_office_s_words_and_keys_alone(path: str, told: str | None) -> None:
    assert paths.told(path) == (path if told is None else told)

"""One event, one line of JSON, with nothing in it that a record held."""

from __future__ import annotations

import json
import logging
import sys
from datetime import datetime
from pathlib import Path
from typing import Any

import psycopg
import pytest
from celery.app.trace import LOG_FAILURE, LOG_SUCCESS

from me_office.logs import current
from me_office.logs.lines import UNREADABLE, Line

TOLD = "Hallstead"
KEY = "0198f3aa-1c2d-7e3f-8a4b-5c6d7e8f9a0b"


def line(message: object, *args: object, name: str = "office", error: BaseException | None = None,
         **more: object) -> dict[str, Any]:  # fmt: skip
    exc_info = (type(error), error, error.__traceback__) if error is not None else None
    record = logging.LogRecord(name, logging.INFO, __file__, 1, message, args, exc_info)
    record.__dict__.update(more)
    written = Line().format(record)
    assert "\n" not in written
    assert written.isascii()
    said: dict[str, Any] = json.loads(written)
    return said


def raised(error: BaseException, cause: BaseException | None = None) -> BaseException:
    try:
        raise error from cause
    except BaseException as caught:
        return caught


def test_a_line_says_when_in_utc_how_grave_who_writes_and_what():
    said = line("two\nlines of %s", "words", fields={"ms": 12})
    moment = datetime.fromisoformat(said["time"])
    assert said["time"].endswith("Z")
    assert moment.utcoffset() is not None
    assert abs((datetime.now(moment.tzinfo) - moment).total_seconds()) < 60
    assert (said["level"], said["logger"], said["ms"]) == ("INFO", "office", 12)
    assert said["message"] == "two\nlines of words"
    assert "request" not in said


def test_a_line_names_the_request_or_job_it_was_written_in():
    token = current.doing.set(current.Doing(id="abc-12345", job="cases.packets.tasks.build_packet"))
    try:
        said = line("words")
    finally:
        current.doing.reset(token)
    assert (said["request"], said["job"]) == ("abc-12345", "cases.packets.tasks.build_packet")
    assert "person" not in said


@pytest.mark.parametrize(
    "error",
    [
        ValueError(f"invalid literal: {TOLD!r}"),
        KeyError(TOLD),
        TypeError(f"Field 'weight' expected a number but got {TOLD!r}."),
        FileNotFoundError(2, "No such file or directory", f"/tmp/{TOLD}.jpg"),
        psycopg.DataError(f'invalid input syntax for type uuid: "{TOLD}"'),
        UnicodeDecodeError("utf-8", TOLD.encode(), 0, 1, "invalid start byte"),
        ExceptionGroup(TOLD, [ValueError(TOLD)]),
    ],
    ids=lambda error: type(error).__name__,
)
def test_an_exception_is_told_without_what_it_could_not_use(error):
    if isinstance(error, psycopg.Error):
        error.sqlstate = "22P02"
    outer = raised(RuntimeError(TOLD), raised(error))
    for said in (line("broke", error=outer), line("broke: %s", error), line(error)):
        assert TOLD not in json.dumps(said)
        assert type(error).__name__ in json.dumps(said)
    said = line("broke", error=outer)["error"]
    assert said["what"] == "RuntimeError"
    assert said["at"][-1].startswith("tests/logs/test_lines.py:")
    assert said["from"]["what"].rpartition(".")[2].startswith(type(error).__name__)


def test_what_tells_of_code_or_servers_keeps_its_words():
    assert line(AttributeError("no attribute 'x'"))["message"].endswith("no attribute 'x'")
    assert line(ConnectionRefusedError(111, "Connection refused"))["message"] == (
        "ConnectionRefusedError: [111] Connection refused"
    )
    away = psycopg.OperationalError("connection failed: port 5432\nDETAIL: more")
    assert line(away)["message"] == "psycopg.OperationalError: connection failed: port 5432"


def test_a_chain_of_causes_ends():
    error = raised(ValueError("first"))
    for _ in range(50):
        error = raised(ValueError("next"), error)
    assert json.dumps(line("broke", error=error)).count('"from"') == 5


@pytest.mark.parametrize("words", [LOG_FAILURE, LOG_SUCCESS])
def test_a_job_s_failure_and_answer_are_told_without_values(words):
    context = {"name": "tasks.make", "id": KEY, "exc": f"ValueError({TOLD!r})", "args": TOLD,
               "description": "raised unexpected", "runtime": 0.1,
               "return_value": TOLD}  # fmt: skip
    said = line(words, context, name="celery.app.trace")
    assert f"Task tasks.make[{KEY}]" in said["message"]
    assert TOLD not in json.dumps(said)


@pytest.mark.parametrize("name", ["django.request", "django.security.csrf", "waitress"])
def test_a_path_in_a_library_s_line_loses_what_was_typed(name):
    said = line("Not Found: %s", f"/cases/{KEY}/{TOLD} John/?q={TOLD}", name=name)
    assert said["message"] == f"Not Found: /cases/{KEY}/*/*" or said["message"] == (
        f"Not Found: /cases/{KEY}/*/"
    )


def test_a_page_that_asks_for_many_files_at_once_is_nothing_to_warn_of():
    assert not logging.getLogger("waitress.queue").isEnabledFor(logging.WARNING)
    assert logging.getLogger("waitress").isEnabledFor(logging.WARNING)


def test_security_lines_lose_what_they_quote_but_say_which_host_is_not_known():
    said = line(f"Could not derive file name from '{TOLD}'", name="django.security.Suspicious")
    assert TOLD not in said["message"]
    host = "Invalid HTTP_HOST header: 'office.test'. You may need to add 'office.test'."
    assert "office.test" in line(host, name="django.security.DisallowedHost")["message"]


def test_addresses_lose_passwords_and_what_follows_the_server():
    said = line("at %s and %s", "redis://:secret@queue:6379/0", f"https://x.test/a?q={TOLD}")
    assert said["message"] == "at redis://*@queue:6379/0 and https://x.test/*"
    plain = "Listening at: http://127.0.0.1:8000 (12), http://[::1]:8000/"
    assert line(plain)["message"] == plain


def test_a_message_that_does_not_fit_its_arguments_is_no_failure_and_shows_none():
    said = line("%d of %d", TOLD)
    assert said["message"] == UNREADABLE
    assert TOLD not in json.dumps(said)


def test_the_web_server_writes_the_same_lines(capsys):
    from gunicorn.config import Config

    from me_office.logs.web import ServerLog

    config = Config()
    config.set("errorlog", "-")
    log = ServerLog(config)
    # pytest listens at a logger that does not propagate with handlers of its own.
    own = next(handler for handler in log.error_log.handlers if hasattr(handler, "_gunicorn"))
    own.setStream(sys.stderr)
    try:
        log.info("Listening at: %s", "http://127.0.0.1:8000")
    finally:
        log.error_log.removeHandler(own)
    assert json.loads(capsys.readouterr().err)["logger"] == "gunicorn.error"


def test_gunicorn_s_own_file_names_the_office_s_log(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
):
    from gunicorn.app.wsgiapp import WSGIApplication

    from me_office.logs.web import ServerLog

    # The file names a folder to count requests in where there is none: for this test alone.
    monkeypatch.setenv("PROMETHEUS_MULTIPROC_DIR", str(tmp_path))
    app = WSGIApplication.__new__(WSGIApplication)
    app.cfg = None
    app.usage, app.prog, app.logger = None, None, None
    app.load_default_config()
    app.load_config_from_file(str(Path(__file__).parents[2] / "gunicorn.conf.py"))
    assert app.cfg.logger_class is ServerLog


def test_the_web_server_itself_writes_no_line_a_request(capsys: pytest.CaptureFixture[str]):
    """Its own holds the query, and where somebody came from: what was searched for."""
    from datetime import timedelta
    from types import SimpleNamespace

    from gunicorn.config import Config

    from me_office.logs.web import ServerLog

    config = Config()
    config.set("accesslog", "-")
    asked = {"REQUEST_METHOD": "GET", "RAW_URI": f"/cases/?q={TOLD}", "SERVER_PROTOCOL": "HTTP/1.1"}
    answer = SimpleNamespace(status="200 OK", sent=3, headers=[])
    ServerLog(config).access(answer, SimpleNamespace(headers=[]), asked, timedelta(seconds=1))
    written = capsys.readouterr()
    assert written.out + written.err == ""

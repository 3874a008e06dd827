"""The one format of the log: a line of JSON an event, for office, web server and workers alike.

{"time": "2026-03-01T14:03:22.118Z", "level": "INFO", "logger": "office.requests",
 "process": 812, "request": "0198f3…", "person": "0198e2…", "message": "GET /cases/ 200", …}
"""

from __future__ import annotations

import json
import logging
import re
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from me_office.logs import current, faults, paths

# Whose arguments may hold the path of a request, with what a visitor typed into it.
_TELL_PATHS = ("django", "waitress")
# What a job was given, answered or choked on.
_OF_A_JOB = ("exc", "traceback", "return_value", "args", "kwargs")
_SECRET = re.compile(r"(\w+://)[^\s/@]+@")
_QUERY = re.compile(r"(https?://[^\s/?#'\"]+)[/?#][^\s'\"]+")
_QUOTED = re.compile(r"'[^']*'|\"[^\"]*\"")
UNREADABLE = "a message that could not be put together"


class Line(logging.Formatter):
    """Writes an event as one line of JSON: UTC, and ASCII, so that no terminal breaks it."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        moment = datetime.fromtimestamp(record.created, UTC)
        said: dict[str, Any] = {
            "time": f"{moment:%Y-%m-%dT%H:%M:%S}.{moment.microsecond // 1000:03d}Z",
            "level": record.levelname,
            "logger": record.name,
            "process": record.process,
        }
        now = current.doing.get()
        if now is not None:
            given = {"request": now.id, "job": now.job, "person": now.person}
            said |= {name: value for name, value in given.items() if value}
        said["message"] = _message(record)
        said |= getattr(record, "fields", {})
        if record.exc_info and record.exc_info[1] is not None:
            said["error"] = faults.told(record.exc_info[1])
        return json.dumps(said, default=lambda value: type(value).__name__)


def _message(record: logging.LogRecord) -> str:
    # What raised here would be printed by the logging library with all arguments.
    try:
        words = str(record.msg)
        if isinstance(record.msg, BaseException):
            words = faults.said(record.msg)
        elif record.args:
            words %= _arguments(record)
        if record.name.startswith("django.security") and "DisallowedHost" not in record.name:
            words = _QUOTED.sub("'*'", words)
    except Exception:
        words = UNREADABLE
    return _QUERY.sub(r"\1/*", _SECRET.sub(r"\1*@", words)) if "://" in words else words


def _arguments(record: logging.LogRecord) -> Any:
    if isinstance(record.args, Mapping):
        hidden = _OF_A_JOB if record.name.startswith("celery") else ()
        return {
            name: "" if name in hidden else _argument(record, value)
            for name, value in record.args.items()
        }
    return tuple(_argument(record, value) for value in record.args or ())


def _argument(record: logging.LogRecord, value: object) -> object:
    if isinstance(value, BaseException):
        return faults.said(value)
    if isinstance(value, str) and value.startswith("/") and record.name.startswith(_TELL_PATHS):
        return paths.told(value)
    return value

"""What the log says of an exception: its kind, where it rose, and nothing of what it held.

Exceptions quote what they could not use: the name that was no number, the row that was there
already. Only kinds whose words come from the code or from a server's state keep them.
"""

from __future__ import annotations

import traceback
from pathlib import Path
from typing import Any

MOST_FRAMES = 30
MOST_CAUSES = 5
_HERE = Path(__file__).resolve().parents[2]
# Their words name what the code or the network lacks.
_OF_THE_CODE = (AttributeError, NameError, ImportError, ConnectionError, TimeoutError)
# Classes of SQLSTATE that tell of the server, not of values: connection, resources, limits of a
# program, operator, system; and 42, which names what a statement names. PostgreSQL's documentation,
# appendix A.
_OF_THE_SERVER = ("08", "42", "53", "54", "55", "57", "58")
_NAMED = ("constraint_name", "table_name", "column_name")


def told(error: BaseException) -> dict[str, Any]:
    """Return an exception as the log may hold it, with what caused it."""
    found = _one(error)
    last, inner, count = found, error.__cause__ or error.__context__, 0
    while inner is not None and count < MOST_CAUSES:
        last["from"] = _one(inner)
        last, inner, count = last["from"], inner.__cause__ or inner.__context__, count + 1
    return found


def said(error: BaseException) -> str:
    """Return an exception's kind, and those of its words that can hold no value of a record."""
    kind = type(error)
    name = kind.__name__ if kind.__module__ == "builtins" else f"{kind.__module__}.{kind.__name__}"
    words = _words(error)
    return f"{name}: {words}" if words else name


def _one(error: BaseException) -> dict[str, Any]:
    frames = traceback.extract_tb(error.__traceback__)[-MOST_FRAMES:]
    at = [f"{_short(one.filename)}:{one.lineno} {one.name}" for one in frames]
    return {"what": said(error), "at": at}


def _short(file: str) -> str:
    _, _, library = file.rpartition("/site-packages/")
    return library if library != file else file.removeprefix(f"{_HERE}/")


def _words(error: BaseException) -> str:
    # Django's error of the database says of itself what the driver's says.
    driver = error.__cause__ if type(error).__module__ == "django.db.utils" else error
    if hasattr(driver, "sqlstate"):
        return _of_the_database(driver)
    if isinstance(error, OSError) and error.errno is not None:
        return f"[{error.errno}] {error.strerror}"
    if isinstance(error, _OF_THE_CODE) or type(error).__module__.startswith("redis."):
        return _first_line(str(error))
    answer = getattr(error, "response", None)
    if isinstance(answer, dict) and isinstance(answer.get("Error"), dict):  # of the S3 protocol
        return f"{answer['Error'].get('Code', '')} at {getattr(error, 'operation_name', '')}"
    return ""


def _of_the_database(error: Any) -> str:
    """Say the state and what it names; DETAIL, CONTEXT and quoted values are left out."""
    state = error.sqlstate or ""
    if not state:  # never reached the server: libpq's own words
        return _first_line(str(error))
    named = [f"{one.partition('_')[0]} {value}" for one in _NAMED if (value := _diag(error, one))]
    if state.startswith(_OF_THE_SERVER):
        named.append(_first_line(_diag(error, "message_primary")))
    return " ".join(filter(None, [state, *named]))


def _diag(error: Any, name: str) -> str:
    return getattr(error.diag, name, None) or ""


def _first_line(words: str) -> str:
    return words.strip().partition("\n")[0][:300]

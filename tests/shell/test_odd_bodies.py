"""Whatever is sent to the API, it answers in JSON, and never that it broke."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest
from django.contrib.auth.models import Group
from django.test import Client
from django.urls import URLResolver, resolve
from rest_framework.exceptions import ParseError, ValidationError
from rest_framework.renderers import JSONRenderer

from cases.measures import queries, reading
from cases.review import blind
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.shell.api import answer_error
from me_office.shell.json_text import OfficeJSONParser
from tests.builders import make_case, make_staff
from tests.shell.schema import api_schema

pytestmark = pytest.mark.django_db
SCHEMA = api_schema()
WRITING = [
    (path, method)
    for path, methods in SCHEMA["paths"].items()
    for method in methods
    if method in {"post", "put", "patch", "delete"}
]


def nested(depth: int) -> str:
    return "[" * depth + "]" * depth


def each_field(schema: dict[str, Any], value: Any) -> str:
    """A body that sets every field of a request to one value."""
    return json.dumps(dict.fromkeys(schema.get("properties", {}), value))


def body_schema(path: str, method: str) -> dict[str, Any]:
    content = SCHEMA["paths"][path][method].get("requestBody", {}).get("content", {})
    schema = content.get("application/json", {}).get("schema", {})
    name = schema.get("$ref", "").rpartition("/")[2]
    found: dict[str, Any] = SCHEMA["components"]["schemas"].get(name, schema)
    return found


VALUES: list[Any] = [
    None, True, -1, 10**40, 1e308, "", "a\x00b", "\ud800", "x" * 5000, [], {}, [[[]]], {"a": {}},
    [{"points": [[1e300, 1e300], [-1e300, 5]], "shape": "rectangle", "manner": "cover"}],
    "2026-02-30", "0000-00-00T99:99:99Z", "9999-12-31T23:59:59+14:00", "0001-01-01T00:00:00Z",
    str(new_id()), [str(new_id())] * 3,
]  # fmt: skip
BODIES = [
    "", "{", "null", "1", '"text"', "[]", "{}", nested(40), nested(100_000),
    '{"a":' * 100_000 + "1" + "}" * 100_000, '{"version": NaN}', '{"version": 1e999}',
    '{"id": "\\u0000"}', '{"id": "\\ud800"}', "\ufeff{}", '{"version": ' + "9" * 5000 + "}",
]  # fmt: skip
# What the office's parser hands on to no endpoint; one such body is sent to each all the same.
TO_EACH = "{"


@cache
def read(body: str) -> tuple[bool, Any]:
    """Return whether the office's parser hands a body on, and what it then is."""
    try:
        return True, OfficeJSONParser().parse(io.BytesIO(in_bytes(body)), "application/json", {})
    except ParseError:
        return False, None


def in_bytes(body: str) -> bytes:
    return body.encode("utf-8", "surrogatepass")


@cache
def shape(takes: Any, *, partial: bool) -> Any:
    return takes(partial=partial)


@cache
def turned_back_by(takes: Any, body: str, *, partial: bool) -> bool:
    """Tell whether a shape refuses a body in words that can be sent.

    The first thing that a declared endpoint does is to ask its shape, which knows neither who asks
    nor of what. What the shape breaks over is left to the endpoint.
    """
    try:
        shape(takes, partial=partial).run_validation(read(body)[1])
    except ValidationError as error:
        answer = answer_error(error, {})
        return answer is not None and bool(JSONRenderer().render(answer.data))
    except Exception:
        return False
    return False


def bodies_for(where: str, method: str, bodies: list[str]) -> Iterator[str]:
    """Leave out what an endpoint with the office's parser, or one of a shape, cannot meet.

    Of what its shape turns back each endpoint gets the first.
    """
    view = getattr(resolve(where).func, "cls", None)
    if view is None or view.parser_classes != [OfficeJSONParser]:
        yield from bodies
        return
    sending = getattr(getattr(view, method), "sending", None)
    met_a_refusal = False
    for body in bodies:
        if body == TO_EACH:
            yield body
        elif read(body)[0]:
            partial = method == "patch"
            if sending and turned_back_by(sending.takes, body, partial=partial):
                if met_a_refusal:
                    continue
                met_a_refusal = True
            yield body


@pytest.fixture
def everybody(client: Client, monkeypatch: pytest.MonkeyPatch) -> Client:
    """Somebody with every role, whose client does not raise what the server broke over."""
    person: Staff = make_staff(Role.SUPERVISOR)
    for role in Role:
        person.groups.add(Group.objects.get(name=role.value))
    # Who it is would be read again for each of some thousand bodies, and is not asked here.
    monkeypatch.setattr("django.contrib.auth.middleware.get_user", lambda _: person)
    # Nor whether the author's opinion is held back from them, of the one case that nobody changes.
    monkeypatch.setattr(blind, "is_held_from", cache(blind.is_held_from))
    # Nor is an address looked up for each body that goes to it.
    monkeypatch.setattr(URLResolver, "resolve", cache(URLResolver.resolve))
    client.raise_request_exception = False
    client.force_login(person)
    return client


# What only looks at the head of a request or adds to that of an answer, and takes half its time.
AROUND = {
    "me_office.logs.requests.Requests", "me_office.upkeep.metrics.requests.Counted",
    "django.middleware.security.SecurityMiddleware", "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware", "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware", "django_htmx.middleware.HtmxMiddleware",
}  # fmt: skip
WITH_ALL = 5


def leave_out_what_is_around(client: Any, settings: Any) -> None:
    """Let the next requests pass only what may read a body or answers an error."""
    assert set(settings.MIDDLEWARE) >= AROUND
    settings.MIDDLEWARE = [one for one in settings.MIDDLEWARE if one not in AROUND]
    client.handler.load_middleware()


def address(path: str, case_id: object) -> str:
    filled = path.replace("{case_id}", str(case_id))
    while "{" in filled:
        begin, end = filled.index("{"), filled.index("}")
        filled = filled[:begin] + str(new_id()) + filled[end + 1 :]
    return filled


def wrong(answer: Any) -> str:
    """Return what is wrong with an answer, or nothing."""
    if answer.status_code >= 500:
        return f"{answer.status_code}"
    if answer.content and not answer["Content-Type"].startswith("application/json"):
        return f"{answer.status_code} as {answer['Content-Type']}"
    return ""


@pytest.mark.parametrize("bodies", ["whole", "fields"])
def test_no_body_breaks_an_endpoint(everybody, settings, bodies):
    case = make_case()
    found: dict[str, set[str]] = {}
    for number, (path, method) in enumerate(WRITING):
        if number == WITH_ALL:
            leave_out_what_is_around(everybody, settings)
        where, schema = address(path, case.pk), body_schema(path, method)
        sent = BODIES if bodies == "whole" else [each_field(schema, value) for value in VALUES]
        for body in dict.fromkeys(sent if number < WITH_ALL else bodies_for(where, method, sent)):
            answer = getattr(everybody, method)(
                where, in_bytes(body), content_type="application/json"
            )
            if wrong(answer):
                found.setdefault(f"{method} {path}: {wrong(answer)}", set()).add(body[:60])
    assert found == {}


ASKED = [
    (path, parameter["name"])
    for path, methods in SCHEMA["paths"].items()
    for parameter in methods.get("get", {}).get("parameters", [])
    if parameter["in"] == "query"
]
ODD = [
    "", "a\x00b", "x" * 5000, "-1", "1e300", "nan", "9" * 400, "0000-00-00", str(new_id()), "٣",
]  # fmt: skip


def test_no_question_breaks_an_endpoint(everybody, monkeypatch):
    case = make_case()
    # Of a period that was asked for already, what waits and is counted is still the same.
    for where, name in ((queries, "waiting"), (reading, "measured")):
        monkeypatch.setattr(where, name, cache(getattr(where, name)))
    assert len(ASKED) >= 8
    found = {}
    for path, name in ASKED:
        for value in ODD:
            answer = everybody.get(address(path, case.pk), {"x": "1", "y": "1"} | {name: value})
            if wrong(answer):
                found.setdefault(f"{path}?{name}: {wrong(answer)}", value[:40])
    assert found == {}

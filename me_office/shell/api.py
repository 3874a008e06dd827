"""One handler turns the office's errors into API bodies."""

from __future__ import annotations

from typing import Any

from rest_framework import exceptions, serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import exception_handler

from me_office.audit.errors import Away, Conflict, Invalid, OfficeError, StaleRecord
from me_office.shell.current import current_fields


class ErrorSerializer(serializers.Serializer[Any]):
    """The body of every refusal."""

    code = serializers.CharField()
    message = serializers.CharField()
    field = serializers.CharField(required=False)
    errors = serializers.DictField(  # type: ignore[assignment]
        child=serializers.ListField(child=serializers.CharField()), required=False
    )
    standing = serializers.DictField(
        required=False, help_text="What stands now, when stale or in conflict"
    )


REFUSALS = dict.fromkeys((403, 404, 409, 422), ErrorSerializer)
"""What every endpoint may refuse with, for its description in the schema."""
REFUSALS_OF_A_PASSWORD = {**REFUSALS, 429: ErrorSerializer}
"""The same where a password is asked: too many wrong ones have to wait."""


def checked(shape: type[serializers.BaseSerializer[Any]], request: Request) -> dict[str, Any]:
    """Return the body of a request in the shape it must have; of a PATCH only what was sent.

    Raises ValidationError.
    """
    body = shape(data=request.data, partial=request.method == "PATCH")
    body.is_valid(raise_exception=True)
    return dict(body.validated_data)


def answer_error(error: Exception, context: dict[str, Any]) -> Response | None:
    """Return the body for an expected refusal; None leaves the error to the server log."""
    if isinstance(error, OfficeError):
        body: dict[str, Any] = {"code": error.code, "message": error.message}
        if error.field:
            body["field"] = error.field
        if isinstance(error, Invalid):
            body["errors"] = error.errors
        if isinstance(error, StaleRecord | Conflict) and error.record is not None:
            body["standing"] = current_fields(error.record)
        again = {"Retry-After": str(error.retry_seconds)} if isinstance(error, Away) else None
        return Response(body, status=error.status, headers=again)
    if isinstance(error, exceptions.ValidationError):
        details = error.detail if isinstance(error.detail, dict) else {"__all__": error.detail}
        errors = {name: [str(m) for m in _flat(messages)] for name, messages in details.items()}
        first = next(iter(errors.values()))[0]
        return Response({"code": "invalid", "message": first, "errors": errors}, status=422)
    answer = exception_handler(error, context)
    if answer is not None and isinstance(error, exceptions.APIException):
        code = str(getattr(error, "default_code", "refused"))
        answer.data = {"code": code, "message": str(error.detail)}
    return answer


def _flat(messages: Any) -> list[Any]:
    if isinstance(messages, dict):
        return [message for group in messages.values() for message in _flat(group)]
    if isinstance(messages, list):
        return [message for group in messages for message in _flat(group)]
    return [messages]

"""What the endpoints of evidence and of custody have in common."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from rest_framework import serializers
from rest_framework.request import Request

from cases.models import Case
from evidence import queries
from me_office.audit.actions import note_access
from me_office.shell.api import ErrorSerializer

REFUSALS = dict.fromkeys((403, 404, 409, 422), ErrorSerializer)


class EvidenceVoidSerializer(serializers.Serializer[Any]):
    """Withdrawing a record."""

    version = serializers.IntegerField(min_value=0)
    reason = serializers.CharField(max_length=500)


def entered(serializer: type[serializers.Serializer[Any]], request: Request) -> dict[str, Any]:
    """Return the checked body; of a change only the fields that were sent."""
    shape = serializer(data=request.data, partial=request.method == "PATCH")
    shape.is_valid(raise_exception=True)
    return dict(shape.validated_data)


def version_and_reason(body: dict[str, Any]) -> dict[str, Any]:
    """Take version and reason out of a body. Raises ValidationError without a version."""
    if "version" not in body:
        raise serializers.ValidationError({"version": ["Send the version that you read."]})
    return {"version": body.pop("version"), "reason": body.pop("reason", "")}


def case_seen(request: Request, case_id: UUID, what: str) -> Case:
    """Return the case if the person may see it, and note that they looked. Raises NotKnown."""
    case = queries.case_to_see(request.user, case_id)  # type: ignore[arg-type]
    note_access(request.user, case_id=case.pk, what=what)  # type: ignore[arg-type]
    return case

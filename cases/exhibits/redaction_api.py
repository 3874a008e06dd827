"""API of redactions."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from rest_framework import serializers

from cases.api.shared import CASE, unnoted
from cases.exhibits import actions, queries, redacting
from cases.exhibits.api import ExhibitReason
from cases.exhibits.models import Redaction, RedactionRequest
from cases.models import Case
from evidence.photographs.queries import photograph_of
from me_office.shell.endpoints import asks_for, at, changes, lists, reads
from me_office.shell.shapes import NewShape, ReadShape, shape_of

REQUEST = f"{CASE}/redaction-requests/<uuid:request_id>"


class ExhibitRetry(ReadShape):
    """Tries again to make what was asked for."""


class RegionInput(serializers.Serializer[Any]):
    """A region: two corners of a rectangle, or the corners of a polygon, in order."""

    shape = serializers.ChoiceField(choices=["rectangle", "polygon"])
    manner = serializers.ChoiceField(choices=["cover", "blur"])
    points = serializers.ListField(
        child=serializers.ListField(
            child=serializers.IntegerField(min_value=0), min_length=2, max_length=2
        ),
        max_length=60,
        help_text="In points of the upright original, from its upper left",
    )


class RedactionInput(NewShape):
    """Regions to hide for good; `version` is the standing redaction's, 0 where none stands."""

    version = serializers.IntegerField(min_value=0)
    regions = RegionInput(many=True)
    reason = serializers.CharField()


RedactionRequestOutput = shape_of(
    "RedactionRequestOutput", RedactionRequest,
    ("id", "version", "photograph", "regions", "why", "state", "percent", "step", "failure"),
    "A redacted copy that was asked for, and how far it is.",
    percent=serializers.IntegerField(read_only=True), step=serializers.CharField(read_only=True),
)  # fmt: skip
RedactionOutput = shape_of(
    "RedactionOutput", Redaction,
    ("id", "version", "photograph", "regions", "reason", "parent_sha256", "operations",
     "software", "sha256", "voided_at", "void_reason"),
    "A redaction: what was hidden and why, what the copy was made from and with.",
    sha256=serializers.CharField(source="file.sha256", read_only=True),
    reason=serializers.CharField(source="why", read_only=True),
)  # fmt: skip


def _redactions_of(case: Case, photograph_id: UUID) -> list[Redaction]:
    return queries.redactions_of(case, photograph_of(case, photograph_id))


def _how_far(asked: RedactionRequest) -> RedactionRequest:
    return queries.redaction_request_of(asked.case, asked.pk)


routes = [
    at(f"{CASE}/photographs/<uuid:photograph_id>/redactions/", "redactions",
       get=lists("redactions_list", unnoted, _redactions_of, RedactionOutput,
           "Return every redaction that was made, the newest first."),
       post=asks_for("redactions_ask", redacting.ask, RedactionInput, RedactionRequestOutput,
           "Ask for a copy in which regions are covered or blurred; a worker makes it, same id.",
           shown=_how_far, keys={"regions": "entries"})),
    at(f"{REQUEST}/", "redaction-request",
       get=reads("redaction_requests_read", unnoted, queries.redaction_request_of,
           RedactionRequestOutput,
           "Return how far it is; when it is made, the redaction of the same id is in the list.")),
    at(f"{REQUEST}/retry/", "retry-redaction",
       post=changes("redaction_requests_retry", actions.retry_redaction, ExhibitRetry,
           RedactionRequestOutput, "Try again to make a redacted copy that was not made.",
           shown=_how_far)),
    at(f"{CASE}/redactions/<uuid:redaction_id>/take-back/", "take-back-redaction",
       post=changes("redactions_take_back", actions.void_redaction, ExhibitReason, RedactionOutput,
           "Show the photograph as it is from now on, with the reason.")),
]  # fmt: skip

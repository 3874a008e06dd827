"""API of marks made in court."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from rest_framework import serializers

from cases.api.shared import CASE, unnoted
from cases.exhibits import actions, queries
from cases.exhibits.api import EXHIBIT, ExhibitReason
from cases.exhibits.mark_rules import MOST_POINTS, Tool
from cases.exhibits.models import CourtMark
from cases.models import Case
from me_office.shell.api_moment import ApiMomentField
from me_office.shell.endpoints import adds, at, changes, lists
from me_office.shell.shapes import NewShape, shape_of


class StrokeInput(serializers.Serializer[Any]):
    """A stroke: a pen's points, an arrow's tail and head, or two corners of a circle's box."""

    tool = serializers.ChoiceField(choices=[tool.value for tool in Tool])
    points = serializers.ListField(
        child=serializers.ListField(
            child=serializers.FloatField(min_value=0, max_value=1), min_length=2, max_length=2
        ),
        max_length=MOST_POINTS,
        help_text="Shares of the upright picture, from its upper left",
    )


class CourtMarkInput(NewShape):
    """What was drawn; `redaction` is the redacted copy that was shown, if one was."""

    photograph = serializers.UUIDField()
    redaction = serializers.UUIDField(allow_null=True, default=None)
    strokes = StrokeInput(many=True)
    marked_at = ApiMomentField()
    marked_by = serializers.ChoiceField(choices=CourtMark.MARKED_BY)


CourtMarkOutput = shape_of(
    "CourtMarkOutput", CourtMark,
    ("id", "version", "exhibit", "photograph", "redaction", "strokes", "marked_at", "marked_by",
     "voided_at", "void_reason"),
    "A mark made in court.",
)  # fmt: skip


def _marks_of(case: Case, exhibit_id: UUID) -> list[CourtMark]:
    return queries.marks_on(queries.exhibit_with_pictures(case, exhibit_id))


routes = [
    at(f"{EXHIBIT}/marks/", "marks",
       get=lists("court_marks_list", unnoted, _marks_of, CourtMarkOutput,
           "Return the marks made in court that are kept of the exhibit."),
       post=adds("court_marks_keep", actions.keep_court_mark, CourtMarkInput, CourtMarkOutput,
           "Keep a mark made in court; the same id again gets the same mark.")),
    at(f"{CASE}/court-marks/<uuid:mark_id>/withdraw/", "withdraw-mark",
       post=changes("court_marks_withdraw", actions.void_court_mark, ExhibitReason,
           CourtMarkOutput, "Withdraw a mark, with the reason.")),
]  # fmt: skip

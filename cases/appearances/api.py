"""API of dates in court: the same actions as the pages."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from cases.api.records import the_many
from cases.api.serializers import VOIDABLE, ReasonInput, VersionedInput, active_staff, record_shapes
from cases.api.shared import CASE
from cases.appearances import actions, queries
from cases.appearances.models import Appearance, AppearanceMove
from me_office.shell.endpoints import at, changes
from me_office.shell.shapes import shape_of

AppearanceInput, _ = record_shapes(
    "Appearance", Appearance, "A date in court; when it begins is changed by moving it.",
    shown=VOIDABLE, names=actions.NAMES, witness=active_staff(),
)  # fmt: skip
MoveOutput = shape_of(
    "EarlierDateOutput", AppearanceMove, ("id", "began_at", "place", "why"),
    "When it was to begin before it was moved, and why it was moved.",
)  # fmt: skip
AppearanceOutput = shape_of(
    "AppearanceOutput", Appearance,
    (*VOIDABLE, "state", *actions.NAMES, "canceled_why", *actions.TESTIMONY_NAMES,
     "asked_settled", "asked_settled_at", "moves"),
    "A date in court with its earlier dates, and how it went.",
    moves=MoveOutput(many=True),
)  # fmt: skip
MoveInput = shape_of(
    "AppearanceMoveInput", Appearance, ("version", "reason", *actions.MOVED_NAMES),
    "Another time, with the reason.", bases=(ReasonInput,),
    meta={"extra_kwargs": {"place": {"required": False}}},
)  # fmt: skip


class TestimonyInput(VersionedInput):
    """How it went; said again it corrects, with the reason."""

    stand_minutes = serializers.IntegerField(required=False, allow_null=True)
    went = serializers.CharField(required=False, allow_blank=True)
    asked_afterward = serializers.CharField(required=False, allow_blank=True)


class SettleInput(serializers.Serializer[Any]):
    """What was done about what was asked for in court."""

    version = serializers.IntegerField(min_value=0)
    settled = serializers.CharField()


def _as_it_stands(record: Appearance) -> Any:
    return record if record.is_voided else queries.appearance_of(record.case, record.pk)


_ONE = f"{CASE}/appearances/<uuid:record_id>"
routes = [
    *the_many("appearances", "Dates in court", queries.appearances_of, actions.record_appearance,
        actions.void_appearance, AppearanceInput, AppearanceOutput),
    at(f"{_ONE}/move/", "move-appearance",
       post=changes("appearances_move", actions.move_appearance, MoveInput, AppearanceOutput,
           "Move it to another time, with the reason.", shown=_as_it_stands)),
    at(f"{_ONE}/cancel/", "cancel-appearance",
       post=changes("appearances_cancel", actions.cancel_appearance, ReasonInput,
           AppearanceOutput, "Note that it will not take place, with the reason.",
           shown=_as_it_stands)),
    at(f"{_ONE}/testimony/", "appearance-testimony",
       post=changes("appearances_testimony", actions.record_testimony, TestimonyInput,
           AppearanceOutput, "Say how it went.", shown=_as_it_stands)),
    at(f"{_ONE}/asked/", "appearance-asked",
       post=changes("appearances_settle_asked", actions.settle_asked, SettleInput,
           AppearanceOutput, "Say what was done about what was asked for.",
           shown=_as_it_stands)),
]  # fmt: skip

"""API: no scene visit, body not received here."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from cases import actions
from cases.api.serializers import ReasonInput
from cases.api.shared import CASE, seen
from cases.models import NotDone
from cases.queries import file
from me_office.shell.endpoints import adds, at, changes, lists
from me_office.shell.shapes import shape_of


class NotDoneInput(serializers.Serializer[Any]):
    """What was not done, and why."""

    id = serializers.UUIDField(help_text="Key of the statement, made by the client")
    kind = serializers.ChoiceField(NotDone.KINDS)
    reason = serializers.CharField()


NotDoneOutput = shape_of(
    "NotDoneOutput", NotDone, ("id", "version", "voided_at", "kind", "why"),
    "A statement that something was not done.",
)  # fmt: skip


routes = [
    at(f"{CASE}/not-done/", "not-done",
       get=lists("not_done_list", seen("not done"), file.all_not_done, NotDoneOutput,
           "Return what is stated."),
       post=adds("not_done_state", actions.state_not_done, NotDoneInput, NotDoneOutput,
           "State it; the same id again returns the same statement.")),
    at(f"{CASE}/not-done/<uuid:record_id>/void/", "void-not-done",
       post=changes("not_done_void", actions.void_not_done, ReasonInput, NotDoneOutput,
           "Withdraw it, with the reason.")),
]  # fmt: skip

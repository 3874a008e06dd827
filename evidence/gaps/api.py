"""Endpoints of what the photograph log lacks, and of what was set aside."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from cases.api.shared import CASE, seen
from evidence.gaps import actions, queries
from evidence.gaps.models import SetAside
from evidence.gaps.queries import missing_in_log
from evidence.items.serializers import EvidenceVoidSerializer
from me_office.shell.endpoints import adds, at, changes, lists
from me_office.shell.shapes import NewShape


class MissingSerializer(serializers.Serializer[Any]):
    """A picture that the log lacks; by its key it is set aside."""

    key = serializers.CharField()
    kind = serializers.CharField()
    words = serializers.CharField()


class NewSetAsideSerializer(NewShape):
    """Something to leave as it is; `id` is made by the client."""

    key = serializers.CharField(max_length=80)
    reason = serializers.CharField(max_length=500)


class SetAsideSerializer(serializers.ModelSerializer[SetAside]):
    """What was set aside, and why."""

    class Meta:
        model = SetAside
        fields = ["id", "version", "key", "words", "why", "created_at", "voided_at", "void_reason"]
        read_only_fields = fields


routes = [
    at(f"{CASE}/missing-pictures/", "missing",
       get=lists("missing_pictures_list", seen("photographs"), missing_in_log, MissingSerializer,
           "List the pictures that are missing and that nobody set aside.")),
    at(f"{CASE}/set-aside/", "all",
       get=lists("set_aside_list", seen("photographs"), queries.set_aside_in, SetAsideSerializer,
           "List what was set aside, newest first."),
       post=adds("set_aside_add", actions.set_aside, NewSetAsideSerializer, SetAsideSerializer,
           "Leave a missing picture or a proposed series as it is, with the reason.")),
    at(f"{CASE}/set-aside/<uuid:record_id>/void/", "again",
       post=changes("set_aside_void", actions.point_out_again, EvidenceVoidSerializer,
           SetAsideSerializer, "Point it out again, with the reason.")),
]  # fmt: skip

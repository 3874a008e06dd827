"""API of exhibit sets and exhibits."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.court.models import RecordsRequest
from cases.exhibits import actions, queries
from cases.exhibits.models import Exhibit, ExhibitSet
from evidence.queries import case_to_see
from me_office.audit.actions import note_access
from me_office.shell.api import REFUSALS, checked


class SetFields(serializers.Serializer[Any]):
    """What a set is called and what it is for."""

    title = serializers.CharField(max_length=160)
    court = serializers.CharField(max_length=160, allow_blank=True, default="")
    cause_number = serializers.CharField(max_length=60, allow_blank=True, default="")
    request = serializers.PrimaryKeyRelatedField(
        queryset=RecordsRequest.objects.all(), allow_null=True, default=None
    )


class ExhibitSetInput(SetFields):
    """A new set; `id` is made by the client."""

    id = serializers.UUIDField()


class ExhibitSetChange(SetFields):
    """A changed set, with the version that was read."""

    version = serializers.IntegerField(min_value=1)


class ExhibitInput(serializers.Serializer[Any]):
    """A photograph for the end of a set; what is left out is offered by the office."""

    id = serializers.UUIDField()
    photograph = serializers.UUIDField()
    number = serializers.CharField(max_length=24, required=False)
    caption = serializers.CharField(max_length=240, required=False)
    plain_words = serializers.CharField(max_length=600, required=False, allow_blank=True)


class ExhibitChange(serializers.Serializer[Any]):
    """A changed exhibit, with the version that was read."""

    version = serializers.IntegerField(min_value=1)
    number = serializers.CharField(max_length=24)
    caption = serializers.CharField(max_length=240)
    plain_words = serializers.CharField(max_length=600, allow_blank=True)


class ExhibitMove(serializers.Serializer[Any]):
    """Where an exhibit goes: 1 is the first."""

    version = serializers.IntegerField(min_value=1)
    place = serializers.IntegerField(min_value=1, max_value=100_000)


class ExhibitReason(serializers.Serializer[Any]):
    """Withdraws a record, with the reason."""

    version = serializers.IntegerField(min_value=1)
    reason = serializers.CharField()


class ExhibitOutput(serializers.ModelSerializer[Exhibit]):
    """An exhibit; `photograph_number` is the office's."""

    photograph_number = serializers.IntegerField(source="photograph.number", read_only=True)

    class Meta:
        model = Exhibit
        fields = [
            "id",
            "version",
            "number",
            "photograph",
            "photograph_number",
            "caption",
            "plain_words",
            "voided_at",
        ]


class ExhibitSetOutput(serializers.ModelSerializer[ExhibitSet]):
    """A set of exhibits."""

    class Meta:
        model = ExhibitSet
        fields = ["id", "version", *actions.SET_FIELDS, "voided_at"]


class ExhibitSets(APIView):
    """The exhibit sets of one case."""

    @extend_schema(
        operation_id="exhibit_sets_list", responses={200: ExhibitSetOutput(many=True), **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """Return the case's sets, the newest first."""
        case = case_to_see(request.user, case_id)
        note_access(request.user, case_id=case.pk, what="exhibits")
        return Response(ExhibitSetOutput(queries.sets_of(case), many=True).data)

    @extend_schema(
        operation_id="exhibit_sets_make",
        request=ExhibitSetInput,
        responses={201: ExhibitSetOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Begin a set; the same id again gets the same set."""
        entry = checked(ExhibitSetInput, request)
        made = actions.make_exhibit_set(
            request.user, case_id=case_id, record_id=entry.pop("id"), entry=entry
        )
        return Response(ExhibitSetOutput(made).data, status=201)


class OneExhibitSet(APIView):
    """One exhibit set."""

    @extend_schema(
        operation_id="exhibit_sets_change",
        request=ExhibitSetChange,
        responses={200: ExhibitSetOutput, **REFUSALS},
    )
    def put(self, request: Request, case_id: UUID, set_id: UUID) -> Response:
        """Change what the set is called and what it is for."""
        entry = checked(ExhibitSetChange, request)
        changed = actions.change_exhibit_set(
            request.user,
            case_id=case_id,
            set_id=set_id,
            version=entry.pop("version"),
            entry=entry,
        )
        return Response(ExhibitSetOutput(changed).data)


class WithdrawExhibitSet(APIView):
    """Withdraws an exhibit set."""

    @extend_schema(
        operation_id="exhibit_sets_withdraw",
        request=ExhibitReason,
        responses={200: ExhibitSetOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, set_id: UUID) -> Response:
        """Withdraw the set, with the reason."""
        entry = checked(ExhibitReason, request)
        gone = actions.void_exhibit_set(request.user, case_id=case_id, set_id=set_id, **entry)
        return Response(ExhibitSetOutput(gone).data)


class ExhibitsOfSet(APIView):
    """The exhibits of one set."""

    @extend_schema(
        operation_id="exhibits_list", responses={200: ExhibitOutput(many=True), **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID, set_id: UUID) -> Response:
        """Return the set's exhibits in their order."""
        case = case_to_see(request.user, case_id)
        rows = queries.exhibits_of(queries.set_of(case, set_id))
        return Response(ExhibitOutput(rows, many=True).data)

    @extend_schema(
        operation_id="exhibits_add",
        request=ExhibitInput,
        responses={201: ExhibitOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, set_id: UUID) -> Response:
        """Put a photograph at the end of the set; the same id again gets the same exhibit."""
        entry = checked(ExhibitInput, request)
        made = actions.add_exhibit(
            request.user,
            case_id=case_id,
            set_id=set_id,
            record_id=entry.pop("id"),
            photograph_id=entry.pop("photograph"),
            entry=entry,
        )
        return Response(ExhibitOutput(made).data, status=201)


class OneExhibit(APIView):
    """One exhibit."""

    @extend_schema(
        operation_id="exhibits_change",
        request=ExhibitChange,
        responses={200: ExhibitOutput, **REFUSALS},
    )
    def put(self, request: Request, case_id: UUID, exhibit_id: UUID) -> Response:
        """Change number, caption and plain words."""
        entry = checked(ExhibitChange, request)
        changed = actions.change_exhibit(
            request.user,
            case_id=case_id,
            exhibit_id=exhibit_id,
            version=entry.pop("version"),
            entry=entry,
        )
        return Response(ExhibitOutput(changed).data)


class MoveExhibit(APIView):
    """Puts an exhibit elsewhere in its set."""

    @extend_schema(
        operation_id="exhibits_move",
        request=ExhibitMove,
        responses={200: ExhibitOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, exhibit_id: UUID) -> Response:
        """Make the exhibit the `place`-th of its set."""
        entry = checked(ExhibitMove, request)
        moved = actions.move_exhibit(request.user, case_id=case_id, exhibit_id=exhibit_id, **entry)
        return Response(ExhibitOutput(moved).data)


class RemoveExhibit(APIView):
    """Takes an exhibit out of its set."""

    @extend_schema(
        operation_id="exhibits_remove",
        request=ExhibitReason,
        responses={200: ExhibitOutput, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, exhibit_id: UUID) -> Response:
        """Remove the exhibit, with the reason."""
        entry = checked(ExhibitReason, request)
        removed = actions.remove_exhibit(
            request.user, case_id=case_id, exhibit_id=exhibit_id, **entry
        )
        return Response(ExhibitOutput(removed).data)

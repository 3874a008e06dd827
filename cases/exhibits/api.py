"""API of exhibit sets and exhibits."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from rest_framework import serializers

from cases.api.shared import CASE, seen, unnoted
from cases.court.models import RecordsRequest
from cases.exhibits import actions, queries
from cases.exhibits.models import Exhibit, ExhibitSet
from cases.models import Case
from me_office.shell.endpoints import adds, at, changes, lists
from me_office.shell.shapes import NewShape, ReadShape, ReasonShape, shape_of

SET = f"{CASE}/exhibit-sets/<uuid:set_id>"
EXHIBIT = f"{CASE}/exhibits/<uuid:exhibit_id>"


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


class ExhibitInput(NewShape):
    """A photograph for the end of a set; what is left out is offered by the office."""

    photograph = serializers.UUIDField()
    further = serializers.ListField(
        child=serializers.UUIDField(), max_length=5, required=False,
        help_text="Of a composite: the photographs after the first, in order",
    )  # fmt: skip
    number = serializers.CharField(max_length=24, required=False)
    caption = serializers.CharField(max_length=240, required=False)
    plain_words = serializers.CharField(max_length=600, required=False, allow_blank=True)


class ExhibitChange(ReadShape):
    """A changed exhibit, with the version that was read."""

    number = serializers.CharField(max_length=24)
    caption = serializers.CharField(max_length=240)
    plain_words = serializers.CharField(max_length=600, allow_blank=True)


class ExhibitPhotographs(ReadShape):
    """The photographs of an exhibit in their order: one, or two, three, four or six."""

    photographs = serializers.ListField(child=serializers.UUIDField(), min_length=1, max_length=6)


class ExhibitNumber(serializers.Serializer[Any]):
    """The number of one exhibit, with the version that was read."""

    exhibit = serializers.UUIDField()
    version = serializers.IntegerField(min_value=1)
    number = serializers.CharField(max_length=24)


class ExhibitNumbers(ReadShape):
    """The numbers of every exhibit of a set, with the version of the set."""

    numbers = ExhibitNumber(many=True)


class ExhibitOrder(serializers.Serializer[Any]):
    """The exhibits of a set in the order that is wanted, and in the order that was read."""

    was = serializers.ListField(child=serializers.UUIDField(), max_length=1000)
    order = serializers.ListField(child=serializers.UUIDField(), max_length=1000)


class ExhibitMove(ReadShape):
    """Where an exhibit goes: 1 is the first."""

    place = serializers.IntegerField(min_value=1, max_value=100_000)


class ExhibitReason(ReasonShape):
    """Withdraws a record, with the reason."""


class ExhibitOutput(serializers.ModelSerializer[Exhibit]):
    """An exhibit; `photograph_number` is the office's."""

    photograph_number = serializers.IntegerField(source="photograph.number", read_only=True)
    photographs = serializers.SerializerMethodField()

    def get_photographs(self, exhibit: Exhibit) -> list[UUID]:
        """Return the keys of its photographs in their order; several in a composite."""
        return [photograph.pk for photograph in exhibit.photographs]

    class Meta:
        model = Exhibit
        fields = [
            "id",
            "version",
            "number",
            "photograph",
            "photograph_number",
            "photographs",
            "caption",
            "plain_words",
            "voided_at",
        ]


ExhibitSetOutput = shape_of(
    "ExhibitSetOutput", ExhibitSet, ("id", "version", *actions.SET_FIELDS, "voided_at"),
    "A set of exhibits.",
)  # fmt: skip


def _exhibits_of(case: Case, set_id: UUID) -> list[Exhibit]:
    return queries.exhibits_of(queries.set_of(case, set_id))


routes = [
    at(f"{CASE}/exhibit-sets/", "sets",
       get=lists("exhibit_sets_list", seen("exhibits"), queries.sets_of, ExhibitSetOutput,
           "Return the case's sets, the newest first."),
       post=adds("exhibit_sets_make", actions.make_exhibit_set, ExhibitSetInput, ExhibitSetOutput,
           "Begin a set; the same id again gets the same set.")),
    at(f"{SET}/", "set",
       put=changes("exhibit_sets_change", actions.change_exhibit_set, ExhibitSetChange,
           ExhibitSetOutput, "Change what the set is called and what it is for.")),
    at(f"{SET}/copy/", "copy-set",
       post=adds("exhibit_sets_copy", actions.copy_exhibit_set, ExhibitSetInput, ExhibitSetOutput,
           "Make a set of its own with the same exhibits; the same id again gets the same set.")),
    at(f"{SET}/withdraw/", "withdraw-set",
       post=changes("exhibit_sets_withdraw", actions.void_exhibit_set, ExhibitReason,
           ExhibitSetOutput, "Withdraw the set, with the reason.")),
    at(f"{SET}/numbers/", "numbers",
       put=changes("exhibits_number", actions.renumber_exhibits, ExhibitNumbers, ExhibitSetOutput,
           "Number every exhibit of the set.")),
    at(f"{SET}/order/", "order",
       put=changes("exhibits_arrange", actions.arrange_exhibits, ExhibitOrder, ExhibitSetOutput,
           "Put the set into an order.")),
    at(f"{SET}/exhibits/", "exhibits",
       get=lists("exhibits_list", unnoted, _exhibits_of, ExhibitOutput,
           "Return the set's exhibits in their order."),
       post=adds("exhibits_add", actions.add_exhibit, ExhibitInput, ExhibitOutput,
           "Put a photograph at the end of the set; the same id again gets the same exhibit.")),
    at(f"{EXHIBIT}/", "exhibit",
       put=changes("exhibits_change", actions.change_exhibit, ExhibitChange, ExhibitOutput,
           "Change number, caption and plain words.")),
    at(f"{EXHIBIT}/photographs/", "compose-exhibit",
       put=changes("exhibits_compose", actions.compose_exhibit, ExhibitPhotographs, ExhibitOutput,
           "Say which photographs the exhibit holds, in their order.")),
    at(f"{EXHIBIT}/move/", "move-exhibit",
       post=changes("exhibits_move", actions.move_exhibit, ExhibitMove, ExhibitOutput,
           "Make the exhibit the `place`-th of its set.")),
    at(f"{EXHIBIT}/remove/", "remove-exhibit",
       post=changes("exhibits_remove", actions.remove_exhibit, ExhibitReason, ExhibitOutput,
           "Remove the exhibit, with the reason.")),
]  # fmt: skip

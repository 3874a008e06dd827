"""Endpoints of short keys and of the office's words."""

from __future__ import annotations

from rest_framework import serializers

from cases.access import Act, require_role
from cases.drafting import actions, queries
from cases.drafting.models import OfficeWord, ShortKey
from findings.api.serializers import VoidSerializer
from me_office.accounts.models import Staff
from me_office.shell.endpoints import adds, at, changes, saves, tells
from me_office.shell.shapes import NewShape, shape_of


class ShortKeySerializer(serializers.ModelSerializer[ShortKey]):
    """A short key and its text; `shared` for one of the office."""

    shared = serializers.SerializerMethodField()

    class Meta:
        model = ShortKey
        fields = ["id", "version", *actions.ENTERED, "shared", "voided_at"]

    def get_shared(self, record: ShortKey) -> bool:
        """Tell whether it is the office's."""
        return record.owner_id is None


class ShortKeyInput(NewShape):
    """A short key; `version` 0 makes one. Whose it is never changes."""

    version = serializers.IntegerField(min_value=0)
    key = serializers.CharField(max_length=24)
    text = serializers.CharField(max_length=2000)
    shared = serializers.BooleanField(required=False, default=False)


OfficeWordSerializer = shape_of(
    "OfficeWordSerializer", OfficeWord, ("id", "version", "word", "voided_at"),
    "A word that the office spells so.",
)  # fmt: skip


class NewOfficeWordSerializer(NewShape):
    """A new word."""

    word = serializers.CharField(max_length=60)


def _short_keys(actor: Staff) -> list[ShortKey]:
    require_role(actor, Act.SEE)
    return queries.short_keys_for(actor)


def _office_words(actor: Staff) -> list[OfficeWord]:
    require_role(actor, Act.SEE)
    return queries.office_words()


routes = [
    at("drafting/short-keys/", "short-keys",
       get=tells("short_keys_list", _short_keys, ShortKeySerializer,
           "Read one's own short keys and the office's."),
       post=saves("short_key_keep", actions.keep_short_key, ShortKeyInput, ShortKeySerializer,
           "Keep a short key.")),
    at("drafting/short-keys/<uuid:record_id>/void/", "short-key-void",
       post=changes("short_key_void", actions.void_short_key, VoidSerializer, ShortKeySerializer,
           "Withdraw a short key, with the reason.")),
    at("drafting/words/", "office-words",
       get=tells("office_words_list", _office_words, OfficeWordSerializer,
           "Read the words of the office."),
       post=adds("office_word_add", actions.add_office_word, NewOfficeWordSerializer,
           OfficeWordSerializer, "Add a word of the office.")),
    at("drafting/words/<uuid:record_id>/void/", "office-word-void",
       post=changes("office_word_void", actions.void_office_word, VoidSerializer,
           OfficeWordSerializer, "Withdraw a word of the office, with the reason.")),
]  # fmt: skip

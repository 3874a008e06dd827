"""A moment as the API takes it: with its offset, or on the office's clock where that is one."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import models
from django.utils.timezone import get_current_timezone, is_aware
from rest_framework import serializers

from me_office import moments
from me_office.shell.moment_field import wrong_with_face


class ApiMomentField(serializers.DateTimeField):
    """An ISO 8601 moment; without an offset it is office time, and has to be one moment.

    Read moments have a fixed offset: two of one zone would be compared by the clock's face.
    """

    def enforce_timezone(self, value: datetime) -> datetime:
        """The moment in office time. Fails for a time that the office's clock shows twice or not
        at all."""
        if is_aware(value):
            try:
                return moments.fixed(value.astimezone(get_current_timezone()))
            except OverflowError:
                self.fail("overflow")
        found = moments.readings(value)
        if len(found) != 1:
            raise serializers.ValidationError(
                f"{wrong_with_face(value)} Send the offset with it.", code="make_aware"
            )
        return found[0]


def use_for_models() -> None:
    """Let every serializer of a model read and print its moments so."""
    mapping: dict[Any, Any] = serializers.ModelSerializer.serializer_field_mapping
    mapping[models.DateTimeField] = ApiMomentField

"""Seal and first transfer as the API takes them."""

from __future__ import annotations

from rest_framework import serializers

from evidence.custody.opening_fields import office_staff
from evidence.items.receivers import WHERE
from me_office.shell.api_moment import ApiMomentField
from me_office.shell.shapes import NewShape


class HandOverSerializer(NewShape):
    """Seal and first transfer of a new item."""

    collected_at = ApiMomentField()
    collected_by = serializers.PrimaryKeyRelatedField(queryset=office_staff(), required=False)
    seal_number = serializers.CharField(max_length=80)
    seal_number_repeats = serializers.CharField(required=False, allow_blank=True, max_length=240)
    to_party = serializers.CharField(max_length=160, required=False, allow_blank=True)
    to_staff = serializers.PrimaryKeyRelatedField(
        queryset=office_staff(), required=False, allow_null=True
    )
    to_where = serializers.ChoiceField(choices=WHERE, required=False, allow_blank=True)
    handed_over_at = ApiMomentField()
    transfer_place = serializers.CharField(max_length=160)
    transfer_purpose = serializers.CharField(max_length=160)
    reason = serializers.CharField(required=False, allow_blank=True, max_length=500)

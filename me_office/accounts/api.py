"""API of accounts, for administrators. Passwords are given in a browser only."""

from __future__ import annotations

import secrets
from typing import Any
from uuid import UUID

from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_serializer
from rest_framework import serializers
from rest_framework.response import Response
from rest_framework.views import APIView

from me_office.accounts import actions, queries
from me_office.accounts.models import Staff
from me_office.accounts.requests import StaffApiRequest
from me_office.accounts.roles import Role
from me_office.accounts.rules import new_password
from me_office.audit import looks
from me_office.shell.api import REFUSALS, checked
from me_office.shell.shapes import ReadShape

ROLES = [role.value for role in Role]


class AccountFields(serializers.Serializer[Any]):
    """How a person is named, and which roles they hold."""

    display_name = serializers.CharField(max_length=120)
    credentials = serializers.CharField(max_length=60, required=False, allow_blank=True)
    job_title = serializers.CharField(max_length=120, required=False, allow_blank=True)
    roles = serializers.ListField(child=serializers.ChoiceField(choices=ROLES), allow_empty=False)
    reason = serializers.CharField(write_only=True)


class AccountInput(AccountFields):
    """A new account; `id` is made by the client."""

    id = serializers.UUIDField()
    username = serializers.CharField(max_length=30)


class AccountChange(AccountFields):
    """A change, with the version that was read."""

    version = serializers.IntegerField(min_value=1)


@extend_schema_serializer(component_name="StandingInput")
class AccountStatusInput(ReadShape):
    """Opens or closes an account."""

    is_open = serializers.BooleanField()
    reason = serializers.CharField()


class AccountOutput(serializers.ModelSerializer[Staff]):
    """An account."""

    roles = serializers.ListField(child=serializers.CharField(), source="role_names")
    is_open = serializers.BooleanField(source="is_active")
    has_second_factor = serializers.BooleanField()

    class Meta:
        model = Staff
        fields = [
            "id", "version", "username", "display_name", "credentials", "job_title", "roles",
            "is_open", "last_login", "must_change_password", "has_second_factor",
        ]  # fmt: skip


class AccountPage(serializers.Serializer[Any]):
    """A page of accounts by name; `next` is the key of the page after it."""

    people = AccountOutput(many=True)
    next = serializers.CharField(allow_blank=True)


class Accounts(APIView):
    """All accounts of the office."""

    @extend_schema(
        operation_id="accounts_list",
        parameters=[OpenApiParameter("closed", bool), OpenApiParameter("after", str)],
        responses={200: AccountPage, **REFUSALS},
    )
    def get(self, request: StaffApiRequest) -> Response:
        """List the open accounts by name, or the closed ones."""
        actions.require_administrator(request.user)
        closed = request.query_params.get("closed") in {"1", "true"}
        page = queries.people(closed=closed, after=request.query_params.get("after", ""))
        asked = {"state": "closed"} if closed else {}
        looks.note_list(request.user, "list of accounts", rows=len(page.people), asked=asked)
        return Response(AccountPage({"people": page.people, "next": page.next_key}).data)

    @extend_schema(
        operation_id="accounts_open",
        request=AccountInput,
        responses={201: AccountOutput, **REFUSALS},
    )
    def post(self, request: StaffApiRequest) -> Response:
        """Open an account. Its first password is known to nobody: give one in a browser."""
        said = checked(AccountInput, request)
        key, reason = said.pop("id"), said.pop("reason")
        actions.open_account(
            request.user,
            record_id=key,
            entry=said,
            password=new_password(secrets.choice),
            reason=reason,
        )
        return Response(AccountOutput(queries.person_of(key)).data, status=201)


class ShortcutsShape(serializers.Serializer[Any]):
    """Whether single characters act as shortcuts for the person who is signed in."""

    single_keys = serializers.BooleanField()


class OwnShortcuts(APIView):
    """Single-key shortcuts of one's own account."""

    @extend_schema(operation_id="accounts_own_shortcuts", responses={200: ShortcutsShape})
    def get(self, request: StaffApiRequest) -> Response:
        """Read whether they are on."""
        return Response(ShortcutsShape({"single_keys": request.user.single_keys}).data)

    @extend_schema(
        operation_id="accounts_choose_shortcuts",
        request=ShortcutsShape,
        responses={200: ShortcutsShape, **REFUSALS},
    )
    def put(self, request: StaffApiRequest) -> Response:
        """Switch them on or off."""
        said = checked(ShortcutsShape, request)
        actions.choose_own_shortcuts(request.user, single_keys=said["single_keys"])
        return Response(ShortcutsShape(said).data)


class Account(APIView):
    """One account."""

    @extend_schema(operation_id="accounts_read", responses={200: AccountOutput, **REFUSALS})
    def get(self, request: StaffApiRequest, staff_id: UUID) -> Response:
        """Read one account."""
        actions.require_administrator(request.user)
        return Response(AccountOutput(queries.person_of(staff_id)).data)

    @extend_schema(
        operation_id="accounts_change",
        request=AccountChange,
        responses={200: AccountOutput, **REFUSALS},
    )
    def put(self, request: StaffApiRequest, staff_id: UUID) -> Response:
        """Change how a person is named and which roles they hold."""
        said = checked(AccountChange, request)
        version, reason = said.pop("version"), said.pop("reason")
        actions.change_account(
            request.user, staff_id=staff_id, version=version, entry=said, reason=reason
        )
        return Response(AccountOutput(queries.person_of(staff_id)).data)


class AccountStatus(APIView):
    """Whether an account is open."""

    @extend_schema(
        operation_id="accounts_standing",
        request=AccountStatusInput,
        responses={200: AccountOutput, **REFUSALS},
    )
    def put(self, request: StaffApiRequest, staff_id: UUID) -> Response:
        """Close an account, or open it again."""
        said = checked(AccountStatusInput, request)
        act = actions.reopen_account if said["is_open"] else actions.close_account
        act(request.user, staff_id=staff_id, version=said["version"], reason=said["reason"])
        return Response(AccountOutput(queries.person_of(staff_id)).data)

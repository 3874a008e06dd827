"""Endpoints of wound paths."""

from __future__ import annotations

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from findings.api.serializers import VoidSerializer
from findings.paths import actions
from findings.paths import serializers as s
from findings.paths.models import WoundPath
from findings.queries import finding_for_page
from me_office.shell.api import REFUSALS, checked, version_and_reason


def _printed(path: WoundPath) -> dict[str, object]:
    """A path with its finding read anew, so that coordinates and words are those of now."""
    finding = finding_for_page(path.case, path.finding_id)
    return s.printed(path, finding)


class PathsView(APIView):
    """Wound paths of a finding."""

    @extend_schema(
        operation_id="wound_path_record",
        request=s.NewPathSerializer,
        responses={201: s.PathSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, finding_id: UUID) -> Response:
        """Record a wound path."""
        body = checked(s.NewPathSerializer, request)
        path = actions.record_path(
            request.user,
            case_id=case_id,
            finding_id=finding_id,
            record_id=body.pop("id"),
            entry=body,
        )
        return Response(_printed(path), status=status.HTTP_201_CREATED)


class PathView(APIView):
    """One wound path."""

    @extend_schema(
        operation_id="wound_path_change",
        request=s.PathChangeSerializer,
        responses={200: s.PathSerializer, **REFUSALS},
    )
    def patch(self, request: Request, case_id: UUID, path_id: UUID) -> Response:
        """Change a wound path; only the fields sent change."""
        body = checked(s.PathChangeSerializer, request)
        kept = version_and_reason(body)
        path = actions.change_path(
            request.user, case_id=case_id, path_id=path_id, entry=body, **kept
        )
        return Response(_printed(path))


class PathVoidView(APIView):
    """Voiding a wound path."""

    @extend_schema(
        operation_id="wound_path_void",
        request=VoidSerializer,
        responses={200: s.PathSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, path_id: UUID) -> Response:
        """Void a wound path."""
        body = checked(VoidSerializer, request)
        path = actions.void_path(request.user, case_id=case_id, path_id=path_id, **body)
        return Response(_printed(path))

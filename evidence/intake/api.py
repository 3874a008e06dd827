"""The office's side of tus 1.0.0: https://tus.io/protocols/resumable-upload.

Thin views of our own: the libraries found for Django keep parts in a place of their own, know
neither the office's access rules nor its store, and publish before anything was checked.
"""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.conf import settings
from django.urls import path
from django.utils.http import http_date
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.parsers import BaseParser, MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.access import Act, case_for
from cases.api.shared import CASE
from evidence.intake import actions, rules, taking
from evidence.intake.models import PhotographUpload
from evidence.photographs import actions as photographs
from evidence.photographs.api import photographs as api
from evidence.photographs.serializers import NewPhotographSerializer, PhotographSerializer
from me_office.accounts.requests import StaffApiRequest
from me_office.shell.api import REFUSALS, checked
from me_office.shell.endpoints import at
from me_office.shell.json_text import read_json

DIGEST = r"^[0-9a-f]{64}$"
NOTHING = {204: None, **REFUSALS}


class UploadSerializer(serializers.ModelSerializer[PhotographUpload]):
    """How far a file has come, and what became of it."""

    number = serializers.IntegerField(source="photograph.number", default=None, read_only=True)

    class Meta:
        model = PhotographUpload
        fields = [
            "id", "name", "size_bytes", "received_bytes", "state", "refusal", "number", "begun_at",
        ]  # fmt: skip
        read_only_fields = fields


class _EntrySerializer(NewPhotographSerializer):
    """The line in the log that comes with a file."""

    upload = None  # type: ignore[assignment]

    class Meta(NewPhotographSerializer.Meta):
        fields = [each for each in NewPhotographSerializer.Meta.fields if each != "upload"]


class _Bytes(BaseParser):
    """Leaves the body alone: it is read as it comes."""

    media_type = rules.PIECE_TYPE

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> Any:
        """Return the stream unread."""
        return stream


class _TusView(APIView):
    """What every answer of the protocol carries."""

    parser_classes = [_Bytes]

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Refuse another version of the protocol before anything is done."""
        super().initial(request, *args, **kwargs)
        plain = request.method in {"GET", "OPTIONS"}
        if not plain and request.headers.get("Tus-Resumable") != rules.VERSION:
            raise _OtherVersion

    def handle_exception(self, exc: Exception) -> Response:
        """Answer what only the protocol knows; the office's handler answers the rest."""
        if isinstance(exc, _OtherVersion):
            body = {"code": "tus_version", "message": f"Only tus {rules.VERSION} is spoken here."}
            return Response(body, status=status.HTTP_412_PRECONDITION_FAILED)
        if isinstance(exc, rules.Malformed):
            return Response({"code": "malformed", "message": str(exc)}, status=400)
        if isinstance(exc, photographs.AlreadyInCase):
            return _already(exc)
        return super().handle_exception(exc)

    def finalize_response(
        self, request: Request, response: Any, *args: Any, **kwargs: Any
    ) -> Response:
        """Add the protocol's headers."""
        answer: Response = super().finalize_response(request, response, *args, **kwargs)
        answer["Tus-Resumable"] = rules.VERSION
        answer["Cache-Control"] = "no-store"
        if answer.status_code == status.HTTP_412_PRECONDITION_FAILED:
            answer["Tus-Version"] = rules.VERSION
        return answer

    @extend_schema(exclude=True)
    def options(self, request: Any, *args: Any, **kwargs: Any) -> Response:
        """Say what is spoken here."""
        answer = Response(status=status.HTTP_204_NO_CONTENT)
        answer["Tus-Version"] = rules.VERSION
        answer["Tus-Extension"] = rules.EXTENSIONS
        answer["Tus-Max-Size"] = str(settings.PHOTOGRAPH_MAX_BYTES)
        answer["Tus-Checksum-Algorithm"] = ",".join(rules.ALGORITHMS)
        return answer


class _OtherVersion(Exception):
    """The client speaks another version of the protocol."""


def _already(there: photographs.AlreadyInCase) -> Response:
    known = {"id": str(there.photograph.pk), "number": there.photograph.number}
    refusal = {"code": there.code, "message": there.message, "field": there.field}
    return Response({**refusal, "photograph": known}, status=there.status)


def _expiring(answer: Response, upload: PhotographUpload) -> Response:
    if upload.is_open:
        answer["Upload-Expires"] = http_date((upload.heard_at + rules.KEPT_FOR).timestamp())
    return answer


class UploadsView(_TusView):
    """The files of a case that are on their way in."""

    @extend_schema(
        operation_id="photograph_upload_list",
        responses={200: UploadSerializer(many=True), **REFUSALS},
    )
    def get(self, request: StaffApiRequest, case_id: UUID) -> Response:
        """List a person's own files that have not come whole, or wait to be taken in."""
        case = case_for(request.user, Act.PHOTOGRAPH, case_id)
        rows = PhotographUpload.objects.filter(
            case=case, by_id=request.user.pk, state__in=["receiving", "complete"]
        ).select_related("photograph")
        shown = rows.order_by("begun_at", "id")[: rules.MOST_LINES]
        return Response(UploadSerializer(shown, many=True).data)

    @extend_schema(
        operation_id="photograph_upload_begin", request=None, responses={201: None, **REFUSALS}
    )
    def post(self, request: StaffApiRequest, case_id: UUID) -> Response:
        """Open a place for a file (tus creation); `Upload-Metadata` holds id, name and line.

        Metadata: `id` (made by the client, becomes the photograph's key), `filename`, `sha256`
        (optional, hexadecimal) and `entry` (the line in the log, as JSON).
        """
        size = rules.count_of_bytes(request.headers.get("Upload-Length"), "Upload-Length")
        said = rules.metadata_of(request.headers.get("Upload-Metadata", ""))
        shape = _EntrySerializer(data={**_json_of(said), "id": said.get("id", "")})
        shape.is_valid(raise_exception=True)
        entry = dict(shape.validated_data)
        digest = serializers.RegexField(DIGEST, allow_blank=True)
        upload = actions.begin_upload(
            request.user,
            case_id=case_id,
            upload_id=entry.pop("id"),
            name=said.get("filename", ""),
            size_bytes=size,
            stated_sha256=digest.run_validation(said.get("sha256", "")),
            entry=entry,
        )
        if request.content_type == rules.PIECE_TYPE and upload.received_bytes == 0:
            upload = _received(request, upload, offset=0)
        answer = Response(status=status.HTTP_201_CREATED)
        # Relative: whatever stands before this server may have changed the scheme and host.
        answer["Location"] = f"{request.path}{upload.pk}/"
        answer["Upload-Offset"] = str(upload.received_bytes)
        return _expiring(answer, upload)


def _received(
    request: StaffApiRequest, upload: PhotographUpload, *, offset: int
) -> PhotographUpload:
    """Keep the body of a request, read as it comes."""
    return actions.receive_piece(
        upload,
        offset=offset,
        body=request._request,
        checksum=rules.checksum_of(request.headers.get("Upload-Checksum", "")),
    )


def _json_of(said: dict[str, str]) -> dict[str, Any]:
    try:
        entry = read_json(said.get("entry", "{}"))
    except ValueError as error:
        raise rules.Malformed("Upload-Metadata: entry is not JSON.") from error
    if not isinstance(entry, dict):
        raise rules.Malformed("Upload-Metadata: entry is not an object.")
    return entry


class UploadView(_TusView):
    """One file on its way in."""

    http_method_names = ["head", "patch", "delete", "options"]

    def initialize_request(self, request: Any, *args: Any, **kwargs: Any) -> Request:
        """Take the method that the protocol lets a header name, where a proxy knows only POST."""
        named = request.headers.get("X-HTTP-Method-Override", "").upper()
        if request.method == "POST" and named in {"PATCH", "DELETE"}:
            request.method = named
        made: Request = super().initialize_request(request, *args, **kwargs)
        return made

    @extend_schema(exclude=True)
    def head(self, request: StaffApiRequest, case_id: UUID, upload_id: UUID) -> Response:
        """Say how far the file has come."""
        upload = actions.upload_of(request.user, case_id, upload_id)
        if upload.state in {"expired", "withdrawn"}:
            return Response(status=status.HTTP_410_GONE)
        answer = Response(status=status.HTTP_200_OK)
        answer["Upload-Offset"] = str(upload.received_bytes)
        answer["Upload-Length"] = str(upload.size_bytes)
        return _expiring(answer, upload)

    @extend_schema(
        operation_id="photograph_upload_send",
        request={rules.PIECE_TYPE: OpenApiTypes.BINARY},
        responses=NOTHING,
    )
    def patch(self, request: StaffApiRequest, case_id: UUID, upload_id: UUID) -> Response:
        """Send the bytes from `Upload-Offset` on."""
        if request.content_type != rules.PIECE_TYPE:
            return Response(status=status.HTTP_415_UNSUPPORTED_MEDIA_TYPE)
        offset = rules.count_of_bytes(request.headers.get("Upload-Offset"), "Upload-Offset")
        upload = actions.upload_of(request.user, case_id, upload_id)
        upload = _received(request, upload, offset=offset)
        answer = Response(status=status.HTTP_204_NO_CONTENT)
        answer["Upload-Offset"] = str(upload.received_bytes)
        return _expiring(answer, upload)

    @extend_schema(operation_id="photograph_upload_withdraw", responses=NOTHING)
    def delete(self, request: StaffApiRequest, case_id: UUID, upload_id: UUID) -> Response:
        """Give the file up and remove what has come of it."""
        actions.withdraw_upload(request.user, case_id=case_id, upload_id=upload_id)
        return Response(status=status.HTTP_204_NO_CONTENT)


class UploadTakeInView(APIView):
    """The last step: a whole file becomes a photograph."""

    @extend_schema(
        operation_id="photograph_upload_take_in",
        request=None,
        responses={201: PhotographSerializer, **REFUSALS},
    )
    def post(self, request: StaffApiRequest, case_id: UUID, upload_id: UUID) -> Response:
        """Check the file and record it as the next photograph; again, the same photograph."""
        upload = actions.upload_of(request.user, case_id, upload_id)
        try:
            photograph = taking.take_in_upload(upload)
        except photographs.AlreadyInCase as there:
            return _already(there)
        return Response(PhotographSerializer(photograph).data, status=status.HTTP_201_CREATED)


@extend_schema(
    operation_id="photograph_add",
    request={"multipart/form-data": NewPhotographSerializer},
    responses={201: PhotographSerializer, **REFUSALS},
)
def add_photograph(self: APIView, request: StaffApiRequest, case_id: UUID) -> Response:
    """Take in one file as the next photograph."""
    body = checked(NewPhotographSerializer, request)
    record_id, upload = body.pop("id"), body.pop("upload")
    reason = body.pop("reason", "")
    try:
        photograph = taking.take_in(
            request.user,
            case_id=case_id,
            record_id=record_id,
            upload=upload,
            entry=body,
            reason=reason,
        )
    except photographs.AlreadyInCase as there:
        return _already(there)
    return Response(PhotographSerializer(photograph).data, status=status.HTTP_201_CREATED)


UPLOADS = f"{CASE}/photograph-uploads"
UPLOAD = f"{UPLOADS}/<uuid:upload_id>"
routes = [
    path(f"{UPLOADS}/", UploadsView.as_view(), name="uploads"),
    path(f"{UPLOAD}/", UploadView.as_view(), name="upload"),
    path(f"{UPLOAD}/take-in/", UploadTakeInView.as_view(), name="upload-take-in"),
    at(f"{CASE}/photographs/", "photographs", parsers=[MultiPartParser], get=api.read_log,
       post=add_photograph),
]  # fmt: skip

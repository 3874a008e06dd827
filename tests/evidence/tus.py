"""Speaks tus 1.0.0 to the office's own endpoints, as the page does."""

from __future__ import annotations

import base64
import hashlib
import json
from typing import Any

from django.test import Client

from cases.models import Case
from me_office.audit.ids import new_id
from tests.evidence.pictures import described

VERSION = {"HTTP_TUS_RESUMABLE": "1.0.0"}
PIECE = "application/offset+octet-stream"


def metadata(**pairs: str) -> str:
    """Write `Upload-Metadata` as the protocol does."""
    return ",".join(
        f"{key} {base64.b64encode(value.encode()).decode()}" for key, value in pairs.items()
    )


class Sender:
    """One file on its way into a case."""

    def __init__(self, client: Client, case: Case, content: bytes, *, name: str = "DSC_1.jpg"):
        self.client = client
        self.case = case
        self.content = content
        self.name = name
        self.key = new_id()
        self.sha256 = hashlib.sha256(content).hexdigest()

    @property
    def folder(self) -> str:
        return f"/api/cases/{self.case.pk}/photograph-uploads/"

    @property
    def path(self) -> str:
        return f"{self.folder}{self.key}/"

    def begin(
        self,
        *,
        sha256: str | None = None,
        headers: Any = VERSION,
        content: bytes = b"",
        **line: Any,
    ) -> Any:
        entry = {**described(**line), "taken_at": "2026-11-14T09:20:37"}
        said = metadata(
            id=str(self.key),
            filename=self.name,
            sha256=self.sha256 if sha256 is None else sha256,
            entry=json.dumps(entry),
        )
        return self.client.post(
            self.folder,
            content,
            PIECE if content else "application/json",
            **{"HTTP_UPLOAD_LENGTH": str(len(self.content)), "HTTP_UPLOAD_METADATA": said},
            **headers,
        )

    def send(self, begin: int, end: int | None = None, **headers: Any) -> Any:
        return self.client.patch(
            self.path,
            self.content[begin:end],
            PIECE,
            HTTP_UPLOAD_OFFSET=str(begin),
            **VERSION,
            **headers,
        )

    def offset(self) -> int:
        answer = self.client.head(self.path, **VERSION)
        return int(answer["Upload-Offset"])

    def take_in(self) -> Any:
        return self.client.post(f"{self.path}take-in/")

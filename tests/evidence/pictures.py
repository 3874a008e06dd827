"""Small pictures and stored photographs for these tests."""

from __future__ import annotations

import io
from typing import Any
from uuid import UUID

from django.core.files.storage import default_storage
from PIL import Image

from cases.models import Case
from evidence import store
from evidence.intake import checking as pictures
from evidence.photographs import actions
from evidence.photographs.models import Photograph, PhotographFinding
from findings.models import Examination, Finding
from me_office.accounts.models import Staff
from me_office.audit.ids import new_id
from tests.builders import MOMENT


def picture_bytes(shade: int = 90, *, kind: str = "JPEG", size=(64, 48), **saved: Any) -> bytes:
    """One small picture of one color; another shade gives other bytes."""
    buffer = io.BytesIO()
    if kind == "JPEG":
        saved.setdefault("comment", f"shade {shade}".encode())
    Image.new("RGB", size, (shade % 256, 120, shade // 256)).save(buffer, kind, **saved)
    return buffer.getvalue()


def described(**fields: Any) -> dict[str, Any]:
    """A photograph's line in the log."""
    return {
        "photographer": "P. Sedge",
        "taken_at": MOMENT,
        "place": "examination",
        "view": "overview",
        "with_scale": False,
        "graphic": True,
        "region": "chest",
        "shows": "Front of the chest",
        **fields,
    }


def add(
    actor: Staff,
    case: Case,
    content: bytes,
    *,
    name: str = "DSC_0001.jpg",
    record_id: UUID | None = None,
    **fields: Any,
) -> Photograph:
    """Take in a file as a page or the API would."""
    with store.receive(io.BytesIO(content), name=name) as incoming:
        return actions.add_photograph(
            actor,
            case_id=case.pk,
            record_id=record_id or new_id(),
            incoming=pictures.check_picture(incoming),
            entry=described(**fields),
        )


def link_to(by: Staff, photograph: Photograph, finding: Finding) -> PhotographFinding:
    """Say that a photograph shows a finding."""
    return actions.link_finding(
        by,
        case_id=photograph.case_id,
        record_id=new_id(),
        photograph_id=photograph.pk,
        finding_id=finding.pk,
    )


def take_away(by: Staff, photograph: Photograph, reason: str = "wrong case") -> Photograph:
    """A photograph that is withdrawn."""
    return actions.void_photograph(
        by,
        case_id=photograph.case_id,
        photograph_id=photograph.pk,
        version=photograph.version,
        reason=reason,
    )


def make_finding(case: Case, by: Staff, *, number: int = 1, **fields: Any) -> Finding:
    """A finding of the case's examination, written past the actions."""
    marks = {"created_by": by, "changed_by": by}
    examination, _ = Examination.objects.get_or_create(
        case=case,
        defaults={
            "kind": "full autopsy",
            "chart_body": "adult_male",
            "began_at": MOMENT,
            "pathologist": by,
            **marks,
        },
    )
    values = {"klass": "injury", "term": "Contusion", "place": "Right chest", **fields}
    return Finding.objects.create(
        case=case, examination=examination, number=number, **values, **marks
    )


def waiting_files() -> list[str]:
    """What lies in the temporary place of the store."""
    try:
        folders, files = default_storage.listdir("incoming")
    except FileNotFoundError:  # nothing has ever come in
        return []
    return sorted([*folders, *files])

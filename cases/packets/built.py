"""What is built to leave the office: noted when it is whole, checked before it leaves."""

from __future__ import annotations

from dataclasses import dataclass, fields

from django.utils import timezone

from cases.court.rules import PacketFacts
from cases.packets.models import BuiltFile
from evidence.store import holds
from me_office.audit.errors import Refused


@dataclass(frozen=True)
class MadeFile:
    """What an attempt made: where it is, its digest, how much is in it."""

    path: str
    sha256: str
    size_bytes: int
    pages: int
    photographs: int


def note_built(built: BuiltFile, made: MadeFile) -> None:
    """Note on the row, which is not saved yet, what an attempt made and that it is whole now."""
    built.built_at = timezone.now()
    for field in fields(MadeFile):
        setattr(built, field.name, getattr(made, field.name))


def require_as_built(built: BuiltFile, what: str) -> None:
    """Check the stored file, which is called `what`, against its digest. Raises Refused."""
    if built.is_built and not holds(built.path, built.sha256):
        raise Refused(
            f"The stored {what} no longer has its digest and must not leave the office. "
            "Build a new one, and tell an administrator."
        )


def facts_of(built: BuiltFile, *, is_released: bool = False) -> PacketFacts:
    """Return what a release needs to know of what is handed over."""
    return PacketFacts(
        packet_id=built.pk,
        case_id=built.case_id,
        request_id=built.request_id,
        number=built.number,
        is_built=built.is_built,
        built_at=built.built_at,
        sha256=built.sha256,
        is_released=is_released,
    )

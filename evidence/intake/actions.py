"""Beginning, receiving, withdrawing and clearing files that are sent in pieces.

What changes here is how far a sending has come. The record of the case is made by the action
`add_photograph`, in the last step, from `evidence.intake.taking.take_in_upload`.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from contextlib import suppress
from datetime import datetime
from typing import Any, Protocol
from uuid import UUID, uuid4

from django.core.serializers.json import DjangoJSONEncoder
from django.db import IntegrityError, transaction
from django.utils import timezone

from cases import access
from cases.access import Act
from evidence.intake import checking, parts, rules
from evidence.intake.models import PhotographUpload
from evidence.photographs import queries
from evidence.photographs.actions import AlreadyInCase
from evidence.store import CHUNK, StoreAway
from me_office.accounts.models import Staff
from me_office.audit.errors import Conflict, NotKnown, Refused, known_of_office
from me_office.audit.tidy import one_line
from me_office.entries import Entry


class ChecksumMismatch(Refused):
    """The bytes of a piece are not those that the sender meant; nothing of it was kept."""

    code = "checksum_mismatch"
    status = 460


class WrongOffset(Conflict):
    """The piece does not begin where the last one ended."""

    code = "wrong_offset"


class Body(Protocol):
    """The bytes of a request."""

    def read(self, size: int, /) -> bytes:
        """Return some bytes, none at the end."""


def begin_upload(
    actor: Staff,
    *,
    case_id: UUID,
    upload_id: UUID,
    name: str,
    size_bytes: int,
    stated_sha256: str,
    entry: Entry,
) -> PhotographUpload:
    """Open a place for a file; the same key again is the same upload.

    A file whose stated digest is in the case already is refused before a byte is sent.
    Raises NotKnown, NotAllowed, AlreadyInCase, Conflict, Refused.
    """
    case = access.case_for(actor, Act.PHOTOGRAPH, case_id)
    checking.check_size(size_bytes)
    there = PhotographUpload.objects.filter(pk=upload_id).first()
    if there is None and stated_sha256:
        same = queries.photograph_with_digest(case, stated_sha256)
        if same is not None:
            raise AlreadyInCase(same)
    upload = there or _insert(
        PhotographUpload(
            pk=upload_id,
            case=case,
            by=actor,
            name=one_line(name)[-255:],
            size_bytes=size_bytes,
            stated_sha256=stated_sha256,
            entry=json.loads(json.dumps(dict(entry), cls=DjangoJSONEncoder)),
            heard_at=timezone.now(),
        )
    )
    stated = {upload.stated_sha256, stated_sha256} - {""}
    own = (upload.case_id, upload.by_id, upload.size_bytes) == (case.pk, actor.pk, size_bytes)
    if not own or len(stated) > 1:
        raise Conflict("An upload with this key is another file.")
    if upload.state in {"expired", "withdrawn"}:
        raise Conflict("This upload is finished. Choose the file again.")
    return upload


def _insert(upload: PhotographUpload) -> PhotographUpload:
    """Insert an upload, or return the row that a twin request inserted in this moment."""
    try:
        with transaction.atomic():
            upload.save(force_insert=True)
    except IntegrityError:
        return PhotographUpload.objects.get(pk=upload.pk)
    return upload


def upload_of(actor: Staff, case_id: UUID, upload_id: UUID) -> PhotographUpload:
    """Return a person's own upload of a case. Raises NotKnown, NotAllowed."""
    case = access.case_for(actor, Act.PHOTOGRAPH, case_id)
    upload = known_of_office(
        PhotographUpload.objects.filter(pk=upload_id, case=case, by=actor).first(), "upload"
    )
    upload.case, upload.by = case, actor
    return upload


def receive_piece(
    upload: PhotographUpload,
    *,
    offset: int,
    body: Body,
    checksum: rules.Checksum | None = None,
) -> PhotographUpload:
    """Keep the bytes that come, as far as they come, from `offset` on; `upload_of` gives whose.

    A connection that breaks keeps what came before. With a checksum all is kept or nothing.
    Raises NotKnown, Conflict, WrongOffset, ChecksumMismatch, Refused.
    """
    if upload.state in {"expired", "withdrawn"}:
        raise NotKnown("This upload is finished.")
    if offset != upload.received_bytes:
        raise WrongOffset(f"The next byte is number {upload.received_bytes}.")
    if not upload.is_open:
        return upload
    claim = uuid4()
    PhotographUpload.objects.filter(pk=upload.pk).update(claim=claim, heard_at=timezone.now())
    noted = _Noted(upload, claim)
    whole = hashlib.new(checksum.algorithm, usedforsecurity=False) if checksum else None
    blocks = _blocks(body, upload.size_bytes - offset, whole)
    try:
        note = noted.later if checksum else noted
        parts.keeper().write(upload.pk, offset, blocks, note, claim=claim)
    except parts.Overtaken as error:
        raise Conflict("Another connection is sending this file.") from error
    if whole is not None and checksum is not None:
        if whole.digest() != checksum.digest:
            raise ChecksumMismatch("The piece received differs from the piece sent.")
        noted.catch_up()
    return upload


def _blocks(body: Body, most: int, whole: Any) -> Iterator[bytes]:
    """Yield what comes until it ends or breaks off. Raises Refused for more than was announced."""
    while block := _read(body):
        most -= len(block)
        if most < 0:
            raise Refused("More bytes were received than announced.")
        if whole is not None:
            whole.update(block)
        yield block


def _read(body: Body) -> bytes:
    try:
        return body.read(CHUNK)
    except OSError:  # the connection broke; what came before it is kept
        return b""


class _Noted:
    """Writes down how far an upload has come, for as long as nobody else sends it."""

    def __init__(self, upload: PhotographUpload, claim: UUID) -> None:
        self.upload = upload
        self.claim = claim
        self.waiting: list[tuple[int, int, str]] = []

    def __call__(self, offset: int, length: int, sha256: str) -> bool:
        """Note a run of bytes; False when another connection has taken over."""
        pieces = rules.with_run(self.upload.pieces, offset, length, sha256, self.claim.hex)
        received, now = offset + length, timezone.now()
        state = "complete" if received == self.upload.size_bytes else "receiving"
        mine = PhotographUpload.objects.filter(
            pk=self.upload.pk, claim=self.claim, state="receiving"
        )
        noted = mine.update(
            pieces=pieces,
            received_bytes=received,
            state=state,
            heard_at=now,
        )
        if noted:
            self.upload.pieces = pieces
            self.upload.received_bytes, self.upload.state = received, state
            self.upload.heard_at = now
        return bool(noted)

    def later(self, offset: int, length: int, sha256: str) -> bool:
        """Keep a note until the checksum has been compared."""
        self.waiting = [note for note in self.waiting if note[0] < offset]
        self.waiting.append((offset, length, sha256))
        return True

    def catch_up(self) -> None:
        """Write down what was kept waiting."""
        for note in self.waiting:
            self(*note)


def withdraw_upload(actor: Staff, *, case_id: UUID, upload_id: UUID) -> None:
    """Give an unfinished upload up and remove its bytes. Raises NotKnown, NotAllowed, Conflict."""
    upload = upload_of(actor, case_id, upload_id)
    if upload.state == "taken in":
        raise Conflict("This file is a photograph of the case; withdraw the photograph instead.")
    mine = PhotographUpload.objects.filter(pk=upload.pk).exclude(state="taken in")
    if not mine.update(state="withdrawn", claim=None):
        raise Conflict("This file has just become a photograph; withdraw the photograph instead.")
    _remove(upload)


def refuse_upload(upload: PhotographUpload, refusal: str) -> None:
    """Note why a whole file was not taken in, and remove its bytes."""
    with transaction.atomic():
        done = PhotographUpload.objects.filter(pk=upload.pk, state="complete").update(
            state="refused", refusal=refusal[:500]
        )
    if done:
        _remove(upload)


def _remove(upload: PhotographUpload) -> None:
    # Its matter is settled: where the store is away, the next clearing removes the bytes.
    with suppress(StoreAway):
        parts.keeper().remove(upload.pk)


def expire_uploads(*, now: datetime) -> int:
    """Remove the bytes of files whose sending broke off for good; return how many."""
    # Bytes first, the row after: a job that dies in between does it again.
    old = PhotographUpload.objects.filter(state="receiving", heard_at__lt=now - rules.KEPT_FOR)
    keys = list(old.order_by("heard_at", "pk").values_list("pk", flat=True)[:500])
    for key in keys:
        parts.keeper().remove(key)
        PhotographUpload.objects.filter(pk=key).update(state="expired", claim=None)
    return len(keys) + _remove_settled()


def _remove_settled() -> int:
    """Remove what a process that died left of files whose matter is settled."""
    lying = parts.lying_about()
    unsettled = PhotographUpload.objects.filter(pk__in=lying, state__in=["receiving", "complete"])
    settled = sorted(set(lying) - set(unsettled.values_list("pk", flat=True)))
    for key in settled:
        parts.keeper().remove(key)
    return len(settled)

"""How fast photographs come in and how fast the store is read, beside plain Python in the same run.

Plain ingest: read, SHA-256, write and flush to the disk, one file after the other. The office's:
the same files by the same way as the page sends them, three at a time: received, digested, read
back, compared, looked at, published and recorded. Plain check: SHA-256 of the same stored files.
"""

from __future__ import annotations

import hashlib
import io
import os
import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from django.core.files.storage import default_storage
from django.db import connections
from django.utils import timezone
from PIL import Image

from cases.models import Case
from evidence.fixity import actions as fixity
from evidence.fixity.models import FixityRun
from evidence.intake import actions as uploads
from evidence.intake import taking
from evidence.photographs.models import Photograph
from evidence.store.models import StoredFile
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff
from tests.evidence.pictures import described

FILES = 12
FILE_BYTES = 25_000_000
ROUNDS = 3
AT_A_TIME = 3
CHUNK = 1024 * 1024


def evidence_bench(
    *, files: int = FILES, file_bytes: int = FILE_BYTES, rounds: int = ROUNDS
) -> dict[str, float]:
    """Return `ingest` and `fixity`: speed relative to plain Python; 0.5 and 0.8 are wanted.

    Runs on the connected database and store and leaves its records there: for a bench's own.
    Plain and office take turns, so that a busy machine slows both; the middle of the rounds counts.
    """
    actor = make_staff(Role.PATHOLOGIST)
    ingest, check = [], []
    with tempfile.TemporaryDirectory(dir=_beside_the_store()) as folder:
        for turn in range(rounds):
            card = list(_card(Path(folder) / f"card-{turn}", files, file_bytes))
            # Copies stay until the end: what the system has just given back is quicker to write
            # to again, and the office gives nothing back.
            copies = Path(folder) / f"copies-{turn}"
            plain = _seconds(lambda card=card, copies=copies: _copy(card, copies))
            case = make_case()
            office = _seconds(lambda card=card, case=case: _take_in(actor, case, card))
            ingest.append(plain / office)
            stored = [each.file for each in Photograph.objects.filter(case=case)]
            assert len(stored) == files, "not every file came in"
            for _ in range(rounds):
                plain = _seconds(lambda stored=stored: _hash(stored))
                check.append(plain / _seconds(lambda stored=stored: _check(stored)))
    return {"ingest": statistics.median(ingest), "fixity": statistics.median(check)}


def _beside_the_store() -> str:
    # The same disk for both, or one would be measured against another's speed.
    place = Path(default_storage.path("."))
    place.mkdir(parents=True, exist_ok=True)
    return str(place)


def _card(folder: Path, files: int, file_bytes: int) -> Iterator[Path]:
    """Make a card of files as large as a camera's, each a whole picture and different."""
    folder.mkdir()
    side = max(16, int((file_bytes / 1.35) ** 0.5))  # noise takes about so much a point
    noise, buffer = Image.effect_noise((side, side), 90).convert("RGB"), io.BytesIO()
    noise.save(buffer, "JPEG", quality=95)
    picture = buffer.getvalue()
    for n in range(files):
        path = folder / f"DSC_{n:04}.JPG"
        words = os.urandom(16)  # a comment segment makes it another file
        path.write_bytes(picture[:2] + b"\xff\xfe\x00\x12" + words + picture[2:])
        yield path


def _seconds(work: Callable[[], Any]) -> float:
    os.sync()  # what somebody else has left to write is not this one's
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def _copy(card: list[Path], folder: Path) -> None:
    folder.mkdir()
    for path in card:
        digest = hashlib.sha256()
        with path.open("rb") as source, (folder / path.name).open("wb") as copy:
            while block := source.read(CHUNK):
                digest.update(block)
                copy.write(block)
            copy.flush()
            os.fsync(copy.fileno())
        digest.hexdigest()


def _take_in(actor: Staff, case: Case, card: list[Path]) -> None:
    with ThreadPoolExecutor(AT_A_TIME) as several:
        parts = [card[n::AT_A_TIME] for n in range(AT_A_TIME)]
        list(several.map(lambda part: _some(actor, case, part), parts))


def _some(actor: Staff, case: Case, card: list[Path]) -> None:
    # A thread of the web server keeps its connection from request to request.
    try:
        for path in card:
            _one(actor, case, path)
    finally:
        connections.close_all()


def _one(actor: Staff, case: Case, path: Path) -> None:
    upload = uploads.begin_upload(
        actor,
        case_id=case.pk,
        upload_id=new_id(),
        name=path.name,
        size_bytes=path.stat().st_size,
        stated_sha256="",
        entry=described(),
    )
    with path.open("rb") as body:
        upload = uploads.receive_piece(upload, offset=0, body=body)
    taking.take_in_upload(upload)


def _hash(stored: list[StoredFile]) -> None:
    for each in stored:
        with Path(default_storage.path(each.path)).open("rb") as file:
            digest = hashlib.sha256()
            while block := file.read(CHUNK):
                digest.update(block)
            assert digest.hexdigest() == each.sha256


def _check(stored: list[StoredFile]) -> None:
    """Check these files as the job does, in a run that begins just before them."""
    FixityRun.objects.filter(finished_at=None).update(finished_at=timezone.now())
    run = fixity.begin_run(now=timezone.now())
    before = StoredFile.objects.filter(pk__lt=min(each.pk for each in stored)).order_by("-pk")
    run.after = before.values_list("pk", flat=True).first()
    run.save(update_fields=["after"])
    done = fixity.go_on(run, files=len(stored), seconds=3600)
    assert done.files >= len(stored), "not every file was checked"

"""Builds an invented office of any number of cases, with a few years of work behind it."""

from __future__ import annotations

import hashlib
import io
import random
from collections.abc import Callable
from datetime import datetime
from uuid import UUID

from django.contrib.auth.models import Permission
from django.contrib.contenttypes.models import ContentType
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import connection
from django.utils import timezone
from guardian.models import UserObjectPermission
from PIL import Image

from cases.models import Case, TeamMember
from evidence.store.models import StoredFile
from tests.bench.answered import write_results
from tests.bench.case_file import write_case_file
from tests.bench.examined import write_examination
from tests.bench.invented import Words
from tests.bench.plan import PlannedCase, Team, planned_cases
from tests.bench.reported import write_report, write_requests
from tests.bench.rows import Book

AT_ONCE = 200
COPIES = 12


def build_office(
    count: int, *, seed: int = 7, told: Callable[[str], None] = lambda _: None
) -> dict[str, int]:
    """Fill an empty, migrated database; return how many rows each table got.

    The connection must be the cluster's owner's. The same seed gives the same office, but for
    keys and for the day it ends on.
    """
    chance = random.Random(seed)
    book, words, now = Book(chance), Words(chance), timezone.now()
    team, copies = Team.hire(), _stored_copies(now)
    allow = _team_permission()
    for case in planned_cases(count, team, now, chance):
        _write_case(book, words, case, team, now, copies)
        if case.restricted:
            _open_to_its_team(book, case, *allow)
        if (case.index + 1) % AT_ONCE == 0:
            book.write()
            if (case.index + 1) % 5000 == 0:
                told(f"{case.index + 1} cases written")
    book.write()
    with connection.cursor() as cursor:
        # Loaded past the triggers: what they would have kept is brought up to date at once.
        cursor.execute("SELECT custody_keep_standing(NULL)")
        cursor.execute("ANALYZE")
    return dict(book.written)


def _write_case(
    book: Book,
    words: Words,
    case: PlannedCase,
    team: Team,
    now: datetime,
    copies: list[tuple[UUID, UUID]],
) -> None:
    death = words.death()
    write_case_file(book, words, case, death)
    seen = write_examination(book, words, case, copies)
    write_results(book, case, seen)
    write_report(book, words, case, death, seen)
    write_requests(book, words, case, team, now)


def _team_permission() -> tuple[int, int]:
    kind = ContentType.objects.get_for_model(Case)
    allowed = Permission.objects.get(content_type=kind, codename="work_on_case")
    return allowed.pk, kind.pk


def _open_to_its_team(book: Book, case: PlannedCase, permission_id: int, kind_id: int) -> None:
    for person in {case.investigator, case.pathologist, case.supervisor} - {None}:
        member_id = person.pk
        book.record(
            TeamMember, case.reported_at, case.supervisor, case_id=case.key, member_id=member_id
        )
        book.row(
            UserObjectPermission,
            permission_id=permission_id,
            content_type_id=kind_id,
            object_pk=str(case.key),
            user_id=member_id,
        )


def _stored_copies(now: datetime) -> list[tuple[UUID, UUID]]:
    """Store a few small and screen-sized pictures, which all the photographs share."""
    return [
        (_stored(number, (320, 240)), _stored(number, (1600, 1200))) for number in range(COPIES)
    ]


def _stored(number: int, size: tuple[int, int]) -> UUID:
    """Store one synthetic picture: a gradient."""
    picture = Image.linear_gradient("L").resize(size).rotate(number * 30)
    buffer = io.BytesIO()
    picture.convert("RGB").save(buffer, "JPEG", quality=80, comment=f"{number}".encode())
    content = buffer.getvalue()
    sha256 = hashlib.sha256(content).hexdigest()
    path = f"derived/{sha256[:2]}/{sha256}"
    if not default_storage.exists(path):
        default_storage.save(path, ContentFile(content))
    row = StoredFile.objects.create(
        sha256=sha256, size_bytes=len(content), media_type="image/jpeg", path=path
    )
    return row.pk

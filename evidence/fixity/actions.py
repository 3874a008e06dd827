"""Runs over the store, what they find, and settling it."""

from __future__ import annotations

import json
import logging
import time
from collections.abc import Callable, Sequence
from datetime import datetime
from uuid import UUID

from django.db import IntegrityError, connection, transaction
from django.db.models import F
from django.utils import timezone

from evidence import store
from evidence.fixity import rules
from evidence.fixity.models import FixityProblem, FixityRun
from evidence.fixity.rules import Found
from evidence.store.models import StoredFile
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit import keys
from me_office.audit.actions import action, require_reason
from me_office.audit.errors import NotAllowed, NotKnown, Refused

log = logging.getLogger(__name__)
LOOKERS = frozenset({Role.SUPERVISOR, Role.EVIDENCE_TECHNICIAN})
Rest = Callable[[float], object]


def require_looker(actor: Staff) -> None:
    """Refuse who does not answer for the store. Raises NotAllowed."""
    if not actor.roles & LOOKERS:
        raise NotAllowed("Only supervisors and evidence technicians look after the file store.")


def _as_the_office(act: str) -> None:
    """Name the act in the audit trail where nobody is at a desk: a scheduled job."""
    context = {"act": act, "source": "task", "reason": "Scheduled check of the file store"}
    with connection.cursor() as cursor:
        cursor.execute("SELECT set_config('office.audit', %s, true)", [json.dumps(context)])


def begin_run(*, now: datetime) -> FixityRun:
    """Return the run that is under way, or begin one."""
    there = FixityRun.objects.filter(finished_at=None).first()
    if there is not None:
        return there
    try:
        with transaction.atomic():
            _as_the_office("check_store")
            return FixityRun.objects.create(begun_at=now, until=now)
    except IntegrityError:  # another job began it in this moment
        return FixityRun.objects.get(finished_at=None)


def go_on(
    run: FixityRun,
    *,
    files: int = rules.FILES_A_JOB,
    seconds: float = rules.SECONDS_A_JOB,
    most_bytes_a_second: int = 0,
    rest: Rest = time.sleep,
) -> FixityRun:
    """Check the next files of a run, by key; the place is kept with what was found.

    A job that dies in between checks those files again, and finds the same.
    """
    rows = StoredFile.objects.filter(stored_at__lte=run.until).order_by("pk")
    if run.after is not None:
        rows = rows.filter(pk__gt=run.after)
    checked, size = 0, 0
    whole: list[UUID] = []
    found: list[tuple[StoredFile, Found, str]] = []
    began = time.monotonic()
    last: StoredFile | None = None
    for stored in rows[:files]:
        sha256, judged = _read(stored)
        if judged is Found.WHOLE:
            whole.append(stored.pk)
        else:
            found.append((stored, judged, sha256 or ""))
        checked, size, last = checked + 1, size + stored.size_bytes, stored
        spent = time.monotonic() - began
        if spent >= seconds:
            break
        wait = rules.seconds_to_wait(
            size_bytes=size, seconds=spent, most_bytes_a_second=most_bytes_a_second
        )
        if wait:
            rest(wait)
    return _keep(run, last, checked, size, found, whole)


def _read(stored: StoredFile) -> tuple[str | None, Found]:
    try:
        sha256 = store.digest_if_there(stored.path)
    except OSError:
        # A bad sector: said of this file, and no reason to leave the others unread.
        log.exception("Stored file %s cannot be read", stored.pk)
        return None, Found.UNREADABLE
    return sha256, rules.judged(stored=stored.sha256, found=sha256)


def _keep(
    run: FixityRun,
    last: StoredFile | None,
    checked: int,
    size: int,
    found: list[tuple[StoredFile, Found, str]],
    whole: Sequence[UUID] = (),
) -> FixityRun:
    now = timezone.now()
    with transaction.atomic():
        _as_the_office("check_store")
        # Two jobs on one run: the second finds that the place has moved, and leaves its part.
        mine = FixityRun.objects.filter(pk=run.pk, after=run.after, finished_at=None)
        if last is None:
            mine.update(finished_at=now)
        elif mine.update(
            after=last.pk,
            files=F("files") + checked,
            size_bytes=F("size_bytes") + size,
            problems=F("problems") + len(found),
        ):
            again = FixityProblem.objects.filter(file__in=whole, resolved_at=None)
            again.filter(whole_again_at=None).update(whole_again_at=now)
            for stored, judged, sha256 in found:
                _note(run, stored, judged, sha256, now)
    run.refresh_from_db()
    return run


def pass_over(run: FixityRun) -> FixityRun:
    """Leave out the next file of a run, whose reading ended the worker each time."""
    rows = StoredFile.objects.filter(stored_at__lte=run.until).order_by("pk")
    if run.after is not None:
        rows = rows.filter(pk__gt=run.after)
    stored = rows.first()
    if stored is None:
        return run
    return _keep(run, stored, 1, stored.size_bytes, [(stored, Found.UNREADABLE, "")])


def _note(run: FixityRun, stored: StoredFile, kind: Found, sha256: str, now: datetime) -> None:
    again = FixityProblem.objects.filter(file=stored, resolved_at=None)
    said = {"kind": kind.value, "found_sha256": sha256, "last_seen_at": now}
    if again.update(**said, whole_again_at=None):
        return
    FixityProblem.objects.create(
        file=stored, run=run, kind=kind.value, found_sha256=sha256, found_at=now, last_seen_at=now
    )


@action
def resolve_problem(actor: Staff, *, problem_id: UUID, version: int, reason: str) -> None:
    """Settle a missing or altered file, saying what was done about it.

    The next run looks at the file again, and raises the alarm again where it is not whole.
    Raises NotAllowed, NotKnown, Refused.
    """
    require_looker(actor)
    keys.recall()
    problem = FixityProblem.objects.select_for_update().filter(pk=problem_id).first()
    if problem is None:
        raise NotKnown("There is no such problem.")
    if problem.version != version or problem.resolved_at is not None:
        raise Refused("Someone else has already settled this.")
    problem.resolution = require_reason(reason)[:500]
    problem.resolved_at = timezone.now()
    problem.resolved_by = actor
    problem.version += 1
    problem.save()

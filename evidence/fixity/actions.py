"""Runs over the store, what they find, and settling it."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import IntegrityError, connection, transaction
from django.db.models import F, Q
from django.utils import timezone

from evidence import store
from evidence.fixity import reading, rules
from evidence.fixity.models import FixityProblem, FixityRun
from evidence.fixity.reading import NotWhole
from evidence.fixity.rules import Found
from evidence.store import lying
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit import keys
from me_office.audit.actions import action
from me_office.audit.errors import NotAllowed, Refused, known_of_office
from me_office.audit.records import require_reason

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
    """Check the next files of a run; the place is kept with what was found.

    Files are read by kind and key, then the store is looked through for what no row names. A job
    that dies in between checks those files again, and finds the same. Raises StoreAway where not
    one file could be read.
    """
    until = time.monotonic() + seconds
    while run.finished_at is None:
        if reading.part_of(run) == reading.LOOKED_THROUGH:
            return _look_through(run, until=until)
        before = run.after
        run = _read_on(
            run, files=files, seconds=seconds, most_bytes_a_second=most_bytes_a_second, rest=rest
        )
        if run.after is not None and run.after != before:
            return run
    return run


def _read_on(
    run: FixityRun, *, files: int, seconds: float, most_bytes_a_second: int, rest: Rest
) -> FixityRun:
    """Read the next files of one kind; go to the next kind where none is left."""
    model, rows = reading.rows_left(run)
    checked, size = 0, 0
    whole: list[str] = []
    found: list[NotWhole] = []
    began = time.monotonic()
    last: UUID | None = None
    for row in rows[:files]:
        try:
            seen = reading.read(model, row)
        except store.StoreAway:
            # Nothing is known of this file: what was read before it is kept, the rest is for later.
            if last is None:
                raise
            break
        if seen.found is Found.WHOLE:
            whole.append(seen.path)
        else:
            found.append(seen)
        checked, size, last = checked + 1, size + row.size_bytes, row.pk
        spent = time.monotonic() - began
        if spent >= seconds:
            break
        wait = rules.seconds_to_wait(
            size_bytes=size, seconds=spent, most_bytes_a_second=most_bytes_a_second
        )
        if wait:
            rest(wait)
    if last is None:
        following = reading.parts()[reading.parts().index(reading.part_of(run)) + 1]
        return _keep(run, {"part": following, "after": None})
    return _keep(
        run,
        {"after": last, "files": F("files") + checked, "size_bytes": F("size_bytes") + size},
        found,
        whole,
    )


def _look_through(run: FixityRun, *, until: float) -> FixityRun:
    """Name what lies in the store and no row names, folder by folder."""
    for folder, names in lying.folders(after=run.place):
        found, young = reading.unnamed_in(names, now=run.begun_at)
        unknown = {one.path for one in found}
        named_now = [name for name in names if name not in unknown]
        run = _keep(run, {"place": folder, "unfinished": F("unfinished") + young}, found, named_now)
        if run.finished_at is not None or time.monotonic() >= until:
            return run
    return _keep(run, {"finished_at": timezone.now()})


def _keep(
    run: FixityRun,
    place: dict[str, Any],
    found: Sequence[NotWhole] = (),
    whole: Sequence[str] = (),
) -> FixityRun:
    now = timezone.now()
    with transaction.atomic():
        _as_the_office("check_store")
        # Two jobs on one run: the second finds that the place has moved, and leaves its part.
        mine = FixityRun.objects.filter(
            pk=run.pk, part=run.part, after=run.after, place=run.place, finished_at=None
        )
        if mine.update(problems=F("problems") + len(found), **place):
            again = FixityProblem.objects.filter(resolved_at=None, whole_again_at=None)
            if reading.part_of(run) == reading.LOOKED_THROUGH:
                again = again.filter(kind=Found.UNNAMED.value)
                if "finished_at" in place:  # and those that nobody saw any more
                    again.filter(last_seen_at__lt=run.begun_at).update(whole_again_at=now)
            again.filter(path__in=whole).update(whole_again_at=now)
            for one in found:
                _note(run, one, now)
    run.refresh_from_db()
    return run


def pass_over(run: FixityRun) -> FixityRun:
    """Leave out the next file of a run, whose reading ended the worker each time."""
    if reading.part_of(run) == reading.LOOKED_THROUGH:
        return _keep(run, {"finished_at": timezone.now()})
    model, rows = reading.rows_left(run)
    row = rows.first()
    if row is None:
        return run
    found = reading.unread(model, row, Found.UNREADABLE)
    place = {
        "after": row.pk,
        "files": F("files") + 1,
        "size_bytes": F("size_bytes") + row.size_bytes,
    }
    return _keep(run, place, [found])


def _note(run: FixityRun, one: NotWhole, now: datetime) -> None:
    same = Q(path=one.path)
    if one.file_id is not None:
        same |= Q(file=one.file_id)
    again = FixityProblem.objects.filter(same, resolved_at=None)
    said = {
        "kind": one.found.value,
        "found_sha256": one.found_sha256,
        "last_seen_at": now,
    }
    if again.update(**said, whole_again_at=None):
        return
    FixityProblem.objects.create(
        file_id=one.file_id,
        named_by=one.named_by,
        row=one.row,
        path=one.path,
        sha256=one.sha256,
        size_bytes=one.size_bytes,
        run=run,
        found_at=now,
        **said,
    )


@action
def resolve_problem(actor: Staff, *, problem_id: UUID, version: int, reason: str) -> None:
    """Settle a missing or altered file, saying what was done about it.

    The next run looks at the file again, and raises the alarm again where it is not whole.
    Raises NotAllowed, NotKnown, Refused.
    """
    require_looker(actor)
    keys.recall()
    problem = known_of_office(
        FixityProblem.objects.select_for_update().filter(pk=problem_id).first(), "problem"
    )
    if problem.version != version or problem.resolved_at is not None:
        raise Refused("Someone else has already settled this.")
    problem.resolution = require_reason(reason)[:500]
    problem.resolved_at = timezone.now()
    problem.resolved_by = actor
    problem.version += 1
    problem.save()

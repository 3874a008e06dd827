"""A worker that is killed in what the office does unasked leaves nothing half done."""

from __future__ import annotations

import importlib
import os
import signal
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from functools import partial
from typing import Any
from uuid import uuid5

import pytest
from django.utils import timezone

from evidence import store
from evidence.fixity import tasks as fixity_tasks
from evidence.fixity.models import FixityRun
from evidence.intake import tasks as intake_tasks
from evidence.photographs import tasks as photograph_tasks
from evidence.photographs.models import DerivedImage, Photograph
from evidence.photographs.tile_tasks import derive_tiles
from evidence.store.models import StoredFile
from me_office.accounts.roles import Role
from me_office.jobs.models import JobProgress
from me_office.jobs.rules import SILENCE
from tests.apart import Apart
from tests.builders import make_case, make_staff
from tests.evidence.pictures import add, picture_bytes
from tests.evidence.tus import Sender

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("processes")]


def die_at(name: str, job: str, pk: object, *, after: bool) -> None:
    """Do a job in a process of its own, which ends before or after a function of the job's."""
    module, _, attribute = name.rpartition(".")
    where = importlib.import_module(module)
    plain = getattr(where, attribute)

    def dies(*args: Any, **keywords: Any) -> None:
        if after:
            plain(*args, **keywords)
        os.kill(os.getpid(), signal.SIGKILL)

    setattr(where, attribute, dies)
    KINDS[job].job(pk)


@dataclass(frozen=True)
class Kind:
    """One kind of the office's own work: the job of a photograph or upload, and what it made."""

    job: Callable[[Any], str]
    key: Callable[[Any], Any]
    made: Callable[[], Any]
    whole: Any
    done: str = "made"
    dies_in: str = "evidence.store.publishing._move"


def copies() -> list[str]:
    """Return the kinds of the copies that there are, each as often as it is there."""
    return sorted(DerivedImage.objects.values_list("kind", flat=True))


KINDS = {
    "preview": Kind(
        lambda pk: photograph_tasks.derive_images(photograph_id=str(pk)),
        lambda pk: pk,
        copies,
        ["screen", "thumb"],
    ),
    "tiles": Kind(
        lambda pk: derive_tiles(photograph_id=str(pk)),
        lambda pk: uuid5(pk, "tiles"),
        copies,
        ["tiles"],
    ),
    "taking in": Kind(
        lambda pk: intake_tasks.take_in_upload(upload_id=str(pk)),
        lambda pk: uuid5(pk, "take in"),
        lambda: list(Photograph.objects.values_list("preview", flat=True)),
        ["waiting"],
        "taken in",
    ),
    "reading the store": Kind(
        lambda pk: fixity_tasks.check_store(),
        lambda pk: FixityRun.objects.get().pk,
        lambda: list(FixityRun.objects.filter(files__gt=0).values_list("files", "problems")),
        [(1, 0)],
        "going on",
        "evidence.fixity.reading.read",
    ),
}


@pytest.mark.parametrize("name", KINDS)
def test_a_killed_worker_leaves_nothing_half_done_and_a_later_one_completes(name, client):
    kind = KINDS[name]
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    if name == "taking in":
        client.force_login(vasko)
        sender = Sender(client, case, picture_bytes())
        sender.begin()
        sender.send(0)
        pk = sender.key
    else:
        pk = add(vasko, case, picture_bytes()).pk
    JobProgress.objects.all().delete()
    for attempt, after in enumerate((False, True), start=1):
        ended = Apart(partial(die_at, after=after), kind.dies_in, name, pk).wait()
        assert ended == -signal.SIGKILL, f"the job ended without {kind.dies_in}"
        assert kind.made() == []
        row = JobProgress.objects.get(key=kind.key(pk))
        assert (row.attempts, 0 < row.percent < 100) == (attempt, True)
        # A message that is delivered again while the dead worker still counts as alive.
        assert kind.job(pk) == "under way"
        JobProgress.objects.update(beat_at=timezone.now() - SILENCE - timedelta(seconds=1))
    assert kind.job(pk) == kind.done
    assert kind.made() == kind.whole
    # Whatever the dead ones left in the store, every file that is recorded is whole.
    for stored in StoredFile.objects.all():
        assert store.digest_if_there(stored.path) == stored.sha256

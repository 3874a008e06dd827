"""The database goes away while an answer is built: one right answer, or one that is taken up."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from uuid import UUID

import pytest
from django.core.files.storage import default_storage
from django.db import connection
from django.utils import timezone

from cases.answers import tasks
from cases.answers.models import Answer, NumberedPages, PageRun
from cases.packets import store
from evidence.store import holds
from me_office.accounts.roles import Role
from me_office.jobs import queries as job_queries
from me_office.jobs.models import JobProgress
from me_office.jobs.rules import SILENCE
from tests.answers.decided import asked_answer, decided_request
from tests.apart import Apart
from tests.builders import make_case, make_staff
from tests.conftest import LONGEST_WAIT
from tests.evidence.items import take
from tests.faults.relay import Relay
from tests.packets.builders import make_clerk
from tests.packets.reading import complaint_of, unpacked

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("processes")]


@pytest.fixture(scope="module")
def wire(django_db_setup: None) -> Iterator[Relay]:
    there = Relay()
    yield there
    there.close()


@pytest.fixture
def answer() -> Answer:
    """A small one that was asked for: the custody record of an open case."""
    clerk, case = make_clerk(), make_case()
    take(make_staff(Role.PATHOLOGIST), case)
    return asked_answer(decided_request(case, clerk, kinds=("custody record",)), clerk)


def make_over(folder: str, key: UUID, careless: bool) -> None:
    """Make the answer as a worker does that reaches the database over a wire."""
    connection.settings_dict["HOST"] = folder
    connection.close()
    if careless:  # the control: as if whatever is not confirmed were not kept
        store.take_back = lambda path, rows: store.remove(path)  # type: ignore[assignment]
    tasks.make_requested(key)


def cut_at_the_end(wire: Relay, answer: Answer, *, answered: bool, careless: bool = False) -> str:
    """Cut the wire where the answer is kept; return the name of the file that was published."""
    path = store.path_of(answer.pk, answer.attempts + 1)
    wire.watch(path.encode(), answered=answered)
    worker = Apart(make_over, wire.folder.name, answer.pk, careless)
    assert wire.arrived.wait(LONGEST_WAIT)
    wire.cut()
    assert worker.wait() != 0, "its worker says that it failed"
    wire.mend()
    answer.refresh_from_db()
    return path


def fall_silent(answer: Answer) -> None:
    long_ago = timezone.now() - SILENCE - timedelta(seconds=1)
    JobProgress.objects.filter(key=answer.pk).update(beat_at=long_ago, sent_at=long_ago)


def files_of(answer: Answer) -> list[Path]:
    folder = Path(default_storage.path("."))
    return sorted(path for path in folder.rglob(f"*{answer.pk}*") if path.is_file())


def test_an_answer_that_could_not_be_kept_is_taken_up_and_made_once(
    wire, answer, tmp_path, monkeypatch
):
    monkeypatch.setattr(job_queries, "is_idle", lambda queue: True)  # its message was taken
    path = cut_at_the_end(wire, answer, answered=False)
    assert (answer.state, answer.attempts, answer.path) == ("making", 1, "")
    assert not NumberedPages.objects.exists()
    fall_silent(answer)
    assert tasks.resume_answers() == 1
    assert tasks.build_answer(request_id=str(answer.pk)) == "made"
    answer.refresh_from_db()
    assert (answer.attempts, answer.path != path) == (2, True)
    assert files_of(answer) == [Path(default_storage.path(answer.path))]
    assert complaint_of(unpacked(answer, tmp_path)) == ""
    first, second = PageRun.objects.filter(answer=answer).order_by("first")
    assert first.last < second.first
    assert set(NumberedPages.objects.values_list("run", flat=True)) == {second.pk}


@pytest.mark.parametrize("careless", [False, True], ids=["as it is", "control"])
def test_an_answer_whose_keeping_was_not_confirmed_is_whole(wire, answer, careless):
    path = cut_at_the_end(wire, answer, answered=True, careless=careless)
    assert (answer.state, answer.path) == ("made", path)
    assert tasks.build_answer(request_id=str(answer.pk)) == "nothing to do"
    assert holds(answer.path, answer.sha256) is not careless

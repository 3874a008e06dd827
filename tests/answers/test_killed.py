"""A worker that is killed anywhere leaves no half answer, and no page number twice."""

from __future__ import annotations

import errno
import signal
from itertools import pairwise
from pathlib import Path

import pytest
from django.core.files.storage import default_storage

from cases.answers import build, tasks
from cases.answers.actions import retry_answer
from cases.answers.models import NumberedPages, PageRun
from cases.packets import store
from evidence.store import holds
from me_office.jobs import queries as job_queries
from me_office.jobs.running import STOPPED
from tests.answers.builders import asked_of_open_case
from tests.apart import Apart
from tests.jobs.killed import die_at, fall_silent, files_of
from tests.packets.builders import make_clerk
from tests.packets.reading import complaint_of, unpacked

WORK = "cases.answers.tasks.make_requested"
# Before a number is given, with numbers given, with the pages ready, with the ZIP ready, after it.
STAGES = ["photographs", "combine", "lists", "publish", "published"]


@pytest.mark.django_db(transaction=True)
@pytest.mark.usefixtures("processes")
def test_a_worker_killed_at_any_stage_leaves_no_half_answer_and_a_later_one_completes(
    tmp_path, monkeypatch
):
    monkeypatch.setattr(job_queries, "is_idle", lambda queue: True)  # its message was taken
    clerk = make_clerk()
    answer = asked_of_open_case(clerk, photographs=2)
    for attempt, stage in enumerate(STAGES, start=1):
        assert Apart(die_at, stage, WORK, answer.pk).wait() == -signal.SIGKILL
        answer.refresh_from_db()
        assert (answer.state, answer.attempts) == ("making", attempt)
        assert (answer.path, answer.sha256, answer.built_at) == ("", "", None)
        assert not NumberedPages.objects.exists()
        fall_silent(answer)
        # Nobody has to ask: it is taken up each minute, and what ends every worker is given up.
        assert tasks.resume_answers() == 1
    answer.refresh_from_db()
    assert (answer.state, answer.failure) == ("failed", STOPPED.format(attempts=len(STAGES)))
    retry_answer(clerk, case_id=answer.case_id, answer_id=answer.pk, version=answer.version)
    assert tasks.build_answer(request_id=str(answer.pk)) == "made"
    answer.refresh_from_db()
    assert files_of(answer) == [Path(default_storage.path(answer.path))]
    assert list(store.work_place().glob(f"packet-{answer.pk}-*")) == []
    assert holds(answer.path, answer.sha256)
    assert complaint_of(unpacked(answer, tmp_path)) == ""
    runs = list(PageRun.objects.filter(answer=answer).order_by("first"))
    assert [run.attempt for run in runs] == [2, 3, 4, 5, 6], "the first died before a number"
    assert all(one.last < other.first for one, other in pairwise(runs))
    assert set(NumberedPages.objects.values_list("run", flat=True)) == {runs[-1].pk}


@pytest.mark.django_db(transaction=True)
def test_a_full_disk_is_said_leaves_nothing_and_can_be_tried_again(monkeypatch):
    clerk = make_clerk()
    answer = asked_of_open_case(clerk, photographs=2)

    def full(*args, **kwargs):
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as now:
        now.setattr(build, "write_zip", full)
        assert tasks.build_answer(request_id=str(answer.pk)) == "failed"
    answer.refresh_from_db()
    assert answer.state == "failed"
    assert answer.failure
    assert files_of(answer) == []

    retry_answer(clerk, case_id=answer.case_id, answer_id=answer.pk, version=answer.version)
    assert tasks.build_answer(request_id=str(answer.pk)) == "made"
    assert PageRun.objects.filter(answer=answer).count() == 2

"""The worker fixture runs real jobs in a process of its own, on the test's database."""

from __future__ import annotations

import os

import pytest

from tests import loaded
from tests.apart import Apart
from tests.conftest import Worker


def end_well_where_all_was_there() -> None:
    os._exit(0 if os.getpid() != loaded.LOADED_BY else 1)


@pytest.mark.usefixtures("processes")
def test_what_runs_apart_finds_the_office_loaded(transactional_db: None) -> None:
    assert Apart(end_well_where_all_was_there).wait() == 0


def test_a_worker_starts_answers_and_ends(worker: Worker) -> None:
    worker.start()
    assert worker.process is not None
    assert worker.process.poll() is None
    worker.stop()
    assert worker.process.poll() == 0


def test_a_killed_worker_can_be_started_again(worker: Worker) -> None:
    worker.start()
    worker.kill()
    worker.start()
    assert worker.process is not None
    assert worker.process.poll() is None

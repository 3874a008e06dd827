"""The worker fixture runs real jobs in a process of its own, on the test's database."""

from __future__ import annotations

from tests.conftest import Worker


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

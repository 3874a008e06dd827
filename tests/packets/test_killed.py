"""A worker that is killed anywhere leaves no half packet, and a later attempt completes it."""

from __future__ import annotations

import signal
from pathlib import Path

import psycopg
import pytest
from django.core.files.storage import default_storage
from django.db import connection

from cases.packets import store, tasks
from cases.packets.models import Packet
from evidence.store import holds
from me_office.audit.ids import new_id
from me_office.jobs import actions as jobs
from me_office.jobs import queries
from tests.apart import Apart
from tests.conftest import LONGEST_WAIT, Worker
from tests.jobs.killed import die_at, fall_silent, files_of
from tests.packets.builders import make_clerk, make_packet, make_request, packet_for, signed_case
from tests.packets.reading import complaint_of, unpacked

WORK = "cases.packets.tasks.make_requested"
STAGES = ["photographs", "report", "zip", "publish", "published"]


def work_folders_of(packet: Packet) -> list[Path]:
    """Return the private folders that attempts at a packet left."""
    return sorted(store.work_place().glob(f"packet-{packet.pk}-*"))


@pytest.mark.django_db(transaction=True)
@pytest.mark.usefixtures("processes")
def test_a_worker_killed_at_any_stage_leaves_no_half_packet_and_a_later_one_completes(
    client, tmp_path
):
    clerk = make_clerk()
    packet = packet_for(signed_case(), clerk)
    client.force_login(clerk)
    download = f"/cases/{packet.case_id}/packets/{packet.pk}/packet.zip"
    for attempt, stage in enumerate(STAGES, start=1):
        assert Apart(die_at, stage, WORK, packet.pk).wait() == -signal.SIGKILL
        packet.refresh_from_db()
        assert (packet.state, packet.attempts) == ("making", attempt)
        assert (packet.path, packet.sha256, packet.built_at) == ("", "", None)
        assert client.get(download).status_code == 404
        # A message that is delivered again while the dead worker still counts as alive.
        assert tasks.build_packet(request_id=str(packet.pk)) == "nothing to do"
        # What the one before left is gone; its own is left where it was in it.
        assert len(work_folders_of(packet)) == (stage != "published")
        fall_silent(packet)
    assert tasks.build_packet(request_id=str(packet.pk)) == "made"
    packet.refresh_from_db()
    assert (packet.state, packet.attempts) == ("made", len(STAGES) + 1)
    assert files_of(packet) == [Path(default_storage.path(packet.path))]
    assert work_folders_of(packet) == []
    assert holds(packet.path, packet.sha256)
    assert complaint_of(unpacked(packet, tmp_path)) == ""
    fetched = client.get(download)
    assert fetched.status_code == 200
    assert len(fetched.getvalue()) == packet.size_bytes


@pytest.mark.django_db(transaction=True)
def test_an_attempt_that_comes_back_after_another_finished_changes_nothing(monkeypatch):
    clerk = make_clerk()
    packet = packet_for(signed_case(), clerk)

    came_out: list[object] = []  # compared outside: a job notes whatever is raised in it
    monkeypatch.setattr(queries, "is_idle", lambda queue: True)  # its message counts as lost

    def overtaken(stage: str) -> None:
        if stage == "zip":
            fall_silent(packet)
            # It lives and holds its lock: silence alone does not end it.
            came_out.append(tasks.build_packet(request_id=str(packet.pk)))
            came_out.append(tasks.resume_packets())
            monkeypatch.setattr(jobs, "is_held", lambda key: False)  # as after a lost connection
            came_out.append(tasks.build_packet(request_id=str(packet.pk)))
            # Its folder is its own for as long as it works in it.
            came_out.append(len(work_folders_of(packet)))

    assert tasks.make_requested(packet.pk, reached=overtaken) == "taken over"
    assert came_out == ["nothing to do", 0, "made", 1]
    packet.refresh_from_db()
    assert (packet.state, packet.attempts) == ("made", 2)
    assert files_of(packet) == [Path(default_storage.path(packet.path))]
    assert holds(packet.path, packet.sha256)


@pytest.mark.django_db(transaction=True)
def test_an_attempt_that_is_overtaken_at_the_very_end_removes_its_file(monkeypatch):
    monkeypatch.setattr(jobs, "is_held", lambda key: False)  # as after a lost connection
    clerk = make_clerk()
    packet = packet_for(signed_case(), clerk)

    came_out: list[str] = []

    def overtaken(stage: str) -> None:
        if stage == "published":
            fall_silent(packet)
            came_out.append(tasks.build_packet(request_id=str(packet.pk)))

    assert tasks.make_requested(packet.pk, reached=overtaken) == "taken over"
    assert came_out == ["made"]
    packet.refresh_from_db()
    assert files_of(packet) == [Path(default_storage.path(packet.path))]
    assert holds(packet.path, packet.sha256)


@pytest.mark.django_db
def test_a_folder_that_is_cleared_away_before_it_is_locked_is_made_again(monkeypatch):
    key, plain, cleared = new_id(), store.fcntl.flock, []

    def flock(handle: int, how: int) -> None:
        # Another worker clears up in the moment between making the folder and locking it.
        if how == store.fcntl.LOCK_EX and not cleared:
            cleared.append(0)
            cleared.append(store.remove_left_folders())
        plain(handle, how)

    monkeypatch.setattr(store.fcntl, "flock", flock)
    with store.work_folder(key, 1) as folder:
        assert cleared == [0, 1]
        (folder / "file").write_bytes(b"x")
        assert store.remove_left_folders() == 0
        assert (folder / "file").exists()
    assert not folder.exists()


def test_a_folder_that_was_made_again_meanwhile_is_left_to_its_owner(monkeypatch):
    left = store.work_place() / "packet-left-1"
    left.mkdir(parents=True)
    plain = store.fcntl.flock

    def flock(handle: int, how: int) -> None:
        # Somebody else has cleared it away, and its name was given again, before this lock came.
        left.rmdir()
        left.mkdir()
        plain(handle, how)

    with monkeypatch.context() as patch:
        patch.setattr(store.fcntl, "flock", flock)
        assert store.remove_left_folders() == 0
    assert left.exists()
    assert store.remove_left_folders() == 1


def wait_for(packet: Packet, state: str) -> None:
    """Wait until the row says so."""
    for _ in range(LONGEST_WAIT * 10):
        packet.refresh_from_db()
        if packet.state == state:
            return
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_sleep(0.1)")
    pytest.fail(f"the packet stayed {packet.state}")


def another_connection() -> psycopg.Connection:
    """Connect to the test's database beside Django."""
    settings = connection.get_connection_params()
    reach = ("host", "port", "dbname", "user", "password")
    return psycopg.connect(**{name: settings[name] for name in reach if settings.get(name)})


def test_a_real_worker_builds_is_killed_and_another_takes_over(worker: Worker, tmp_path):
    clerk = make_clerk()
    asked = make_request(signed_case(), clerk)
    worker.start()
    with another_connection() as blocking:
        # The worker stops where it reads the photographs, after it began: it can be killed there.
        blocking.execute("LOCK TABLE evidence_photograph IN ACCESS EXCLUSIVE MODE")
        packet = make_packet(asked, clerk)
        wait_for(packet, "making")
        worker.kill()
    packet.refresh_from_db()
    assert (packet.state, packet.attempts, packet.path) == ("making", 1, "")
    assert files_of(packet) == []
    worker.start()
    fall_silent(packet)
    assert tasks.resume_packets() == 1
    wait_for(packet, "made")
    assert packet.attempts == 2
    assert complaint_of(unpacked(packet, tmp_path)) == ""

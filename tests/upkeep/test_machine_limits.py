"""What is said of folders, disks, proxy and broker where several come together. No database."""

from __future__ import annotations

import os
import tempfile
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from me_office.upkeep import route
from me_office.upkeep.conditions import State
from me_office.upkeep.parts import address, broker, machine

ORIGIN = "https://office.invalid"
WELL = route.Seen("", "", 80, 200, True, "198.51.100.7", "192.0.2.9", True, False)


@pytest.fixture
def folders(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> dict[str, Path]:
    found = {name: tmp_path / name for name in ("ME_DATA_DIR", "ME_SPOOL_DIR", "ME_FILE_STORE")}
    for path in found.values():
        path.mkdir(mode=0o700)
    monkeypatch.setattr(machine, "folders", lambda: found)
    monkeypatch.setattr(machine.os, "geteuid", lambda: 10001)
    return found


@pytest.mark.parametrize("mode", [0o701, 0o702, 0o704])
@pytest.mark.parametrize("name", ["ME_SPOOL_DIR", "ME_FILE_STORE"])
def test_any_right_of_everybody_on_a_folder_is_dangerous(
    folders: dict[str, Path], name: str, mode: int
):
    folders[name].chmod(mode)
    (said,) = machine.writable()
    assert said.state is State.DANGER and f"({name})" in said.says
    folders[name].chmod(0o770)
    assert [one.state for one in machine.writable()] == [State.RIGHT]


def test_the_data_folder_alone_may_lie_where_nobody_can_write(
    folders: dict[str, Path], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(machine.os, "access", lambda *_: False)
    monkeypatch.setattr(machine.os, "statvfs", lambda _: SimpleNamespace(f_flag=os.ST_RDONLY))
    found = list(machine.writable())
    assert {one.state for one in found} == {State.WRONG}
    assert [one.says.split()[0] for one in found] == ["ME_SPOOL_DIR", "ME_FILE_STORE"]


def test_two_open_folders_are_both_named_and_static_files_may_be_read(folders: dict[str, Path]):
    for path in folders.values():
        path.chmod(0o755)
    assert [one.to_do.split("/")[-1] for one in machine.writable()] == [
        "ME_SPOOL_DIR", "ME_FILE_STORE",
    ]  # fmt: skip


def test_a_disk_that_holds_several_has_room_for_the_one_that_wants_most(
    folders: dict[str, Path], settings: Any, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
):
    monkeypatch.setattr(tempfile, "gettempdir", lambda: str(tmp_path))
    settings.STORE_LITTLE_ROOM_BYTES = 3 * machine.TEMPORARY_BYTES
    ((names, _, wanted),) = machine._disks()
    assert names == ", ".join([*folders, str(tmp_path)])
    assert wanted == 3 * machine.TEMPORARY_BYTES


def test_a_file_system_that_counts_no_entries_is_not_full(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
):
    room = {"f_frsize": 4096, "f_blocks": 9, "f_bfree": 8, "f_bavail": 7, "f_favail": 0}
    for counted, left in ((0, None), (9, 0)):
        told = SimpleNamespace(**room, f_files=counted)
        monkeypatch.setattr(machine.os, "statvfs", lambda _, told=told: told)
        assert machine.room_at(tmp_path) == (7 * 4096, left)


@pytest.mark.parametrize("status", [502, 503, 504])
def test_a_proxy_without_a_web_process_is_no_stranger(status: int):
    (said,) = address._somebody_else(ORIGIN, replace(WELL, status=status, secure=None))
    assert "finds no web process" in said.says


def test_without_tls_a_proxy_need_not_say_how_a_request_came(settings: Any):
    seen = replace(WELL, secure=False)
    settings.HTTPS = True
    assert [one.state for one in address._proxy(ORIGIN, seen)] == [State.WRONG]
    settings.HTTPS = False
    assert list(address._proxy(ORIGIN, seen)) == []


def test_several_faults_of_a_proxy_are_said_at_once(settings: Any):
    settings.HTTPS = True
    seen = replace(WELL, secure=False, said=route.FORGED, refuses_photographs=True)
    assert len(list(address._proxy(ORIGIN, seen))) == 3


@pytest.mark.parametrize(
    ("most", "policy", "dangers"),
    [(0, "allkeys-lru", 0), (1, "allkeys-lru", 1), (1, "volatile-ttl", 1), (1, "noeviction", 0)],
)
def test_a_queue_without_a_bound_throws_nothing_away(most: int, policy: str, dangers: int):
    found = list(broker._kept({"maxmemory": most, "maxmemory_policy": policy}))
    assert [one.state for one in found] == [State.DANGER] * dangers


def test_the_mark_of_another_office_stays_in_its_queue(monkeypatch: pytest.MonkeyPatch):
    kept: dict[str, bytes] = {}

    class Queue:
        def set(self, key: str, value: str, *, nx: bool = False) -> None:
            if not (nx and key in kept):
                kept[key] = value.encode()

        def get(self, key: str) -> bytes | None:
            return kept.get(key)

    queue: Any = Queue()
    for office in ("first", "second"):
        monkeypatch.setattr(broker, "this_database", lambda own=office: own)
        assert broker._owner(queue) == "first"
    assert len(list(broker._ours("first"))) == 1

"""What the first page says of the store: nothing of one that is away; both sides of its room."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from evidence import store
from evidence.fixity import alarms


@pytest.mark.parametrize("error", [store.StoreAway(), PermissionError(), TimeoutError()], ids=repr)
def test_a_store_that_does_not_answer_is_not_called_another_office_s(
    monkeypatch: pytest.MonkeyPatch, error: Exception
):
    def away() -> None:
        raise error

    monkeypatch.setattr(store, "is_away", lambda: False)
    monkeypatch.setattr(store, "whose", away)
    assert alarms.wrong_store() == ""


@pytest.mark.parametrize("whose", store.Whose)
def test_every_store_that_is_not_the_office_s_is_said_to_be(
    monkeypatch: pytest.MonkeyPatch, whose: store.Whose
):
    monkeypatch.setattr(store, "is_away", lambda: False)
    monkeypatch.setattr(store, "whose", lambda: whose)
    # The last is one that was marked before a mark named its database: the next file completes it.
    good = {"OURS", "NEW", "UNMARKED", "UNCLAIMED"}
    assert alarms.wrong_store() == ("" if whose.name in good else whose.value)
    monkeypatch.setattr(store, "is_away", lambda: True)
    assert alarms.wrong_store() == ""


@pytest.mark.parametrize(("free", "alarm"), [(10**9 - 1, 1), (10**9, 0), (10**9 + 1, 0)])
def test_little_room_is_said_below_what_is_to_be_left(
    settings: Any, monkeypatch: pytest.MonkeyPatch, free: int, alarm: int
):
    settings.STORE_LITTLE_ROOM_BYTES = 10**9
    monkeypatch.setattr(alarms.shutil, "disk_usage", lambda _: SimpleNamespace(free=free))
    monkeypatch.setattr(store, "in_folder", lambda: True)
    assert len(alarms._little_room()) == alarm
    monkeypatch.setattr(store, "in_folder", lambda: False)
    assert alarms._little_room() == []

"""What is said of the file store: whether it answers, and whether a bucket is safe."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from types import SimpleNamespace

import pytest
from botocore.loaders import create_loader
from django.core.files.storage import default_storage

from evidence import store
from evidence.store.bucket import Bucket
from me_office.upkeep.conditions import State
from me_office.upkeep.parts import store as part
from tests.evidence.fake_bucket import Server, serving, use_bucket

pytestmark = [
    pytest.mark.django_db,
    # The S3 client leaves closing its sockets to the interpreter.
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]
SAFE = {
    "get_bucket_policy_status": {"PolicyStatus": {"IsPublic": False}},
    "get_bucket_acl": {"Grants": [{"Grantee": {"ID": "owner"}, "Permission": "FULL_CONTROL"}]},
    "get_bucket_versioning": {"Status": "Enabled"},
    "get_bucket_lifecycle_configuration": {
        "Rules": [
            {"ID": "unfinished", "Status": "Enabled",
             "AbortIncompleteMultipartUpload": {"DaysAfterInitiation": 7}},
            {"ID": "off", "Status": "Disabled", "Expiration": {"Days": 30}},
            {"ID": "marks", "Status": "Enabled", "Expiration": {"ExpiredObjectDeleteMarker": True}},
            {"ID": "warm", "Status": "Enabled", "Transitions": [{"StorageClass": "STANDARD_IA"}]},
        ]
    },
}  # fmt: skip


def rule(**said):
    rules = {"Rules": [{"ID": "old", "Status": "Enabled", **said}]}
    return {"get_bucket_lifecycle_configuration": rules}


DANGERS = {
    "public by policy": (
        {"get_bucket_policy_status": {"PolicyStatus": {"IsPublic": True}}}, "Everybody may read",
    ),
    "public by list": (
        {"get_bucket_acl": {"Grants": [
            {"Grantee": {"URI": "http://acs.amazonaws.com/groups/global/AllUsers"}}]}},
        "Everybody may read",
    ),
    "public to every account": (
        {"get_bucket_acl": {"Grants": [
            {"Grantee": {"URI": "http://acs.amazonaws.com/groups/global/AuthenticatedUsers"}}]}},
        "Everybody may read",
    ),
    "never versioned": ({"get_bucket_versioning": {}}, "no older versions"),
    "versions suspended": (
        {"get_bucket_versioning": {"Status": "Suspended"}}, "no older versions",
    ),
    "deleted after days": (rule(Expiration={"Days": 3650}), "rule old deletes"),
    "deleted on a day": (rule(Expiration={"Date": "2030-01-01"}), "rule old deletes"),
    "frozen": (rule(Transitions=[{"StorageClass": "GLACIER"}]), "rule old moves"),
    "frozen deep": (rule(Transitions=[{"StorageClass": "DEEP_ARCHIVE"}]), "rule old moves"),
}  # fmt: skip


@pytest.fixture
def server(settings, monkeypatch) -> Iterator[Server]:
    monkeypatch.setattr("botocore.session.create_loader", cache(create_loader))
    with serving() as it:
        use_bucket(settings, it)
        yield it


def test_a_store_that_answers_is_right_and_nothing_is_left_in_it(server):
    [said] = part.file_store()
    assert said.state is State.RIGHT
    assert said.says.endswith(" ms.")
    assert server.objects == {}


def test_a_folder_that_answers_is_right_and_no_bucket(settings, tmp_path):
    backend = {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        "OPTIONS": {"location": tmp_path},
    }
    settings.STORAGES = {**settings.STORAGES, "default": backend}
    said = [*part.file_store(), *part.bucket()]
    assert [one.state for one in said] == [State.RIGHT] * 2
    assert default_storage.listdir(store.INCOMING)[1] == []


def test_a_store_that_takes_nothing_is_wrong(server, monkeypatch):
    store.require_own_store()
    monkeypatch.setattr(store, "whose", lambda: store.Whose.OURS)
    server.fault = "503"
    [said] = part.file_store()
    assert (said.state, "nothing can be added" in said.says) == (State.WRONG, True)


def test_a_full_disk_is_named(server, monkeypatch):
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(part, "default_storage", SimpleNamespace(save=full))
    [said] = part.file_store()
    assert (said.state, "(No space left on device)" in said.says) == (State.WRONG, True)


def test_a_slow_store_is_said_to_be_slow(server, monkeypatch):
    moments = iter([0.0, part.SLOW_SECONDS + 0.1])
    monkeypatch.setattr(part, "monotonic", lambda: next(moments))
    [said] = part.file_store()
    assert (said.state, "2.1 s" in said.says) == (State.DANGER, True)


def test_nothing_is_written_to_the_store_of_another_office(server):
    server.objects[store.MARK] = b'{"office": "another"}'
    [said] = part.file_store()
    assert (said.state, list(server.objects)) == (State.RIGHT, [store.MARK])


def told(monkeypatch, **answers):
    monkeypatch.setattr(Bucket, "told", lambda self, operation: (SAFE | answers)[operation])


def test_a_safe_bucket_is_right(server, monkeypatch):
    told(monkeypatch)
    assert [said.state for said in part.bucket()] == [State.RIGHT]


@pytest.mark.parametrize(("answers", "words"), DANGERS.values(), ids=DANGERS)
def test_a_bucket_that_is_not_safe_is_dangerous(server, monkeypatch, answers, words):
    told(monkeypatch, **answers)
    [said] = part.bucket()
    assert (said.state, words in said.says) == (State.DANGER, True)


def test_what_a_server_does_not_tell_is_no_danger_and_no_store_that_is_away(server):
    server.fault = "denies"
    assert [said.state for said in part.bucket()] == [State.RIGHT]
    assert not default_storage.breaker.is_open

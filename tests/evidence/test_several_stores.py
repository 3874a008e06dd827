"""Which store is which: two folders of one bucket, a newer and an older copy, two storages."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage, default_storage

from evidence import store
from evidence.store import marking, moving
from evidence.store.bucket import Bucket
from tests.evidence.fake_bucket import kept

pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning")
BUCKET = {
    "bucket_name": "tarn", "location": "one", "endpoint_url": "https://s3.invalid",
    "region_name": "us-east-1", "access_key": "tarn", "secret_key": "tarn-county",
    "file_overwrite": False,
}  # fmt: skip


@pytest.mark.parametrize(
    ("changed", "same"),
    [
        ({}, True),
        ({"secret_key": "another"}, True),
        ({"bucket_name": "fell"}, False),
        ({"location": "two"}, False),
        ({"endpoint_url": "https://other.invalid"}, False),
    ],
    ids=str,
)
def test_a_place_is_a_server_a_bucket_and_a_folder(changed: dict[str, str], same: bool):
    one, other = Bucket(**BUCKET), Bucket(**{**BUCKET, **changed})
    assert moving.are_the_same(one, other) is same


def test_a_folder_is_the_same_by_whatever_way_it_is_named(tmp_path: Path):
    (tmp_path / "files").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "files")
    files, link = (FileSystemStorage(location=tmp_path / one) for one in ("files", "link"))
    assert moving.are_the_same(files, link)
    assert not moving.are_the_same(files, FileSystemStorage(location=tmp_path))
    assert not moving.are_the_same(files, Bucket(**BUCKET))


def test_of_what_is_unfinished_only_uploads_are_taken_along(tmp_path: Path):
    old, new = (FileSystemStorage(location=tmp_path / one) for one in ("old", "new"))
    for name in ("upload-0a/000-b", "upload-0a/001-b", "upload-1b/000-c", "made-2c/x", "alone"):
        old.save(f"incoming/{name}", ContentFile(name.encode()))
    new.save("incoming/upload-0a/000-b", ContentFile(b"less"))
    new.save("incoming/upload-0a/001-b", ContentFile(b"upload-0a/001-b"))
    assert moving.copy_unfinished(old, new) == 2
    assert sorted(new.listdir("incoming")[0]) == ["upload-0a", "upload-1b"]
    assert new.open("incoming/upload-0a/000-b").read() == b"upload-0a/000-b"
    assert moving.copy_unfinished(old, new) == 0


def folder(settings: Any, place: Path) -> None:
    settings.STORAGES = {
        **settings.STORAGES,
        "default": {
            "BACKEND": "django.core.files.storage.FileSystemStorage",
            "OPTIONS": {"location": place},
        },
    }


@pytest.mark.django_db
@pytest.mark.parametrize(("gone", "whose"), [(0, store.Whose.UNMARKED), (2, store.Whose.LOST)])
def test_the_newest_files_tell_and_not_the_oldest(
    settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, gone: int, whose: store.Whose
):
    folder(settings, tmp_path)
    monkeypatch.setattr(marking, "NEWEST", 2)
    files = [kept(letter) for letter in (b"first", b"second", b"third")]
    for name in (files[gone].path, store.MARK):
        default_storage.delete(name)
    assert store.whose() is whose


@pytest.mark.django_db
def test_that_one_storage_is_the_offices_says_nothing_of_the_next(
    settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    folder(settings, tmp_path)
    default_storage.save(store.MARK, ContentFile(b'{"office": "another"}'))
    monkeypatch.setattr(marking, "_found", (object(), float("inf")))
    with pytest.raises(store.WrongStore):
        store.require_own_store()

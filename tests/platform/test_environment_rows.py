"""Each row of what a setting is measured against, several of a kind, and both sides of a limit."""

from __future__ import annotations

from pathlib import Path

import pytest

from me_office.environment import checks
from me_office.environment.stores import storage_of

# General purpose bucket naming rules, Amazon S3 User Guide.
BEGINNINGS = ["xn--", "sthree-", "amzn-s3-demo-"]
ENDS = ["-s3alias", "--ol-s3", ".mrap", "--x-s3", "--table-s3"]


@pytest.mark.parametrize(
    "name", [f"{one}alder" for one in BEGINNINGS] + [f"alder{x}" for x in ENDS]
)
def test_a_bucket_is_not_named_as_s3_names_its_own(name: str):
    assert "S3 keeps for itself" in checks.bucket(name)
    assert checks.bucket(f"county-{name}-files".replace("..", ".")) == ""


def test_a_key_of_five_characters_is_hard_enough_to_guess_and_of_four_is_not():
    assert checks.secret("abcde" * 10) == ""
    assert checks.secret("abcd" * 13) != ""


@pytest.mark.parametrize("wide", ["0.0.0.0/0", "::/0"])
def test_one_network_of_every_address_among_narrow_ones_is_refused(wide: str):
    assert checks.networks("10.20.0.0/29, fd00:20::/64") == ""
    for value in (wide, f"10.20.0.0/29, {wide}", f"{wide}, 10.20.0.0/29"):
        assert "must not trust every address" in checks.networks(value)


@pytest.mark.parametrize("tail", ["/cases", "?next=1"])
def test_an_address_of_the_office_ends_after_its_host(tail: str):
    assert checks.origins("https://office.invalid:8443") == ""
    assert "without a path" in checks.origins(f"https://office.invalid, https://b.invalid{tail}")


def test_an_address_of_the_office_names_nobody():
    assert "must end after the host" in checks.origins("https://birch@office.invalid")


def test_everything_that_is_said_of_a_bucket_is_handed_on_and_nothing_is_written_over():
    said = {
        "ME_S3_BUCKET": "alder-files", "ME_S3_FOLDER": "/office/ ", "ME_S3_REGION": "us-east-1",
        "ME_S3_ENDPOINT": "https://s3.invalid", "ME_S3_ACCESS_KEY": "a", "ME_S3_SECRET_KEY": "s",
    }  # fmt: skip
    whole = {
        "bucket_name": "alder-files", "location": "office", "region_name": "us-east-1",
        "endpoint_url": "https://s3.invalid", "access_key": "a", "secret_key": "s",
        "file_overwrite": False, "default_acl": None,
    }  # fmt: skip
    handed = storage_of(said.__getitem__, Path("/files"))
    assert handed == {"BACKEND": "evidence.store.bucket.Bucket", "OPTIONS": whole}
    only = {"ME_S3_BUCKET": "alder-files"}
    bare = {"bucket_name", "location", "file_overwrite", "default_acl"}
    options = storage_of(lambda name: only.get(name, ""), Path("/files"))["OPTIONS"]
    assert isinstance(options, dict) and options.keys() == bare

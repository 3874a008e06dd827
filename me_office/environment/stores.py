"""Where originals are kept, as the environment says it: a folder, or a bucket of S3's protocol."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

NAMES = (
    "ME_S3_BUCKET", "ME_S3_FOLDER", "ME_S3_ENDPOINT", "ME_S3_REGION", "ME_S3_ACCESS_KEY",
    "ME_S3_SECRET_KEY",
)  # fmt: skip
_OPTIONS = {
    "endpoint_url": "ME_S3_ENDPOINT",
    "region_name": "ME_S3_REGION",
    "access_key": "ME_S3_ACCESS_KEY",
    "secret_key": "ME_S3_SECRET_KEY",
}


def storage_of(text: Callable[[str], str], folder: Path) -> dict[str, object]:
    """Return the storage that is set: the bucket that `text` names, else the folder."""
    bucket = text("ME_S3_BUCKET")
    if not bucket:
        return {
            "BACKEND": "django.core.files.storage.FileSystemStorage",
            "OPTIONS": {"location": folder},
        }
    options: dict[str, object] = {
        "bucket_name": bucket,
        # Nothing in the store is ever overwritten.
        "file_overwrite": False,
        "default_acl": None,
        "location": text("ME_S3_FOLDER").strip("/ "),
    }
    options |= {key: said for key, name in _OPTIONS.items() if (said := text(name))}
    return {"BACKEND": "evidence.store.bucket.Bucket", "OPTIONS": options}

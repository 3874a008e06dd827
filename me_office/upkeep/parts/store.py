"""The file store: is it the one that the database knows, does it answer, is a bucket safe?"""

from __future__ import annotations

from collections.abc import Iterator
from time import monotonic
from typing import TYPE_CHECKING
from uuid import uuid4

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from evidence import store
from evidence.store import Whose
from me_office.upkeep.conditions import DEAR_SECONDS, Said, condition, dangerous, right, wrong

if TYPE_CHECKING:
    from evidence.store.bucket import Bucket

# Three requests of a page's kind: longer than this, and people wait for each picture.
SLOW_SECONDS = 2.0
# Amazon S3 API reference and User Guide: the groups of an access list that are not the owner's, and
# the storage classes from which an object has to be brought back first.
EVERYBODY = {
    "http://acs.amazonaws.com/groups/global/AllUsers",
    "http://acs.amazonaws.com/groups/global/AuthenticatedUsers",
}
FROZEN = {"GLACIER", "DEEP_ARCHIVE"}

TO_DO = {
    Whose.LOST: "Mount the disk, or mend ME_FILE_STORE or ME_S3_BUCKET. After a move, when "
    "every file is there: manage.py mark_store.",
    Whose.UNREADABLE: "Look at what changed the file office.json in the store. When every other "
    "file is there: manage.py mark_store.",
    Whose.STRANGE: "Mend ME_FILE_STORE or ME_S3_BUCKET, or DATABASE_URL: one of them is another "
    "office's.",
    Whose.MOVED: "After manage.py move_store --switch the settings have to name the new store; "
    "before it, the old one. Mend ME_FILE_STORE or ME_S3_BUCKET, and restart the office.",
    Whose.COPYS: "Where this is the copy (a test, an old machine), give it a store of its own: "
    "ME_FILE_STORE or ME_S3_BUCKET. Where this is the office and the other database is no more "
    "(after pg_upgrade, or a dump restored by hand): manage.py mark_store --other-is-gone.",
    Whose.OTHERS: "Mend ME_FILE_STORE or ME_S3_BUCKET, or DATABASE_URL: one of them is another "
    "office's.",
}


@condition("whose store")
def whose_store() -> Iterator[Said]:
    """Does the store carry this office's mark?"""
    whose = store.whose()
    if whose in store.GOOD:
        yield right("The file store is this office's.")
        return
    yield wrong(
        f"The file store is not this office's: it is {whose}. Nothing can be added.", TO_DO[whose]
    )


@condition("file store", patience=20, good_for=DEAR_SECONDS)
def file_store() -> Iterator[Said]:
    """Does it take a small file, give it back and let it be removed, and how fast?"""
    if store.whose() not in store.GOOD:
        yield right("Nothing is written to a store that is not this office's.")
        return
    # As what is received: whatever a stopped process leaves of it is cleared away.
    path, content = f"{store.INCOMING}/{uuid4().hex}", b"Does the store answer?"
    began = monotonic()
    try:
        default_storage.save(path, ContentFile(content))
        with default_storage.open(path) as file:
            same = file.read() == content
        there = store.office_bucket()
        heedless = there is not None and there.send_new(path, content)
        default_storage.delete(path)
    except (OSError, store.StoreAway, store.StoreFault) as error:
        yield wrong(
            f"It does not take, give back or remove a file ({_reason(error)}): nothing can be "
            "added, and pictures may not be shown.",
            "Look at the disk, or at the bucket's server and its key's rights; the log says what "
            "was answered.",
        )
        return
    spent = monotonic() - began
    if not same:
        yield wrong("It gives back other bytes than it was given.", "Use another disk or server.")
    elif heedless:
        yield dangerous(
            "Its server does not keep to the condition of a write (If-None-Match): two offices "
            "that begin on it at the same moment may both take it for theirs.",
            "Bring the server up to date. Until then, let no second office name this bucket.",
        )
    elif spent > SLOW_SECONDS:
        yield dangerous(
            f"A small file took {spent:.1f} s: pages with pictures will be slow.",
            "Look at the disk, or at the line to the bucket's server.",
        )
    else:
        yield right(f"A small file was written, read and removed in {spent * 1000:.0f} ms.")


def _reason(error: Exception) -> str:
    return getattr(error, "strerror", None) or type(error).__name__


@condition("bucket", patience=20, good_for=DEAR_SECONDS)
def bucket() -> Iterator[Said]:
    """Is it closed to the public, does it keep what is deleted, and does no rule delete files?"""
    there = store.office_bucket()
    if there is None:
        yield right("The file store is a folder.")
        return
    found = [*_public(there), *_versions(there), *_rules(there)]
    yield from found or [right("Nothing that its server tells is dangerous.")]


def _public(there: Bucket) -> Iterator[Said]:
    status = (there.told("get_bucket_policy_status") or {}).get("PolicyStatus", {})
    grants = (there.told("get_bucket_acl") or {}).get("Grants", ())
    open_to = {grant.get("Grantee", {}).get("URI", "") for grant in grants}
    if status.get("IsPublic") or open_to & EVERYBODY:
        yield dangerous(
            "Everybody may read it: the photographs of every case.",
            "Take away the bucket's public policy and access list, and block public access.",
        )


def _versions(there: Bucket) -> Iterator[Said]:
    told = there.told("get_bucket_versioning")
    if told is not None and told.get("Status") != "Enabled":
        yield dangerous(
            "It keeps no older versions: what is deleted or written over, by a mistake or with a "
            "stolen key, is gone.",
            "Switch the bucket's versioning on.",
        )


def _rules(there: Bucket) -> Iterator[Said]:
    rules = (there.told("get_bucket_lifecycle_configuration") or {}).get("Rules", ())
    for rule in rules:
        if rule.get("Status") != "Enabled":
            continue
        name = rule.get("ID") or "without a name"
        if rule.get("Expiration", {}).keys() & {"Days", "Date"}:
            yield dangerous(
                f"The lifecycle rule {name} deletes files after a time.",
                "Take the rule away: originals are kept for as long as the case.",
            )
        classes = {one.get("StorageClass") for one in rule.get("Transitions", ())}
        if classes & FROZEN:
            yield dangerous(
                f"The lifecycle rule {name} moves files to where they can't be read at once.",
                "Take the rule away: pictures, packets and the store's check read every file.",
            )

"""The file store: is it the one that the database knows?"""

from __future__ import annotations

from collections.abc import Iterator

from evidence import store
from evidence.store import Whose
from me_office.upkeep.conditions import Said, condition, right, wrong

TO_DO = {
    Whose.LOST: "Mount the disk, or mend ME_FILE_STORE or ME_S3_BUCKET. After a move, when "
    "every file is there: manage.py mark_store.",
    Whose.STRANGE: "Mend ME_FILE_STORE or ME_S3_BUCKET, or DATABASE_URL: one of them is another "
    "office's.",
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

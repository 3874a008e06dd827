"""What the store's check puts on the first page, until somebody settles it."""

from __future__ import annotations

import shutil
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.core.files.storage import default_storage
from django.urls import reverse

from cases.worklists import LIMIT, Waiting
from evidence import store
from evidence.fixity.models import FixityProblem
from me_office.accounts.models import Staff
from me_office.shell.templatetags.office import short_moment


def store_alarms(actor: Staff, now: datetime) -> list[Waiting]:
    """The files that are not whole and not settled, one statement, and a disk that runs full."""
    rows = FixityProblem.objects.filter(resolved_at=None)
    return (
        _not_ours()
        + _little_room()
        + [
            Waiting(
                number="Store",
                title=f"A stored file is {problem.get_kind_display()}",
                detail=f"SHA-256 {problem.sha256[:16]}…; the page lists the records that use it"
                if problem.sha256
                else problem.path,
                when=short_moment(problem.found_at),
                url=reverse("evidence:store"),
                urgency="stop",
            )
            for problem in rows.order_by("found_at", "id")[:LIMIT]
        ]
    )


def wrong_store() -> str:
    """Say whose the store is where it is not this office's, else nothing."""
    if store.is_away():
        return ""
    try:
        whose = store.whose()
    except (OSError, store.StoreAway):  # it does not answer: that is said elsewhere
        return ""
    return "" if whose in store.GOOD else whose.value


def _not_ours() -> list[Waiting]:
    """Say that nothing can be added, because the store is another than the database knows."""
    whose = wrong_store()
    if not whose:
        return []
    return [
        Waiting(
            number="Store",
            title="The file store is not this office’s",
            detail=f"It is {whose}. Nothing can be added. Tell an administrator.",
            when="now",
            url=reverse("evidence:store"),
            urgency="stop",
        )
    ]


def _little_room() -> list[Waiting]:
    """Say that the store's disk runs full, while there is still room for a day's work."""
    if not store.in_folder():
        return []
    try:
        free = store.within_limit(lambda: shutil.disk_usage(store_folder()).free)
    except store.StoreAway:  # it does not answer: that is said elsewhere
        return []
    if free >= settings.STORE_LITTLE_ROOM_BYTES:
        return []
    return [
        Waiting(
            number="Store",
            title="File store almost full",
            detail=f"{free / 1e9:.1f} GB left. Tell an administrator; when the store "
            "is full, nothing can be added.",
            when="now",
            url=reverse("evidence:store"),
            urgency="stop",
        )
    ]


def store_folder() -> Path:
    """Return the folder of the store, or the nearest one above it that is there."""
    folder = Path(default_storage.path("."))
    while not folder.exists():
        folder = folder.parent
    return folder

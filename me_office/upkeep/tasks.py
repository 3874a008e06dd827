"""What comes back every minute: a look at everything, and a job through each queue."""

from __future__ import annotations

from celery import shared_task

from me_office.upkeep import beats, watching
from me_office.upkeep.conditions import look


@shared_task
def watch() -> int:
    """Look at every condition, keep how it stands, and tell of a silent watch; return how many."""
    found = list(look())
    watching.tell(watching.keep(found))
    return len(found)


@shared_task
def come_through(*, queue: str) -> None:
    """Say that a job came through a queue."""
    beats.note(beats.through(queue))

"""A worker that dies in the middle of its work, and what it leaves behind."""

from __future__ import annotations

import os
import pkgutil
import signal
from datetime import timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

from django.core.files.storage import default_storage
from django.utils import timezone

from me_office.jobs.models import JobProgress
from me_office.jobs.rules import SILENCE


def die_at(stage: str, work: str, key: UUID) -> None:
    """Do a work, named by its module and function, up to a stage; end there as in a power cut."""

    def reached(now: str) -> None:
        if now == stage:
            os.kill(os.getpid(), signal.SIGKILL)

    pkgutil.resolve_name(work)(key, reached=reached)


def fall_silent(asked: Any) -> None:
    """Let the time pass after which a worker counts as gone."""
    long_ago = timezone.now() - SILENCE - timedelta(seconds=1)
    JobProgress.objects.filter(key=asked.pk).update(beat_at=long_ago, sent_at=long_ago)


def files_of(made: Any) -> list[Path]:
    """Every file in the store that has a record's key in its name, finished or not."""
    folder = Path(default_storage.path("."))
    return sorted(path for path in folder.rglob(f"*{made.pk}*") if path.is_file())

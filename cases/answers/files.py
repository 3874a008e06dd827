"""An answer's file as it is sent."""

from __future__ import annotations

from django.utils.text import slugify

from cases.answers.models import Answer
from me_office.shell.ranges import StoredBytes


def stored(fetched: Answer) -> StoredBytes:
    """Return an answer's file as it is sent; `fetched` has its case."""
    return StoredBytes(
        fetched.sha256,
        fetched.size_bytes or 0,
        "application/zip",
        filename=f"case-{slugify(fetched.case.label)}-answer-{fetched.number}.zip",
        as_attachment=True,
    )

"""What a page needs beside its data."""

from __future__ import annotations

from collections.abc import Iterator

from django.conf import settings
from django.contrib.staticfiles.storage import staticfiles_storage

from me_office.upkeep.conditions import Said, condition, right, wrong

ON_EVERY_PAGE = "shell/css/every_page.css"


@condition("static files", serving=True)
def static_files() -> Iterator[Said]:
    """Have the style sheets and scripts of this version been collected?"""
    try:
        staticfiles_storage.url(ON_EVERY_PAGE)
    except ValueError:
        yield wrong(
            f"They are not in {settings.STATIC_ROOT}, or are those of another version: every "
            "page ends in an error.",
            "manage.py collectstatic --noinput",
        )
        return
    yield right("They are those of this version.")

"""What every template knows."""

from __future__ import annotations

from django.conf import settings
from django.http import HttpRequest

from me_office.shell.case_scripts import case_scripts


def office(request: HttpRequest) -> dict[str, object]:
    """Return the office's name and zone and whether this is a try-out."""
    return {
        "office_name": settings.OFFICE_NAME,
        "office_zone": settings.TIME_ZONE,
        "case_scripts": case_scripts,
        "theme": request.COOKIES.get("theme", ""),
    }

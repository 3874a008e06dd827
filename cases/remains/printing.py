"""The release of a body as PDF, with places for signatures."""

from __future__ import annotations

import tempfile
from datetime import datetime
from pathlib import Path

from django.conf import settings

from cases.models import Case
from cases.remains.models import BodyRelease
from cases.remains.rules import WHO_MAY_CLAIM
from cases.remains.shown import release_facts
from me_office.shell.templatetags.office import moment
from me_office.typesetting import Typeset, typeset

TEMPLATE = Path(__file__).parent / "typst" / "body-release.typ"


def print_release(case: Case, release: BodyRelease, *, at: datetime) -> Typeset:
    """Compile the release for signing; `case` has its decedent."""
    with tempfile.TemporaryDirectory(prefix="body-release-") as name:
        return typeset(TEMPLATE, Path(name), release_values(case, release, at=at), at=at)


def release_values(case: Case, release: BodyRelease, *, at: datetime) -> dict[str, object]:
    """Return what the template prints, as plain values."""
    return {
        "office": {
            "name": settings.OFFICE_NAME,
            "address": settings.OFFICE_ADDRESS,
            "phone": settings.OFFICE_PHONE,
        },
        "case": case.label,
        "name": case.decedent.full_name,
        "facts": [
            {"label": label, "text": str(value)} for label, value in release_facts(release) if value
        ],
        "signatures": [
            f"Released by {release.released_by}",
            f"Tag read a second time by {release.second_reader}",
            f"Received by {release.taken_by}, {release.released_to}",
        ],
        "caution": WHO_MAY_CLAIM.text,
        "printed": moment(at),
    }

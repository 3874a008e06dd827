"""Checks of what the office set: a kind of examination that no form offers would never apply."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, register

from findings.models import Examination


@register
def kinds_are_known(app_configs: Any, **_: object) -> list[CheckMessage]:
    """Name each kind of examination in the settings that there is none of."""
    known = [kind for kind, _words in Examination.KINDS]
    return [
        Error(
            f"OFFICE_{name} names “{kind}”, which is no kind of examination.",
            hint=f"The kinds are: {', '.join(known)}.",
            id="findings.E001",
        )
        for name in ("REVIEW_WAIVED_FOR", "NORMAL_EXAMINATIONS")
        for kind in sorted(getattr(settings, name))
        if kind not in known
    ]

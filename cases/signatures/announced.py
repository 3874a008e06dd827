"""What is told before somebody signs: that a digital signature follows, by which certificate."""

from __future__ import annotations

from django.utils import timezone

from cases.signatures import queries
from cases.signatures.rules import day_words, good_one
from me_office.accounts.models import Staff
from me_office.moments import local


def follows(actor: Staff) -> str:
    """Say whether the PDF is signed digitally for a person; one statement."""
    held = queries.held_by([actor.pk]).get(actor.pk, [])
    one = good_one(held, timezone.now())
    if one is None:
        return (
            "You have no valid certificate, so it will carry no digital signature of yours. "
            "An administrator issues one."
        )
    return (
        "It is signed digitally in your name, with your certificate that the office "
        f"keeps (valid until {day_words(local(one.not_after).date())})."
    )

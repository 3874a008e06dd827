"""Stays, releases and holds in words, for page and course."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.utils import timezone

from cases.models import BodyReceipt
from cases.remains.models import BodyRelease, BodyReturn, Disposition
from cases.remains.queries import Stay
from cases.views.facts import Facts, receipt_facts
from me_office.shell.templatetags.office import day, moment, short_moment


def days_here(since: datetime, now: datetime) -> int:
    """Return how many calendar days of the office a body has been here: 0 on the first day."""
    return (timezone.localtime(now).date() - timezone.localtime(since).date()).days


def days_words(since: datetime, now: datetime) -> str:
    """Return how long a body has been here: since today, 1 day, 12 days."""
    days = days_here(since, now)
    if days <= 0:
        return "since today"
    return "1 day" if days == 1 else f"{days} days"


def standing_words(stays: list[Stay], holds: int) -> str:
    """Return in one sentence where the body is."""
    kept = f" {holds} open {'hold' if holds == 1 else 'holds'}." if holds else ""
    if not stays:
        return f"The body is not received.{kept}"
    last = stays[-1]
    if last.release is not None:
        release = last.release
        return f"Released to {release.released_to} on {moment(release.released_at)}.{kept}"
    since, days = short_moment(last.came_in_at), days_here(last.came_in_at, timezone.now())
    long = f", {'1 day' if days == 1 else f'{days} days'}" if days > 0 else ""
    return f"In the office since {since}{long}.{kept}"


def stay_shown(stay: Stay) -> dict[str, Any]:
    """Return a stay as the page shows it."""
    came = stay.came_in
    facts = receipt_facts(came) if isinstance(came, BodyReceipt) else return_facts(came)
    return {
        "number": stay.number,
        "number_words": str(stay.number),
        "came_in": came,
        "is_return": stay.is_return,
        "in_facts": facts,
        "release": stay.release,
        "out_facts": release_facts(stay.release) if stay.release else [],
    }


def return_facts(came: BodyReturn) -> Facts:
    """How a released body came back."""
    return [
        ("Received", moment(came.returned_at)),
        ("For", came.get_purpose_display()),
        ("Order or consent", came.authority),
        ("By", came.received_by),
        ("Delivered by", came.delivered_by),
        ("From", came.received_from),
        ("Body tag", came.tag_number),
        ("As received", came.condition),
        ("Kept at", came.kept_at),
    ]


def release_facts(release: BodyRelease) -> Facts:
    """By whose authority the body left, who it was, and to whom it went."""
    licensed = f", license {release.receiver_license}" if release.receiver_license else ""
    return [
        ("Released", moment(release.released_at)),
        ("By", release.released_by),
        ("Basis of authority", release.get_authority_display()),
        ("Authorized by", f"{release.authorized_by}, {release.relation}"),
        ("Documents shown", release.authority_seen),
        ("Tag, as read", f"{release.tag_number}; read again by {release.second_reader}"),
        ("Remark on identity", release.identity_remark),
        ("To", f"{release.released_to}{licensed}"),
        ("Taken by", f"{release.taken_by}; identification seen: {release.identification_seen}"),
        ("Belongings", release.get_belongings_display()),
        ("Given", release.belongings_given),
        ("Kept by the office", release.belongings_kept),
        ("Bag, wrap and seals", release.wrap),
        ("What the receiver was told", release.told),
    ]


def disposition_facts(done: Disposition) -> Facts:
    """What became of the remains, in the order of the certificate's items 18 to 21."""
    return [
        ("Method", done.words),
        ("Place", done.place),
        ("Location", done.location),
        ("Funeral facility", done.facility),
        ("On", day(done.done_on)),
        ("Known from", done.known_from),
    ]

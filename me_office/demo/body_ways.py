"""How bodies of the invented office are held and leave it: data alone."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from me_office.demo.scenario import Act, Who

LOWE = {
    "released_to": "Lowe & Daughter, funeral home",
    "receiver_license": "FH-221",
    "taken_by": "P. Lowe",
    "identification_seen": "Driver's license; employee card of the funeral home",
    "second_reader": "P. Lowe, Lowe & Daughter",
}
AMBRY = {
    "released_to": "Ambry Brothers, funeral home",
    "receiver_license": "FH-187",
    "taken_by": "C. Ambry",
    "identification_seen": "Driver's license",
    "second_reader": "L. Quill, investigator",
}


def goes(
    at: timedelta,
    tag: str,
    to: dict[str, str],
    kin: str,
    relation: str,
    by: str = "renn",
    **more: Any,
) -> Act:
    """Release a body to a funeral home, by the word of next of kin."""
    entry = {
        "released_at": at,
        "released_by": Who(by),
        "authority": "kin",
        "authorized_by": kin,
        "relation": relation,
        "authority_seen": "Signed release form; driver's license",
        "tag_number": tag,
        "belongings": "none",
        "wrap": "White bag, closed",
        "told": "No infection risk known.",
        **to,
    }
    return Act(by, "release_body", {**entry, **more})


def held(by: str, at: timedelta, kind: str, asked_by: str, why: str) -> Act:
    """Place a hold on a body."""
    entry = {"kind": kind, "placed_at": at, "asked_by": asked_by, "why": why}
    return Act(by, "place_hold", entry)


# Expected death at a hospice, declined: the funeral home asks the day after.
ORRIN_CREMATION = [
    Act(
        "ostrander",
        "log_cremation_request",
        {
            "asked_by": "Ambry Brothers, C. Ambry",
            "contact": "555-0177",
            "asked_at": timedelta(hours=30),
            "certifier": "Dr. E. Sorrel",
            "cause_words": "Cancer of the pancreas",
            "note": "",
        },
        name="cremation",
    ),
    Act(
        "amadi",
        "decide_cremation",
        {
            "outcome": "approved",
            "decided_at": timedelta(hours=33),
            "why": "Natural, by the certificate. The fall four months before left no lasting "
            "injury, by the hospital's letter.",
        },
        about="cremation",
    ),
]


def buried(by: str, place: str, known_from: str) -> Act:
    """Record a burial as the office heard of it."""
    entry = {
        "method": "burial",
        "place": place,
        "location": "Tarnford",
        "known_from": known_from,
    }
    return Act(by, "record_disposition", entry)

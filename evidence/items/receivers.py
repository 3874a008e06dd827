"""Where a receiver of an item is: in the office, or outside of it. No database.

It is recorded with the transfer. Only where nobody said it, as in transfers from before it was
asked, is it read from the name; a name that tells nothing stays untold.
"""

from __future__ import annotations

import re
from enum import StrEnum

WHERE = [
    ("office", "in this office"),
    ("outside", "outside this office: laboratory, agency, courier"),
]
# Words that name a place of the office in what a party is called (common practice).
IN_OFFICE = re.compile(
    r"\b(refrigerator|fridge|freezer|cooler|safe|locker|cabinet|cupboard|shelf|rack|drawer|vault|"
    r"storage|store ?room|evidence room|specimen room|property room|morgue|examination room)\b"
)
# Words that name somebody who is no part of the office (common practice).
OUTSIDE_OFFICE = re.compile(
    r"\b(laborator(?:y|ies)|labs?|courier|carrier|hospital|clinic|police|sheriff(?:'s)?|detective|det|"
    r"trooper|officer|constable|court|university|institute|agency|department|bureau|attorney|"
    r"prosecutor|consultant|funeral|crime)\b"
)


class Where(StrEnum):
    """Where a receiver is, as far as it is recorded or words tell."""

    OFFICE = "office"
    OUTSIDE = "outside"
    UNSAID = ""


def place_named(name: str, purpose: str = "") -> Where:
    """Return what the name of a party or place tells of where it is; a place of the office first.

    What is stored is stored in the office, unless somebody says otherwise.
    """
    words = name.lower()
    if purpose.strip().lower() == "storage" or IN_OFFICE.search(words):
        return Where.OFFICE
    return Where.OUTSIDE if OUTSIDE_OFFICE.search(words) else Where.UNSAID

"""The rules of counting that come with the software: those of the federal courts.

Sources:
    - Federal Rules of Civil Procedure, Rule 6; Criminal Procedure, Rules 45 and 49(a); Appellate
      Procedure, Rule 26 (whole texts read on a public copy, November 30, 2026).
    - Federal Rules of Bankruptcy Procedure, Rule 9006 (paragraph (a) read on a public copy, (f) as
      quoted for mail; that it is so for the other two ways from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from findings.calculations.counting import RuleSet, Service

# The way of counting that all four have in common since then.
SINCE = date(2009, 12, 1)
BY_HAND = "by hand"
LEFT_AT_HOME = "left at the office or home"
MAIL = "mail"
WITH_CLERK = "left with the clerk of court"
ELECTRONIC = "electronic"
OTHER_AGREED = "other means agreed to"
CARRIER = "commercial carrier"
DELIVERED = "delivered on the day stated in the proof of service"


def _paragraphs(service: str) -> Mapping[str, str]:
    return {
        "event": "(a)(1)(A)",
        "days": "(a)(1)(B)",
        "end": "(a)(1)(C)",
        "hours": "(a)(2)",
        "closed": "(a)(3)",
        "backward": "(a)(5)",
        "service": service,
    }


def _federal(
    name: str, source: str, service: str, adds: tuple[str, ...], none: tuple[str, ...]
) -> RuleSet:
    return RuleSet(
        name=name,
        source=source,
        services=(
            *(Service(way, 3) for way in adds),
            *(Service(way) for way in none),
        ),
        local_only_forward=True,
        since=SINCE,
        paragraphs=_paragraphs(service),
    )


# What comes with the software, by key.
SHIPPED: Mapping[str, RuleSet] = {
    "federal-civil": _federal(
        "Federal Rule of Civil Procedure 6",
        "Federal Rules of Civil Procedure, Rule 6 (whole text read on a public copy, November 30, "
        "2026; it names Juneteenth)",
        "(d)",
        (MAIL, WITH_CLERK, OTHER_AGREED),
        (BY_HAND, LEFT_AT_HOME, ELECTRONIC),
    ),
    "federal-criminal": _federal(
        "Federal Rule of Criminal Procedure 45",
        "Federal Rules of Criminal Procedure, Rules 45 and 49(a) (whole texts read on a public "
        "copy, November 30, 2026)",
        "(c)",
        (MAIL, WITH_CLERK, OTHER_AGREED),
        (BY_HAND, LEFT_AT_HOME, ELECTRONIC),
    ),
    "federal-appellate": _federal(
        "Federal Rule of Appellate Procedure 26",
        "Federal Rules of Appellate Procedure, Rule 26 (whole text read on a public copy, November "
        "30, 2026)",
        "(c)",
        (MAIL, CARRIER, OTHER_AGREED),
        (DELIVERED, ELECTRONIC),
    ),
    "federal-bankruptcy": _federal(
        "Federal Rule of Bankruptcy Procedure 9006",
        "Federal Rules of Bankruptcy Procedure, Rule 9006 (paragraph (a) read on a public copy, "
        "paragraph (f) as quoted for mail, November 30, 2026; the other ways from memory, source "
        "not checked)",
        "(f)",
        (MAIL, WITH_CLERK, OTHER_AGREED),
        (BY_HAND, LEFT_AT_HOME, ELECTRONIC),
    ),
}

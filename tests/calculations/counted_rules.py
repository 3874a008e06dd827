"""Rules of counting that published examples were counted by, as data: no rule of this office.

Each says what of it was read. What an example does not need is left as it was read, or out.
"""

from __future__ import annotations

from dataclasses import replace

from findings.calculations.counting import Added, ClosedAs, Moves, RuleSet, Service
from findings.calculations.counting_rules import ELECTRONIC, SHIPPED

_CIVIL = SHIPPED["federal-civil"]
CALIFORNIA = RuleSet(
    name="Code of Civil Procedure 12 to 12c",
    source="California Code of Civil Procedure, sections 12, 12a, 12b, 12c, 1013 (read in "
    "excerpts: self-law.org/code/ca/code-of-civil-procedure/12c; casetext.com, section 12a)",
    calendar="US-CA",
    closed_as=ClosedAs.HOLIDAY,
    services=(
        Service("mail", 5, added=Added.TO_PERIOD),
        Service("mail from outside the state", 10, added=Added.TO_PERIOD),
        Service("mail from outside the country", 20, added=Added.TO_PERIOD),
        Service("overnight", 2, court_days=True, added=Added.TO_PERIOD),
        Service("by hand"),
    ),
    counts_hours=False,
)
FLORIDA = RuleSet(
    name="Florida Rule 2.514",
    source="Florida Rule of General Practice and Judicial Administration 2.514, as quoted and told "
    "in notes on it (rtlaw.com; floridaappellate.com): periods of less than seven days leave "
    "Saturdays, Sundays and holidays out; five days for mail are added after the end",
    calendar="US-FL",
    court_days_below=7,
    services=(Service("mail", 5),),
)
# By the short side: the rules as they stood at another time.
_BY_KEY: dict[str, RuleSet] = {
    "federal-civil-2009-2016": replace(
        _CIVIL,
        name="Rule 6 from 2009 to 2016",
        source="Rule 6(d) as it stood until December 1, 2016 (azd.uscourts.gov, read): electronic "
        "service, too, added three days",
        services=tuple(
            Service(one.way, 3) if one.way == ELECTRONIC else one for one in _CIVIL.services
        ),
    ),
    "federal-civil-before-2009": replace(
        _CIVIL,
        name="Rule 6 before 2009",
        source="Rule 6(a) as it stood until December 1, 2009 (text read on a public copy): periods "
        "of less than eleven days leave Saturdays, Sundays and holidays out",
        court_days_below=11,
        since=None,
    ),
    "tax-court": RuleSet(
        name="26 U.S.C. 6213(a) and 7503",
        source="26 U.S.C. 6213(a) as quoted in McGuire v. Commissioner; 26 U.S.C. 7503 and 26 CFR "
        "301.7503-1 (read): no period ends on a Saturday, a Sunday or a holiday of the District "
        "of Columbia; a closed office as in Federal Rule 6(a)(3) (Guralnik v. Commissioner)",
        calendar="US-DC",
    ),
    "florida": FLORIDA,
    "florida-before-2012": replace(
        FLORIDA,
        name="Florida rules before October 2012",
        source="As told in a note on Rule 2.514 (rtlaw.com): the five days were added to the "
        "period, before its end was moved",
        services=(Service("mail", 5, added=Added.TO_PERIOD),),
    ),
    "texas": RuleSet(
        name="Texas Rule of Civil Procedure 4",
        source="Texas Rule of Civil Procedure 4, 2014 (stcl.edu/lib/TexasRulesProject, read): "
        "periods of five days or less leave Saturdays, Sundays and holidays out, the three days "
        "for mail do not; where an end goes that is counted backward it does not say",
        calendar="US-TX",
        court_days_below=6,
        backward=Moves.STAYS,
        services=(Service("mail", 3),),
    ),
    "california": CALIFORNIA,
    "kentucky": RuleSet(
        name="KRS 61.880 and 446.030",
        source="KRS 61.880(1) and 446.030 as told in 21-ORD-131 and 04-ORD-213 (kyopengov.org, "
        "read): periods of seven days or less leave weekends and legal holidays out",
        calendar="US-KY",
        court_days_below=8,
    ),
    "pennsylvania": RuleSet(
        name="65 P.S. 67.901 and 1 Pa.C.S. 1908",
        source="65 P.S. 67.901 (casetext copy, read) and 1 Pa.C.S. 1908 as quoted in Bassett v. "
        "Bassett",
        calendar="US-PA",
    ),
}
RULES = {**SHIPPED, **_BY_KEY}

"""All cases of the demonstration, oldest call first: so they are played and numbered."""

from __future__ import annotations

from me_office.demo.case_closed import CLOSED
from me_office.demo.case_hallstead import HALLSTEAD
from me_office.demo.case_marlow import MARLOW
from me_office.demo.cases_injury import INJURY
from me_office.demo.cases_new import TODAY, YESTERDAY
from me_office.demo.cases_open import EARLIER, LATER
from me_office.demo.cases_practice import PRACTICE
from me_office.demo.cases_signed import SIGNED
from me_office.demo.scenario import DemoCase

FIRE, ASSAULT, FIREARM, DROWNING = INJURY
CASES: tuple[DemoCase, ...] = (
    *SIGNED, FIRE, ASSAULT, *EARLIER, FIREARM, DROWNING, MARLOW, HALLSTEAD,
    *LATER, YESTERDAY, CLOSED, *PRACTICE, *TODAY,
)  # fmt: skip

"""Rules of counting and closures of courts: kept, changed, withdrawn."""

from __future__ import annotations

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import (
    names_entered,
    refuse_wrong,
)
from cases.actions.office import records_of_office, withdraws_of_office
from cases.counting import rules
from cases.counting.models import CountingRule, CourtClosure
from me_office.audit.fields import said_of

RULE_FIELDS = names_entered(CountingRule)
CLOSURE_FIELDS = names_entered(CourtClosure)


def _check_rule(record: CountingRule) -> None:
    refuse_wrong(rules.wrong_in_rule(said_of(record, RULE_FIELDS), timezone.localdate()))


keep_counting_rule = records_of_office(
    "keep_counting_rule", CountingRule, "rule of counting", RULE_FIELDS,
    act=Act.KEEP_COUNTING, check=_check_rule,
)  # fmt: skip

# Nothing is counted by it any more, and what was counted stays.
retire_counting_rule = withdraws_of_office(
    "retire_counting_rule", CountingRule, "rule of counting", act=Act.KEEP_COUNTING
)


def _check_closure(record: CourtClosure) -> None:
    record.court = " ".join(record.court.split())
    refuse_wrong(rules.wrong_in_closure(said_of(record, CLOSURE_FIELDS)))


# Days on which a court does no business.
keep_court_closure = records_of_office(
    "keep_court_closure", CourtClosure, "closure", CLOSURE_FIELDS,
    act=Act.KEEP_COUNTING, check=_check_closure,
)  # fmt: skip

# It was entered wrongly, or the court did business after all.
withdraw_court_closure = withdraws_of_office(
    "withdraw_court_closure", CourtClosure, "closure", act=Act.KEEP_COUNTING
)

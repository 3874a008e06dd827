"""Facts whose SQL is made once come with the row as they would from the database one by one."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from uuid import UUID, uuid4

import pytest
from django.db.models import (
    BigIntegerField,
    BooleanField,
    DateField,
    DateTimeField,
    DecimalField,
    DurationField,
    F,
    FloatField,
    TextField,
    UUIDField,
    Value,
)

from cases import course
from cases.models import Case
from me_office.prepared import NAME, Prepared
from tests.builders import make_case

MONEY = DecimalField(max_digits=30, decimal_places=2)
FACTS = {
    "second": Value(datetime(2026, 3, 8, 6, 59, 59, 123457, tzinfo=UTC), DateTimeField()),
    "long_ago": Value(datetime(99, 1, 1, 0, 0, 0, 1, tzinfo=UTC), DateTimeField()),
    "never": Value(None, DateTimeField()),
    "day": Value(date(99, 2, 28), DateField()),
    "cents": Value(Decimal("0.10"), MONEY),
    "whole": Value(Decimal("5.00"), MONEY),
    "much": Value(Decimal("12345678901234567.89"), MONEY),
    "share": Value(0.1, FloatField()),
    "third": Value(1 / 3, FloatField()),
    "whole_share": Value(2.0, FloatField()),
    "long": Value(timedelta(days=1, hours=2, microseconds=5), DurationField()),
    "key": Value(UUID(int=7), UUIDField()),
    "many": Value(2**62 + 1, BigIntegerField()),
    "so": Value(False, BooleanField()),
    "words": Value("100% of “it” \\ \n {x} %s ''", TextField()),
    "of_the_row": F("heading"),
    "made": F("created_at"),
}


@pytest.mark.django_db
def test_every_kind_of_fact_is_what_the_row_alone_would_say():
    make_case()
    case = make_case(heading="50% %s")
    make_case()
    facts = Prepared(Case, FACTS)
    row = Case.objects.annotate(**{NAME: facts.expression(case.pk)}).get(pk=case.pk)
    read = facts.read_from(row)
    assert not hasattr(row, NAME)
    alone = Case.objects.annotate(**FACTS).get(pk=case.pk)
    # As written, too: 0.10 is not 0.1, nor is a number a text.
    told = [(name, str(read[name]), type(read[name])) for name in FACTS]
    assert told == [(name, str(getattr(alone, name)), type(getattr(alone, name))) for name in FACTS]


def test_threads_that_make_the_facts_at_once_make_the_same():
    def made(key):
        course._facts_of_steps.cache_clear()
        facts = course._facts_of_steps()
        assert facts.expression(key).params.count(key) == 1
        return facts.sql, len(facts.params), facts.place

    with ThreadPoolExecutor(8) as pool:
        assert len(set(pool.map(made, [uuid4() for _ in range(16)]))) == 1


def test_a_step_that_comes_later_brings_its_facts(monkeypatch):
    monkeypatch.setattr(course, "_STEPS", dict(course._STEPS))
    before = set(course._facts_of_steps().fields)
    fact = {"later": Value(1, BigIntegerField())}
    course.register(course.Step("later", "Later", 999, "cases:case", str, fact))
    after = set(course._facts_of_steps().fields)
    course._facts_of_steps.cache_clear()
    assert after - before == {"later"}

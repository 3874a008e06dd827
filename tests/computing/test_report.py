"""Kept calculations in the report: one sober passage each, while they stand."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from cases.review.content import report_content
from findings.computing import actions
from me_office.accounts.roles import Role
from tests.builders import make_case, make_staff
from tests.computing.builders import LONG_COLD, full_case, keep

pytestmark = pytest.mark.django_db


def _section(case):
    sections = report_content(case.pk)["sections"]
    return next((one for one in sections if one["key"] == "calculations"), None)


def test_a_case_without_calculations_has_no_such_section():
    assert _section(make_case()) is None


def test_standing_calculations_are_printed_with_interval_version_and_caution():
    vasko = make_staff(Role.PATHOLOGIST)
    case = full_case(vasko)
    wrong, right = keep(case, vasko), keep(case, vasko, inputs=LONG_COLD)
    actions.void_calculation(
        vasko, case_id=case.pk, calculation_id=wrong.pk, version=1, reason="Wrong probe"
    )
    passage, sources = _section(case)["passages"]
    assert passage["key"] == f"calculation-{right.pk}"
    assert passage["lead"] == "Time since death from rectal temperature"
    for words in ("gives no estimate", "At least", "version 1.0", "not decide"):
        assert words in passage["text"]
    assert f"{right.result['t_h']:.1f} " not in passage["text"]
    assert "memory" not in passage["text"]
    assert sources["key"] == "method-pmi_rectal"
    assert "source not checked" in sources["text"]


def test_the_sources_of_a_method_are_printed_once():
    vasko = make_staff(Role.PATHOLOGIST)
    case = full_case(vasko)
    for _ in range(3):
        keep(case, vasko)
    keys = [one["key"] for one in _section(case)["passages"]]
    assert len(keys) == 4
    assert keys[3] == "method-pmi_rectal"


def test_the_report_reads_them_in_one_statement():
    vasko = make_staff(Role.PATHOLOGIST)
    case = full_case(vasko)

    def statements():
        with CaptureQueriesContext(connection) as queries:
            report_content(case.pk)
        return len(queries)

    keep(case, vasko)
    before = statements()
    for _ in range(20):
        keep(case, vasko)
    assert statements() == before

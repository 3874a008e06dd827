"""The measurements run: a small office is built, and every page and action is measured once."""

from __future__ import annotations

import json
from contextlib import nullcontext

import pytest
from django.apps import apps
from django.db import connection, models

from cases.models import Case
from cases.rules.case import CaseState
from me_office.accounts.roles import Role
from me_office.audit.models import AccessEvent, AuditEvent
from tests.bench import printed as printing
from tests.bench.boards import boards, fill_board
from tests.bench.evidence import FIXITY, INGEST, LOG, SEARCH, TITLES, log_of, search_of, speeds
from tests.bench.measuring import Counter, Taken, measured
from tests.bench.methods import method_times
from tests.bench.office import build_office
from tests.bench.pages import MEASURES
from tests.bench.printed import long_case
from tests.bench.results import Line, Results, most_of
from tests.bench.sent import large_answer, sent
from tests.builders import make_staff

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("rows_counted_anew")]
CASES = 30


class TestOffice:
    """The office in the test's own database."""

    __test__ = False
    cases = CASES

    def open(self):
        return nullcontext()


@pytest.fixture
def office():
    assert build_office(CASES)["cases_case"] == CASES
    return TestOffice()


def _orphans(field: models.ForeignKey) -> int:
    """Rows whose key points at nothing: nobody looks while the rows are written."""
    table, other = field.model._meta.db_table, field.related_model._meta
    with connection.cursor() as cursor:
        cursor.execute(
            f'SELECT count(*) FROM "{table}" a WHERE a."{field.column}" IS NOT NULL AND NOT EXISTS '
            f'(SELECT 1 FROM "{other.db_table}" b WHERE b."{other.pk.column}" = a."{field.column}")'
        )
        return cursor.fetchone()[0]


def test_the_built_office_holds_together(office):
    assert {Case.objects.filter(state=state.value).exists() for state in CaseState} == {True}
    keys = [
        field
        for model in apps.get_models(include_auto_created=True)
        for field in model._meta.concrete_fields
        if isinstance(field, models.ForeignKey)
    ]
    assert [str(field) for field in keys if _orphans(field)] == []
    assert AuditEvent.objects.count() > 20 * CASES
    assert AccessEvent.objects.count() == 20 * CASES


def test_every_page_is_measured_and_none_needs_too_many_statements(office, tmp_path):
    results = Results([{"cases": CASES, "rows": 1, "bytes": 1, "seconds": 1}], requests=1)
    for measure in MEASURES:
        results.lines.append(Line(measure, measured(measure, [office], requests=1, warm=0)))
    table = results.keep(tmp_path / "out").read_text()
    kept = json.loads((tmp_path / "out" / "bench.json").read_text())
    titles = [measure.title for measure in MEASURES]
    assert [page["title"] for page in kept["pages"]] == titles
    assert all(title in table for title in titles)
    counts = {
        line.measure.title: line.most_statements
        for line in results.lines
        if not line.measure.action and line.most_statements > most_of(line.measure.title)
    }
    assert counts == {}


def test_statements_are_counted_one_by_one():
    counter = Counter()
    with connection.execute_wrapper(counter):
        list(Case.objects.all())
        Case.objects.count()
    assert counter.statements == 2


def test_what_is_missed_is_said():
    small = Taken(milliseconds=[10.0] * 20, in_database=[1.0] * 20, statements=[5] * 20)
    large = Taken(
        milliseconds=[14.0] * 18 + [160.0] * 2, in_database=[9.0] * 20, statements=[16] * 20
    )
    assert (large.median, large.p95) == (14.0, 160.0)
    line = Line(MEASURES[0], [small, large])
    assert line.missed == ["16 statements", "p95", "ratio"]
    assert Line(MEASURES[0], [small, small]).missed == []


def test_the_methods_are_timed():
    times = method_times(repeat=1)
    assert [one.amount for one in times[:2]] == [300, 10_000]
    assert all(one.rate > 0 for one in times)


def test_photographs_are_put_beside_what_is_wanted_of_them(tmp_path):
    slow = speeds({"ingest": 0.41, "fixity": 0.8})
    assert [(one.title, one.missed) for one in slow] == [(INGEST, "slow"), (FIXITY, "")]
    results = Results([], requests=1, compared=slow)
    assert f"{INGEST:30}    0.41 of the speed of plain Python; target at least 0.5  * slow" in (
        results.table()
    )
    results.keep(tmp_path)
    kept = json.loads((tmp_path / "bench.json").read_text())["compared"]
    assert [one["value"] for one in kept] == [0.41, 0.8]
    assert set(TITLES) == {INGEST, FIXITY, LOG, SEARCH}


def test_a_search_within_a_large_case_is_timed():
    timed = search_of(3, 2, visits=1)
    assert timed.title == SEARCH
    assert timed.value > 0


def test_a_long_report_is_printed_changed_and_shown(monkeypatch):
    by = make_staff(Role.PATHOLOGIST)
    case = long_case(by, 2, 3, width_px=60)
    # Two pictures and three findings are no sixty pages, and that is said. How much this process
    # had before depends on the tests before, so the limit is tried with figures of its own.
    for most, missed in ((printing.MOST_MB, ""), (printing.MOST_MB + 1, "memory")):
        assert printing.peak_mb() > 0
        with monkeypatch.context() as patch:
            patch.setattr(printing, "peak_mb", lambda most=most: most)
            time, memory = printing.printed(case)
        assert (time.missed, memory.missed) == ("short", missed)
    printing.change_and_show(case, by)


def test_an_answer_is_built():
    by = make_staff(Role.PATHOLOGIST, Role.RECORDS_CLERK)
    time, memory = sent(*large_answer(by, 3, 2, width_px=60))
    assert "pages, 2 photographs" in time.unit
    assert (time.missed, memory.missed) == ("", "")


def test_a_board_is_timed():
    clerk = make_staff(Role.RECORDS_CLERK)
    fill_board(clerk, 12, 2)
    told = boards(clerk, visits=1)
    assert [one.unit for one in told if "statements" in one.missed] == []
    assert all(one.value > 0 for one in told)


@pytest.mark.django_db(transaction=True)
@pytest.mark.usefixtures("processes")
def test_a_long_log_is_opened_in_a_browser():
    statements, opened = log_of(62, visits=1)
    assert (statements.missed, opened.title) == ("", LOG)
    assert opened.value > 0

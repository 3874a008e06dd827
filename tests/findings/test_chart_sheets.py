"""The chart on paper, who is there, what lights up, and a chart with three hundred findings."""

from __future__ import annotations

import re

import pytest
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from findings import queries
from findings.chart import presence
from findings.chart.sheets import sheets_of
from findings.models import Mark
from me_office.accounts.roles import Role
from me_office.audit.models import AccessEvent
from tests.builders import make_staff
from tests.findings.builders import a_mark, fill, make_examination, make_finding

pytestmark = pytest.mark.django_db


@pytest.fixture
def chart(examination, client):
    client.force_login(examination.pathologist)
    return lambda asked="": client.get(f"/cases/{examination.case_id}/chart{asked}")


def test_every_marked_view_is_printed_with_its_legend(examination, chart):
    make_finding(examination, term="Contusion", marks=[a_mark()])
    make_finding(examination, term="Fracture", marks=[a_mark("point", [[180, 120]], "skull_left")])
    page = chart("/print/").content.decode()
    assert re.findall(r'data-view="(\w+)"', page) == ["anterior", "posterior", "skull_left"]
    assert "Fracture" in page
    assert "not their true shape or size" in page


def test_a_pair_stands_in_the_legend_with_both_letters(examination):
    ends = [
        {**a_mark("paired"), "end": "entrance"},
        {**a_mark("paired", [[60.0, 300.0]], "posterior"), "end": "exit"},
    ]
    make_finding(examination, marks=ends)
    sheets = sheets_of(
        examination, queries.findings_of(examination.case), every=False, standalone=True
    )
    assert [(sheet.view, sheet.rows[0].number) for sheet in sheets] == [
        ("anterior", "1a 1b"),
        ("posterior", "1a 1b"),
    ]


def test_the_pdf_holds_vectors_and_who_took_it_is_noted(examination, chart):
    make_finding(examination, marks=[a_mark()])
    answer = chart(".pdf")
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF-")
    assert b"/Subtype /Image" not in answer.content
    assert b"/Subtype/Image" not in answer.content
    assert AccessEvent.objects.filter(what="body chart, PDF").count() == 1


def test_who_else_has_the_chart_open_is_said_by_name_for_half_a_minute(examination, chart):
    cache.clear()
    assert chart("/present/").content.decode().strip() == ""
    other = make_staff(Role.PATHOLOGIST)
    client = Client()
    client.force_login(other)
    seen = client.get(f"/cases/{examination.case_id}/chart/present/").content.decode()
    assert examination.pathologist.printed_name in seen
    assert other.printed_name in chart("/present/").content.decode()


def test_whoever_was_not_heard_of_for_half_a_minute_is_gone():
    heard = {"a": ("M. Thorne", 100.0), "b": ("I. Vasko", 125.0)}
    assert set(presence.still_here(heard, 131.0)) == {"b"}


def test_only_names_and_moments_are_kept(examination):
    cache.clear()
    presence.others_at(examination.case_id, examination.pathologist.pk, "I. Vasko", 100.0)
    kept = cache.get(f"chart-open:{examination.case_id}")
    assert kept == {str(examination.pathologist.pk): ("I. Vasko", 100.0)}


def test_somebody_outside_a_restricted_case_is_not_told_who_is_there(examination, client):
    case = examination.case
    type(case).objects.filter(pk=case.pk).update(restricted=True)
    client.force_login(make_staff(Role.INVESTIGATOR))
    assert client.get(f"/cases/{case.pk}/chart/present/").status_code == 404


def test_the_findings_of_a_photograph_light_up(examination, chart):
    keys = [
        str(make_finding(examination, marks=[a_mark("point", [[u, 290.0]])]).pk)
        for u in (-72.0, -40.0, 10.0)
    ]
    page = chart(f"/?findings={keys[0]},{keys[2]},nonsense").content.decode()
    paper = page[page.index('data-part="paper"') : page.index('data-part="inset"')]
    lit = re.findall(r'class="mark mark-injury kind-point is-selected" data-number="(\d+)"', paper)
    assert lit == ["1", "3"]
    assert page.count("is-lit") == 2


def cost_of(chart):
    with CaptureQueriesContext(connection) as seen:
        assert chart("/").status_code == 200
    return len(seen)


def test_a_chart_with_three_hundred_findings_costs_as_many_statements_as_one_with_three(
    examination, chart
):
    fill(examination, 3)
    cost_of(chart)
    few = cost_of(chart)
    other = make_examination(by=examination.pathologist)
    fill(other, 300)
    client = Client()
    client.force_login(examination.pathologist)
    many = cost_of(lambda asked: client.get(f"/cases/{other.case_id}/chart{asked}"))
    assert few == many <= 15


def test_the_kept_drawing_follows_the_marks(examination, chart):
    finding = make_finding(examination, marks=[a_mark()])
    before = chart("/").content.decode()
    mark = finding.marks.get()
    Mark.objects.filter(pk=mark.pk).update(points=[[-40.0, 330.0]])
    after = chart("/").content.decode()
    spot = re.compile(r'<circle class="symbol-hollow"[^>]*cx="([-\d.]+)"')
    assert spot.findall(before) != spot.findall(after)

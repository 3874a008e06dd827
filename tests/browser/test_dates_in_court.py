"""Dates in court and curricula vitae in a browser: their pages have no barriers."""

from __future__ import annotations

import pytest
from django.urls import reverse
from playwright.sync_api import Page, Route

from me_office.accounts.roles import Role
from tests.appearances.builders import appear, in_days, was_heard
from tests.browser.visitor import barriers, barriers_in_both, enter
from tests.builders import make_case, make_staff
from tests.court.builders import demand, fee, invoice, original
from tests.packets.builders import make_request
from tests.qualifications.test_curricula import add_line, issue
from tests.qualifications.test_testified import list_it

pytestmark = pytest.mark.django_db(transaction=True)


def test_the_pages_of_dates_in_court_and_curricula_have_no_barriers(page: Page, live_server):
    boss = make_staff(Role.SUPERVISOR, Role.PATHOLOGIST)
    case = make_case(by=boss)
    soon = appear(boss, case, begins_at=in_days(2))
    appear(boss, case, begins_at=in_days(2))
    of_case, of_person = {"case_id": case.pk}, {"person_id": boss.pk}
    done = was_heard(boss, case, went="Calm.", asked_afterward="A copy of photograph 4.")
    was_heard(boss, case)
    listed = {**of_person, "record_id": list_it(boss, appearance=done).pk}
    add_line(boss)
    issue(boss)
    asked = make_request(case, boss)
    demanded = demand(boss, asked)
    request = {**of_case, "request_id": asked.pk}
    one = {**request, "record_id": demanded.pk}
    original(boss, asked)
    priced = fee(boss)
    bill = {**request, "record_id": invoice(boss, asked, {priced: 3}).pk}
    enter(page, boss, live_server)
    ahead, over = {**of_case, "record_id": soon.pk}, {**of_case, "record_id": done.pk}
    for name, keys, template in (
        ("appearances:appearances", of_case, "appearances/appearances.html"),
        ("appearances:office", {}, "appearances/office.html"),
        ("qualifications:person", of_person, "qualifications/person.html"),
        ("court:request", request, "court/request.html"),
    ):
        page.goto(live_server.url + reverse(name, kwargs=keys))
        assert barriers_in_both(page, template) == [], template
    for name, keys, template in (
        ("appearances:add", of_case, "appearances/form.html"),
        ("appearances:move", ahead, "appearances/move.html"),
        ("appearances:cancel", ahead, "shell/confirm_in_case.html"),
        ("appearances:testimony", over, "appearances/testimony.html"),
        ("appearances:settle", over, "appearances/settle.html"),
        ("court:change-demand", one, "court/part_form.html"),
        ("court:original", request, "court/original.html"),
        ("court:attach-original", request, "court/attach_original.html"),
        ("court:timeline", request, "court/timeline.html"),
        ("court:fees", {}, "court/fees.html"),
        ("court:add-fee", {}, "court/fee_form.html"),
        ("court:issue-invoice", request, "court/invoice_form.html"),
        ("court:pay-invoice", bill, "court/invoice_pay.html"),
        ("court:add-authority", request, "court/authority_form.html"),
        ("court:needs", {}, "court/authority_needs.html"),
        ("court:change-need", {"key": "subpoena"}, "court/authority_need.html"),
        ("court:add-case", request, "court/add_case.html"),
        ("qualifications:curricula", {}, "qualifications/curricula.html"),
        ("qualifications:add", of_person, "qualifications/line.html"),
        ("qualifications:edit-testimony", listed, "qualifications/testified.html"),
    ):
        page.goto(live_server.url + reverse(name, kwargs=keys))
        assert barriers(page, template) == [], template
    # A page of the paper has its room before it has come, so that nothing below it goes.
    pictures: list[Route] = []
    page.route("**/page/1/", lambda route: pictures.append(route))
    with page.expect_request("**/page/1/"):
        page.goto(
            live_server.url + reverse("court:original", kwargs=request),
            wait_until="domcontentloaded",
        )
    box = page.get_by_role("img", name="Page 1 of the original").bounding_box()
    assert box is not None and box["height"] > box["width"]
    pictures[0].abort()

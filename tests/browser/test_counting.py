"""The pages of counting in a browser: nothing in the way of whoever reads or types them."""

from __future__ import annotations

from datetime import date

import pytest

from cases.counting.actions import keep_counting_rule, keep_court_closure
from cases.counting.rules import entered_of
from findings.calculations.counting_rules import SHIPPED
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.browser.visitor import barriers, enter, seen
from tests.builders import make_staff

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_date_is_counted_and_no_page_has_a_barrier(page, live_server):
    clerk = make_staff(Role.RECORDS_CLERK, name="R. Ostrander")
    own = {**entered_of(SHIPPED["federal-civil"]), "name": "Tarn Rules of Court 12"}
    rule = keep_counting_rule(clerk, record_id=new_id(), version=0, entry=own)
    closure = keep_court_closure(
        clerk, record_id=new_id(), version=0,
        entry={"court": "Tarn County Superior Court", "kind": "closed", "why": "closed by order",
               "source": "General order 14", "first_on": date(2026, 12, 9),
               "last_on": date(2026, 12, 10)},
    )  # fmt: skip
    enter(page, clerk, live_server)
    page.goto("/counting/")
    page.get_by_label("Rule").select_option("Tarn Rules of Court 12")
    page.get_by_role("textbox", name="Day of the event").fill("11/25/2026")
    page.get_by_label("Period").fill("14")
    page.get_by_label("Way of service").select_option("by hand")
    page.get_by_role("textbox", name="Court").fill("Tarn County Superior Court")
    page.get_by_role("button", name="Count").click()
    seen(page, "Friday, December 11, 2026").wait_for()
    assert barriers(page, "counting/count.html") == []
    for address, template in (
        ("/counting/rules/", "counting/rules.html"),
        (f"/counting/rules/{rule.pk}/", "counting/rule.html"),
        ("/counting/rules/federal-civil/", "counting/shipped.html"),
        ("/counting/closures/", "counting/closures.html"),
        (f"/counting/closures/{closure.pk}/", "counting/closure.html"),
    ):
        page.goto(address)
        assert barriers(page, template) == []

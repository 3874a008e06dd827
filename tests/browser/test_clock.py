"""The pages of a request's due day in a browser: counted, fixed, stopped, without a barrier."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from me_office.accounts.roles import Role
from tests.browser.visitor import barriers, enter, seen
from tests.builders import make_case, make_staff
from tests.packets.builders import make_request

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_due_day_is_counted_on_the_request_and_no_page_has_a_barrier(page, live_server):
    clerk = make_staff(Role.RECORDS_CLERK, name="R. Ostrander")
    served = timezone.localdate() - timedelta(days=3)
    asked = make_request(make_case(), clerk, served_on=served)
    enter(page, clerk, live_server)
    base = f"/cases/{asked.case_id}/court/{asked.pk}/clock"
    page.goto(f"{base}/count/")
    assert barriers(page, "clock/count.html") == []
    page.get_by_label("Rule").select_option("Federal Rule of Civil Procedure 6")
    page.get_by_label("Period").fill("14")
    page.get_by_label("Way of service").select_option("by hand")
    page.get_by_role("button", name="Count and keep the day").click()
    seen(page, "How the day was counted").wait_for()
    for address, template in (("fix", "clock/fix.html"), ("new", "clock/change.html")):
        page.goto(f"{base}/{address}/")
        assert barriers(page, template) == []

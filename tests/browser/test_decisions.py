"""Deciding what may go out, in a browser: its pages have no barriers."""

from __future__ import annotations

import pytest
from django.urls import reverse
from playwright.sync_api import Page

from cases.decisions.models import Ground
from me_office.accounts.roles import Role
from tests.browser.visitor import barriers, barriers_in_both, enter
from tests.builders import make_staff, set_back
from tests.decisions.builders import (
    decide,
    demand_in,
    ground_numbered,
    photographed,
    reaching,
    request_for,
)
from tests.packets.builders import make_clerk

pytestmark = pytest.mark.django_db(transaction=True)


def test_the_pages_of_decisions_have_no_barriers(page: Page, live_server):
    boss, clerk = make_staff(Role.SUPERVISOR, Role.PATHOLOGIST), make_clerk()
    asked = request_for(photographed(boss), clerk)
    demand = demand_in(asked, clerk)
    reaching(demand, clerk, "photograph")
    ground = ground_numbered(4, clerk)
    decide(demand, clerk, "withhold", "P 2", ground=ground)
    decide(demand, clerk, "redact", "P 3", ground=ground)
    request = {"case_id": asked.case_id, "request_id": asked.pk}
    one = {**request, "demand_id": demand.pk}
    enter(page, boss, live_server)
    page.goto(live_server.url + reverse("decisions:demand", kwargs=one))
    assert barriers_in_both(page, "decisions/demand.html") == []
    for name, keys, more, template in (
        ("decisions:decide", one, "?next=1", "decisions/form.html"),
        ("decisions:approve", request, "", "decisions/approve.html"),
        ("decisions:withheld", request, "", "decisions/withheld.html"),
        ("decisions:grounds", {}, "", "decisions/grounds.html"),
        ("decisions:replace-ground", {"record_id": ground.pk}, "", "decisions/list_form.html"),
    ):
        page.goto(live_server.url + reverse(name, kwargs=keys) + more)
        assert barriers(page, template) == [], template
    # What is approved is read whole on a telephone, long words and all.
    set_back(Ground.objects.filter(pk=ground.pk), words="Psychopharmacological correspondence")
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(live_server.url + reverse("decisions:approve", kwargs=request))
    assert page.evaluate("document.documentElement.scrollWidth") == 390

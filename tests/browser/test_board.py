"""The board in a browser: its pages have no barriers."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page

from tests.browser.visitor import barriers, barriers_in_both, enter
from tests.builders import make_case
from tests.docket.builders import order
from tests.packets.builders import make_clerk, make_request

pytestmark = pytest.mark.django_db(transaction=True)


def test_the_pages_of_the_board_have_no_barriers(page: Page, live_server):
    clerk = make_clerk()
    asked = make_request(make_case(), clerk)
    one = order(clerk, asked, back_by=timezone.localdate() + timedelta(days=2))
    enter(page, clerk, live_server)
    of, ordered = [asked.case_id, asked.pk], [asked.case_id, one.pk]
    page.goto(live_server.url + reverse("docket:board"))
    assert barriers_in_both(page, "docket/board.html") == []
    for name, args, template in (
        ("figures", [], "docket/figures.html"),
        ("figure", ["asked"], "docket/figure.html"),
        ("give", of, "docket/give.html"),
        ("add-order", of, "docket/order.html"),
        ("copies", ordered, "docket/copies.html"),
    ):
        page.goto(live_server.url + reverse(f"docket:{name}", args=args))
        assert barriers(page, template) == [], template
    page.goto(live_server.url + reverse("court:close-request", args=of))
    assert barriers(page, "court/close_request.html") == []

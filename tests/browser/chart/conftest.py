"""An examination, and the table beside which its chart is open."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page

from findings.models import Examination
from tests.browser.chart.drawing import open_chart
from tests.browser.visitor import enter
from tests.findings.builders import make_examination


@pytest.fixture
def examination() -> Examination:
    return make_examination()


@pytest.fixture
def table(page: Page, examination: Examination, live_server: Any) -> Page:
    """Return the chart of an opened examination, ready to be drawn on."""
    enter(page, examination.pathologist, live_server)
    open_chart(page, examination)
    return page

"""How tests wait for what is not there yet."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect


def test_a_page_is_not_described_each_time_that_something_is_looked_for(page: Page) -> None:
    page.set_content("<p>Here</p>")
    with pytest.raises(AssertionError, match="element\\(s\\) not found") as missed:
        expect(page.get_by_text("Gone")).to_be_visible(timeout=1)
    assert "snapshot" not in str(missed.value).lower()

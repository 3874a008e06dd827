"""Letters in a browser: their pages have no barriers."""

from __future__ import annotations

import pytest
from django.urls import reverse
from playwright.sync_api import Page

from tests.browser.visitor import barriers, enter
from tests.builders import make_case
from tests.letters.builders import made, sent, written
from tests.letters.test_letters import own_template
from tests.packets.builders import make_clerk, make_request

pytestmark = pytest.mark.django_db(transaction=True)


def test_the_pages_of_letters_have_no_barriers(page: Page, live_server):
    clerk = make_clerk()
    asked = make_request(make_case(), clerk)
    draft, letter, template = written(asked, clerk), made(asked, clerk), own_template(clerk)
    sent(letter, clerk)
    enter(page, clerk, live_server)
    of = {"case_id": asked.case_id}
    new = {**of, "request_id": asked.pk}
    for name, keys, template_name in (
        ("letters", of, "letters/letters.html"),
        ("choose", new, "letters/choose.html"),
        ("write", {**new, "kind": "fee"}, "letters/write.html"),
        ("letter", {**of, "letter_id": draft.pk}, "letters/draft.html"),
        ("letter", {**of, "letter_id": letter.pk}, "letters/letter.html"),
        ("make", {**of, "letter_id": draft.pk}, "letters/make.html"),
        ("send", {**of, "letter_id": letter.pk}, "letters/send.html"),
        ("withdraw", {**of, "letter_id": letter.pk}, "shell/confirm_in_case.html"),
        ("templates", {}, "letters/templates.html"),
        ("template", {"template_id": template.pk}, "letters/template.html"),
        ("void-template", {"template_id": template.pk}, "shell/confirm.html"),
    ):
        page.goto(live_server.url + reverse(f"letters:{name}", kwargs=keys))
        assert barriers(page, template_name) == [], template_name

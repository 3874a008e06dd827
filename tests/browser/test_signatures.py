"""Certificates, signed documents and the open page in a browser: no barriers, no file sent."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection
from playwright.sync_api import expect

from cases.packets.signed_report import signed_report
from cases.signatures.models import SignedDocument
from me_office.accounts.roles import Role
from tests.browser.visitor import barriers, enter, seen
from tests.builders import make_staff
from tests.packets.builders import amend, signed_case
from tests.packets.numbered import bytes_of
from tests.signatures.builders import certificates_of, certified, make_administrator

pytestmark = pytest.mark.django_db(transaction=True)


def _kept(case_id):
    try:
        return signed_report(case_id)
    finally:
        connection.close()


def test_pages_of_signatures_are_free_of_barriers_and_a_file_is_not_sent(
    new_page, live_server, settings
):
    settings.SECOND_SIGNATURE = True
    case = signed_case()
    certified(case)
    # The browser has a loop in this thread, and the library that signs wants one of its own.
    with ThreadPoolExecutor(1) as apart:
        kept = apart.submit(_kept, case.pk).result()
    document = SignedDocument.objects.get(report=kept)
    thorne = case.report.drafts.get().decision.decided_by
    amadi = make_staff(Role.PATHOLOGIST, name="N. Amadi")
    added = amend(case, thorne, kind="addendum", text="The blood held alcohol.", why="It came")
    page = new_page(viewport={"width": 820, "height": 1180})
    page.goto("/verify/")
    sent = []
    page.on("request", lambda one: sent.append(one.post_data_buffer or b""))
    file = {"name": "report.pdf", "mimeType": "application/pdf", "buffer": bytes_of(kept)}
    page.get_by_label("Or the PDF itself").set_input_files(file)
    expect(page.get_by_label("Code or SHA-256")).to_have_value(document.sha256)
    chosen = page.get_by_label("Or the PDF itself")
    # Chosen no more: the form has nothing of it to send.
    page.wait_for_function("one => one.files.length === 0", arg=chosen.element_handle())
    page.get_by_role("button", name="Check").click()
    expect(seen(page, "This file is as the office signed it")).to_be_visible()
    assert not any(b"%PDF" in one for one in sent)
    assert barriers(page, "signatures/verify.html") == []
    enter(page, make_administrator(), live_server)
    one = certificates_of(case)[0]
    for path, template in {
        "/certificates/": "signatures/certificates.html",
        "/certificates/import/": "signatures/add.html",
        f"/certificates/{one.pk}/revoke/": "shell/confirm.html",
    }.items():
        assert page.goto(path).status == 200
        assert barriers(page, template) == []
    enter(page, amadi, live_server)
    for path, template in {
        f"/cases/{case.pk}/signatures/?check={document.pk}": "signatures/documents.html",
        f"/cases/{case.pk}/signatures/second/{added.pk}/": "signatures/second.html",
    }.items():
        assert page.goto(path).status == 200
        assert barriers(page, template) == []

"""From a page number, by the links that stand there, to what was sent and to its record."""

from __future__ import annotations

import hashlib
import re

import pypdf
import pytest
from django.urls import reverse

from cases.answers import queries, tasks
from cases.redaction import queries as redacted
from cases.redaction import reading
from cases.redaction import tasks as redacting
from cases.redaction.sources import sources_in
from me_office.accounts.roles import Role
from tests.answers.decided import asked_answer, decided_request
from tests.builders import make_staff
from tests.evidence.items import break_open
from tests.packets.builders import amend, examined_case, make_clerk, make_people, sign
from tests.packets.reading import unpacked
from tests.redaction.builders import add_document, answered_here, ask_for_copy, hide, make_reason
from tests.results.builders import OXYCODONE, report_of

pytestmark = pytest.mark.django_db
KINDS = ("report", "result", "document", "custody record")


@pytest.fixture
def sent(monkeypatch, tmp_path):
    """An answer of a signed case with a report, a result, a redacted document and the custody."""
    monkeypatch.setattr(reading, "_run", answered_here)
    (vasko, thorne), clerk = make_people(), make_clerk()
    case = examined_case(vasko)
    item = case.item_set.exclude(kind="photograph").get()
    result = report_of(clerk, case, items=[item.pk], lines=[OXYCODONE])
    sign(case, vasko, thorne)
    letter, why = add_document(clerk, case), make_reason(clerk)
    hide(clerk, letter, "Marla", why)
    copied(clerk, letter)
    asked = decided_request(case, clerk, kinds=KINDS, outcomes={"Document 1": "redact"})
    answer = asked_answer(asked, clerk)
    assert tasks.build_answer(request_id=str(answer.pk)) == "made"
    answer.refresh_from_db()
    pdf = pypdf.PdfReader(unpacked(answer, tmp_path) / "data" / "answer.pdf")
    numbers = {}
    for one in queries.parts_of(answer):
        # As it is stamped below the last page of each document.
        page = pdf.pages[one.last - queries.parts_of(answer)[0].first]
        numbers[one.kind] = re.findall(r"R-\d{6}", page.extract_text())[-1]
    return case, clerk, vasko, letter, why, result, numbers


def copied(clerk, letter):
    asked = ask_for_copy(clerk, letter)
    redacting.make_redacted_document(request_id=str(asked.pk))


def found(client, number):
    """The page that tells of a number, and where its links lead, by their words."""
    told = client.get(reverse("answers:find-page"), {"number": number}).content.decode()
    links = re.findall(r'<a class="button[^"]*" href="([^"]+)">([^<]+)</a>', told)
    return told, {words: address.partition("#") for address, words in links}


def fetched(client, address):
    answer = client.get(address)
    assert answer.status_code == 200
    return hashlib.sha256(b"".join(answer.streaming_content)).hexdigest()


def test_each_page_leads_to_the_version_that_was_sent_and_says_what_came_since(sent, client):
    case, clerk, vasko, letter, why, result, numbers = sent
    client.force_login(clerk)
    digests = {}
    for kind in KINDS:
        told, links = found(client, numbers[kind])
        assert "There is more since" not in told
        assert client.get(links["Open the record"][0]).status_code == 200
        digests[kind] = re.search(r'class="digest">([0-9a-f]{64})', told)[1]
    amend(case, vasko, amends="Cause", text="Another cause.", why="Microscopy")
    report_of(
        vasko, case, items=[result.item_links.get().item_id], lines=[OXYCODONE], status="amended",
        replaces=result.pk, why_replaced="Amended by the laboratory",
    )  # fmt: skip
    hide(clerk, letter, "Alder Lane", why)
    copied(clerk, letter)
    renn = make_staff(Role.EVIDENCE_TECHNICIAN)
    break_open(renn, case.item_set.exclude(kind="photograph").get().seals.get())
    since = {
        "report": "Amendment 1 was added to the report after this.",
        "result": "Result 2 took its place.",
        "document": "Another redacted copy of it was made after this.",
        "custody record": "More of the custody was recorded after this.",
    }
    for kind, words in since.items():
        told, links = found(client, numbers[kind])
        assert words in told, kind
        record = client.get(links["Open the record"][0])
        assert record.status_code == 200
        if kind in {"report", "document"}:
            address, _, page = links["Open the document at this page"]
            assert fetched(client, address) == digests[kind], "the file that was sent, by digest"
            assert re.fullmatch(r"page=\d+", page)
    assert str(result.pk) in found(client, numbers["result"])[1]["Open the record"][0]
    newest = redacted.copies_of(sources_in(case))
    assert digests["document"] not in {one.sha256 for one in newest.values()}

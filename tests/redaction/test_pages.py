"""Pages and API of redacting documents: who sees what, what bad input gets, how much is asked."""

from __future__ import annotations

import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.redaction import queries, tasks
from cases.redaction.models import DocumentRedaction, RedactedDocument, RedactionMark
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent
from tests.builders import make_case, make_staff
from tests.cases.browsing import typed
from tests.demo.heard import Page
from tests.packets.builders import make_request
from tests.redaction.builders import add_document, ask_for_copy, hide, letter_pdf, make_reason

pytestmark = pytest.mark.django_db
REDACT = {Role.PATHOLOGIST, Role.SUPERVISOR, Role.RECORDS_CLERK}


@pytest.fixture
def desk(client, clerk):
    """The records clerk's browser."""
    client.force_login(clerk)
    return client


@pytest.fixture
def copy(clerk, letter, why):
    """A copy in which one place is hidden, while the words still stand elsewhere."""
    hide(clerk, letter, "Marla Quince", why, page=1)
    asked = ask_for_copy(clerk, letter)
    tasks.make_requested(asked.pk)
    return RedactedDocument.objects.get(pk=asked.pk)


def url(name, record, **keys):
    return reverse(f"redaction:{name}", kwargs={"case_id": record.case_id, **keys})


def test_who_may_open_which_page(client, letter, copy, why):
    one, page = {"document_id": letter.pk}, {"document_id": letter.pk, "number": 2}
    reading = [
        url("add", letter), url("document", letter, **one), url("page", letter, **page),
        url("picture", letter, **page), f"{url('picture', letter, **page)}?burned=1",
        url("words", letter, **page), f"{url('find', letter, **one)}?words=sister",
        url("withdraw", letter, **one), url("leave", letter, copy_id=copy.pk),
    ]  # fmt: skip
    seeing = [url("documents", letter), url("copy", letter, copy_id=copy.pk)]
    for role in (Role.RECORDS_CLERK, Role.PATHOLOGIST, Role.INVESTIGATOR, Role.ADMINISTRATOR):
        client.force_login(make_staff(role))
        for address in [*reading, *seeing]:
            answer = client.get(address)
            if answer.streaming:
                answer.getvalue()
            wanted = 200 if role in REDACT or address in seeing else 403
            if role is Role.ADMINISTRATOR:
                wanted = 404
            assert answer.status_code == wanted, (role, address)
    stranger = make_case()
    client.force_login(make_staff(Role.RECORDS_CLERK))
    for name, keys in (("page", page), ("picture", page), ("words", page), ("find", one)):
        there = reverse(f"redaction:{name}", kwargs={"case_id": stranger.pk, **keys})
        assert client.get(there).status_code == 404
    assert client.get(url("page", letter, document_id=letter.pk, number=3)).status_code == 404
    # The office's own list is no stranger's; who may not redact is told so before what they sent.
    client.force_login(make_staff())
    lists = [reverse("redaction:reasons"), "/api/redaction-reasons/"]
    assert [client.get(there).status_code for there in lists] == [403, 403]
    asking = [url("open", letter), url("ask", letter, document_id=letter.pk)]
    assert [client.post(there).status_code for there in asking] == [404, 404]
    client.force_login(make_staff(Role.INVESTIGATOR))
    assert [client.post(there).status_code for there in asking] == [403, 403]
    assert client.get(url("copies", letter, **one)).status_code == 403
    assert client.post(reverse("calendars:choose-names")).status_code == 403


def test_each_page_can_be_heard(desk, letter, copy, why):
    hide(copy.created_by, letter, "Alder Lane", why)
    one = {"document_id": letter.pk}
    for address in (
        url("documents", letter), url("add", letter), url("document", letter, **one),
        f"{url('find', letter, **one)}?words=Quince", url("leave", letter, copy_id=copy.pk),
        reverse("redaction:reasons"), reverse("redaction:add-reason"),
        reverse("redaction:reason", args=[why.pk]),
        reverse("redaction:withdraw-reason", args=[why.pk]),
    ):  # fmt: skip
        answer = desk.get(address)
        assert answer.status_code == 200
        assert list(Page(address, answer.content.decode()).wrong()) == [], address


def test_words_are_chosen_on_the_page_and_taken_back(desk, letter, why):
    page = url("page", letter, document_id=letter.pk, number=1)
    entry = {"marks": json.dumps([{"page": 1, "first": 0, "last": 3}]), "why": why.pk}
    sent = typed(entry)
    assert desk.post(page, sent).status_code == 302
    assert desk.post(page, sent).status_code == 302
    (mark,) = RedactionMark.objects.all()
    assert (mark.words, mark.why) == ("Note", why)
    said = desk.get(page).content.decode()
    assert "“Note”" in said and "1 place on 1 page" in said
    back = url("take-back", letter, document_id=letter.pk, mark_id=mark.pk)
    assert desk.post(back, typed({}, version=1)).status_code == 302
    mark.refresh_from_db()
    assert mark.void_reason == "Taken back while marking"


@pytest.mark.parametrize(
    ("marks", "said"),
    [
        ("", "Choose words or draw an area first."),
        ("[]", "Choose words or draw an area first."),
        ("[7]", "could not be read"),
        ("{", "could not be read"),
        ('[{"page": "1", "boxes": []}]', "could not be read"),
        ('[{"page": 1}]', "could not be read"),
        ('[{"page": 1, "boxes": [[0, 0, 3, 3]]}]', "too small"),
        ('[{"page": 9, "boxes": [[0, 0, 300, 300]]}]', "has 2 pages"),
        ('[{"page": 1, "first": 0, "last": 99999}]', "not on the page"),
    ],
)
def test_what_cannot_be_marked_is_refused_on_the_page(desk, letter, why, marks, said):
    page = url("page", letter, document_id=letter.pk, number=1)
    answer = desk.post(page, typed({"marks": marks, "why": why.pk}))
    assert answer.status_code == 422 and said in answer.content.decode()
    assert not RedactionMark.objects.exists()


def test_places_that_were_found_are_marked_one_by_one_or_together(desk, clerk, letter, why):
    page = f"{url('find', letter, document_id=letter.pk)}?words=marla"
    said = desk.get(page).content.decode()
    assert said.count('name="places"') == 3 and said.count(" checked") == 3
    places = [part.split('"')[0] for part in said.split('name="places" value="')[1:]]
    answer = desk.post(page, typed({"why": why.pk}))
    assert answer.status_code == 422 and "Choose at least one place." in answer.content.decode()
    assert desk.post(page, typed({"why": why.pk, "places": places[:2]})).status_code == 302
    assert RedactionMark.objects.count() == 2
    assert "marked already" in desk.get(page).content.decode()
    none = desk.get(f"{url('find', letter, document_id=letter.pk)}?words=nobody")
    assert "Nothing is found" in none.content.decode()


def test_a_document_is_added_marked_copied_and_sent(desk, case, why):
    upload = SimpleUploadedFile("x.pdf", letter_pdf(), "application/pdf")
    page = reverse("redaction:add", kwargs={"case_id": case.pk})
    answer = desk.post(page, typed({"name": "Hospital record"}) | {"upload": upload})
    assert answer.status_code == 302
    added = DocumentRedaction.objects.get()
    bad = SimpleUploadedFile("x.pdf", b"%PDF-nothing", "application/pdf")
    answer = desk.post(page, typed({"name": "Hospital record"}) | {"upload": bad})
    assert answer.status_code == 422 and "cannot be read as a PDF" in answer.content.decode()
    hide(added.created_by, added, "sister", why)
    shown = queries.document_of(added.case, added.pk)
    ask = url("ask", added, document_id=added.pk)
    stale = desk.post(ask, typed({"choice_sha256": "0" * 64}))
    assert stale.status_code == 422 and "changed the marks" in stale.content.decode()
    assert desk.post(ask, typed({"choice_sha256": shown.choice_sha256})).status_code == 302
    asked = RedactedDocument.objects.get()
    said = desk.get(
        url("copies", added, document_id=added.pk), headers={"HX-Request": "true"}
    ).content.decode()
    assert 'hx-trigger="every 1s"' in said
    tasks.make_requested(asked.pk)
    assert (
        "goes out in place of the document"
        in desk.get(url("document", added, document_id=added.pk)).content.decode()
    )
    file = desk.get(url("copy", added, copy_id=asked.pk))
    assert b"".join(file.streaming_content).startswith(b"%PDF-1.7")
    looks = set(AccessEvent.objects.values_list("what", flat=True))
    assert {"redacted document", "document to redact"} <= looks
    subpoena = make_request(case, asked.created_by)
    page = reverse("redaction:documents", kwargs={"case_id": case.pk})
    listed = desk.get(f"{page}?request={subpoena.pk}").content.decode()
    assert "Copy ready" in listed
    assert f'value="{subpoena.pk}" selected>{subpoena.told_apart}<' in listed
    assert f'value="{subpoena.pk}" selected' not in desk.get(page).content.decode()


def test_words_that_are_left_elsewhere_are_decided_about(desk, letter, copy):
    page = url("leave", letter, copy_id=copy.pk)
    assert "Quince" in desk.get(page).content.decode()
    assert desk.post(page, typed({"reason": ""}, version=copy.version)).status_code == 422
    assert desk.post(page, typed({"reason": "Stays"}, version=1)).status_code == 409
    assert desk.post(page, typed({"reason": "Stays"}, version=copy.version)).status_code == 302
    copy.refresh_from_db()
    assert copy.left_why == "Stays"


def test_the_office_keeps_its_reasons_on_a_page(desk, why):
    add = reverse("redaction:add-reason")
    entry = {"number": "12b", "words": "Ongoing investigation", "citation": ""}
    assert desk.post(add, typed(entry)).status_code == 302
    answer = desk.post(add, typed(entry))
    assert answer.status_code == 422 and "Another reason has this code." in answer.content.decode()
    change = reverse("redaction:reason", args=[why.pk])
    sent = typed({"number": "3", "words": "Name of a bystander", "reason": "Clearer"}, version=1)
    assert desk.post(change, sent).status_code == 302
    gone = reverse("redaction:withdraw-reason", args=[why.pk])
    assert desk.post(gone, typed({"reason": "Not used"}, version=2)).status_code == 302
    said = desk.get(reverse("redaction:reasons")).content.decode()
    assert "Ongoing investigation" in said and "Taken off the list" in said


def test_lists_ask_the_same_number_of_statements_for_3_rows_and_for_30(desk, clerk, case, why):
    counts = []
    for more in (3, 27):
        for number in range(more):
            made = add_document(clerk, case, letter_pdf("Marla Quince"), name=f"Letter {number}")
            hide(clerk, made, "Quince", why)
        asked_for = {}
        for address in (
            reverse("redaction:documents", kwargs={"case_id": case.pk}),
            f"/api/cases/{case.pk}/documents-to-release/",
            f"/api/cases/{case.pk}/redacted-documents/",
            reverse("redaction:reasons"),
        ):
            desk.get(address)
            with CaptureQueriesContext(connection) as asked:
                assert desk.get(address).status_code == 200
            asked_for[address] = len(asked)
        counts.append(asked_for)
    assert counts[0] == counts[1]


def test_the_api_does_what_the_pages_do(desk, clerk, case):
    def post(address, body, wanted=200):
        answer = desk.post(f"/api/{address}", body, content_type="application/json")
        assert answer.status_code == wanted, answer.content
        return answer.json()

    why = post("redaction-reasons/", {"id": str(new_id()), "number": "5", "words": "Name"}, 201)
    document = add_document(clerk, case)
    at = f"cases/{case.pk}/redacted-documents/{document.pk}"
    place = {"id": str(new_id()), "page": 2, "first": 0, "last": 11}
    marked = post(f"{at}/marks/", {"marks": [place], "why": why["id"]})
    assert marked["choice_sha256"]
    (mark,) = desk.get(f"/api/{at}/marks/").json()
    assert mark["words"] == "Marla Quince"
    post(f"{at}/marks/", {"marks": [{"id": str(new_id()), "page": 7}], "why": why["id"]}, 422)
    asked = post(
        f"{at}/copies/", {"id": str(new_id()), "choice_sha256": marked["choice_sha256"]}, 202
    )
    tasks.make_requested(asked["id"])
    (made,) = desk.get(f"/api/{at}/copies/").json()
    assert made["state"] == "made" and made["elsewhere"] and not made["may_go_out"]
    left = post(
        f"cases/{case.pk}/document-copies/{made['id']}/leave/",
        {"version": made["version"], "reason": "The first page names her anyway"},
    )
    assert left["may_go_out"]
    (listed,) = desk.get(f"/api/cases/{case.pk}/documents-to-release/").json()
    assert listed["copy"] == made["id"] and listed["why_not"] == ""
    back = {"marks": [{"id": mark["id"], "version": 1}], "reason": "Mistake"}
    post(f"{at}/marks/take-back/", back)
    assert desk.get(f"/api/{at}/marks/").json() == []


def test_a_reason_in_use_may_be_given_to_a_mark(clerk, desk, letter, why):
    (mark,) = hide(clerk, letter, "sister", why)
    other = make_reason(clerk, "9")
    answer = desk.patch(
        f"/api/cases/{letter.case_id}/redaction-marks/{mark.pk}/",
        {"version": 1, "why": str(other.pk)},
        content_type="application/json",
    )
    assert answer.status_code == 200 and answer.json()["why"] == str(other.pk)

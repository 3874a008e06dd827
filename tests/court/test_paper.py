"""The original of a request and the right of who asks."""

from __future__ import annotations

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from cases.court import paper, queries
from cases.court.authorizing import change_authority_need, record_authority
from cases.court.models import Authority, Original
from cases.models import Person
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent
from tests.builders import make_case, make_staff
from tests.court.builders import demand, keys_of, original, pdf_of, url
from tests.packets.builders import make_request

pytestmark = pytest.mark.django_db


def png():
    made = io.BytesIO()
    Image.new("RGB", (20, 30), "white").save(made, "PNG")
    return made.getvalue()


def test_pages_of_a_pdf_are_counted_and_drawn_apart_from_the_office(processes, clerk):
    asked = make_request(make_case(), clerk)
    made = paper.attach(
        clerk,
        **keys_of(asked),
        record_id=new_id(),
        upload=SimpleUploadedFile("subpoena.pdf", pdf_of(2)),
    )
    assert made.pages == 2
    picture = Image.open(io.BytesIO(paper.page_picture(made, 2)))
    assert abs(picture.height - 1650) <= 1
    with pytest.raises(NotKnown):
        paper.page_picture(made, 3)
    with pytest.raises(Refused, match="cannot be read"):
        paper.count_pages(io.BytesIO(b"%PDF-1.4 and nothing more"))


def test_an_original_is_replaced_with_a_reason_and_the_earlier_one_stays(
    signed_in, clerk, monkeypatch
):
    asked = make_request(make_case(state="signed"), clerk)
    demand(clerk, asked, page=2)
    with pytest.raises(NotAllowed):
        original(make_staff(Role.INVESTIGATOR), asked)
    key = new_id()
    first = original(clerk, asked, record_id=key)
    assert original(clerk, asked, record_id=key).pk == first.pk
    with pytest.raises(Conflict):
        original(clerk, asked, png(), record_id=key)
    with pytest.raises(Refused, match="already"):
        original(clerk, asked, reason="again")
    with pytest.raises(Refused, match="Say why"):
        original(clerk, asked, pdf_of(2))
    page = signed_in.get(url("request", asked)).content.decode()
    assert f'{url("original", asked)}#page-2"' in page
    second = original(clerk, asked, pdf_of(2), pages=2, reason="a page was missing", name="a.pdf")
    assert Original.objects.active().get() == second
    shown = signed_in.get(url("original", asked)).content.decode()
    assert "a page was missing" in shown
    number = url("original-page", asked, record_id=second.pk, number=2)
    assert number in shown
    monkeypatch.setattr(paper, "page_picture", lambda *asked: b"a picture")
    drawn = signed_in.get(number)
    assert (drawn.status_code, drawn.content) == (200, b"a picture")
    assert "no-store" in drawn["Cache-Control"], "no browser keeps it"
    sent = signed_in.get(url("original-file", asked, record_id=first.pk))
    assert b"".join(sent.streaming_content) == pdf_of(1)
    assert AccessEvent.objects.filter(what="original of a request", record_id=first.pk).exists()
    other = make_request(make_case(), clerk)
    assert signed_in.get(url("original-file", other, record_id=first.pk)).status_code == 404


def test_what_is_no_paper_is_refused_beside_the_field(signed_in, clerk, monkeypatch):
    asked = make_request(make_case(), clerk)

    def send(content, name="a.pdf", **more):
        sent = {"record_id": str(new_id()), "upload": SimpleUploadedFile(name, content), **more}
        return signed_in.post(url("attach-original", asked), sent)

    wrong = send(b"GIF89a, no paper")
    assert wrong.status_code == 422
    assert "neither a PDF nor a picture" in wrong.context["form"].errors["upload"][0]
    monkeypatch.setattr(paper, "MOST_BYTES", 10)
    assert "larger than" in send(png()).context["form"].errors["upload"][0]
    monkeypatch.undo()
    assert send(png(), name="../../scan.png").status_code == 302
    stands = Original.objects.get()
    assert (stands.pages, stands.file.media_type) == (1, "image/png")
    assert "/" not in stands.file_name
    number = url("original-page", asked, record_id=stands.pk, number=1)
    assert b"".join(signed_in.get(number).streaming_content) == png()
    again = send(png() + b"\n", name="b.png")
    assert set(again.context["form"].errors) == {"reason"}


def test_the_right_of_who_asks_is_recorded_checked_and_told(signed_in, clerk):
    case = make_case()
    asked = make_request(
        case, clerk, kind="records request", asked_under="family", party="E. Pell", court=""
    )
    assert queries.why_no_authority(asked) == (
        "Whether who asks has a right to it is not checked yet."
    )
    assert "Not checked yet" in signed_in.get(url("request", asked)).content.decode()
    kin = {"created_by": clerk, "changed_by": clerk, "part": "next of kin"}
    wife = Person.objects.create(case=case, name="Edda Pell", **kin)
    strange = Person.objects.create(case=make_case(), name="Somebody", **kin)
    sent = {
        "record_id": str(new_id()),
        "version": "0",
        "who": "next of kin",
        "person": str(wife.pk),
        "outcome": "open",
    }
    early = sent | {"how": "Asked by telephone"}
    assert set(signed_in.post(url("add-authority", asked), early).context["form"].errors) == {"how"}
    wrong = sent | {"outcome": "shown", "person": str(strange.pk)}
    form = signed_in.post(url("add-authority", asked), wrong).context["form"]
    assert set(form.errors) == {"how", "checked_on", "checked_by", "person"}
    assert signed_in.post(url("add-authority", asked), sent).status_code == 302
    record = Authority.objects.get()
    with pytest.raises(Invalid) as refused:
        record_authority(
            clerk,
            **keys_of(asked),
            record_id=record.pk,
            version=1,
            entry={"person": strange},
            reason="x",
        )
    assert set(refused.value.errors) == {"person"}
    checked = sent | {
        "version": "1",
        "outcome": "shown",
        "how": "Identity card and the death certificate seen",
        "checked_on": timezone.localdate().isoformat(),
        "checked_by": str(clerk.pk),
        "reason": "came to the counter",
    }
    change = url("change-authority", asked, record_id=record.pk)
    assert signed_in.post(change, checked).status_code == 302
    assert queries.why_no_authority(asked) == ""
    page = signed_in.get(url("request", asked)).content.decode()
    assert "Next of kin, Edda Pell" in page
    assert "Identity card" in page
    with pytest.raises(Invalid):
        record_authority(clerk, **keys_of(asked), record_id=new_id(), entry={"who": "party"})


def test_of_which_requests_a_right_is_asked_is_in_the_offices_hands(signed_in, clerk):
    asked = make_request(make_case(), clerk)
    assert queries.why_no_authority(asked) == ""
    with pytest.raises(NotAllowed):
        change_authority_need(
            make_staff(Role.PATHOLOGIST), key="subpoena", version=0, entry={}, reason="x"
        )
    with pytest.raises(NotKnown):
        change_authority_need(clerk, key="letters", version=0, entry={}, reason="x")
    address = reverse("court:change-need", kwargs={"key": "subpoena"})
    sent = {"version": "0", "is_needed": "yes", "because": "County order 12"}
    assert signed_in.post(address, sent).status_code == 422
    assert signed_in.post(address, sent | {"reason": "as counsel said"}).status_code == 302
    assert queries.why_no_authority(asked) != ""
    assert "County order 12" in signed_in.get(reverse("court:needs")).content.decode()
    with pytest.raises(StaleRecord):
        change_authority_need(
            clerk, key="subpoena", version=0, entry={"needed": False}, reason="late"
        )

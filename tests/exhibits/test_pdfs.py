"""A set as PDF for the courtroom: its pages, its claims, and what it must not hold."""

from __future__ import annotations

import io
from typing import Any

import pikepdf
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from cases.exhibits import actions, binding, burning, queries, redacting, tasks
from cases.exhibits.models import ExhibitPdf
from evidence import store
from evidence.photographs.tasks import derive_images
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, Refused
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent, AuditEvent
from tests.builders import make_case, make_staff
from tests.evidence.pictures import add, take_away
from tests.exhibits.builders import (
    FACE,
    link_contusion,
    make_exhibit,
    make_photograph,
    make_redaction,
    make_set,
    noisy_picture,
)
from tests.packets.builders import altered
from tests.packets.reading import squeezed, structure_of, text_of

pytestmark = pytest.mark.django_db
CAMERA = "Cameraworks Tell-tale 3000"


@pytest.fixture
def trial(vasko):
    """A set of three exhibits: a wide picture, a high one with camera data, a composite of two."""
    case = make_case(by=vasko)
    made = make_set(vasko, case, cause_number="26-CF-0117")
    wide = make_photograph(vasko, case, 1)
    link_contusion(vasko, case, wide)
    high, close = (
        add(
            vasko, case, noisy_picture(seed, (90, 160), exif=exif()), name=f"DSC_000{seed}.png",
            shows="Left hand", photographer="P. Sedge",
        )
        for seed in (2, 3)
    )  # fmt: skip
    make_exhibit(vasko, made, wide, number="14", caption="The back, close")
    make_exhibit(vasko, made, high, number="15", caption="Left hand")
    both = make_exhibit(vasko, made, close, number="16", caption="Both hands")
    actions.compose_exhibit(
        vasko, case_id=case.pk, exhibit_id=both.pk, version=1,
        photographs=[both.photograph_id, high.pk],
    )  # fmt: skip
    return made


def exif() -> bytes:
    notes = Image.Exif()
    notes[0x0110] = CAMERA
    return notes.tobytes()


def ask(by, trial, record_id=None, **said):
    return actions.request_exhibit_pdf(
        by, case_id=trial.case_id, set_id=trial.pk, record_id=record_id or new_id(), **said
    )


def made(by, trial, **said) -> ExhibitPdf:
    """Ask for a PDF and let the worker make it."""
    asked = ask(by, trial, **said)
    tasks.make_exhibit_pdf(request_id=str(asked.pk))
    return ExhibitPdf.objects.select_related("file").get(pk=asked.pk)


def bytes_of(pdf: ExhibitPdf) -> bytes:
    assert pdf.file is not None, pdf.failure
    with store.open_stored(pdf.file) as file:
        return file.read()


def uncompressed(content: bytes) -> bytes:
    """Every object of a PDF with its streams, pictures left as they are."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(content)) as pdf:
        pdf.save(
            out,
            stream_decode_level=pikepdf.StreamDecodeLevel.generalized,
            object_stream_mode=pikepdf.ObjectStreamMode.disable,
            compress_streams=False,
        )
    return out.getvalue()


def test_each_page_is_an_exhibit_as_large_as_it_allows_under_its_number(vasko, trial):
    content = bytes_of(made(vasko, trial, with_captions=True))
    pdf = pikepdf.open(io.BytesIO(content))
    # ISO 19005-3 and ISO 14289-1 name these properties (names from memory).
    with pdf.open_metadata() as meta:
        assert (meta["pdfaid:part"], meta["pdfaid:conformance"]) == ("3", "B")
        assert (meta["pdfuaid:part"], meta["dc:title"]) == ("1", "Exhibits")
    assert bool(pdf.Root.MarkInfo.Marked)
    wide = [page.mediabox[2] > page.mediabox[3] for page in pdf.pages]
    assert wide == [True, False, True]
    assert {round(float(side)) for page in pdf.pages for side in page.mediabox[2:]} == {612, 792}
    pages = [squeezed(text_of_page(pdf, number)) for number in range(3)]
    assert pages == [
        squeezed("Exhibit 14 The back, close"),
        squeezed("Exhibit 15 Left hand"),
        squeezed("Exhibit 16 Both hands"),
    ]
    figures = [str(each.Alt) for each in structure_of(pdf) if each.S == "/Figure"]
    assert sorted(figures) == [
        "Exhibit 14: The back, close",
        "Exhibit 15: Left hand",
        "Exhibit 16, picture 1 of 2: Both hands",
        "Exhibit 16, picture 2 of 2: Both hands",
    ]
    # As large as the page allows between the margins and the lines of number and caption.
    (wide,), (high,), beside = (drawn_sizes(page) for page in pdf.pages)
    assert wide[0] / wide[1] == pytest.approx(160 / 120, abs=0.01) and wide[1] > 460
    assert high[0] / high[1] == pytest.approx(90 / 160, abs=0.01) and high[1] > 640
    assert len(beside) == 2 and all(height > 460 for _, height in beside)


def text_of_page(pdf: pikepdf.Pdf, number: int) -> str:
    one = pikepdf.Pdf.new()
    one.pages.append(pdf.pages[number])
    return text_of(one)


def drawn_sizes(page: pikepdf.Page) -> list[tuple[float, float]]:
    """Width and height of each picture on a page, in points (ISO 32000-1, 8.3.4: cm, q, Q, Do)."""
    matrix, kept, found = pikepdf.Matrix(), [], []
    for operands, operator in pikepdf.parse_content_stream(page):
        match str(operator):
            case "q":
                kept.append(matrix)
            case "Q":
                matrix = kept.pop()
            case "cm":
                matrix = pikepdf.Matrix(*(float(one) for one in operands)) @ matrix
            case "Do":
                found.append((abs(matrix.a), abs(matrix.d)))
    return found


def test_it_holds_nothing_that_the_court_did_not_ask_for(vasko, trial, settings):
    pdf = made(vasko, trial)
    whole = uncompressed(bytes_of(pdf))
    text = squeezed(text_of(pikepdf.open(io.BytesIO(bytes_of(pdf)))))
    photographs = [shot for one in queries.exhibits_of(trial) for shot in one.photographs]
    decedent = trial.case.decedent
    for word in (
        trial.case.number, decedent.family_name, trial.title, trial.cause_number, trial.court,
        settings.OFFICE_NAME, "Vasko", "Sedge", CAMERA, "DSC_000", "Contusion", "The back",
        "Left hand", "Both hands", "photograph", *(shot.file.sha256[:16] for shot in photographs),
        *(str(shot.pk) for shot in photographs),
    ):  # fmt: skip
        assert word and word.encode() not in whole, word
        assert word.encode("utf-16-be") not in whole, word
        assert word.encode("utf-16-be").hex().upper().encode() not in whole.upper(), word
        assert squeezed(word) not in text, word
    assert text == squeezed("Exhibit 14 Exhibit 15 Exhibit 16")
    # What was asked for is there, in what is read and in what is read aloud.
    both = made(vasko, trial, with_captions=True, with_photograph_numbers=True)
    said = squeezed(text_of(pikepdf.open(io.BytesIO(bytes_of(both)))))
    for word in ("The back, close", "photograph 1", "photographs 3, 2"):
        assert squeezed(word) in said, word


def test_the_same_request_gives_the_same_bytes_and_a4_where_the_office_prints_on_it(
    vasko, trial, settings
):
    asked = ask(vasko, trial)
    exhibits = queries.exhibits_to_present(trial)
    first, again = (binding.bind(asked, exhibits) for _ in range(2))
    assert first == again and first.pages == 3
    settings.OFFICE_PAPER = "a4"
    pdf = pikepdf.open(io.BytesIO(binding.bind(asked, exhibits[1:2]).pdf))
    assert [round(float(side)) for side in pdf.pages[0].mediabox[2:]] == [595, 842]


def test_a_redacted_copy_is_printed_and_what_is_to_be_hidden_is_waited_for(vasko, trial):
    shown = queries.exhibits_of(trial)[0].photograph
    waiting = ask(vasko, trial)
    make_redaction(vasko, shown)
    tasks.make_exhibit_pdf(request_id=str(waiting.pk))
    pdf = ExhibitPdf.objects.get(pk=waiting.pk)
    with pikepdf.open(io.BytesIO(bytes_of(pdf))) as read:
        (image,) = read.pages[0].get_images().values()
        picture = pikepdf.PdfImage(image).as_pil_image().convert("RGB")
    assert picture.getpixel((60, 50)) == pytest.approx(burning.COVER_COLOR, abs=3)
    (listed,) = queries.pdfs_of(trial, queries.exhibits_to_present(trial))
    assert listed.is_current
    # It shows what the redaction hid since it was taken back: another file of the same photograph.
    standing = queries.redactions_of(trial.case, shown)[0]
    actions.void_redaction(
        vasko, case_id=trial.case_id, redaction_id=standing.pk, version=1, reason="ruled so"
    )
    (listed,) = queries.pdfs_of(trial, queries.exhibits_to_present(trial))
    assert not listed.is_current
    # A further picture of a composite is waited for like a first one.
    _, alone, both = queries.exhibits_of(trial)
    actions.remove_exhibit(
        vasko, case_id=trial.case_id, exhibit_id=alone.pk, version=1, reason="shown with the other"
    )
    other = both.photographs[1]
    derive_images(photograph_id=str(other.pk))
    redacting.ask(
        vasko, case_id=trial.case_id, photograph_id=other.pk, record_id=new_id(), version=0,
        entries=[FACE], reason="Face",
    )  # fmt: skip
    with pytest.raises(Refused, match="was requested and is not ready"):
        ask(vasko, trial)


def test_a_set_that_changed_meanwhile_is_not_kept_and_tried_again(vasko, trial, monkeypatch):
    asked = ask(vasko, trial)
    one = queries.exhibits_of(trial)[0]
    hidden, to_be_hidden = one.photograph, queries.exhibits_of(trial)[1].photograph
    derive_images(photograph_id=str(to_be_hidden.pk))
    key = new_id()
    meanwhile = [
        lambda: actions.change_exhibit(
            vasko, case_id=trial.case_id, exhibit_id=one.pk, version=1, entry={"number": "99"}
        ),
        lambda: make_redaction(vasko, hidden),
        lambda: redacting.ask(
            vasko, case_id=trial.case_id, photograph_id=to_be_hidden.pk, record_id=key, version=0,
            entries=[FACE], reason="Face",
        ),
        lambda: None,
    ]  # fmt: skip
    bind = binding.bind

    def slow(*given: Any) -> Any:
        made = bind(*given)
        meanwhile.pop(0)()
        return made

    monkeypatch.setattr(binding, "bind", slow)
    keys = {"case_id": trial.case_id, "request_id": asked.pk}
    for why in ("The set was changed",) * 2 + ("A redacted copy of photograph 2 was requested",):
        assert tasks.make_exhibit_pdf(request_id=str(asked.pk)) == "failed"
        asked.refresh_from_db()
        assert (asked.state, asked.file) == ("failed", None)
        assert asked.failure.startswith(why)
        actions.retry_exhibit_pdf(vasko, **keys, version=asked.version)
    tasks.make_redaction(request_id=str(key))
    assert tasks.make_exhibit_pdf(request_id=str(asked.pk)) == "made"
    asked.refresh_from_db()
    assert [page["number"] for page in asked.contents] == ["99", "15", "16"]
    kept = AuditEvent.objects.filter(act="finish_exhibit_pdf", table="exhibits_exhibitpdf")
    assert kept.count() == 1


def test_who_may_not_and_what_cannot_be_printed_is_refused(vasko, trial, monkeypatch):
    with pytest.raises(NotAllowed):
        ask(make_staff(Role.INVESTIGATOR), trial)
    with pytest.raises(Refused, match="no exhibit"):
        ask(vasko, make_set(vasko, trial.case, title="Empty"))
    asked = ask(vasko, trial)
    assert ask(vasko, trial, asked.pk).pk == asked.pk
    with pytest.raises(Conflict):
        ask(vasko, trial, asked.pk, with_captions=True)
    with pytest.raises(Refused, match="being made"):
        ask(vasko, trial)
    with altered(queries.exhibits_of(trial)[0].photograph.file):
        assert tasks.make_exhibit_pdf(request_id=str(asked.pk)) == "failed"
    asked.refresh_from_db()
    assert "photograph 1 no longer has its digest" in asked.failure
    keys = {"case_id": trial.case_id, "request_id": asked.pk}
    actions.retry_exhibit_pdf(vasko, **keys, version=asked.version)
    assert tasks.make_exhibit_pdf(request_id=str(asked.pk)) == "made"
    monkeypatch.setattr("cases.exhibits.actions.pdfs.MOST_PAGES", 2)
    with pytest.raises(Refused, match="up to 2 exhibits"):
        ask(vasko, trial)
    take_away(vasko, queries.exhibits_of(trial)[0].photograph)
    (listed,) = queries.pdfs_of(trial, queries.exhibits_to_present(trial))
    assert not listed.is_current
    ask(vasko, trial)


def test_the_way_by_pages_and_by_the_api(client, trial):
    client.force_login(make_staff(Role.RECORDS_CLERK))
    keys = {"case_id": trial.case_id, "set_id": trial.pk}
    page = reverse("exhibits:pdfs", kwargs=keys)
    assert "None yet." in client.get(page).content.decode()
    assert client.post(page, {"record_id": new_id(), "with_captions": "on"}).status_code == 302
    asked = ExhibitPdf.objects.get()
    assert "every 1s" in client.get(page).content.decode()
    waits = client.post(page, {"record_id": new_id()})
    assert (waits.status_code, "being made" in waits.content.decode()) == (422, True)
    file = reverse("exhibits:pdf", kwargs={"case_id": trial.case_id, "request_id": asked.pk})
    assert client.get(file).status_code == 404
    tasks.make_exhibit_pdf(request_id=str(asked.pk))
    part = client.get(reverse("exhibits:pdf-list", kwargs=keys), headers={"HX-Request": "true"})
    shown = part.content.decode()
    assert ("every 1s" in shown, "3 pages, with captions" in shown) == (False, True)
    sent = client.get(file)
    assert sent.getvalue().startswith(b"%PDF")
    assert (sent["Content-Type"], "exhibits.pdf" in sent["Content-Disposition"]) == (
        "application/pdf", True,
    )  # fmt: skip
    assert AccessEvent.objects.filter(what="exhibits as PDF", record_id=asked.pk).count() == 1

    body = {"id": str(new_id())}
    address = reverse("exhibits_api:pdfs", kwargs=keys)
    assert client.post(address, body, content_type="application/json").status_code == 202
    tasks.make_exhibit_pdf(request_id=body["id"])
    one = reverse("exhibits_api:pdf", kwargs={"case_id": trial.case_id, "request_id": body["id"]})
    told = client.get(one).json()
    assert (told["state"], told["pages"], told["changed_since"]) == ("made", 3, "")
    with CaptureQueriesContext(connection) as few:
        assert len(client.get(address).json()) == 2
    ExhibitPdf.objects.filter(pk=body["id"]).update(failure="x")
    for _ in range(8):
        made_row(asked)
    with CaptureQueriesContext(connection) as many:
        assert len(client.get(address).json()) == 10
    assert len(few) == len(many)
    changed = "The set or a redaction has changed since."
    make_redaction(trial.created_by, queries.exhibits_of(trial)[0].photograph)
    assert client.get(one).json()["changed_since"] == changed
    ready = [row["changed_since"] for row in client.get(address).json() if row["sha256"]]
    assert ready == [changed, changed]
    assert changed in client.get(page).content.decode()


def test_a_pdf_of_a_withdrawn_set_says_that_it_no_longer_stands(vasko, trial):
    pdf = made(vasko, trial)
    assert queries.pdf_with_standing(trial.case, pdf.pk).changed_since == ""
    actions.void_exhibit_set(
        vasko, case_id=trial.case_id, set_id=trial.pk, version=1, reason="not needed"
    )
    assert queries.pdf_with_standing(trial.case, pdf.pk).changed_since


def made_row(asked: ExhibitPdf) -> None:
    """Another PDF, written past the actions."""
    ExhibitPdf.objects.create(
        case=asked.case, exhibit_set=asked.exhibit_set, created_by=asked.created_by,
        changed_by=asked.created_by,
    )  # fmt: skip

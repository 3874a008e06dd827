"""An answer as it is built: its pages, its files, and nothing of what was withheld."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from dataclasses import replace
from datetime import UTC, date, datetime

import pikepdf
import pypdf
import pytest
from django.utils import timezone

from cases.answers import build, contents, queries, tasks
from cases.answers.actions import (
    MadeAnswer,
    begin_answer,
    finish_answer,
    give_page_numbers,
    request_answer,
    retry_answer,
)
from cases.answers.build import write_answer
from cases.answers.chosen import chosen_items
from cases.answers.models import NumberedPages, PageRun
from cases.court.actions import withdraw_request
from cases.court.marking import OrderTold
from cases.court.models import RequestCase
from cases.decisions.models import Ground
from cases.decisions.ready import ReadyItem
from cases.decisions.rules import ItemKind, Outcome
from cases.letters.models import Letter
from cases.models import Case
from cases.packets.signed_report import signed_report
from cases.packets.store import work_folder
from cases.redaction.own_sources import ADDED
from cases.redaction.sources import Source
from cases.review.models import SignedPdf
from me_office.accounts.roles import Role
from me_office.audit.errors import NotAllowed, Refused
from me_office.audit.ids import new_id
from me_office.jobs.actions import TakenOver
from me_office.jobs.rules import JobState
from tests.answers.builders import answer_being_built, asked_of_open_case
from tests.answers.decided import asked_answer, decided_request
from tests.builders import make_case, make_staff
from tests.decisions.builders import approve, decide, second_person
from tests.jobs.killed import files_of
from tests.packets.builders import altered, make_clerk, make_request
from tests.packets.reading import complaint_of, unpacked

pytestmark = pytest.mark.django_db


def pages_said(pdf):
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]


def test_an_answer_is_a_whole_bag_whose_pages_are_numbered_and_found(answer, tmp_path):
    bag = unpacked(answer, tmp_path)
    assert complaint_of(bag) == ""
    names = {path.relative_to(bag / "data").as_posix() for path in (bag / "data").rglob("*")}
    assert {"answer.pdf", "README.txt", "page-numbers.csv", "withholding-log.csv", "custody.csv",
            "documents/signed-report.pdf", "exhibit-list.csv"} <= names  # fmt: skip
    pictures = [name for name in names if name.startswith("photographs/")]
    assert len(pictures) == answer.photographs == 2
    pages = pages_said((bag / "data" / "answer.pdf").read_bytes())
    run = PageRun.objects.get(answer=answer)
    assert len(pages) == answer.pages == run.last - run.first + 1
    for index, said in enumerate(pages):
        assert f"R-{run.first + index:06d}" in said
    parts = queries.parts_of(answer)
    assert parts[0].first == run.first
    assert [one.last + 1 for one in parts[:-1]] == [one.first for one in parts[1:]]
    assert parts[-1].last == run.last
    report = next(one for one in parts if one.kind == "report")
    kept = (bag / "data" / "documents" / "signed-report.pdf").read_bytes()
    assert report.digest == hashlib.sha256(kept).hexdigest()
    assert "Report of examination" in pages[report.first - run.first]
    assert f"R-{report.first:06d}" in pages[0], "the list of contents names the page"


def test_its_pdf_keeps_tags_bookmarks_and_the_margins_of_its_documents(answer, tmp_path):
    bag = unpacked(answer, tmp_path)
    with (
        pikepdf.open(bag / "data" / "answer.pdf") as whole,
        pikepdf.open(bag / "data" / "documents" / "signed-report.pdf") as report,
    ):
        with whole.open_outline() as outline:
            titles = [item.title for item in outline.root]
        parts = queries.parts_of(answer)
        assert titles == [one.label for one in parts]
        assert whole.Root.MarkInfo.Marked
        first = next(one for one in parts if one.kind == "report").first - parts[0].first
        page, was = whole.pages[first], report.pages[0]
        assert float(page.mediabox[1]) < float(was.mediabox[1])
        assert [float(one) for one in page.mediabox[2:]] == [float(one) for one in was.mediabox[2:]]
        assert whole.Root.StructTreeRoot.K.S == "/Document"


def test_the_same_decisions_and_numbers_give_the_same_bytes(answer):
    run = PageRun.objects.select_related("series").get(answer=answer)
    digests = []
    for attempt in (7, 8):
        with work_folder(answer.pk, attempt) as work:
            made = write_answer(answer, chosen_items(answer.request), work, give=lambda _: run)
            digests.append(hashlib.sha256(made.zip.read_bytes()).hexdigest())
    assert digests == [answer.sha256, answer.sha256]


def test_what_is_withheld_is_nowhere_in_the_packet(signed, tmp_path):
    clerk = make_clerk()
    first, second = signed.photograph_set.order_by("number")
    asked = decided_request(
        signed, clerk, kinds=("report", "photograph", "custody record", "history"),
        outcomes={"P 1": "withhold"},
    )  # fmt: skip
    answer = asked_answer(asked, clerk)
    assert tasks.build_answer(request_id=str(answer.pk)) == "made"
    answer.refresh_from_db()
    assert (answer.photographs, answer.withheld) == (1, 1)
    bag = unpacked(answer, tmp_path)
    for path in (one for one in bag.rglob("*") if one.is_file()):
        content = path.read_bytes()
        for told in (str(first.pk), first.file.sha256, first.file.sha256[:12]):
            assert told.encode() not in content, f"{told} in {path}"
        assert hashlib.sha256(content).hexdigest() != first.file.sha256
    history = (bag / "data" / "history.json").read_text(encoding="utf-8")
    assert first.shows not in history
    log = (bag / "data" / "withholding-log.csv").read_text(encoding="utf-8")
    assert "Privacy of a living person" in log
    assert first.shows not in log
    assert second.file.sha256 in (bag / "data" / "exhibit-list.csv").read_text(encoding="utf-8")
    assert str(second.pk) in (bag / "data" / "history.json").read_text(encoding="utf-8")


def test_a_packet_tells_of_its_order_its_day_and_its_counts_in_each_place(tmp_path):
    clerk = make_clerk()
    made = asked_of_open_case(clerk, photographs=2)
    order = OrderTold(date(2026, 3, 2), "Counsel of both sides", None, "are destroyed")
    one, other = chosen_items(made.request)[:2]
    chosen = [one, replace(other, outcome=Outcome.WITHHOLD, ground="3. Privacy")]
    begin_answer(clerk, answer_id=made.pk)
    made.decided_at = datetime(2026, 3, 5, 9, tzinfo=UTC)
    with pytest.MonkeyPatch.context() as patch, work_folder(made.pk, 1) as work:
        patch.setattr(build, "orders_of", lambda asked: [order])
        done = write_answer(
            made, chosen, work,
            give=lambda count: give_page_numbers(
                clerk, answer_id=made.pk, attempt=1, count=count
            ),
        )  # fmt: skip
        with zipfile.ZipFile(done.zip) as packed:
            packed.extractall(tmp_path)
            assert {info.date_time[:3] for info in packed.infolist()} == {(2026, 3, 5)}
    [bag] = tmp_path.iterdir()
    data = bag / "data"
    assert done.withheld == 1
    assert done.files == sum(1 for path in data.rglob("*") if path.is_file())
    said = pages_said((data / "answer.pdf").read_bytes())
    for told in (said[0], (data / "README.txt").read_text(encoding="utf-8")):
        assert "Counsel of both sides" in told
    values = json.loads((data / "answer.json").read_text(encoding="utf-8"))
    assert values["protective_orders"] == [order.words]
    assert "3. Privacy" in (data / "withholding-log.csv").read_text(encoding="utf-8")
    assert any("Withholding log" in page and "3. Privacy" in page for page in said)
    # Built on another day than it was approved on, it is the same packet.
    assert "Bagging-Date: 2026-03-05" in (bag / "bag-info.txt").read_text(encoding="utf-8")


def test_who_is_late_or_may_no_longer_publishes_nothing_and_another_answers_pages_are_not_its_own():
    clerk = make_clerk()
    one, other = (answer_being_built(make_case(), clerk) for _ in range(2))
    run = give_page_numbers(clerk, answer_id=one.pk, attempt=1, count=1)
    built = {"path": "p", "sha256": "a" * 64, "size_bytes": 1, "pages": 1, "photographs": 0,
             "files": 1, "withheld": 0, "run_id": run.pk, "parts": []}  # fmt: skip
    with pytest.raises(PageRun.DoesNotExist):
        finish_answer(clerk, answer_id=other.pk, attempt=1, made=MadeAnswer(**built))
    with pytest.raises(TakenOver):
        finish_answer(clerk, answer_id=one.pk, attempt=2, made=MadeAnswer(**built))
    with pytest.raises(NotAllowed):
        finish_answer(
            make_staff(Role.PATHOLOGIST), answer_id=one.pk, attempt=1, made=MadeAnswer(**built)
        )
    assert finish_answer(clerk, answer_id=one.pk, attempt=1, made=MadeAnswer(**built)).is_built


def test_no_answer_is_asked_for_once_the_request_is_withdrawn():
    clerk = make_clerk()
    asked = asked_of_open_case(clerk).request
    withdraw_request(clerk, case_id=asked.case_id, request_id=asked.pk, version=asked.version,
                     reason="Quashed.")  # fmt: skip
    with pytest.raises(Refused, match="an answer is built for an open one"):
        asked_answer(asked, clerk)


def test_nothing_is_asked_for_that_is_not_approved_closed_or_under_way(signed):
    clerk = make_clerk()
    with pytest.raises(Refused, match="No demand for records"):
        asked_answer(make_request(signed, clerk), clerk)
    asked = decided_request(signed, clerk)
    with pytest.raises(NotAllowed):
        asked_answer(asked, make_staff(Role.PATHOLOGIST))
    asked_answer(asked, clerk)
    with pytest.raises(Refused, match="already being built"):
        asked_answer(asked, clerk)


def test_an_answer_whose_decisions_changed_since_is_not_built(signed):
    clerk = make_clerk()
    asked = decided_request(signed, clerk)
    answer = asked_answer(asked, clerk)
    decide(asked.demands.get(), clerk, "withhold", "P 1", ground=Ground.objects.get().pk,
           reason="A person shown asked for it.")  # fmt: skip
    assert tasks.build_answer(request_id=str(answer.pk)) == "failed"
    answer.refresh_from_db()
    assert (answer.state, answer.attempts) == (JobState.FAILED, 1)
    assert "second person has not approved" in answer.failure
    approve(asked, second_person())
    retry_answer(clerk, case_id=answer.case_id, answer_id=answer.pk, version=answer.version)
    assert tasks.build_answer(request_id=str(answer.pk)) == "failed"
    answer.refresh_from_db()
    assert "decided anew" in answer.failure
    assert not NumberedPages.objects.filter(answer=answer).exists()


def test_what_is_decided_otherwise_while_an_answer_is_built_is_not_published(signed, monkeypatch):
    clerk = make_clerk()
    asked = decided_request(signed, clerk, kinds=("custody record", "photograph"))
    answer = asked_answer(asked, clerk)
    packed = build.write_zip

    def meanwhile(*args, **said):
        decide(asked.demands.get(), clerk, "withhold", "P 1", ground=Ground.objects.get().pk,
               reason="A person shown asked for it.")  # fmt: skip
        packed(*args, **said)

    monkeypatch.setattr(build, "write_zip", meanwhile)
    assert tasks.build_answer(request_id=str(answer.pk)) == "failed"
    answer.refresh_from_db()
    assert "second person has not approved" in answer.failure
    assert (answer.path, files_of(answer)) == ("", [])


def test_who_may_not_know_of_a_case_that_is_asked_for_does_not_try_again(signed):
    clerk = make_clerk()
    answer = asked_answer(decided_request(signed, clerk), clerk)
    with altered(signed.photograph_set.order_by("number")[0].file):
        assert tasks.build_answer(request_id=str(answer.pk)) == "failed"
    answer.refresh_from_db()
    other = make_case()
    Case.objects.filter(pk=other.pk).update(restricted=True)
    RequestCase.objects.create(
        case=other, request=answer.request, created_by=clerk, changed_by=clerk
    )
    said = {"case_id": answer.case_id, "answer_id": answer.pk, "version": answer.version}
    with pytest.raises(Refused, match="named team"):
        retry_answer(clerk, **said)
    Case.objects.filter(pk=other.pk).update(restricted=False)
    assert retry_answer(clerk, **said).state == JobState.WAITING


def test_a_damaged_original_is_said_and_the_numbers_stand_on_no_page(signed):
    clerk = make_clerk()
    answer = asked_answer(decided_request(signed, clerk), clerk)
    with altered(signed.photograph_set.order_by("number")[0].file):
        assert tasks.build_answer(request_id=str(answer.pk)) == "failed"
    answer.refresh_from_db()
    assert "no longer has its digest" in answer.failure
    assert (answer.path, answer.sha256) == ("", "")


def test_the_same_key_once_more_is_the_same_answer(signed):
    clerk = make_clerk()
    asked = decided_request(signed, clerk)
    key = new_id()
    said = {"case_id": asked.case_id, "request_id": asked.pk, "record_id": key, "entry": {}}

    first = request_answer(clerk, **said)
    assert request_answer(clerk, **said).pk == first.pk


def test_a_cover_letter_that_was_made_goes_with_it(signed, tmp_path):
    clerk = make_clerk()
    asked = decided_request(signed, clerk, kinds=("report",))
    report = signed_report(signed.pk, place=tmp_path)
    for number, made in ((1, "a letter"), (2, "")):
        Letter.objects.create(
            case=signed, request=asked, number=number, kind="cover", edition="", to_name="Counsel",
            dated_on=timezone.localdate(), subject="Records", body="Enclosed.", created_by=clerk,
            changed_by=clerk, state="made" if made else "draft",
            made_at=timezone.now() if made else None, file=report.file if made else None,
        )  # fmt: skip
    answer = asked_answer(asked, clerk)
    assert tasks.build_answer(request_id=str(answer.pk)) == "made"
    answer.refresh_from_db()
    bag = unpacked(answer, tmp_path)
    letter = (bag / "data" / "cover-letter.pdf").read_bytes()
    assert hashlib.sha256(letter).hexdigest() == report.file.sha256
    assert "cover-letter.pdf" in (bag / "data" / "README.txt").read_text(encoding="utf-8")


def _gathered(answer, tmp_path, *kinds, key=None):
    chosen = [
        ReadyItem(
            kind, answer.case_id, str(key or new_id()), "", "Letter of a neighbor",
            Outcome.RELEASE, (1,), "d" * 64,
        )
        for kind in kinds
    ]  # fmt: skip
    folder, parts = tmp_path / "bag", tmp_path / "parts"
    folder.mkdir()
    parts.mkdir()
    return contents.gather(answer, chosen, folder=folder, parts=parts)


def test_a_document_that_was_added_goes_out_as_it_is_kept(answer, monkeypatch, tmp_path):
    file = SignedPdf.objects.get(case=answer.case).file
    source = Source(ADDED, new_id(), file.sha256, "Letter of a neighbor", file)
    monkeypatch.setattr(contents, "source_in", lambda case, kind, key: source)
    got = _gathered(answer, tmp_path, ItemKind.DOCUMENT, key=source.key)
    assert [(one.title, one.sha256) for one in got.documents] == [(source.name, file.sha256)]
    assert (got.beside, got.elsewhere) == ([], [])


def test_what_has_no_file_and_what_an_answer_cannot_hold_is_refused(answer, tmp_path):
    with pytest.raises(Refused, match="Letter of a neighbor goes out, and no file is attached"):
        _gathered(answer, tmp_path, ItemKind.OTHER)
    (tmp_path / "again").mkdir()
    with pytest.raises(Refused, match="proof of the record"):
        _gathered(answer, tmp_path / "again", ItemKind.LEDGER)

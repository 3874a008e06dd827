"""What an answer lists of itself: pages, files, what was kept back; in which order it stands."""

from __future__ import annotations

from contextlib import nullcontext
from datetime import UTC, date, datetime
from pathlib import Path
from types import SimpleNamespace
from uuid import UUID

import pytest
from PIL import Image

from cases.answers import build, contents, listing
from cases.answers.comparing import Held
from cases.answers.contents import COVER_LETTER, Contents, Document, EnclosedFile
from cases.answers.records import OWN
from cases.court.marking import OrderTold
from cases.decisions.ready import ReadyItem
from cases.decisions.rules import ItemKind, Outcome
from cases.packets.rules import ReleasedAs

NOW = datetime(2026, 11, 30, 12, tzinfo=UTC)
CASE, OTHER = UUID(int=1), UUID(int=2)
ORDER = OrderTold(date(2026, 11, 2), "Counsel of both sides", None, "are destroyed")


def item(kind, outcome="release", number="", *, demands=(1,), case=CASE, key="k", **more):
    return ReadyItem(
        ItemKind(kind), case, key, number, more.pop("label", f"Label of {kind}"), Outcome(outcome),
        demands, f"digest of {kind}", **more,
    )  # fmt: skip


CHOSEN = [
    item("report", key="r"),
    item("photograph", "redact", "P 2", key="p2", copy_digest="copy", ground="3. Privacy",
         citation="Code 27"),
    item("photograph", "withhold", "P 3", key="p3", demands=(1, 2), ground="4. Health",
         citation="Code 28"),
    item("other", "missing", label="Slides", demands=(2,)),
    item("other", "not ours", label="Ledger", demands=(2,), held_by="The sheriff"),
]  # fmt: skip


def asked():
    return SimpleNamespace(
        get_kind_display=lambda: "subpoena", cause_number="CR-1", party="P", court="C",
        served_on=None, __str__=lambda self: "Subpoena",
    )  # fmt: skip


def answer(**more):
    said = {"with_certificate": True, "with_exhibit_list": True, **more}
    return SimpleNamespace(
        number=1, request=asked(), case_id=CASE, case=SimpleNamespace(label="2026-0118"),
        decided="d" * 64, decided_at=NOW, **said,
    )  # fmt: skip


def sent(number, form, why=""):
    picture = SimpleNamespace(number=number, shows=f"Shows {number}", taken_at=None)
    return SimpleNamespace(
        one=SimpleNamespace(photograph=picture, sha256=f"original {number}"),
        form=form, why=why, path=f"photographs/P-{number}.jpg", sha256=f"sent {number}",
        size_bytes=number * 10, is_redacted=form is ReleasedAs.REDACTED,
    )  # fmt: skip


def held(**more):
    pictures = [sent(1, ReleasedAs.ORIGINAL), sent(2, ReleasedAs.REDACTED, "3. Privacy")]
    said = {
        "photographs": [(SimpleNamespace(label="2026-0118"), "case-a/", pictures)],
        "enclosed": [EnclosedFile("2026-0118", "files/call.wav", "Call", 7, "e" * 64)],
        "files": [("documents/report.pdf", "Report", "f" * 64), (COVER_LETTER, "", "c" * 64),
                  ("files/call.wav", "Call", "e" * 64)],
        "not_sent": [one for one in CHOSEN if not one.goes_out],
        "sizes": {"documents/report.pdf": 99},
        **more,
    }  # fmt: skip
    return Contents(**said)


def words_of(sheet):
    return " | ".join(
        " ".join([part.title, *part.words, *(" ".join(row) for row in part.rows)])
        for part in sheet.parts
    )


def test_what_goes_out_is_kept_with_how_it_was_decided_and_nothing_else():
    report, picture = build.held_of(CHOSEN)
    assert report == Held("report", "r", CASE, "Label of report", "release", "digest of report", "")
    assert picture == Held("photograph", "p2", CASE, "P 2", "redact", "digest of photograph",
                           "copy")  # fmt: skip


def test_the_log_names_what_is_redacted_and_withheld_and_no_other():
    _, redacted, withheld = listing.withheld_rows(CHOSEN)
    assert redacted == ["1", "P 2", "photograph", "sent in part, redacted", "3. Privacy", "Code 27"]
    assert withheld == ["1, 2", "P 3", "photograph", "withheld", "4. Health", "Code 28"]
    assert listing.withheld_sheet(CHOSEN).parts[0].rows == [redacted, withheld]


def test_the_list_of_photographs_tells_the_digests_of_what_is_sent_and_nothing_of_what_is_hidden():
    _, whole, redacted, file = listing.exhibit_rows(held())
    assert whole == ["2026-0118", "1", "case-a/photographs/P-1.jpg", "Shows 1", "", "original", "",
                     "sent 1", "original 1", "10"]  # fmt: skip
    assert redacted[3:9] == ["", "", "redacted copy", "3. Privacy", "sent 2", "original 2"]
    assert file[2:] == ["files/call.wav", "Call", "", "file", "", "e" * 64, "e" * 64, "7"]
    sheet = listing.exhibit_sheet(held())
    assert sheet.parts[0].rows[1] == ["2", "Redacted: 3. Privacy", "", "redacted copy", "P-2.jpg"]


def test_the_contents_say_what_is_not_there_who_has_it_and_what_lies_beside():
    beside = [item("document", label="Letter: documents/letter.docx")]
    apart = [item("other", label="Slides: handed to J. Moss")]
    sheet = listing.contents_sheet(
        answer(), [], held(beside=beside, elsewhere=apart), [], say=str, first=1
    )
    said = words_of(sheet)
    for words in (
        "2 photographs as files, 1 redacted.",
        "Files files/call.wav Call 7",
        "Beside the numbered pages Letter: documents/letter.docx",
        "Handed over separately Slides: handed to J. Moss.",
        "Kept back 1 item kept back is named in the withholding log.",
        "Not sent Slides: does not exist. Ledger: not in this office; The sheriff has it.",
    ):
        assert words in said
    plain = words_of(listing.contents_sheet(answer(), [], Contents(), [], say=str, first=1))
    assert not any(one in plain for one in ("Files", "Beside", "apart", "Kept", "Not sent"))


def test_the_certificate_names_each_document_and_file_once_with_its_digest():
    made = [Document("report", "r", CASE, "Report", Path("r"), 3, 1, "a" * 64),
            Document(OWN, "log", CASE, "Withholding log", Path("w"), 1)]  # fmt: skip
    _, documents, files = listing.certificate_sheet(answer(), made, held(), "I certify.").parts
    assert documents.rows == [["Report", "3", f"{'a' * 32}\n{'a' * 32}"]]
    assert [row[0] for row in files.rows] == [
        "case-a/photographs/P-1.jpg", "case-a/photographs/P-2.jpg", "files/call.wav",
        "documents/report.pdf",
    ]  # fmt: skip
    assert files.rows[0][1:] == ["10", "sent 1\n"]
    assert files.rows[3] == ["documents/report.pdf", "99", f"{'f' * 32}\n{'f' * 32}"]


def numbered(monkeypatch, given, what, chosen=CHOSEN):
    monkeypatch.setattr(build, "write_sheet", lambda sheet, there, **_: 2)
    monkeypatch.setattr(build, "demands_of", lambda request: [])
    monkeypatch.setattr(build.queries, "certificate_words", lambda: "I certify.")
    series = SimpleNamespace(prefix="R-", digits=6)
    run = SimpleNamespace(first=41, last=0, series=series)

    def give(count):
        run.last = run.first + count - 1
        return run

    _, documents = build._numbered(given, what, chosen, Path("parts"), give)
    return run, documents


def test_what_the_office_says_itself_is_there_as_it_was_asked_for_and_only_where_it_says_something(
    monkeypatch,
):
    own = {"contents", "exhibit-list", "withholding-log", "certificate"}
    run, made = numbered(monkeypatch, answer(), held())
    assert {one.item for one in made} == own
    assert (made[0].item, run.last) == ("contents", 48)
    _, less = numbered(monkeypatch, answer(with_certificate=False, with_exhibit_list=False), held())
    assert {one.item for one in less} == {"contents", "withholding-log"}
    _, files = numbered(monkeypatch, answer(), held(photographs=[]))
    assert {one.item for one in files} == own, "files alone are listed too"
    _, none = numbered(monkeypatch, answer(), Contents(), CHOSEN[:1])
    assert {one.item for one in none} == {"contents", "certificate"}


def test_each_document_has_its_pages_its_demand_and_its_digest(monkeypatch):
    report = Document("report", "r", CASE, "Report", Path("r"), 3, 2, "a" * 64)
    run, made = numbered(monkeypatch, answer(), Contents(documents=[report]), CHOSEN[:1])
    parts = build._parts(made, run)
    assert [(one.first, one.last) for one in parts] == [(41, 42), (43, 45), (46, 47)]
    assert (parts[1].demand, parts[1].digest, parts[1].label) == (2, "a" * 64, "Report")
    said = build._as_values(answer(), parts, run, CHOSEN, [ORDER])
    assert said["protective_orders"] == [ORDER.words]
    assert said["pages"][1] == {"first": "R-000043", "last": "R-000045", "document": "Report",
                                "demand": 2, "sha256": "a" * 64}  # fmt: skip
    assert [one["item"] for one in said["kept_back"]] == ["P 2", "P 3"]


def test_a_packet_stands_by_demand_then_kind_and_of_several_cases_each_has_its_folder(
    monkeypatch, tmp_path
):
    came = []
    for kind in ItemKind:
        monkeypatch.setitem(contents._BRING, kind, lambda now, one: came.append((now, one)))
    monkeypatch.setattr(contents, "_cover_letter", lambda now: None)
    monkeypatch.setattr(contents, "_photographs", lambda now, going, beat: None)
    given = [item("history", demands=(2,)), item("history"), item("custody record", demands=(2, 1)),
             item("report", demands=(2,)), item("report", case=OTHER), item("report"),
             item("result", "withhold")]  # fmt: skip
    got = contents.gather(answer(), given, folder=tmp_path, parts=tmp_path)
    assert [(min(one.demands), one.kind.value, one.case_id) for _, one in came] == [
        (1, "report", CASE), (1, "report", OTHER), (1, "custody record", CASE),
        (1, "history", CASE), (2, "report", CASE), (2, "history", CASE),
    ]  # fmt: skip
    assert [one.kind for one in got.not_sent] == [ItemKind.RESULT]
    now = came[0][0]
    now.materials[CASE] = SimpleNamespace(case=SimpleNamespace(label="2026-0118"))
    assert (now.base(CASE), now.named(CASE, "Report")) == (
        "case-2026-0118/", "Report, case 2026-0118",
    )  # fmt: skip
    came.clear()
    contents.gather(answer(), given[:4], folder=tmp_path, parts=tmp_path)
    assert (came[0][0].base(CASE), came[0][0].named(CASE, "Report")) == ("", "Report")


def test_a_stored_file_that_is_missing_or_another_stops_the_building(monkeypatch, tmp_path):
    now = contents._Gathering(None, tmp_path, tmp_path, (), Contents())
    monkeypatch.setattr(contents.store, "lend", lambda stored, there: None)
    with pytest.raises(contents.CannotBuild, match="no longer has its digest"):
        now.lend(SimpleNamespace(), tmp_path / "a.pdf", "a letter")


@pytest.mark.parametrize(
    "fault", [Image.DecompressionBombError("large"), MemoryError(), IndexError(), OSError("cut")]
)
def test_a_picture_that_cannot_be_opened_is_named_whatever_is_wrong_with_it(
    fault, monkeypatch, tmp_path
):
    def broken(file):
        raise fault

    monkeypatch.setattr(contents.store, "open_stored", lambda stored: nullcontext(None))
    monkeypatch.setattr(contents, "upright", broken)
    now = contents._Gathering(None, tmp_path, tmp_path, (), Contents())
    with pytest.raises(contents.CannotBuild, match="The picture of Whiteboard can't be opened"):
        contents._picture(now, item("other", label="Whiteboard"), None)


def test_what_is_no_pdf_and_what_cannot_be_numbered_goes_beside_and_is_told(monkeypatch, tmp_path):
    now = contents._Gathering(None, tmp_path, tmp_path, (), Contents())
    now.materials[CASE] = SimpleNamespace(case=SimpleNamespace(label="x"))
    monkeypatch.setattr(contents.store, "lend", lambda stored, there: 5)
    one = item("statement")
    word = SimpleNamespace(media_type="application/msword", sha256="a" * 64)
    now.kept(one, word, "Letter", "letter.doc")
    now.kept(one, word, "Letter again", "letter.doc")

    def unfit(path):
        raise contents.CannotCombine("it has no pages")

    monkeypatch.setattr(contents, "pages_of", unfit)
    now.kept(one, SimpleNamespace(media_type="application/pdf", sha256="b" * 64), "Scan", "s.pdf")
    assert [one.label for one in now.contents.beside] == [
        "Letter: documents/letter.doc", "Letter again: documents/letter-2.doc",
        "Scan: documents/s.pdf, without page numbers: it has no pages.",
    ]  # fmt: skip
    assert now.contents.documents == []

"""Page numbers as they are stamped and as they are typed; what an address still opens."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest

from cases.answers import certificate, contents, listing, rules
from cases.answers.rules import Opens
from cases.court.marking import OrderTold, readme_words
from cases.decisions.rules import ItemKind

NOW = datetime(2026, 11, 30, 12, tzinfo=UTC)


@pytest.mark.parametrize(
    "prefix, digits, number, words",
    [
        ("TC-", 6, 4117, "TC-004117"),
        ("R-", 6, 1, "R-000001"),
        ("ME", 4, 12345, "ME12345"),
        ("ME-2026-", 5, 99999, "ME-2026-99999"),
    ],
)
def test_a_number_is_stamped_with_its_zeros_and_never_cut(prefix, digits, number, words):
    assert rules.page_words(prefix, digits, number) == words


def test_a_range_is_told_by_its_ends_and_one_page_by_itself():
    assert rules.range_words("TC-", 6, 7, 9) == "TC-000007 to TC-000009"
    assert rules.range_words("TC-", 6, 7, 7) == "TC-000007"


@pytest.mark.parametrize(
    "typed, found",
    [
        ("TC-004117", ("TC-", 4117)),
        ("tc 4117", ("TC-", 4117)),
        (" TC004117 ", ("TC-", 4117)),
        ("TC-0", ("TC-", 0)),
        ("TCX-5", ("TCX-", 5)),
        ("TC-X-5", ("TCX-", 5)),
        ("004117", None),
        ("TC-", None),
        ("TC-41a", None),
        ("TC-٣", None),
        ("TC-1234567890123", None),
        ("", None),
    ],
)
def test_a_number_is_read_however_it_was_typed(typed, found):
    assert rules.read_page_number(typed, ["TC-", "TCX-"]) == found


@pytest.mark.parametrize(
    "prefix, digits, wrong",
    [
        ("TC-", 6, set()),
        ("ME-2026-", 9, set()),
        ("A", 4, set()),
        ("TC-2026", 6, {"prefix"}),
        ("tc-", 6, {"prefix"}),
        ("-TC", 6, {"prefix"}),
        ("T--C", 6, {"prefix"}),
        ("", 6, {"prefix"}),
        ("9T", 6, {"prefix"}),
        ("TC-", 3, {"digits"}),
        ("TC-", 10, {"digits"}),
    ],
)
def test_a_prefix_stands_apart_from_the_number(prefix, digits, wrong):
    assert set(rules.wrong_in_series(prefix, digits)) == wrong


def test_what_is_read_first_stands_first_in_a_packet():
    told = [rules.order_of(kind.value) for kind in ItemKind]
    assert sorted(told) == list(range(len(ItemKind))), "each kind has its place"
    assert rules.order_of("report") == 0
    assert rules.order_of("addendum") < rules.order_of("result") < rules.order_of("photograph")
    assert rules.order_of("nothing of the kind") == len(ItemKind)


@pytest.mark.parametrize(
    "ends_in, called_back, now",
    [
        (timedelta(seconds=1), False, Opens.OPEN),
        (timedelta(0), False, Opens.ENDED),
        (timedelta(seconds=-1), False, Opens.ENDED),
        (timedelta(days=1), True, Opens.CALLED_BACK),
        (timedelta(days=-1), True, Opens.CALLED_BACK),
    ],
)
def test_an_address_opens_until_its_end_unless_it_is_called_back(ends_in, called_back, now):
    assert rules.opens(ends_at=NOW + ends_in, called_back=called_back, now=NOW) is now


def test_an_address_ends_later_than_now_and_within_ninety_days():
    assert rules.wrong_end(NOW + timedelta(days=90), NOW) == ""
    assert rules.wrong_end(NOW + timedelta(seconds=1), NOW) == ""
    assert "later" in rules.wrong_end(NOW, NOW)
    assert "90 days" in rules.wrong_end(NOW + timedelta(days=90, seconds=1), NOW)


def test_a_code_is_told_in_two_groups_and_compared_without_them():
    assert rules.code_words("K7QF2M9X") == "K7QF-2M9X"
    assert rules.plain_code(" k7qf 2m9x ") == "K7QF2M9X"
    assert rules.plain_code("K7QF-2M9X") == "K7QF2M9X"
    assert not set("ILO01") & set(rules.CODE_LETTERS)


def test_a_download_is_whole_when_all_of_it_went_out():
    assert rules.Sent(10, 10).is_whole
    assert not rules.Sent(9, 10).is_whole


def test_two_records_with_one_file_have_two_names_in_the_packet():
    held = contents.Contents(
        files=[("documents/letter-aa.pdf", "", ""), ("documents/notes", "", "")]
    )
    now = contents._Gathering(None, Path(), Path(), (), held)
    assert now.free("documents/letter-bb.pdf") == "documents/letter-bb.pdf"
    assert now.free("documents/letter-aa.pdf") == "documents/letter-aa-2.pdf"
    held.files.append(("documents/letter-aa-2.pdf", "", ""))
    assert now.free("documents/letter-aa.pdf") == "documents/letter-aa-3.pdf"
    assert now.free("documents/notes") == "documents/notes-2"


def test_the_certificate_names_every_file_that_is_sent_and_speaks_for_no_other_maker():
    asked = SimpleNamespace(
        get_kind_display=lambda: "subpoena", cause_number="CR-1", party="P", court="C"
    )
    answer = SimpleNamespace(request=asked, case=SimpleNamespace(label="2026-0118"))
    held = contents.Contents()
    held.files = [
        ("documents/letter.docx", "Statement", "a" * 64),
        (contents.COVER_LETTER, "", "b"),
    ]
    sheet = listing.certificate_sheet(answer, [], held, certificate.STANDARD)
    assert sheet.parts[2].rows == [["documents/letter.docx", "", "a" * 32 + "\n" + "a" * 32]]
    made = " ".join(sheet.parts[0].words)
    assert "that this office made were made at or near the time" in made
    assert "how it was made is for its maker to certify" in made


def test_an_order_stands_first_in_the_contents_and_in_the_readme():
    order = OrderTold(NOW.date(), "Counsel\nof both sides", None, "are destroyed")
    asked = SimpleNamespace(
        get_kind_display=lambda: "subpoena", cause_number="", party="P", court="C", served_on=None
    )
    answer = SimpleNamespace(number=1, request=asked, decided_at=NOW)
    said = {"say": str, "first": 1, "orders": [order]}
    first = listing.contents_sheet(answer, [], contents.Contents(), [], **said).parts[0]
    assert first.title == "Disclosed under a protective order"
    assert first.rows[0][1:] == [
        "Counsel\nof both sides", "no end is noted; see the order", "are destroyed",
    ]  # fmt: skip
    plain = listing.contents_sheet(answer, [], contents.Contents(), [], **{**said, "orders": []})
    assert plain.parts[0].title == "Documents"
    assert "May be seen by: Counsel of both sides." in readme_words([order])
    assert readme_words([]) == ""


def test_the_certificate_is_filled_in_and_leaves_a_line_where_nothing_is_known():
    said = certificate.paragraphs(
        "I keep the records of {office}.\n\nCause {cause}", {"office": "X"}
    )
    assert said == ["I keep the records of X.", "Cause ____________"]
    assert certificate.wrong_in_wording(certificate.STANDARD) == ""
    assert "{judge}" in certificate.wrong_in_wording("Before {judge}")
    assert "Write what" in certificate.wrong_in_wording(" \n")


def test_a_history_leaves_no_trace_of_what_is_kept_back():
    def event(record, table="evidence_photograph", reason="", **changes):
        return {"record": record, "table": table, "reason": reason, "changes": changes}

    told = contents.without(
        [
            event("p1", shows=["", "The face of a driver"]),
            event("l1", "evidence_link", photograph_id=["", "p1"]),
            event("v1", "evidence_value", link_id=["", "l1"], value=["", "3"]),
            event("v1", "evidence_value", value=["3", "4"]),
            event("p2", shows=["", "Chest"], note=["", "beside the face of a driver"]),
            event("p2", shows=["Chest", "The face of a driver"]),
            event("c", "cases_case", seen=["", "p1"], state=["", "open"]),
            event("p3", reason="The face of a driver shows", shows=["", "Hand"]),
        ],
        {"p1"},
        {"The face of a driver"},
    )
    assert "face of a driver" not in str(told).replace("beside the face of a driver", "")
    assert [one["record"] for one in told] == ["p2", "p2", "c", "p3"]
    assert told[1]["changes"]["shows"] == contents.KEPT_BACK
    assert told[2]["changes"] == {"seen": contents.KEPT_BACK, "state": ["", "open"]}
    assert told[3]["reason"] == contents.KEPT_BACK


def test_a_withholding_log_says_what_the_codes_on_bars_stand_for():
    codes = [("LIV", "Health of a living person", "County Code 27-4")]
    [log, told] = listing.withheld_sheet([], codes).parts
    assert (log.rows, told.title, list(told.rows)) == ([], "Codes on the redacted pages", codes)
    assert len(listing.withheld_sheet([]).parts) == 1

"""The signed report's PDF: kept once; where its passages stand is read back from its bytes."""

from __future__ import annotations

import hashlib
import io
import itertools
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pikepdf
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.packets import printing, tasks
from cases.packets.material import as_signed, material_of
from cases.packets.printing import print_report
from cases.packets.signed_report import LINES, MARKS, signed_report
from cases.packets.store import work_place
from cases.review import amending, signed_pdf
from cases.review.lines import lines_of
from cases.review.models import SignedPdf
from cases.review.passages import _keys_about, passages_about, report_passages
from evidence.photographs.models import Photograph
from findings import actions as findings
from findings.models import Finding
from findings.organs.actions import weigh_organ
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.jobs import sending
from me_office.jobs.models import JobProgress
from me_office.jobs.rules import MAX_ATTEMPTS
from me_office.upkeep.conditions import State
from me_office.upkeep.parts.jobs import signed_reports
from tests.builders import as_person, make_staff
from tests.evidence.pictures import link_to
from tests.packets.builders import (
    altered,
    amend,
    examined_case,
    make_clerk,
    make_people,
    packet_for,
    sign,
    signed_case,
)
from tests.packets.numbered import bytes_of, misplaced, numbered_lines, read
from tests.packets.reading import squeezed, unpacked

pytestmark = pytest.mark.django_db

LONG = (
    "An oval abrasion, red-brown and dry, its long axis across the limb, without bleeding below. "
)


def long_case():
    """A signed report of several pages: findings of two classes, short and long, and organs."""
    vasko, thorne = make_people()
    case = examined_case(vasko)
    for n in range(14):
        made = findings.record_finding(
            vasko,
            case_id=case.pk,
            record_id=new_id(),
            entry={
                "klass": "injury" if n % 3 else "natural disease",
                "term": "Abrasion",
                "seen_as": LONG * (3 + n % 5),
            },
        )
        if n == 5:
            link_to(vasko, Photograph.objects.get(case=case, number=2), made)
    for organ, grams, words in (
        ("liver", 1540, LONG * 2),
        ("spleen", 160, ""),
        ("heart", 345, "x"),
    ):
        entry = {"organ": organ, "weight_g": Decimal(grams), "seen_as": words}
        weigh_organ(vasko, case_id=case.pk, record_id=new_id(), entry=entry)
    return sign(case, vasko, thorne)


@pytest.fixture(scope="module")
def _signed_once(made_once):
    return made_once(signed_case)


@pytest.fixture(scope="module")
def _long_once(made_once):
    return made_once(long_case)


@pytest.fixture(scope="module")
def _kept_once(made_once, _signed_once, _long_once):
    """The kept PDF of either case."""
    return made_once(
        lambda: {case.pk: signed_report(case.pk) for case in (_signed_once, _long_once)}
    )


@pytest.fixture
def long(db, _long_once, _kept_once):
    """The signed case of several pages, whose PDF is kept."""
    return _long_once


@pytest.fixture
def kept(db, _signed_once, _kept_once):
    """The kept PDF of `signed`."""
    return _kept_once[_signed_once.pk]


def test_every_passage_of_two_reports_stands_where_it_is_said_to_stand(kept, long, signed):
    several_pages = 0
    for case in (signed, long):
        lines = read(SignedPdf.objects.get(case=case))
        assert sorted(lines) == list(lines)
        for page in {page for page, _ in lines}:
            numbers = [n for on, n in lines if on == page]
            assert numbers == list(range(1, len(numbers) + 1)), page
        told = report_passages(case).passages
        assert len(told) == len({one.key for one in told}) >= 15
        assert misplaced(lines, told) == {}
        several_pages += sum(one.lines.last_page > one.lines.page for one in told)
    assert several_pages


def test_what_came_later_moves_no_line_of_what_was_signed(long):
    vasko = make_staff(Role.PATHOLOGIST, Role.SUPERVISOR, name="M. Thorne")
    kept = SignedPdf.objects.get(case=long)
    before = bytes_of(kept)
    for n in range(6):
        amend(long, vasko, amends="He died", text=f"He died at once, {n}.", why="Misread")
    amending.amend_record(
        vasko, case_id=long.pk, record_id=new_id(), what="cause-and-manner", version=1,
        entry={"manner": "homicide"}, reason="Toxicology",
    )  # fmt: skip
    material = material_of(long.pk)
    later = print_report(material, with_photographs=True, asked=(LINES, MARKS))
    assert lines_of(later.told[LINES], later.told[MARKS]) == kept.places
    assert later.pages > kept.pages
    with pikepdf.open(io.BytesIO(later.pdf)) as pdf:
        signed_lines = numbered_lines(pdf)
        assert squeezed("Amendment 7") in squeezed(
            "".join(text for _, _, text in _right_margin(pdf.pages[0]))
        )
    assert {at: squeezed(text) for at, text in signed_lines.items()} == {
        at: squeezed(text) for at, text in read(kept).items()
    }
    # Made again, after all of this, it would be the same bytes: nothing later is in it.
    again = print_report(as_signed(material), with_photographs=False, sent=())
    assert again.pdf == before
    named_since = replace(material, name="Somebody, named later")
    assert as_signed(named_since).name == as_signed(material).name == "Oren Hallstead, 41 years"


def test_what_many_amendments_leave_in_the_margin_lies_beside_its_own_passage(long, monkeypatch):
    vasko = make_staff(Role.PATHOLOGIST)
    for n in range(14):
        amend(long, vasko, amends="He died", text=f"He died at once, {n}.", why="Misread")
    every = {one.key: list(range(1, 15)) for one in report_passages(long).passages}
    monkeypatch.setattr(printing, "_amended", lambda *_: every)
    later = print_report(material_of(long.pk), with_photographs=False)
    with pikepdf.open(io.BytesIO(later.pdf)) as pdf:
        notes = [_right_margin(page) for page in pdf.pages[:3]]
        rights = {round(float(page.mediabox[2])) for page in pdf.pages[:3]}
    assert rights == {612} and all(len(page) > 10 for page in notes)
    for page in notes:
        heights = sorted({round(y, 1) for _, y, _ in page})
        apart = [two - one for one, two in itertools.pairwise(heights)]
        # A capital of these words is 5.3 points high; nearer lines would lie over each other.
        assert min(apart) > 5.5


def _right_margin(page):
    from tests.packets.numbered import INCH, _runs

    width = float(page.mediabox[2])
    return [run for run in _runs(page) if run[0] > width - INCH]


def test_it_is_kept_once_and_every_packet_sends_that_same_file(kept, signed, tmp_path):
    assert signed_report(signed.pk) == kept
    clerk = make_clerk()
    for n, more in enumerate(({}, {"with_photographs": False})):
        packet = packet_for(signed, clerk, **more)
        assert tasks.build_packet(request_id=str(packet.pk)) == "made"
        packet.refresh_from_db()
        data = unpacked(packet, tmp_path / str(n)) / "data"
        sent = (data / "signed-report.pdf").read_bytes()
        assert hashlib.sha256(sent).hexdigest() == kept.file.sha256
        assert kept.file.sha256 in (data / "README.txt").read_text()
    assert SignedPdf.objects.filter(case=signed).count() == 1
    packet = packet_for(signed, clerk)
    with altered(kept.file):
        assert tasks.build_packet(request_id=str(packet.pk)) == "failed"
    packet.refresh_from_db()
    assert "is missing or no longer has its digest" in packet.failure


def _fails_each_time(monkeypatch, case, draft):
    """Where printing fails each time it is told, and is tried again an hour later, not before."""
    places, sent = [], []

    def fails(_, *, place):
        places.append(place)
        raise OSError("no room")

    monkeypatch.setattr(tasks, "signed_report", fails)
    monkeypatch.setattr(sending, "send", lambda task, **said: sent.append(said) or True)
    page = as_person(make_staff(Role.PATHOLOGIST))
    address = reverse("packets:signed-report-pdf", args=[case.pk])
    for _ in range(MAX_ATTEMPTS):
        assert [one.state for one in signed_reports()] == [State.RIGHT]
        assert "is being made" in page.get(address).content.decode()
        assert tasks.keep_signed_report(draft_id=str(draft.pk)) == "failed"
    # Where packets are built as well, not where the machine has little room.
    assert {place.parent for place in places} == {work_place()}
    assert len(places) == MAX_ATTEMPTS and not any(place.exists() for place in places)
    assert tasks.keep_signed_report(draft_id=str(draft.pk)) == "failed"
    assert len(places) == MAX_ATTEMPTS
    [said] = signed_reports()
    assert said.state == State.WRONG and said.says.startswith("1 signed report has no PDF")
    assert "could not be made" in page.get(address).content.decode()
    assert tasks.keep_signed_reports() == 0
    tried = JobProgress.objects.filter(key=draft.pk)
    an_hour_ago = timezone.now() - signed_pdf.TRY_AGAIN_AFTER
    sent.clear()
    tried.update(beat_at=an_hour_ago + timedelta(minutes=1), sent_at=None)
    assert not signed_pdf.ask_for_signed_pdf(case.pk) and sent == []
    tried.update(beat_at=an_hour_ago - timedelta(minutes=1))
    assert signed_pdf.ask_for_signed_pdf(case.pk)
    assert sent == [{"draft_id": str(draft.pk)}]
    assert [one.state for one in signed_reports()] == [State.RIGHT]


def test_the_job_makes_what_is_missing_and_nothing_twice(monkeypatch):
    case = signed_case()
    draft = case.report.drafts.get()
    sent = []
    monkeypatch.setattr(sending, "send", lambda task, **said: sent.append((task, said)) or True)
    assert tasks.keep_signed_reports() == 1
    assert sent == [(signed_pdf.KEEP_TASK, {"draft_id": str(draft.pk)})]
    assert tasks.keep_signed_report.name == signed_pdf.KEEP_TASK
    monkeypatch.setattr(signed_pdf, "UNASKED_FOR", timedelta(0))
    assert list(signed_pdf.signed_without_pdf()) == []
    monkeypatch.undo()
    _fails_each_time(monkeypatch, case, draft)
    monkeypatch.undo()
    assert [tasks.keep_signed_report(draft_id=str(draft.pk)) for _ in range(2)] == ["made", "made"]
    assert SignedPdf.objects.get(case=case).draft == draft
    assert list(signed_pdf.signed_without_pdf()) == []
    assert tasks.keep_signed_report(draft_id=str(new_id())) == "gone"
    open_case = examined_case(make_staff(Role.PATHOLOGIST))
    assert report_passages(open_case).signed_at is None
    signed_pdf.ask_for_signed_pdf(open_case.pk)


def test_whoever_sees_the_case_reads_the_kept_file(kept, signed, long, monkeypatch):
    address = reverse("packets:signed-report-pdf", args=[signed.pk])
    person = as_person(make_staff(Role.INVESTIGATOR))
    answer = person.get(address)
    assert b"".join(answer.streaming_content) == bytes_of(kept)
    assert answer["Content-Type"] == "application/pdf"
    assert as_person(make_staff(Role.ADMINISTRATOR)).get(address).status_code == 404
    report = person.get(reverse("review:report", args=[signed.pk])).content.decode()
    place = kept.places["cause"]
    assert f"{address}#page={place.page}" in report
    assert place.words.capitalize() in report
    unsigned = examined_case(make_staff(Role.PATHOLOGIST))
    refused = person.get(reverse("packets:signed-report-pdf", args=[unsigned.pk]))
    assert refused.status_code == 404
    assert "is not signed" in refused.content.decode()
    # A report that was signed before: the page asks for its PDF once.
    sent = []
    monkeypatch.setattr(sending, "send", lambda task, **said: sent.append(task) or True)
    earlier = signed_case()
    for _ in range(2):
        waits = person.get(reverse("packets:signed-report-pdf", args=[earlier.pk]))
        assert waits.status_code == 404
        assert "is being made" in waits.content.decode()
    assert sent == [signed_pdf.KEEP_TASK]
    # What was given up is asked for no more.
    given_up = signed_case()
    JobProgress.objects.create(key=given_up.report.drafts.get().pk, attempts=MAX_ATTEMPTS)
    signed_pdf.ask_for_signed_pdf(given_up.pk)
    assert sent == [signed_pdf.KEEP_TASK]


def test_passages_are_found_by_finding_photograph_and_organ_with_what_touched_them(long):
    finding = Finding.objects.get(case=long, number=8)
    shown = Photograph.objects.get(case=long, number=2)
    assert [one.key for one in passages_about(long, finding_ids=[finding.pk])] == ["finding-8"]
    assert [one.key for one in passages_about(long, photograph_ids=[shown.pk])] == ["finding-8"]
    (liver,) = passages_about(long, organs=["liver"])
    assert (liver.lead, liver.words.split(",")[0]) == ("Liver", "1540 g")
    assert liver.where == liver.lines.words
    assert passages_about(long) == []
    assert passages_about(long, organs=["brain"], finding_ids=[new_id()]) == []
    first = Finding.objects.get(case=long, number=1)
    keys = [one.key for one in passages_about(long, finding_ids=[finding.pk, first.pk])]
    assert keys == ["finding-1", "finding-8"]
    # A passage whose size was measured on a photograph speaks of it, whatever shows the finding.
    content = {
        "sections": [
            {"key": "injuries", "passages": [
                {"key": "finding-1", "measured": [{"photograph": 7}]},
                {"key": "finding-2", "photographs": [8]},
            ]}
        ]
    }  # fmt: skip
    assert list(_keys_about(content, set(), {7}, set())) == ["finding-1"]

    thorne = make_staff(Role.PATHOLOGIST, Role.SUPERVISOR, name="M. Thorne")
    amending.amend_record(
        thorne, case_id=long.pk, record_id=new_id(), what="cause-and-manner", version=1,
        entry={"manner": "homicide"}, reason="Toxicology",
    )  # fmt: skip
    told = {one.key: one for one in report_passages(long).passages}
    (touch,) = told["manner"].touched_by
    assert (touch.number, touch.kind, touch.now, touch.why) == (
        1, "amendment", "homicide", "Toxicology",
    )  # fmt: skip
    assert (told["manner"].words, told["manner"].changed_since) == ("accident", True)
    (touch,) = told["opinion-1"].touched_by
    assert (touch.now, told["opinion-1"].changed_since) == (None, False)
    assert not told["finding-8"].touched_by


def test_passages_of_any_number_are_read_in_four_statements(long, kept, signed):
    for case in (signed, long):
        everything = list(Finding.objects.filter(case=case).values_list("pk", flat=True))
        pictures = list(Photograph.objects.filter(case=case).values_list("pk", flat=True))
        with CaptureQueriesContext(connection) as asked:
            passages_about(case, finding_ids=everything, photograph_ids=pictures)
        assert len(asked) == 3, [one["sql"][:80] for one in asked]


def test_before_the_signature_the_words_are_those_of_now_and_have_no_page(db):
    vasko = make_staff(Role.PATHOLOGIST)
    case = examined_case(vasko)
    (one,) = passages_about(case, finding_ids=[Finding.objects.get(case=case, number=1).pk])
    assert "ontusion" in one.words
    assert (one.page, one.first_line, one.last_line, one.signed_at) == (None, None, None, None)
    assert one.where == "not signed"


def test_titles_are_printed_as_they_were_when_people_signed():
    case = signed_case()
    Staff.objects.update(job_title="Director")
    material = material_of(case.pk)
    signed = printing._sign_off(material)
    assert (signed["author_title"], signed["reviewer_title"]) == ("", "")
    # Whoever signed before titles were kept.
    material.draft.signed_title = material.decision.signed_title = None
    before = printing._sign_off(material)
    assert (before["author_title"], before["reviewer_title"]) == ("Director", "Director")


def test_signed_and_not_printed_yet_says_that_the_page_is_not_known(db):
    case = signed_case()
    (one,) = passages_about(case, finding_ids=[Finding.objects.get(case=case, number=1).pk])
    assert (one.page, one.where) == (None, "page not known yet")
    assert one.signed_at is not None

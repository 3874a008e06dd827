"""What an exhibit answers from the record, and what it says where the record is silent."""

from __future__ import annotations

from copy import deepcopy
from datetime import timedelta
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
from django.db import connection
from django.template.loader import render_to_string
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.exhibits.actions import void_exhibit_set
from cases.exhibits.models import Exhibit
from cases.review.actions import add_addendum
from cases.review.models import ReportDraft, SignedPdf
from cases.witness.about_report import passages_about
from cases.witness.queries import answers_for, answers_for_set
from cases.witness.reading import read_case
from cases.witness.shown import ShownPassage
from evidence.clocks.models import CameraClock
from evidence.fixity.models import FixityProblem, FixityRun
from evidence.items.models import Item
from evidence.measuring.actions import use_measurement
from evidence.photographs.models import Photograph, PhotographFinding
from evidence.store.models import StoredFile
from findings import actions
from findings.models import Examination, Finding
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent
from tests.builders import as_person, make_staff, set_back
from tests.evidence.items import take
from tests.evidence.pictures import link_to, take_away
from tests.exhibits.builders import make_exhibit, make_set
from tests.findings.builders import a_mark, make_finding
from tests.measuring.pictures import measured, photograph_with_scale
from tests.results.builders import report_of
from tests.review.test_review import make_people, make_ready, signed
from tests.witness.builders import Shown, show_contusion

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def _shown(made_once) -> Shown:
    return made_once(lambda: show_contusion(make_staff(Role.PATHOLOGIST, name="I. Vasko")))


@pytest.fixture
def shown(db, _shown) -> Shown:
    return deepcopy(_shown)


def answered(shown: Shown):
    return answers_for(shown.case, Exhibit.objects.get(pk=shown.exhibit.pk))


def test_a_contusion_is_answered_from_the_record(shown):
    said = answered(shown)
    assert (said.number, said.place_in_set, said.of_set) == ("14", 1, 1)
    assert said.previous is None and said.next is None
    assert said.body_part.words == "Right lower chest (costal region)"
    [picture] = said.pictures
    assert (picture.distance, picture.scale, picture.side) == ("close-up", "with a scale", "right")
    assert picture.faces.words == "Front of the body"
    assert "camera's direction is not recorded" in picture.faces.ground
    assert picture.taken_by == "P. Sedge" and picture.finding_numbers == (1,)
    assert picture.held.words.startswith("Office file store since ")
    assert picture.custody_unbroken and picture.held.ground == "no gap in the recorded transfers"
    assert picture.same_bytes.words.startswith("Its SHA-256 digest was taken when it was added ")
    [finding] = said.findings
    assert finding.klass_said.words == "Injury, blunt force"
    assert finding.klass_said.ground == "hemorrhage in the muscle"
    assert finding.size.sentence == "11.0 × 6.5 cm, by ruler."
    assert finding.when.words == "Before death." and finding.when.recorded
    assert finding.seen_as.words == "Color: purple."
    assert "gives no age" in finding.color_caution
    assert finding.count.words == "At least 1."
    assert finding.plain.startswith("Contusion: ")
    assert said.counts.in_exhibit.words == "at least 1 blunt impact; there may have been more"
    assert [one.where for one in said.counts.in_regions] == ["chest"]
    assert said.disagreements == () and said.taken_here == () and said.elsewhere == ()
    assert (
        said.report.state.words == "The report is not signed." and not said.report.changed.changed
    )
    passage, meaning = finding.passages
    assert passage.signed_at is None and "11.0 × 6.5 cm" in passage.words
    assert (passage.page, passage.where, passage.pdf_url) == (None, "not signed", "")
    assert passage.url.endswith("#passage-finding-1") and not passage.is_meaning
    assert meaning.is_meaning and meaning.words.startswith("The contusion")


def test_what_is_not_recorded_is_said(shown):
    bare = make_finding(shown.examination, term="Abrasion")
    link_to(shown.by, shown.photograph, bare)
    finding = answered(shown).findings[1]
    assert not finding.place.recorded and not finding.when.recorded
    assert finding.size.sentence == (
        "Not measured: no size is recorded, and no measurement on a photograph."
    )
    assert finding.when.words == "Whether it arose before or after death is not recorded."
    assert finding.count.words == "A number of impacts is not recorded."
    assert finding.klass_said.ground == "its ground is not recorded"
    assert finding.seen_as.words == "How it looked is not recorded."
    assert finding.color_caution == "" and finding.layers == ()
    assert finding.thread[0].words == "Finding (it has no mark on the chart)"


def test_each_layer_is_examined_or_not_or_not_recorded(shown):
    for layer, examined, found in (
        ("muscle", True, "Hemorrhage, 9 × 6 cm"),
        ("pleura", False, ""),
        ("skin", True, "Not broken"),
    ):
        actions.record_layer(
            shown.by,
            case_id=shown.case.pk,
            finding_id=shown.finding.pk,
            record_id=new_id(),
            entry={"layer": layer, "examined": examined, "found": found},
        )
    layers = answered(shown).findings[0].layers
    assert [one.words for one in layers] == [
        "Skin: not broken.",
        "Muscle: hemorrhage, 9 × 6 cm.",
        "Pleura: not examined.",
        "Subcutaneous tissue: not recorded whether it was examined.",
        "Periosteum: not recorded whether it was examined.",
        "Bone: not recorded whether it was examined.",
    ]
    assert [one.recorded for one in layers] == [True, True, True, False, False, False]


def test_what_it_may_mean_stands_with_ground_and_confidence(shown):
    for entry in (
        {"statement": "A fall against a rung", "standing": "consistent with",
         "confidence": "probable", "ground": "Four bands"},
        {"statement": "Lividity", "standing": "excluded", "ground": "It does not blanch."},
    ):  # fmt: skip
        actions.record_interpretation(
            shown.by,
            case_id=shown.case.pk,
            finding_id=shown.finding.pk,
            record_id=new_id(),
            entry=entry,
        )
    assert [one.words for one in answered(shown).findings[0].meanings] == [
        "Consistent with a fall against a rung (probable); four bands.",
        "Excluded: lividity; it does not blanch.",
    ]


def test_a_finding_is_not_called_unmeasured_while_measurements_of_it_are_kept(shown):
    bare = make_finding(shown.examination, term="Abrasion", marks=[a_mark()])
    link_to(shown.by, shown.photograph, bare)
    kept = measured(shown.by, shown.photograph)
    # Of which finding nobody said.
    assert answered(shown).findings[1].size.sentence == (
        "No size is recorded, and no measurement names this finding; what was measured on "
        "photograph 1 names none."
    )
    set_back(type(kept).objects.filter(pk=kept.pk), finding=bare)
    said = answered(shown)
    size = said.findings[1].size
    assert size.on_photographs[0].words == kept.words and not size.recorded
    assert size.sentence.startswith("No size is recorded of the finding itself; on photograph 1 ")
    assert "ot measured" not in size.sentence
    [told] = said.disagreements
    assert told.kind == "no size, though it was measured"
    assert told.here.words == "Finding 2" and told.there.url.endswith("#measurement-1")


def test_a_size_by_ruler_beside_a_measurement_that_does_not_cover_it(shown):
    kept = measured(shown.by, shown.photograph)
    set_back(type(kept).objects.filter(pk=kept.pk), finding=shown.finding)
    said = answered(shown)
    assert said.findings[0].size.sentence.startswith("11.0 × 6.5 cm, by ruler; on photograph 1 ")
    assert [one.kind for one in said.disagreements] == ["size by hand and on the photograph"]
    # One that says itself what was measured is no size of the finding.
    set_back(type(kept).objects.filter(pk=kept.pk), note="The lowest of four bands")
    assert answered(shown).disagreements == ()
    set_back(type(kept).objects.filter(pk=kept.pk), note="")
    # The same measurement as the size itself agrees, and is told once.
    value = kept.result["quantities"][0]["value"]
    Finding.objects.filter(pk=shown.finding.pk).update(
        length_mm=Decimal(str(round(value, 1))), width_mm=None
    )
    assert answered(shown).disagreements == ()


def test_caption_and_log_are_compared_with_the_chart(shown):
    Exhibit.objects.filter(pk=shown.exhibit.pk).update(caption="Left thigh, 14 cm bruise")
    Photograph.objects.filter(pk=shown.photograph.pk).update(shows="Left side of the chest")
    said = answered(shown)
    assert {one.kind for one in said.disagreements} == {
        "caption and side",
        "caption and place",
        "caption and size",
        "photograph log and side",
    }
    by_kind = {one.kind: one for one in said.disagreements}
    assert by_kind["caption and side"].here.words == "Exhibit 14"
    assert by_kind["photograph log and side"].here.words == "Photograph 1"
    assert all(one.there.words == "Finding 1" and one.there.url for one in said.disagreements)


def test_who_held_it_when_it_was_read_again_and_what_the_clock_said(shown):
    picture = answered(shown).pictures[0]
    assert picture.read_again.words == "Not read again since it was added."
    assert not picture.clock.recorded
    now = timezone.now()
    before = now - timedelta(days=1)
    FixityRun.objects.create(begun_at=before, finished_at=before, until=before)
    assert not answered(shown).pictures[0].read_again.recorded, "it came after that"
    run = FixityRun.objects.create(begun_at=now, finished_at=now, until=now + timedelta(hours=1))
    set_back(
        Photograph.objects.filter(pk=shown.photograph.pk),
        exif={"make": "Arden", "model": "Q7", "taken": "2026:11:14 09:20:00"},
    )
    assert answered(shown).pictures[0].clock.words == "The camera's clock was not compared."
    CameraClock.objects.create(
        case=shown.case,
        camera="Arden Q7",
        zone="America/New_York",
        ahead_seconds=-180,
        known_from="A photographed clock",
        created_by=shown.by,
        changed_by=shown.by,
    )
    picture = answered(shown).pictures[0]
    assert picture.clock.words == (
        "The camera's clock ran 3 min behind; corrected time 14 Nov 2026, 09:23 EST."
    )
    assert picture.read_again.words.startswith("Read again ")
    assert picture.same_bytes.words.startswith("Kept byte for byte as it was added ")
    # A check that began before the file came says nothing of it, and one that goes on nothing yet.
    for wrong in ({"until": now - timedelta(days=1)}, {"finished_at": None}):
        FixityRun.objects.filter(pk=run.pk).update(**wrong)
        picture = answered(shown).pictures[0]
        assert not picture.read_again.recorded
        assert picture.same_bytes.words.startswith("Its SHA-256 digest was taken when ")
        FixityRun.objects.filter(pk=run.pk).update(until=run.until, finished_at=now)
    problem = FixityProblem.objects.create(
        file=shown.photograph.file, path="x", run=run, kind="altered", found_at=now,
        last_seen_at=now,
    )  # fmt: skip
    picture = answered(shown).pictures[0]
    assert "is not as it was added: altered" in picture.same_bytes.words
    problem.resolved_at, problem.resolution = now, "Restored from the backup"
    problem.save()
    assert answered(shown).pictures[0].same_bytes.words.startswith("Kept byte for byte ")


def test_a_specimen_from_there_comes_with_its_holder_and_its_result(shown):
    rib = take(shown.by, shown.case, material="Bone", site="Right sixth rib at finding 1")
    take(shown.by, shown.case, site="Left chest wall", seal_number="TC 0418")
    report_of(shown.by, shown.case, items=[rib.item_id], kind="histology")
    [taken] = answered(shown).taken_here
    assert taken.of_finding and taken.finding_numbers == (1,)
    assert taken.held.words.startswith("Specimen refrigerator 2 since ")
    assert [one.number for one in taken.results] == [1]
    assert taken.url and taken.custody_url and taken.results[0].url


def test_the_same_place_in_other_pictures_and_where_the_finding_is_shown(shown):
    wide = photograph_with_scale(shown.by, shown.case, shade=91, view="overview", region="trunk")
    link_to(shown.by, wide, shown.finding)
    near = photograph_with_scale(shown.by, shown.case, shade=92, region=" Right CHEST ")
    photograph_with_scale(shown.by, shown.case, shade=93, region="left foot")
    make_exhibit(shown.by, shown.exhibit_set, wide, number="15")
    gone = photograph_with_scale(shown.by, shown.case, shade=94, region="right chest")
    make_exhibit(shown.by, shown.exhibit_set, gone, number="16")
    take_away(shown.by, gone)
    said = answered(shown)
    assert [(one.exhibit_number, one.number, one.nearness) for one in said.elsewhere] == [
        ("15", wide.number, "wider"),
        ("", near.number, "wider"),
    ]
    assert [one.why for one in said.elsewhere] == [
        "shows finding 1",
        "is of the same part in the photograph log: Right CHEST",
    ]
    [finding] = said.findings
    assert [(one.exhibit_number, one.in_this_exhibit) for one in finding.shown_on] == [
        ("14", True),
        ("15", False),
    ]
    assert said.next is not None and said.next.number == "15"
    assert answers_for_set(shown.case, shown.exhibit_set)[1].previous.number == "14"


def test_impacts_are_counted_in_the_picture_in_the_region_and_in_the_case(shown):
    blunt = {"mechanism": "Blunt force", "impacts_kind": "at least"}
    for impacts, group, points in ((2, "A", None), (1, "A", None), (4, "", [[0.0, 40.0]])):
        make_finding(
            shown.examination, marks=[a_mark(points=points)], impacts=impacts,
            impact_group=group, **blunt,
        )  # fmt: skip
    second = Finding.objects.get(case=shown.case, number=2)
    link_to(shown.by, shown.photograph, second)
    counts = answered(shown).counts
    assert counts.in_exhibit.blunt_at_least == 3
    assert [(one.where, one.blunt_at_least) for one in counts.in_regions] == [("chest", 3)]
    assert counts.in_case.blunt_at_least == 7
    assert counts.in_case.words == "at least 7 blunt impacts; there may have been more"
    said = {one.number: one.count.words for one in answered(shown).findings}
    assert said[2] == "At least 2; one impact may have left it and finding 3 (group A)."
    Finding.objects.filter(case=shown.case, number=4).update(impact_group="A")
    said = {one.number: one.count.words for one in answered(shown).findings}
    assert said[2] == "At least 2; one impact may have left it and findings 3 and 4 (group A)."
    Finding.objects.filter(case=shown.case, number__in=(3, 4)).update(impact_group="B")
    assert answered(shown).findings[1].count.words == "At least 2."


def test_what_was_looked_for_concerns_the_place_and_names_what_speaks_against_it(shown):
    Examination.objects.filter(pk=shown.examination.pk).update(
        internal="The ribs show no fracture. The liver shows no injury.",
        external="The chest shows no injury. The feet show no injury.",
    )
    said = {one.words: one.against for one in answered(shown).looked_for}
    assert said == {"The ribs show no fracture.": (), "The chest shows no injury.": (1,)}


@pytest.fixture(scope="module")
def _signed(made_once) -> Shown:
    def build() -> Shown:
        case, vasko, thorne = make_ready(make_people())
        finding = Finding.objects.get(case=case)
        photograph = photograph_with_scale(vasko, case, view="close-up")
        link_to(vasko, photograph, finding)
        signed(case, vasko, thorne)
        case.refresh_from_db()
        trial = make_set(vasko, case)
        exhibit = make_exhibit(vasko, trial, photograph, number="1")
        return Shown(vasko, case, finding.examination, finding, photograph, trial, exhibit)

    return made_once(build)


@pytest.fixture
def signed_shown(db, _signed) -> Shown:
    return deepcopy(_signed)


def test_a_signed_passage_is_compared_with_the_record_and_names_its_addenda(signed_shown):
    said = answered(signed_shown)
    assert said.report.state.words.startswith("Signed ")
    [finding] = said.findings
    [passage] = finding.passages
    assert passage.signed_at == signed_shown.case.signed_at
    assert (passage.now, passage.record, passage.touched_by, finding.amended_by) == ("", "", (), ())
    assert (passage.page, passage.where) == (None, "page not known yet")
    assert not finding.changed.changed and "Nothing was changed in this finding" in (
        finding.changed.words
    )
    for text in ("Histology of finding 1 is added.", "Finding 11 is not in this report."):
        entry = {"kind": "addendum", "amends": "", "text": text, "why": "Late histology"}
        add_addendum(signed_shown.by, case_id=signed_shown.case.pk, record_id=new_id(), entry=entry)
    set_back(Finding.objects.filter(pk=signed_shown.finding.pk), length_mm=Decimal(120))
    said = answered(signed_shown)
    [finding] = said.findings
    assert [one.words.split(",")[0] for one in finding.amended_by] == ["Addendum 1"]
    assert finding.passages[0].record and "12.0 × 6.5 cm" in finding.passages[0].record
    assert [one.kind for one in said.disagreements] == ["report and record"]
    # The witness's window says so, too, beside the words that were signed.
    window = reverse(
        "exhibits:court-notes",
        kwargs={"case_id": signed_shown.case.pk, "set_id": said.set_id},
    )
    read = as_person(signed_shown.by).get(window).content.decode()
    signed_words, _, since = read.partition("the record now says: ")
    assert "11.0 × 6.5 cm" in signed_words and "12.0 × 6.5 cm" in since


def test_words_that_an_amendment_took_out_are_never_shown_as_if_they_stood():
    key, at = new_id(), timezone.now()
    part = {"key": "finding-1", "text": "A bruise.", "finding": str(key)}
    content = {"sections": [{"title": "Injuries", "passages": [part]}]}
    addenda: list[Any] = []
    for number, now in enumerate(("", "A scar."), start=1):
        touched = SimpleNamespace(all=lambda now=now: [SimpleNamespace(key="finding-1", now=now)])
        addenda.append(
            SimpleNamespace(
                number=number, passages=touched, get_kind_display=lambda: "amendment",
                made_at=at, why="Misread",
            )
        )  # fmt: skip
        read: Any = SimpleNamespace(
            signed=content, record=content, addenda=addenda, lines={},
            case=SimpleNamespace(pk=new_id(), signed_at=at),
        )  # fmt: skip
        finding: Any = SimpleNamespace(pk=key, number=1)
        [passage] = passages_about(read, finding)
        assert (passage.words, passage.taken_out, passage.now) == ("A bruise.", not now, now)
        context = {"passage": ShownPassage(passage), "finding": finding}
        page = render_to_string("witness/_passage.html", context)
        assert ("taken out by an amendment" in page) is (not now)
        assert ("amended: A scar." in page) is bool(now)


def test_a_passage_is_cited_by_page_and_line_of_the_signed_report(signed_shown):
    draft = ReportDraft.objects.get(case=signed_shown.case)
    SignedPdf.objects.create(
        case=signed_shown.case,
        draft=draft,
        file=signed_shown.photograph.file,
        pages=3,
        lines={"finding-1": [2, 14, 2, 19]},
        created_by=signed_shown.by,
        changed_by=signed_shown.by,
    )
    [passage] = answered(signed_shown).findings[0].passages
    assert passage.where == "page 2, lines 14 to 19"
    assert (passage.page, passage.first_line, passage.last_line) == (2, 14, 19)
    assert passage.pdf_url.endswith("/signed-report.pdf#page=2")


def test_a_change_after_the_signature_is_told_in_one_sentence(signed_shown):
    assert not answered(signed_shown).pictures[0].changed.changed
    earlier = timezone.now() - timedelta(days=2)
    signed_shown.case.signed_at = earlier
    said = answers_for(signed_shown.case, Exhibit.objects.get(pk=signed_shown.exhibit.pk))
    assert said.pictures[0].changed.changed and said.report.changed.changed
    assert said.pictures[0].changed.words.startswith("This photograph changed once since ")
    assert said.pictures[0].changed.url


def test_what_hangs_on_a_finding_or_a_photograph_tells_that_it_was_changed(shown):
    shown.case.state, shown.case.signed_at = "signed", timezone.now() - timedelta(days=2)
    keys = {"case_id": shown.case.pk, "finding_id": shown.finding.pk}
    actions.record_layer(
        shown.by, **keys, record_id=new_id(), entry={"layer": "muscle", "examined": True,
        "found": "Hemorrhage"},
    )  # fmt: skip
    actions.record_interpretation(
        shown.by, **keys, record_id=new_id(), entry={"statement": "A fall",
        "standing": "consistent with", "ground": "Its place"},
    )  # fmt: skip
    kept = measured(shown.by, shown.photograph)
    use_measurement(
        shown.by, **keys, measurement_id=kept.pk, record_id=new_id(), version=1, dimension="length"
    )
    assert answered(shown).findings[0].size.on_photographs[0].gives == "length"
    read = read_case(shown.case, shown.exhibit_set)
    told = {one.event.table: one.of for one in read.changes}
    assert set(told) == {
        "findings_finding", "findings_layerfinding", "findings_interpretation", "findings_mark",
        "measuring_measurement", "measuring_measurementuse", "evidence_photograph",
        "evidence_photographfinding",
    }  # fmt: skip
    for table in told.keys() - {"measuring_measurement", "evidence_photograph"}:
        assert str(shown.finding.pk) in told[table], table
    # What was typed since comes from no photograph, though it is the same number.
    Finding.objects.filter(pk=shown.finding.pk).update(measured_by="ruler")
    assert answered(shown).findings[0].size.on_photographs[0].gives == ""


def test_the_number_of_statements_does_not_grow_with_the_case(shown):
    counts = []
    for more in (1, 29):
        fill_up(shown, more)
        with CaptureQueriesContext(connection) as asked:
            said = answered(shown)
        counts.append(len(asked))
    assert len(said.findings) == 31 and said.of_set == 31
    assert counts[0] == counts[1] <= 45


def fill_up(shown: Shown, more: int) -> None:
    """So many more findings in the picture, photographs and exhibits, written past the actions."""
    there = Finding.objects.filter(case=shown.case).count()
    who = {"case": shown.case, "created_by": shown.by, "changed_by": shown.by}
    numbers = range(there + 1, there + more + 1)
    findings = Finding.objects.bulk_create(
        Finding(examination=shown.examination, number=n, klass="injury", term="Bruise", **who)
        for n in numbers
    )
    items = Item.objects.bulk_create(
        Item(number=n, kind="photograph", title="Photograph", **who) for n in numbers
    )
    files = StoredFile.objects.bulk_create(
        StoredFile(sha256=f"{n:064x}", size_bytes=1, media_type="image/png", path=f"none/{n}")
        for n in numbers
    )
    photographs = Photograph.objects.bulk_create(
        Photograph(
            number=n, item=item, file=file, photographer="P. Sedge", place="examination",
            view="close-up", width_px=64, height_px=48, **who,
        )
        for n, item, file in zip(numbers, items, files, strict=True)
    )  # fmt: skip
    PhotographFinding.objects.bulk_create(
        PhotographFinding(photograph=one, finding=finding, **who)
        for photograph, finding in zip(photographs, findings, strict=True)
        for one in (photograph, shown.photograph)
    )
    Exhibit.objects.bulk_create(
        Exhibit(
            exhibit_set=shown.exhibit_set, photograph=photograph, position=n * 4096,
            number=f"E{n}", caption="Chest", **who,
        )
        for n, photograph in zip(numbers, photographs, strict=True)
    )  # fmt: skip


@pytest.mark.parametrize(
    ("role", "status"),
    [
        (Role.PATHOLOGIST, 200),
        (Role.SUPERVISOR, 200),
        (Role.RECORDS_CLERK, 403),
        (Role.INVESTIGATOR, 403),
        (Role.EVIDENCE_TECHNICIAN, 403),
    ],
)
def test_the_api_answers_the_witness_and_who_prepares_them(shown, role, status):
    person = make_staff(role)
    address = reverse("witness_api:answers", args=[shown.case.pk, shown.exhibit.pk])
    answer = as_person(person).get(address)
    assert answer.status_code == status
    if status == 200:
        told = answer.json()
        assert told["findings"][0]["size"]["sentence"] == "11.0 × 6.5 cm, by ruler."
        assert told["next"] is None and told["pictures"][0]["with_scale"] is True
        assert AccessEvent.objects.filter(actor_id=person.pk, what="exhibit answers").exists()


def test_an_exhibit_of_another_case_is_not_known(shown):
    client = as_person(make_staff(Role.PATHOLOGIST))
    other = show_contusion(shown.by)
    void_exhibit_set(
        shown.by, case_id=other.case.pk, set_id=other.exhibit_set.pk, version=1, reason="settled"
    )
    for case, exhibit in (
        (other.case, shown.exhibit.pk),
        (shown.case, new_id()),
        (other.case, other.exhibit.pk),
    ):
        assert (
            client.get(reverse("witness_api:answers", args=[case.pk, exhibit])).status_code == 404
        )

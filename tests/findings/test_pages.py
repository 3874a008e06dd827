"""Pages of the examination: who sees what, what bad input brings, and how many statements."""

from __future__ import annotations

import json
from datetime import timedelta

import pytest
from django.db import connection
from django.test import override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.models import BodyReceipt, Decedent, Scene
from findings import actions, steps
from findings.models import Examination, Finding
from findings.organs import actions as organ_actions
from findings.organs.models import OrganWeight
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import MOMENT, make_case, make_staff
from tests.findings.builders import ON_RIGHT_CHEST, a_mark, make_examination, make_finding, write_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def pathologist(client, examination):
    client.force_login(examination.pathologist)
    return client


def address(name, examination, *more):
    return reverse(f"findings:{name}", args=[examination.case_id, *more])


def finding_entry(**fields):
    return {"record_id": new_id(), "klass": "injury", "term": "Contusion", **fields}


def test_the_examination_is_opened_from_its_page(client):
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    Decedent.objects.filter(case=case).update(sex="female", age_years=31)
    client.force_login(vasko)
    page = client.get(reverse("findings:examination", args=[case.pk]))
    assert 'value="adult_female" selected' in page.content.decode()
    assert "required unless the kind is full autopsy" in page.content.decode()
    with override_settings(NORMAL_EXAMINATIONS=frozenset({"view and release", "external"})):
        page = client.get(reverse("findings:examination", args=[case.pk]))
    normal = "external examination or inspection of the body and release"
    assert f"required unless the kind is {normal}" in page.content.decode()
    answer = client.post(
        reverse("findings:examination", args=[case.pk]),
        {
            "record_id": new_id(),
            "kind": "full autopsy",
            "chart_body": "adult_female",
            "began_at": timezone.localtime().strftime("%Y-%m-%dT%H:%M"),
        },
    )
    assert answer.url == reverse("findings:chart", args=[case.pk])
    assert Examination.objects.get(case=case).pathologist == vasko


def test_bad_input_keeps_the_rest_and_says_why_beside_the_field(client):
    case = make_case()
    client.force_login(make_staff(Role.PATHOLOGIST))
    answer = client.post(
        reverse("findings:examination", args=[case.pk]),
        {
            "record_id": new_id(),
            "kind": "external",
            "chart_body": "child",
            "began_at": "2026-11-14T09:00",
            "place": "Room 2",
        },
    )
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="Room 2"' in page
    assert "Say why: the normal course here is full autopsy." in page
    assert 'id="id_kind_reason_error"' in page


def test_a_stale_examination_shows_both_texts(pathologist, examination):
    entry = {
        "kind": "full autopsy",
        "chart_body": "adult_male",
        "began_at": "2026-11-14T09:00",
        "version": 1,
        "external": "Mine.",
    }
    write_in(examination, 1, external="Theirs.")
    answer = pathologist.post(address("examination", examination), entry)
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Mine." in page and "Theirs." in page
    assert 'name="version" value="2"' in page


def test_a_moment_that_was_not_touched_is_not_changed(pathologist, examination):
    shown = timezone.localtime(examination.began_at).strftime("%Y-%m-%dT%H:%M")
    entry = {"kind": "full autopsy", "chart_body": "adult_male", "began_at": shown, "version": 1}
    assert pathologist.post(address("examination", examination), entry).status_code == 302
    assert Examination.objects.get().began_at == examination.began_at


def test_a_negative_statement_has_its_own_button(pathologist, examination):
    answer = pathologist.post(
        address("negative", examination), {"version": 1, "statement": "external-eyes"}
    )
    assert answer.url.endswith("/examination/#negative-external-eyes")
    assert "petechiae" in Examination.objects.get().external
    stale = pathologist.post(
        address("negative", examination), {"version": 1, "statement": "external-nose"}
    )
    assert stale.status_code == 409


def test_a_negative_statement_pressed_twice_is_stated_once(pathologist, examination):
    page = pathologist.get(address("examination", examination)).content.decode()
    assert page.count('name="request_key"') > 20
    press = {"version": 1, "statement": "external-eyes", "request_key": str(new_id())}
    for _ in range(2):
        assert pathologist.post(address("negative", examination), press).status_code == 302
    other = pathologist.post(
        address("negative", examination), {**press, "statement": "external-nose"}
    )
    assert other.status_code == 409
    assert "sent before with different content" in other.content.decode()
    assert Examination.objects.get().version == 2


def test_others_see_the_same_as_facts_and_no_form(client):
    examination = make_examination(external="Slim build.")
    finding = make_finding(examination, marks=[a_mark()], seen_as="Blue")
    pages = {"examination": "Slim build.", "chart": "Contusion", "organs": "Liver"}
    for role in (Role.INVESTIGATOR, Role.SUPERVISOR, Role.RECORDS_CLERK):
        client.force_login(make_staff(role))
        for name, sign in pages.items():
            page = client.get(address(name, examination)).content.decode()
            assert sign in page, (role, name)
            assert "panel-form" not in page and 'name="record_id"' not in page, (role, name)
            assert "New finding" not in page, (role, name)
        page = client.get(f"{address('chart', examination)}?finding={finding.pk}").content.decode()
        assert "Blue" in page and "Void this finding" not in page, role
        refused = client.post(address("finding-new", examination), finding_entry())
        assert refused.status_code == 403, role
        assert Finding.objects.count() == 1, role


def test_a_signed_case_says_why_it_is_locked(client, examination):
    type(examination.case).objects.update(state="signed", signed_at=MOMENT)
    client.force_login(examination.pathologist)
    page = client.get(address("chart", examination)).content.decode()
    assert "signed and locked" in page and "addendum" in page
    assert "New finding" not in page


def test_the_chart_leads_to_opening_while_there_is_no_examination(client):
    case = make_case()
    client.force_login(make_staff(Role.RECORDS_CLERK))
    answer = client.get(reverse("findings:chart", args=[case.pk]), follow=True)
    assert "The examination has not been opened" in answer.content.decode()


def test_a_restricted_case_is_not_shown(client):
    examination = make_examination()
    type(examination.case).objects.update(restricted=True)
    client.force_login(make_staff(Role.PATHOLOGIST))
    for name in ("examination", "chart", "organs", "finding-new"):
        assert client.get(address(name, examination)).status_code == 404


def test_a_findings_term_is_said_in_plain_words(pathologist, examination):
    for term, said in (("Contusion", True), ("A term of our own", False)):
        finding = make_finding(examination, term=term)
        page = pathologist.get(f"{address('chart', examination)}?finding={finding.pk}")
        text = page.content.decode()
        assert ("A bruise." in text, "In plain words" in text) == (said, said)


def test_a_finding_is_recorded_by_a_plain_form(pathologist, examination):
    answer = pathologist.post(
        address("finding-new", examination),
        finding_entry(
            place="Right ribs 5 to 8",
            length_cm="11",
            width_cm="6.5",
            measured_by="ruler",
            view="posterior",
        ),
    )
    finding = Finding.objects.get()
    assert answer.url == f"{address('chart', examination)}?finding={finding.pk}&view=posterior"
    assert (finding.length_mm, finding.width_mm) == (110, 65)
    page = pathologist.get(answer.url).content.decode()
    assert "11.0 × 6.5 cm" in page
    assert "On the right ribs 5 to 8 is an 11.0 × 6.5 cm contusion." in page


def test_marks_of_the_chart_come_along_with_the_form(pathologist, examination):
    mark = {**a_mark(), "id": str(new_id())}
    pathologist.post(address("finding-new", examination), finding_entry(marks=json.dumps([mark])))
    assert str(Finding.objects.get().marks.get().pk) == mark["id"]


WRONG = [
    ({"term": ""}, "This field is required."),
    ({"length_cm": "2"}, "Say how it was measured."),
    ({"midline_cm": "3"}, "Say on which side of which midline."),
    ({"midline_where": "left of anterior"}, "Give the distance."),
    ({"marks": "not marks"}, "The marks could not be read."),
    ({"marks": '[{"id": "x"}]'}, "Enter a valid UUID."),
    ({"impacts_kind": "at least"}, "Give a number of at least 1"),
]


def test_a_wrong_finding_comes_back_with_what_was_typed(pathologist, examination):
    for fields, message in WRONG:
        entry = finding_entry(seen_as="Four bands", **{"measured_by": "", **fields})
        answer = pathologist.post(address("finding-new", examination), entry)
        page = answer.content.decode()
        assert answer.status_code == 422, fields
        assert message in page and "Four bands" in page, fields
        assert not Finding.objects.exists(), fields


def test_a_finding_is_changed_with_position_measured_by_hand(pathologist, examination):
    finding = make_finding(examination, marks=[a_mark()])
    page = pathologist.get(address("finding-change", examination, finding.pk))
    assert page.status_code == 200
    answer = pathologist.post(
        address("finding-change", examination, finding.pk),
        finding_entry(
            version=1,
            above_heel_cm="120.5",
            midline_cm="13.0",
            midline_where="right of anterior",
            reason="measured again",
        ),
    )
    assert answer.status_code == 302
    finding.refresh_from_db()
    assert finding.position_source == "measured"
    assert float(finding.from_midline_cm) == -13.0
    assert float(finding.below_top_cm) == 50.5
    assert finding.place_source == "derived"


def test_what_was_seen_is_entered_part_by_part(pathologist, examination):
    entry = finding_entry(
        colour="Purple", shape="Oval", margins="Sharp", pattern="Bands", vital_reaction="Red rim"
    )
    answer = pathologist.post(address("finding-new", examination), entry)
    page = pathologist.get(answer.url).content.decode()
    for name, words in (("Shape", "Oval"), ("Vital reaction", "Red rim"), ("Pattern", "Bands")):
        assert f"<dt>{name}</dt><dd>{words}</dd>" in page
    assert '<dd>Purple<span class="colour-caution">Color does not date' in page
    assert "a purple oval contusion. It shows sharp margins and a pattern of bands." in page
    long = pathologist.post(
        address("finding-new", examination), finding_entry(margins="x" * 161, shape="Round")
    )
    assert long.status_code == 422 and 'value="Round"' in long.content.decode()


def test_a_stale_finding_shows_both_texts(pathologist, examination):
    finding = make_finding(examination, length_mm=20, measured_by="ruler", marks=[a_mark()])
    actions.change_finding(
        examination.pathologist,
        case_id=examination.case_id,
        finding_id=finding.pk,
        version=1,
        entry={"seen_as": "Theirs"},
    )
    answer = pathologist.post(
        address("finding-change", examination, finding.pk),
        finding_entry(version=1, seen_as="Mine", length_cm="3", measured_by="ruler"),
    )
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Mine" in page and "Theirs" in page
    different = [one.name for one in answer.context["form"].stale]
    assert different == ["seen_as", "length_cm"]


def test_voiding_needs_its_reason_and_keeps_the_number(pathologist, examination):
    finding = make_finding(examination)
    there = address("finding-void", examination, finding.pk)
    assert pathologist.post(there, {"version": 1, "reason": ""}).status_code == 422
    assert pathologist.post(there, {"version": 1, "reason": "twice"}).status_code == 302
    page = pathologist.get(address("chart", examination)).content.decode()
    assert "1 voided" in page and "twice" in page


def test_what_hangs_on_a_finding_is_recorded_from_its_panel(pathologist, examination):
    finding = make_finding(examination)
    posts = [
        ("layer-new", {"layer": "muscle", "examined": "True", "found": "hemorrhage"}),
        ("layer-new", {"layer": "bone", "examined": "False", "found": ""}),
        ("interpretation-new", {"statement": "a fall", "standing": "not excluded"}),
        (
            "mark-new",
            {"view": "anterior", "kind": "point", "points": json.dumps([ON_RIGHT_CHEST])},
        ),
    ]
    for name, entry in posts:
        there = address(name, examination, finding.pk)
        assert pathologist.get(there).status_code == 200
        assert pathologist.post(there, {"record_id": new_id(), **entry}).status_code == 302, name
    page = pathologist.get(f"{address('chart', examination)}?finding={finding.pk}")
    text = page.content.decode()
    assert "not examined" in text and "A fall: not excluded." in text and "hemorrhage" in text


def test_each_part_is_changed_and_voided_from_its_panel(pathologist, examination):
    finding = make_finding(examination, marks=[a_mark()])
    common = {"case_id": examination.case_id, "finding_id": finding.pk}
    layer = actions.record_layer(
        examination.pathologist,
        **common,
        record_id=new_id(),
        entry={"layer": "skin", "examined": True, "found": "intact"},
    )
    meaning = actions.record_interpretation(
        examination.pathologist,
        **common,
        record_id=new_id(),
        entry={"statement": "a fall", "standing": "not excluded"},
    )
    mark = finding.marks.get()
    changes = [
        ("layer", layer, {"layer": "skin", "examined": "True", "found": "abraded"}),
        ("interpretation", meaning, {"statement": "a fall", "standing": "consistent with"}),
        ("mark", mark, {"view": "anterior", "kind": "point", "points": "[[-70, 300]]"}),
    ]
    for name, row, entry in changes:
        change = "mark-move" if name == "mark" else f"{name}-change"
        there = address(change, examination, row.pk)
        assert pathologist.get(there).status_code == 200
        assert pathologist.post(there, {"version": 1, **entry}).status_code == 302, name
        gone = address(f"{name}-void", examination, row.pk)
        assert pathologist.get(gone).status_code == 200
        assert pathologist.post(gone, {"version": 2, "reason": "twice"}).status_code == 302, name


def test_a_mark_form_without_a_mark_says_so(pathologist, examination):
    finding = make_finding(examination)
    answer = pathologist.post(address("mark-new", examination, finding.pk), {"record_id": new_id()})
    assert answer.status_code == 422
    assert "Place the mark on the chart." in answer.content.decode()


def test_htmx_gets_the_work_part_with_the_thread_beside_it(pathologist, examination):
    finding = make_finding(examination)
    there = f"{address('chart', examination)}?finding={finding.pk}"
    answer = pathologist.get(there, headers={"HX-Request": "true"})
    page = answer.content.decode()
    assert "<html" not in page and 'hx-swap-oob="true"' in page
    assert answer["HX-Push-Url"] == f"{there}&view=anterior"
    assert "HX-Request" in answer["Vary"]


def test_lividity_against_the_position_found_is_asked_about(pathologist, examination):
    lividity = make_finding(
        examination, klass="postmortem change", term="Lividity", place="Back", seen_as="Fixed"
    )
    there = f"{address('chart', examination)}?finding={lividity.pk}"
    assert "does not go with" not in pathologist.get(there).content.decode()
    Scene.objects.create(
        case=examination.case,
        arrived_at=MOMENT,
        address="Mill Road 3",
        position="prone",
        lividity_where="Back",
        created_by=examination.pathologist,
        changed_by=examination.pathologist,
    )
    page = pathologist.get(there).content.decode()
    assert (
        "At the scene: The pattern does not go with the position found" in page
        and "never a conclusion" in page
    )


def test_every_view_of_the_drawing_opens(pathologist, examination):
    from findings.body.views import VIEWS

    make_finding(examination, marks=[a_mark()])
    for view in [*VIEWS, "no such view"]:
        answer = pathologist.get(f"{address('chart', examination)}?view={view}&finding=nothing")
        assert answer.status_code == 200


def test_organs_are_weighed_in_a_row(pathologist, examination):
    there = address("organs", examination)
    page = pathologist.get(there).content.decode()
    assert '<option value="brain" selected' in page
    answer = pathologist.post(
        there, {"record_id": new_id(), "organ": "brain", "weight_g": "1340", "seen_as": "Firm"}
    )
    assert answer.status_code == 302
    assert '<option value="heart" selected' in pathologist.get(there).content.decode()
    weight = OrganWeight.objects.get()
    change = address("organ-change", examination, weight.pk)
    assert pathologist.get(change).status_code == 200
    entry = {"version": 1, "organ": "brain", "weight_g": "1350", "reason": "read again"}
    assert pathologist.post(change, entry).status_code == 302
    gone = address("organ-void", examination, weight.pk)
    assert "1350.0 g" in pathologist.get(gone).content.decode()
    assert pathologist.post(gone, {"version": 2, "reason": "twice"}).status_code == 302


def test_an_organ_weighed_twice_is_refused_with_the_reason(pathologist, examination):
    entry = {"organ": "liver", "weight_g": "1500"}
    there = address("organs", examination)
    pathologist.post(there, {"record_id": new_id(), **entry})
    answer = pathologist.post(there, {"record_id": new_id(), **entry})
    assert answer.status_code == 422
    assert "This organ has a weight already." in answer.content.decode()


def test_the_reference_stands_beside_a_weight_with_its_population(pathologist, examination):
    Decedent.objects.filter(case=examination.case).update(sex="male", age_years=30)
    organ_actions.weigh_organ(
        examination.pathologist,
        case_id=examination.case_id,
        record_id=new_id(),
        entry={"organ": "heart", "weight_g": 420},
    )
    page = pathologist.get(address("organs", examination)).content.decode()
    # Molina and DiMaio, Am J Forensic Med Pathol 2012;33:362-367: 95 % range 233 to 383 g.
    assert "proposed 95 % range 233 to 383 g" in page and "above that range" in page
    assert "healthy men of 18 to 35 years" in page


@pytest.mark.parametrize(
    ("sex", "organ", "grams", "words"),
    [
        ("female", "right lung", 780, "smallest and largest seen 142 to 835 g"),
        ("male", "liver", 2500, "smallest and largest seen 838 to 2584 g"),
        ("male", "spleen", 340, "smallest and largest seen 43 to 344 g"),
    ],
)
def test_the_largest_weight_ever_seen_is_no_verdict(
    pathologist, examination, sex, organ, grams, words
):
    Decedent.objects.filter(case=examination.case).update(sex=sex, age_years=58)
    organ_entry = {"organ": organ, "weight_g": grams}
    organ_actions.weigh_organ(
        examination.pathologist,
        case_id=examination.case_id,
        record_id=new_id(),
        entry=organ_entry,
    )
    page = pathologist.get(address("organs", examination)).content.decode()
    assert words in page
    assert "within" not in page.split("organ-reference")[0].split("<tbody>")[1]
    assert "58 years old, older than the reference population" in page


def test_an_organ_is_weighed_fresh_and_after_fixation(pathologist, examination):
    Decedent.objects.filter(case=examination.case).update(sex="male", age_years=30)
    there = address("organs", examination)
    fresh = {"organ": "brain", "weight_g": "1400"}
    fixed = {"organ": "brain", "weight_g": "1450", "after_fixation": "on"}
    for entry in (fresh, fixed):
        answer = pathologist.post(there, {"record_id": new_id(), **entry})
        assert answer.status_code == 302
    again = pathologist.post(there, {"record_id": new_id(), **fixed})
    assert again.status_code == 422
    page = pathologist.get(there).content.decode()
    assert "after fixation" in page
    assert "the reference is of fresh organs" in page
    for organ in ("Prostate", "Left adrenal gland", "Pituitary gland", "Lungs, both together"):
        assert f'<th scope="row">{organ}</th>' in page
    assert '<th scope="row">Uterus</th>' not in page


def test_a_child_gets_no_adult_reference(pathologist, examination):
    Decedent.objects.filter(case=examination.case).update(sex="male", age_years=4)
    page = pathologist.get(address("organs", examination)).content.decode()
    assert "233 to 383" not in page and page.count("no reference is built in") == 1


def test_the_chart_takes_a_fixed_number_of_statements(pathologist, examination):
    def statements(asked):
        with CaptureQueriesContext(connection) as queries:
            assert pathologist.get(address("chart", examination) + asked).status_code == 200
        return len(queries)

    def plain_and_selected(until):
        while Finding.objects.count() < until:
            last = make_finding(examination, marks=[a_mark()])
        return statements(""), statements(f"?finding={last.pk}")

    few = plain_and_selected(3)
    assert few == plain_and_selected(60)
    assert max(few) <= 15


def test_other_pages_stay_within_their_statements(pathologist, examination):
    for name in ("examination", "organs", "finding-new"):
        with CaptureQueriesContext(connection) as queries:
            pathologist.get(address(name, examination))
        assert len(queries) <= 15, name


def test_the_course_counts_the_standing_findings(pathologist, examination):
    make_finding(examination)
    page = pathologist.get(address("chart", examination)).content.decode()
    assert '<span class="words">1 finding</span>' in page


def test_a_received_body_waits_until_its_examination_is_opened():
    vasko = make_staff(Role.PATHOLOGIST)
    case = make_case(pathologist=vasko)
    now = timezone.now()
    assert steps.to_open(vasko, now) == []
    BodyReceipt.objects.create(
        case=case,
        received_at=now - timedelta(hours=50),
        received_by=vasko,
        delivered_by="Tarn Transport",
        received_from="Mill Road 3",
        tag_number="T-1",
        seal_state="none",
        kept_at="Cooler 2",
        created_by=vasko,
        changed_by=vasko,
    )
    (waiting,) = steps.to_open(vasko, now)
    assert (waiting.number, waiting.urgency) == (case.number, "attention")
    assert steps.to_open(make_staff(Role.PATHOLOGIST), now) == []
    examination = make_examination(case=case, by=vasko)
    assert steps.to_open(vasko, now) == []
    assert [row.number for row in steps.not_ended(vasko, now)] == [case.number]
    actions.record_examination(vasko, case_id=case.pk, version=1, entry={"ended_at": now})
    assert steps.not_ended(vasko, now) == []
    assert Examination.objects.get(pk=examination.pk).ended_at == now

"""The demonstration office: every kind of case, nothing real, nothing twice."""

from __future__ import annotations

import json
import math
import os
import re
from collections import Counter
from collections.abc import Callable
from datetime import datetime, timedelta
from io import StringIO
from pathlib import Path
from uuid import UUID

import psycopg
import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction
from django.db.models import Q
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from cases import course
from cases.answers.models import Answer, Delivery
from cases.checking.contradictions import alarms_in
from cases.checking.known import facts_of
from cases.checking.reading import read_case
from cases.checking.rules import Standing, outcomes, shipped
from cases.clock.models import ClockChange
from cases.court.models import Demand, Invoice, Original, RecordsRequest, Release
from cases.decisions.models import ItemDecision
from cases.docket.rules import group_of, waits_of
from cases.docket.waiting import facts_of as waiting_facts
from cases.exhibits.models import Exhibit, ExhibitSet, Redaction, RedactionRequest
from cases.models import Case, Decedent, Person
from cases.packets.currency import changed_since, holds_now
from cases.packets.models import Packet
from cases.packets.signed_report import signed_report
from cases.review.models import Addendum, Report, ReportDraft
from cases.review.passages import report_passages
from cases.review.rules import digest_of
from cases.rules.case import CaseState
from evidence.custody.models import Seal, Transfer
from evidence.custody.queries import custody_record
from evidence.gaps.queries import gaps_and_proposals
from evidence.items.models import Item
from evidence.measuring.models import MeasurementUse
from evidence.photographs.models import Photograph, PhotographFinding, PhotographSeries
from findings.models import Finding, Mark
from findings.paths.models import WoundPath
from me_office import prepared
from me_office.accounts.models import Staff
from me_office.audit import guard, queries
from me_office.audit.errors import NotAllowed
from me_office.audit.models import AuditEvent, Record, RequestAnswer
from me_office.audit.triggers import there
from me_office.demo import loading, play, player, retiming
from me_office.demo.cases import CASES, HALLSTEAD
from me_office.demo.clock import told_at
from me_office.demo.office import PASSWORD, STAFF, key_of, open_accounts
from me_office.demo.scenario import Act, DemoCase, h
from tests.checking.test_alarms import SPOKEN
from tests.demo import strangers
from tests.demo.every_form import KEPT, MOST_FORMS, sent_and_taken_back, shape
from tests.demo.heard import same_titles
from tests.demo.loaded import WIDTH, in_case, load, played, some_acts, visited
from tests.demo.report_words import FOLDER, report_words
from tests.demo.report_words import KEPT as KEPT_REPORTS
from tests.packets.numbered import misplaced, read
from tests.packets.reading import unpacked
from tests.witness import asked

pytestmark = pytest.mark.usefixtures("_in_office")


def test_every_case_is_there_once() -> None:
    assert Case.objects.count() == len(CASES) >= 14
    assert Case.objects.exclude(number=None).count() == len(CASES) - 3


def test_every_state_is_there() -> None:
    states = list(Case.objects.values_list("state", flat=True))
    assert set(states) == {state.value for state in CaseState}
    assert states.count(CaseState.SIGNED) >= 3
    assert states.count(CaseState.REPORTED) == 2


def test_one_report_waits_for_review_and_one_was_sent_back() -> None:
    states = set(Report.objects.values_list("state", flat=True))
    assert {"draft", "submitted", "returned", "signed"} <= states


def test_the_signed_cases_have_an_amendment_a_released_packet_and_open_requests() -> None:
    assert Addendum.objects.filter(kind="amendment").count() == 1
    packet = Packet.objects.get()
    assert packet.state == "made"
    assert Release.objects.filter(packet_id=packet.pk).count() == 1
    requests = RecordsRequest.objects.filter(state="open")
    due = {(each.kind, (each.due_on - timezone.localdate()).days) for each in requests}
    assert {("records request", 4), ("records request", 11), ("preservation", 28)} < due
    # Counted by a rule over a day on which the court is closed, and a weekend where there is one.
    subpoena = requests.get(kind="subpoena")
    assert subpoena.due_basis == "counted"
    assert 2 <= (subpoena.due_on - timezone.localdate()).days <= 6
    assert [one.title for one in Demand.objects.filter(request=subpoena)][1] == "All photographs"
    assert Original.objects.get().pages == 4
    assert {one.standing for one in Invoice.objects.all()} == {"waived", "paid"}


def test_a_request_is_answered_another_waits_one_is_late_and_one_was_moved() -> None:
    answer = Answer.objects.select_related("request").get()
    assert (answer.state, answer.request.state) == ("made", "answered")
    assert (answer.photographs, answer.withheld) == (6, 1)
    assert Delivery.objects.get().release.packet_id == answer.pk
    outcomes = ItemDecision.objects.active().filter(request=answer.request)
    assert set(outcomes.values_list("outcome", flat=True)) == {
        "release", "redact", "withhold", "not ours", "missing",
    }  # fmt: skip
    of_answer = answer.request.demands.order_by("number")
    assert [one.kind for one in of_answer] == ["documents"] * 4 + ["testimony"]
    # The face that is covered for the court is covered in what was sent.
    sent = {one[1] for one in answer.sent_items}
    assert str(Redaction.objects.get().photograph_id) in sent
    waiting = list(RecordsRequest.objects.filter(state="open").select_related("case"))
    facts = waiting_facts(waiting, timezone.localdate())
    told = {
        one.party: (group_of(facts[one.pk], timezone.localdate()), waits_of(facts[one.pk]).whom)
        for one in waiting
    }
    assert told["Tarn County Pension Office"] == ("week", "second")
    assert told["Public Defender of Tarn County"] == ("overdue", "counsel")
    assert told["Marsh Mutual Assurance"][0] == "later"
    assert told["Eskmere Courier, by L. Brandt"] == ("stopped", "party")
    assert told["Office of the County Attorney"][1] == "clerk"
    moved = ClockChange.objects.get(effect="moves")
    assert (moved.request.due_on - moved.due_before).days == 7


def test_the_richest_case_is_marked_on_every_side() -> None:
    case = Case.objects.get(decedent__family_name="Hallstead")
    findings = Finding.objects.filter(case=case)
    assert findings.count() == 10
    assert all(finding.marks.exists() for finding in findings)
    views = set(Mark.objects.filter(case=case).values_list("view", flat=True))
    assert views == {"anterior", "posterior", "left", "trunk_right"}
    assert Photograph.objects.filter(case=case).count() >= 12


def test_a_subpoena_has_its_exhibits_in_the_courts_order_with_a_face_covered() -> None:
    trial = ExhibitSet.objects.exclude(request=None).get()
    assert (trial.created_by.username, trial.request.kind) == ("ostrander", "subpoena")
    assert (trial.court, trial.cause_number) == (trial.request.court, "CR-26-01177")
    shown = Exhibit.objects.filter(exhibit_set=trial).order_by("position")
    assert [each.number for each in shown] == ["S-21", "S-22", "S-23", "S-24"]
    log = [each.photograph.number for each in shown]
    assert log != sorted(log)
    assert all(each.caption and each.plain_words for each in shown)
    assert RedactionRequest.objects.get().state == "made"
    redaction = Redaction.objects.get()
    assert redaction.photograph == shown[0].photograph
    assert redaction.why
    assert redaction.file.sha256 != redaction.photograph.file.sha256


@pytest.mark.parametrize(
    ("family_name", "klass"),
    [("Hallstead", "injury"), ("Ashgrove", "injury"), ("Marlow", "postmortem change")],
)
def test_a_witness_rehearses_a_set_with_overview_close_up_and_scale(
    family_name: str, klass: str, client: Client
) -> None:
    inquest = ExhibitSet.objects.get(request=None, **in_case(family_name))
    shown = list(inquest.exhibits.order_by("position").select_related("photograph"))
    views = {(one.photograph.view, one.photograph.with_scale) for one in shown}
    assert {("overview", False), ("close-up", False), ("close-up", True)} <= views
    client.force_login(inquest.created_by)
    of_the_set = Finding.objects.filter(photograph_links__photograph__exhibits__in=shown)
    assert of_the_set.filter(klass=klass).exists()
    if klass == "postmortem change":
        assert not of_the_set.exclude(klass=klass).exists()
    for exhibit in shown:
        assert exhibit.photograph.finding_links.exists()
        keys = [inquest.case_id, inquest.pk, exhibit.pk]
        page = client.get(reverse("rehearsal:exhibit", args=keys)).content.decode()
        asked = set(re.findall(r'data-key="([a-z]+)', page))
        assert {"what", "part", "injury", "is", "when", "specimen", "taken", "bytes"} <= asked
        assert ("shots" in asked) == (family_name == "Ashgrove")
        assert ("blows" in asked) == (family_name == "Hallstead")


def test_twelve_questions_on_ten_exhibits_are_answered_on_the_page_without_a_click(
    client: Client,
) -> None:
    looked_at = []
    for who, family_name, numbers in asked.SETS:
        client.force_login(Staff.objects.get(username=who))
        of_set = ExhibitSet.objects.get(request=None, **in_case(family_name))
        for exhibit in of_set.exhibits.filter(number__in=numbers):
            answers = client.get(f"/api/cases/{of_set.case_id}/exhibits/{exhibit.pk}/answers/")
            keys = [of_set.case_id, of_set.pk, exhibit.pk]
            page = client.get(reverse("witness:witness", args=keys)).content.decode()
            read = asked.as_read(page)
            assert asked.lacking(answers.json(), read) == {}, (family_name, exhibit.number)
            looked_at.append(answers.json())
            # The reading is no formality: an answer that is taken away is missed.
            term = asked.squeezed(answers.json()["findings"][0]["size"]["sentence"])
            assert len(asked.lacking(answers.json(), read.replace(term, ""))) == 1
    assert len(looked_at) == 10
    said = {question for one in looked_at for question, take in asked.TWELVE.items() if take(one)}
    assert said == set(asked.TWELVE), "a question that no exhibit answers shows nothing"


def test_a_series_goes_from_overview_to_close_up_and_is_not_proposed_again() -> None:
    one = PhotographSeries.objects.get(**in_case("Hallstead"))
    members = one.members.order_by("photograph__number")
    assert [each.photograph.view for each in members] == [
        "overview", "mid-range", "close-up", "close-up",
    ]  # fmt: skip
    _, proposals = gaps_and_proposals(one.case)
    chest = {each.photograph_id for each in members}
    assert not any({shot.id for shot in proposal.shots} == chest for proposal in proposals)


@pytest.mark.parametrize(
    ("family_name", "place", "painted_mm"),
    # The lengths at which the marks are painted; `test_pictures.py` checks those on the pixels.
    [("Hallstead", "Right forehead", 31), ("Wrenfield", "Left knee", 52)],
)
def test_a_finding_has_its_size_from_a_photograph(
    family_name: str, place: str, painted_mm: float, client: Client
) -> None:
    finding = Finding.objects.get(place=place, **in_case(family_name))
    use = MeasurementUse.objects.select_related("measurement__photograph").get(finding=finding)
    assert use.dimension == "length"
    assert finding.measured_by == "photograph"
    assert float(finding.length_mm) == pytest.approx(painted_mm, rel=0.05)
    quantity, photograph = use.measurement.result["quantities"][0], use.measurement.photograph
    assert quantity["low"] <= painted_mm <= quantity["high"]
    assert (photograph.view, photograph.with_scale) == ("close-up", True)
    client.force_login(Staff.objects.get(username="vasko"))
    report = client.get(reverse("review:report", args=[finding.case_id]))
    assert f"On photograph {photograph.number} its length measures " in report.content.decode()


def test_a_length_goes_from_edge_to_edge_of_the_outline_drawn_on_the_same_picture() -> None:
    uses = MeasurementUse.objects.select_related("measurement__photograph")
    assert uses.count() == 2
    for use in uses:
        photograph = use.measurement.photograph
        link = PhotographFinding.objects.get(photograph=photograph, finding=use.finding)
        size = photograph.width_px, photograph.height_px
        corners = [(x * size[0], y * size[1]) for x, y in link.outline]
        for end in use.measurement.points:
            assert min(math.dist(end, corner) for corner in corners) < 0.02 * size[0]


def test_an_outline_is_drawn_over_the_finding_in_its_place() -> None:
    drawn = PhotographFinding.objects.exclude(outline=None).filter(**in_case("Hallstead"))
    assert sorted(link.finding.place for link in drawn) == [
        "Right forehead",
        "Right lateral chest wall",
    ]
    assert all(len(link.outline) == 36 for link in drawn)


def test_a_restricted_case_is_open_to_its_team_alone(client: Client) -> None:
    restricted = Case.objects.get(restricted=True)
    page = reverse("cases:case", args=[restricted.pk])
    for username, status in (("vasko", 200), ("quill", 200), ("amadi", 404), ("renn", 404)):
        client.force_login(Staff.objects.get(username=username))
        assert client.get(page).status_code == status, username


def test_every_item_has_a_seal_and_a_transfer() -> None:
    # A part of a kit has its kit's.
    alone = Item.objects.filter(container=None)
    assert alone.filter(seals=None).count() == 0
    assert alone.filter(transfers=None).count() == 0
    assert Item.objects.filter(container__isnull=False).count() == 6
    assert not Photograph.objects.exclude(preview="made").exists()
    for photograph in Photograph.objects.select_related("file"):
        seal = Seal.objects.get(item=photograph.item)
        assert (seal.kind, seal.number) == ("digest", photograph.file.sha256)


def test_no_custody_has_a_gap() -> None:
    gaps = {
        str(custody.item): custody.chain.gaps
        for case in Case.objects.all()
        for custody in custody_record(case)
        if custody.chain.gaps
    }
    assert gaps == {}


def test_an_item_went_to_the_laboratory_and_came_back() -> None:
    there = Transfer.objects.filter(to_party="State toxicology laboratory")
    back = Transfer.objects.filter(from_party="State toxicology laboratory")
    assert there.exists()
    assert back.exists()


@pytest.mark.parametrize("member", STAFF, ids=lambda member: member.username)
def test_each_person_signs_in(client: Client, member: object) -> None:
    answer = client.post(
        "/sign-in/",
        {"login": member.username, "password": PASSWORD},  # type: ignore[attr-defined]
    )
    assert answer.status_code == 302
    assert client.get("/").status_code == 200


def test_the_sign_ins_are_printed_as_a_table() -> None:
    printed = StringIO()
    call_command("load_demo", "--sign-ins", stdout=printed)
    lines = printed.getvalue().splitlines()
    assert len(lines) == len(STAFF) + 2
    for member, row in zip(STAFF, lines[2:], strict=True):
        assert re.split(r"\s{2,}", row) == [
            member.name,
            member.role.value,
            member.username,
            PASSWORD,
        ]


def test_an_office_on_its_own_servers_is_refused() -> None:
    with pytest.raises(CommandError, match="--anyway"):
        call_command("load_demo")


def test_a_second_load_changes_nothing() -> None:
    before = AuditEvent.objects.count()
    call_command("load_demo", "--anyway")
    assert AuditEvent.objects.count() == before


def test_a_second_load_keeps_what_people_entered() -> None:
    decedent = Decedent.objects.get(family_name="Hallstead")
    Decedent.objects.filter(pk=decedent.pk).update(home_address="Somewhere else")
    load()
    assert Decedent.objects.get(pk=decedent.pk).home_address == "Somewhere else"


def test_every_change_has_a_person_and_an_act() -> None:
    about_cases = AuditEvent.objects.exclude(case_id=None)
    by_hand = about_cases.filter(source="database").exclude(table__in=["evidence_derivedimage"])
    assert not by_hand.exists()
    assert not about_cases.filter(actor_name="").exists()


def test_one_act_is_one_transaction_apart_from_the_rest() -> None:
    case = Case.objects.get(decedent__family_name="Hallstead")
    events = AuditEvent.objects.filter(case_id=case.pk)
    acts = dict(events.values_list("transaction", "act"))
    assert {"log_report_of_death", "record_finding", "change_finding", "add_photograph"} <= {
        *acts.values()
    }
    assert len(acts) > len(HALLSTEAD.acts)


def test_a_treatment_after_the_body_was_stiff_is_called_postmortem() -> None:
    treated = Finding.objects.filter(klass="medical intervention", **in_case("Hallstead"))
    assert {each.timing for each in treated} == {"postmortem"}


def test_the_path_of_the_shot_is_a_path_and_the_exit_keeps_its_own_sentence() -> None:
    path = WoundPath.objects.get(**in_case("Ashgrove"))
    assert path.exit_finding.place == "Left back"
    assert path.structures_in_order[0] == "Left rib 4"
    assert not Finding.objects.filter(**in_case("Ashgrove")).exclude(sentence="").exists()


def test_next_of_kin_were_told() -> None:
    kin = Person.objects.filter(part="next of kin")
    assert kin.count() >= 10
    assert not kin.filter(notified_at=None).exists()


def test_what_every_page_says_of_a_case_is_what_its_tables_hold() -> None:
    wanted = {name: fact for step in course.steps() for name, fact in step.annotations.items()}
    everybody = Staff.objects.get(username="thorne")
    differing = set()
    for case in Case.objects.annotate(**wanted):
        frame = course.case_frame(everybody, case.pk, current="overview")
        assert frame.facts == {name: getattr(case, name) for name in wanted}
        assert not hasattr(frame.case, prepared.NAME)
        differing |= {(name, str(getattr(case, name))) for name in wanted}
    assert len(differing) > 3 * len(wanted), "a fact that is the same everywhere shows nothing"


def test_no_moment_lies_in_the_future() -> None:
    now = timezone.now()
    assert not Transfer.objects.filter(at__gt=now).exists()
    assert not Photograph.objects.filter(taken_at__gt=now).exists()
    assert not Case.objects.filter(reported_at__gt=now).exists()


def test_nobody_whose_name_is_known_is_called_unknown(client: Client) -> None:
    client.force_login(Staff.objects.get(username="thorne"))
    for name, said in (
        ("calder", "confirmed, documents"), ("orrin", "confirmed, documents"),
        ("sorley", "not recorded"), ("imrie", "not recorded"), ("weir", "unknown, "),
    ):  # fmt: skip
        page = client.get(reverse("cases:case", args=[key_of(name)])).content.decode()
        identity = page.partition("<dt>Identity</dt>")[2].partition("</dd>")[0]
        assert f">{said}" in identity, name
    named = Decedent.objects.exclude(family_name="").filter(identity="unknown")
    assert {decedent.case_id for decedent in named} == {key_of("sorley"), key_of("imrie")}


def test_seal_numbers_are_not_shared() -> None:
    numbered = list(Seal.objects.filter(kind="numbered").values_list("number", flat=True))
    assert len(numbered) == len(set(numbered))
    most = max(sum(act.do in {*player.SEALED, "apply_seal"} for act in case.acts) for case in CASES)
    assert most <= play.SEALS_A_CASE


def test_no_page_has_what_only_a_listener_would_stumble_over() -> None:
    heard = [page.heard for _, pages in visited() for page in pages if page.heard]
    wrong = {(shape(one.address), words) for one in heard for words in one.wrong()}
    assert sorted(wrong) == []
    # The courtroom screen tells a court nothing of the case, in the window's title neither.
    assert same_titles(one for one in heard if one.title != "Exhibits") == []
    assert len({one.title for one in heard}) > 150


def test_wrong_input_in_every_form_is_answered_beside_the_field_and_the_rest_is_kept() -> None:
    met, of_kind = set[object](), Counter[object]()
    breaks, unsaid, lost = [], [], []
    for username, pages in visited():
        visitor = Client(raise_request_exception=False)
        visitor.force_login(Staff.objects.get(username=username))
        for form in (form for page in pages for form in page.forms):
            if form.key in met or form.action.startswith("/account/"):
                continue
            met.add(form.key)
            of_kind[form.kind] += 1
            if of_kind[form.kind] > MOST_FORMS:
                continue
            sent, has_words = form.filled_wrongly()
            answer = sent_and_taken_back(visitor, form, sent)
            said = f"{username}: {form.method} {form.key[0]} {answer.status_code}"
            if answer.status_code >= 500 or answer.status_code == 405:
                breaks.append(said)
            elif answer.status_code in {409, 422}:
                words = answer.content.decode()
                if not ('role="alert"' in words or 'aria-invalid="true"' in words):
                    unsaid.append(said)
                elif has_words and KEPT not in words:
                    lost.append(said)
    assert {"breaks": breaks, "unsaid": unsaid, "lost": lost} == {
        "breaks": [],
        "unsaid": [],
        "lost": [],
    }
    assert len(of_kind) > 60


def test_a_case_loaded_again_from_its_first_act_is_answered_with_what_was_done() -> None:
    ends = [key_of("loaded", "wrenfield"), key_of("loaded", "office")]
    RequestAnswer.objects.filter(key__in=ends).delete()
    before = AuditEvent.objects.count()
    load()
    assert AuditEvent.objects.count() == before
    assert RequestAnswer.objects.filter(key__in=ends).count() == 2


def test_an_office_whose_request_keys_were_cleared_is_not_loaded_again() -> None:
    # As the service clears them after some weeks: the note of the load goes with them.
    RequestAnswer.objects.all().delete()
    before = AuditEvent.objects.count()
    load()
    assert AuditEvent.objects.count() == before
    assert loading.is_loaded("office")


def test_an_interrupted_load_is_taken_up_where_it_stopped() -> None:
    refused = Act("renn", "accept_jurisdiction", {"decided_at": h(0)}, reason="Not for her.")
    accepted = Act("quill", "accept_jurisdiction", {"decided_at": h(0)}, reason="Unattended.")
    people = open_accounts()

    def play(*acts: Act) -> None:
        case = DemoCase("ferry", acts, minutes_ago=30)
        with loading.painters(beside=False) as painter:
            one = player.Player(case, 90, people, picture_width=WIDTH, painter=painter)
            for n in one.order:
                one.play(n)

    with pytest.raises(NotAllowed):
        play(strangers.A_CALL, refused)
    assert Case.objects.get(pk=key_of("ferry")).state == CaseState.REPORTED
    play(strangers.A_CALL, accepted)
    play(strangers.A_CALL, accepted)
    assert Case.objects.get(pk=key_of("ferry")).state == CaseState.OPEN
    logged = AuditEvent.objects.filter(case_id=key_of("ferry"), table="cases_case")
    assert logged.filter(operation="insert").count() == 1


def test_every_act_stands_in_the_trail_at_its_time_in_the_story() -> None:
    at: dict[str, list[datetime]] = {}
    for request, moment in AuditEvent.objects.values_list("request_id", "at").order_by("id"):
        at.setdefault(request, []).append(moment)
    for request, moment, case, act in played():
        written = at[request]
        late = [(one - moment).total_seconds() for one in written]
        assert late == [pytest.approx(0.001 * n) for n in range(1, len(late) + 1)], (case, act)


def test_a_load_that_is_taken_up_on_another_day_keeps_the_times_of_its_first() -> None:
    # What was moved once is told again: at another time it would part from its record's.
    told = [(request, moment) for request, moment, _, _ in played()]
    for later in (timedelta(days=1), timedelta(days=40)):
        with told_at(timezone.now() + later):
            assert [(request, moment) for request, moment, _, _ in played()] == told


def test_nothing_but_what_was_reported_just_now_carries_the_hour_of_loading() -> None:
    lately = timezone.now() - timedelta(hours=3)
    events = AuditEvent.objects.exclude(case_id=None).filter(at__gt=lately)
    fresh = {key_of("sorley"), key_of("imrie")}
    assert set(events.values_list("case_id", flat=True)) == fresh
    for model in guard.models_that("watched"):
        if issubclass(model, Record):
            new = model._base_manager.filter(Q(created_at__gt=lately) | Q(changed_at__gt=lately))
            keys = {getattr(row, "case_id", row.pk) for row in new}
            assert keys <= fresh, model


def test_the_trail_tells_no_authors_time_beside_its_own() -> None:
    # As in an office that works: there an event carries one only where the two differ.
    for column in ("created_at", "changed_at"):
        assert not AuditEvent.objects.filter(source="demo", changes__has_key=column).exists()
    made = AuditEvent.objects.filter(table="findings_finding", operation="insert")
    at = dict(made.values_list("record_id", "at"))
    for finding in Finding.objects.all():
        late = at[str(finding.pk)] - finding.created_at
        assert timedelta(0) < late < timedelta(seconds=1)


def test_later_acts_have_larger_numbers_and_later_times_over_all_cases() -> None:
    events = AuditEvent.objects.filter(source="demo").order_by("transaction", "id")
    at = list(events.values_list("at", flat=True))
    assert at == sorted(at)
    assert len(at) > 1000


def test_a_case_is_told_to_its_end_each_act_once_newest_first() -> None:
    for name in ("hallstead", "wrenfield"):
        told, before = [], None
        while True:
            page = queries.case_history(key_of(name), before=before)
            told += page.acts
            before = page.next_before
            if before is None:
                break
        events = AuditEvent.objects.filter(case_id=key_of(name))
        assert sum(len(act.parts) for act in told) == events.count()
        assert [act.at for act in told] == sorted((act.at for act in told), reverse=True)
        assert told[-1].at - Case.objects.get(pk=key_of(name)).reported_at < timedelta(minutes=9)


def test_what_was_signed_and_what_was_packed_are_of_their_time_and_still_verify(
    tmp_path: Path,
) -> None:
    packet = Packet.objects.get()
    draft = ReportDraft.objects.get(pk=key_of("wrenfield", "second"))
    content = json.dumps(draft.content, sort_keys=True)
    assert timezone.localdate().isoformat() not in content
    assert draft.sha256 == digest_of(draft.content)
    assert draft.submitted_at < draft.decision.decided_at < packet.built_at
    bag = unpacked(packet, tmp_path)
    history = json.loads((bag / "data" / "history.json").read_text())
    moments = [datetime.fromisoformat(event["at"]) for event in history]
    assert moments == sorted(moments)
    assert max(moments) < packet.built_at + timedelta(seconds=1)
    since = changed_since(packet, holds_now(packet.case))
    assert since == ["A redacted copy of photograph 4 was made."]


def test_every_passage_of_the_signed_reports_stands_where_the_witness_cites_it() -> None:
    signed = Case.objects.filter(state=CaseState.SIGNED.value)
    assert signed.count() >= 2
    for case in signed:
        kept = signed_report(case.pk)
        told = report_passages(case).passages
        assert len(told) == len({one.key for one in told})
        assert misplaced(read(kept), told) == {}, case.label


def test_every_trigger_stands_as_in_an_office_that_was_never_loaded() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM pg_trigger WHERE tgenabled <> 'O'")
        assert cursor.fetchone() == (0,)
    standing = there(connection)
    for trigger in guard.triggers():
        assert standing[trigger.table, trigger.name] == (trigger.statement, "O")
    event = AuditEvent.objects.first()
    with pytest.raises(DatabaseError, match="not allowed"), transaction.atomic():
        AuditEvent.objects.filter(pk=event.pk).update(at=timezone.now())


def test_the_applications_role_moves_no_time(application_role: psycopg.Connection) -> None:
    before = list(AuditEvent.objects.order_by("id").values_list("at", flat=True))
    with pytest.raises(psycopg.errors.InsufficientPrivilege):
        retiming.Owner(application_role).move(some_acts())
    assert list(AuditEvent.objects.order_by("id").values_list("at", flat=True)) == before


@pytest.mark.parametrize("what", strangers.DONE)
def test_times_are_moved_only_while_nobody_else_did_anything(what: Callable[..., None]) -> None:
    with connection.cursor() as cursor:
        assert retiming.is_the_loaders_own(cursor)
        what(Case.objects.get(pk=key_of("hallstead")), Staff.objects.get(username="quill"))
        before = AuditEvent.objects.latest("id").at
        with pytest.raises(retiming.NotTheLoadersOwn):
            retiming.move(cursor, some_acts())
        cursor.execute("SHOW session_replication_role")
        assert cursor.fetchone() == ("origin",)
    assert AuditEvent.objects.latest("id").at == before


def test_a_move_ends_with_the_triggers_on_and_says_the_same_again() -> None:
    moved = {UUID(request): moment for request, moment, _, _ in played()}
    before = list(AuditEvent.objects.order_by("id").values_list("at", "changes"))
    with connection.cursor() as cursor:
        retiming.move(cursor, moved)
        cursor.execute("SHOW session_replication_role")
        assert cursor.fetchone() == ("origin",)
    assert list(AuditEvent.objects.order_by("id").values_list("at", "changes")) == before


@pytest.mark.parametrize("name", KEPT_REPORTS)
def test_reports_read_as_they_are_kept(name: str) -> None:
    kept, told = FOLDER / f"{name}.txt", report_words(name)
    if os.environ.get("KEEP_REPORTS"):
        kept.write_text(told, encoding="utf-8")
    assert told == kept.read_text(encoding="utf-8")


# What the office itself refuses to leave out: these checks are asked, and nothing is missing.
NEVER_MISSING = {"first-report", "no-autopsy", "performer", "specimen-sites"}


def test_every_check_speaks_of_some_case() -> None:
    asked, missing, spoken = set(), set(), set()
    for case in Case.objects.select_related("decedent"):
        read = read_case(case)
        spoken |= {one.rule for one in alarms_in(read)}
        found = outcomes(shipped().values(), facts_of(read), {})
        asked |= {one.rule.key for one in found if one.standing is not Standing.NOT_APPLICABLE}
        missing |= {one.rule.key for one in found if one.standing is Standing.MISSING}
    assert asked == set(shipped())
    assert set(shipped()) - missing == NEVER_MISSING
    assert spoken == {*SPOKEN, "size", "unopened"}

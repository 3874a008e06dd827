"""Pages of photographs, specimens and property, as each role sees them."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from evidence.photographs import actions, queries, tasks
from evidence.photographs.models import Photograph
from evidence.property.models import PropertyItem
from evidence.specimens.models import Specimen
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent
from tests.builders import CASE_STAFF, MOMENT, make_case, make_staff
from tests.evidence.items import fill_with_specimens, specimen_entry, take
from tests.evidence.pictures import add, described, link_to, make_finding, picture_bytes
from tests.evidence.things import RING

pytestmark = pytest.mark.django_db


def url(name, case, **keys):
    return reverse(f"evidence:{name}", kwargs={"case_id": case.pk, **keys})


def form_of(**fields):
    values = {**described(), "record_id": str(new_id()), "version": "0", **fields}
    values = {name: value for name, value in values.items() if value not in (None, False)}
    return {**values, "taken_at": fields.get("taken_at", "2026-11-14T09:20:00")}


@pytest.mark.parametrize("role", CASE_STAFF)
@pytest.mark.parametrize("page", ["photographs", "specimens", "property"])
def test_every_role_of_the_case_sees_the_lists(client, role, page):
    client.force_login(make_staff(role))
    assert client.get(url(page, make_case())).status_code == 200


def test_an_administrator_sees_no_case(client):
    client.force_login(make_staff(Role.ADMINISTRATOR))
    assert client.get(url("photographs", make_case())).status_code == 404


@pytest.mark.parametrize("role", CASE_STAFF)
def test_one_photograph_is_a_form_for_those_who_may_change_it_and_facts_for_others(
    client, vasko, role
):
    case = make_case()
    photograph = add(vasko, case, picture_bytes())
    client.force_login(make_staff(role))
    page = client.get(url("photograph", case, photograph_id=photograph.pk))
    assert page.status_code == 200
    may = role in {Role.INVESTIGATOR, Role.PATHOLOGIST, Role.EVIDENCE_TECHNICIAN}
    assert (b'name="shows"' in page.content) is may
    assert photograph.file.sha256.encode() in page.content
    assert (b"Who looked" in page.content) is (role is Role.SUPERVISOR)


def test_the_terms_of_a_photographs_findings_are_said_in_plain_words(signed_in, vasko):
    case = make_case()
    photograph = add(vasko, case, picture_bytes())
    for number, term in enumerate(("Contusion", "A term of our own"), start=1):
        link_to(vasko, photograph, make_finding(case, vasko, number=number, term=term))
    text = signed_in.get(url("photograph", case, photograph_id=photograph.pk)).content.decode()
    assert "In plain words: A bruise." in text
    assert text.count("In plain words") == 1


def test_a_signed_case_says_why_its_photographs_are_locked(client, vasko):
    case = make_case()
    photograph = add(vasko, case, picture_bytes())
    type(case).objects.filter(pk=case.pk).update(state="signed", signed_at="2026-11-20T10:00Z")
    client.force_login(vasko)
    page = client.get(url("photograph", case, photograph_id=photograph.pk))
    assert b"signed and locked" in page.content
    assert b"addendum or amendment" in page.content
    assert b'name="shows"' not in page.content


def test_several_files_come_in_by_the_plain_form(signed_in):
    case = make_case()
    files = [SimpleUploadedFile(f"{n}.jpg", picture_bytes(n)) for n in range(3)]
    answer = signed_in.post(url("photographs-add", case), form_of(upload=files))
    assert answer.status_code == 302
    assert list(Photograph.objects.values_list("number", flat=True)) == [1, 2, 3]


def test_a_refused_file_is_named_beside_the_field_and_the_others_stay(signed_in):
    case = make_case()
    files = [
        SimpleUploadedFile("good.jpg", picture_bytes(1)),
        SimpleUploadedFile("empty.jpg", b""),
        SimpleUploadedFile("letter.jpg", b"Dear office"),
    ]
    answer = signed_in.post(url("photographs-add", case), form_of(upload=files, region="left arm"))
    assert answer.status_code == 422
    said = answer.context["form"].errors["upload"]
    assert said[0].startswith("empty.jpg: This file is empty")
    assert said[1].startswith("letter.jpg: This is not a picture")
    assert 'value="left arm"' in answer.content.decode()
    assert Photograph.objects.get().original_name == "good.jpg"


def test_the_form_without_a_file_keeps_what_was_typed(signed_in):
    answer = signed_in.post(url("photographs-add", make_case()), form_of(region="left arm"))
    assert answer.status_code == 422
    assert "upload" in answer.context["form"].errors
    assert 'value="left arm"' in answer.content.decode()


def test_the_same_plain_form_twice_makes_each_photograph_once(signed_in):
    case, form = make_case(), form_of(request_key=str(new_id()))
    for _ in range(2):
        files = [SimpleUploadedFile(f"{n}.jpg", picture_bytes(n)) for n in range(2)]
        answer = signed_in.post(url("photographs-add", case), {**form, "upload": files})
        assert answer.status_code == 302
    assert Photograph.objects.count() == 2


def test_who_may_not_add_photographs_is_told_so(client):
    client.force_login(make_staff(Role.RECORDS_CLERK))
    assert client.get(url("photographs-add", make_case())).status_code == 403


def test_a_description_is_saved_and_a_missing_photographer_is_said_beside_the_field(
    signed_in, vasko
):
    case = make_case()
    photograph = add(vasko, case, picture_bytes())
    page = url("photograph", case, photograph_id=photograph.pk)
    answer = signed_in.post(page, form_of(version="1", photographer="", shows="Left hand"))
    assert answer.status_code == 422
    assert "photographer" in answer.context["form"].errors
    assert "Left hand" in answer.content.decode()
    assert signed_in.post(page, form_of(version="1", shows="Left hand")).status_code == 302
    photograph.refresh_from_db()
    assert (photograph.shows, photograph.version) == ("Left hand", 2)


def test_a_stale_description_shows_both_texts(signed_in, vasko):
    case = make_case()
    photograph = add(vasko, case, picture_bytes())
    actions.describe_photograph(
        vasko, case_id=case.pk, photograph_id=photograph.pk, version=1, entry={"shows": "By her"}
    )
    page = url("photograph", case, photograph_id=photograph.pk)
    answer = signed_in.post(page, form_of(version="1", shows="By me"))
    assert answer.status_code == 409
    text = answer.content.decode()
    assert "By her" in text
    assert "By me" in text


def test_the_cameras_seconds_survive_a_description(signed_in, vasko):
    case = make_case()
    photograph = add(vasko, case, picture_bytes(), taken_at=MOMENT.replace(second=37))
    page = url("photograph", case, photograph_id=photograph.pk)
    shown = signed_in.get(page).content.decode()
    assert 'value="11/14/2026"' in shown
    assert 'value="09:20:37"' in shown


def test_a_graphic_picture_is_veiled_in_the_log_and_named(signed_in, vasko):
    case = make_case()
    add(vasko, case, picture_bytes(1), view="close-up", region="right chest", shows="Contusion")
    add(vasko, case, picture_bytes(2), graphic=False, shows="The building")
    for photograph in Photograph.objects.all():
        tasks.derive_images(photograph_id=str(photograph.pk))
    text = signed_in.get(url("photographs", case)).content.decode()
    assert text.count('data-widget="veil"') == 1
    assert "Close-up, right chest, Contusion" in text


def test_a_picture_that_is_being_made_asks_again_and_a_failed_one_says_so(signed_in, vasko):
    case = make_case()
    photograph = add(vasko, case, picture_bytes())
    part = url("photograph-preview", case, photograph_id=photograph.pk)
    waiting = signed_in.get(part, headers={"HX-Request": "true"}).content.decode()
    assert 'hx-trigger="every' in waiting
    Photograph.objects.update(preview="failed")
    failed = signed_in.get(part, headers={"HX-Request": "true"}).content.decode()
    assert "No preview could be made" in failed
    assert "original" in failed
    assert "hx-trigger" not in failed


def test_the_log_is_filtered_by_words(signed_in, vasko):
    case = make_case()
    finding = make_finding(case, vasko)
    add(vasko, case, picture_bytes(1), view="overview", finding_ids=[finding.pk])
    add(vasko, case, picture_bytes(2), view="close-up", with_scale=True)
    add(vasko, case, picture_bytes(3), place="scene", shows="")
    page = url("photographs", case)

    def numbers(query):
        return [each.number for each in signed_in.get(page + query).context["page"].photographs]

    assert numbers("") == [1, 2, 3]
    assert numbers("?view=close-up&scale=with") == [2]
    assert numbers("?finding=none") == [2, 3]
    assert numbers("?words=none") == [3]
    assert numbers("?place=scene") == [3]
    assert numbers("?after=1") == [2, 3]
    assert numbers("?place=nowhere&after=x&scale=7") == [1, 2, 3]


def test_the_original_is_streamed_with_its_digest_name_and_the_look_is_noted(client, vasko):
    case, content = make_case(), picture_bytes()
    photograph = add(vasko, case, content)
    clerk = make_staff(Role.RECORDS_CLERK)
    client.force_login(clerk)
    answer = client.get(url("photograph-original", case, photograph_id=photograph.pk))
    assert answer.streaming
    assert b"".join(answer.streaming_content) == content
    assert f'filename="{photograph.file.sha256}.jpg"' in answer["Content-Disposition"]
    assert answer["Content-Disposition"].startswith("attachment")
    assert answer["X-Content-Type-Options"] == "nosniff"
    look = AccessEvent.objects.get(what="original")
    assert (look.actor_id, look.record_id) == (clerk.pk, str(photograph.pk))


def test_a_file_of_a_restricted_case_does_not_exist_for_others(client, vasko):
    case = make_case()
    photograph = add(vasko, case, picture_bytes())
    type(case).objects.filter(pk=case.pk).update(restricted=True)
    client.force_login(make_staff(Role.RECORDS_CLERK))
    for name in ("photograph", "photograph-original", "photograph-screen", "photograph-preview"):
        answer = client.get(url(name, case, photograph_id=photograph.pk))
        assert answer.status_code == 404, name


def test_a_file_is_not_reached_through_another_case(signed_in, vasko):
    photograph = add(vasko, make_case(), picture_bytes())
    other = url("photograph-original", make_case(), photograph_id=photograph.pk)
    assert signed_in.get(other).status_code == 404


def test_findings_are_linked_and_taken_away_on_the_page(signed_in, vasko):
    case = make_case()
    photograph, finding = add(vasko, case, picture_bytes()), make_finding(case, vasko)
    to_link = url("photograph-link", case, photograph_id=photograph.pk)
    assert signed_in.post(to_link, {"finding": ""}).status_code == 422
    answer = signed_in.post(to_link, {"finding": str(finding.pk), "record_id": str(new_id())})
    assert answer.status_code == 302
    link = photograph.finding_links.get()
    page = url("photograph-unlink", case, photograph_id=photograph.pk, link_id=link.pk)
    assert signed_in.get(page).status_code == 200
    assert signed_in.post(page, {"version": "1", "reason": ""}).status_code == 422
    assert signed_in.post(page, {"version": "1", "reason": "other side"}).status_code == 302
    link.refresh_from_db()
    assert link.is_voided


def test_withdrawing_a_photograph_asks_why(signed_in, vasko):
    case = make_case()
    photograph = add(vasko, case, picture_bytes())
    page = url("photograph-withdraw", case, photograph_id=photograph.pk)
    assert "Its number is not used again" in signed_in.get(page).content.decode()
    assert signed_in.post(page, {"version": "1", "reason": " "}).status_code == 422
    assert signed_in.post(page, {"version": "1", "reason": "wrong case"}).status_code == 302
    shown = signed_in.get(url("photograph", case, photograph_id=photograph.pk)).content.decode()
    assert "Withdrawn" in shown
    assert "wrong case" in shown


def test_the_thread_of_a_finding_shows_its_photographs_and_offers_one_more(signed_in, vasko):
    case = make_case()
    finding = make_finding(case, vasko)
    photograph = add(vasko, case, picture_bytes(), finding_ids=[finding.pk])
    page = url("finding-thread", case, finding_id=finding.pk)
    part = signed_in.get(page, headers={"HX-Request": "true"}).content.decode()
    assert url("photograph", case, photograph_id=photograph.pk) in part
    assert f"{url('photographs-add', case)}?finding={finding.pk}" in part
    assert "<html" not in part
    add(vasko, case, picture_bytes(2))
    whole = signed_in.get(page, follow=True)
    assert [each.number for each in whole.context["page"].photographs] == [1]
    assert "Only finding 1" in whole.content.decode()


def specimen_form(vasko, **fields):
    values = specimen_entry(vasko, **fields)
    values["collected_by"] = str(vasko.pk)
    for name in ("collected_at", "handed_over_at"):
        values[name] = values[name].strftime("%Y-%m-%dT%H:%M")
    return {**values, "record_id": str(new_id())}


def test_a_specimen_is_taken_on_the_page(signed_in, vasko):
    case = make_case()
    page = url("specimen-take", case)
    assert signed_in.get(page).status_code == 200
    wrong = signed_in.post(page, specimen_form(vasko, seal_number="", to_party="", unit=""))
    assert wrong.status_code == 422
    assert {"seal_number", "to_party"} <= set(wrong.context["form"].errors)
    assert 'value="Blood"' in wrong.content.decode()
    assert signed_in.post(page, specimen_form(vasko)).status_code == 302
    text = signed_in.get(url("specimens", case)).content.decode()
    assert "Blood" in text
    assert "Specimen refrigerator 2" in text


def test_a_taken_seal_number_is_said_beside_its_field(signed_in, vasko):
    case = make_case()
    take(vasko, case, seal_number="TC 0001")
    answer = signed_in.post(url("specimen-take", case), specimen_form(vasko, seal_number="TC 0001"))
    assert answer.status_code == 422
    assert Specimen.objects.count() == 1
    assert "in use on another item" in answer.content.decode()


def test_a_specimen_is_corrected_with_a_reason_and_a_stale_correction_shows_both(signed_in, vasko):
    case = make_case()
    specimen = take(vasko, case)
    page = url("specimen", case, specimen_id=specimen.pk)
    form = {**specimen_form(vasko), "version": "1", "site": "Heart", "reason": ""}
    assert signed_in.post(page, form).status_code == 422
    assert signed_in.post(page, {**form, "reason": "read wrongly"}).status_code == 302
    stale = signed_in.post(page, {**form, "site": "Aorta", "reason": "again"})
    assert stale.status_code == 409
    assert "Heart" in stale.content.decode()
    assert "Aorta" in stale.content.decode()


def test_property_is_recorded_corrected_and_withdrawn_on_its_pages(signed_in, vasko):
    case = make_case()
    form = {
        **specimen_form(vasko, seal_number="TC 0900"),
        **RING,
    }
    assert signed_in.get(url("property-record", case)).status_code == 200
    assert signed_in.post(url("property-record", case), form).status_code == 302
    held = PropertyItem.objects.get()
    page = url("property-item", case, property_id=held.pk)
    assert signed_in.get(page).status_code == 200
    change = {**form, "version": "1", "description": "White metal ring", "reason": "in daylight"}
    assert signed_in.post(page, change).status_code == 302
    leave = url("property-withdraw", case, property_id=held.pk)
    assert signed_in.post(leave, {"version": "2", "reason": "not his"}).status_code == 302
    assert "not his" in signed_in.get(url("property", case)).content.decode()


def fill_photographs(vasko, case, how_many):
    """Copies of one photograph's rows, written past the actions."""
    pattern = add(vasko, case, picture_bytes(), finding_ids=[make_finding(case, vasko).pk])
    item, file, link = pattern.item, pattern.file, pattern.finding_links.get()
    for number in range(2, how_many + 1):
        item.pk, file.pk, pattern.pk, link.pk = new_id(), new_id(), new_id(), new_id()
        file.sha256, file.path = f"{file.pk.hex}" * 2, f"originals/{file.pk}"
        item.number = pattern.number = number
        pattern.item, pattern.file, link.photograph = item, file, pattern
        for row in (item, file, pattern, link):
            row.save(force_insert=True)


@pytest.mark.parametrize(
    ("page", "fill"), [("photographs", fill_photographs), ("specimens", fill_with_specimens)]
)
def test_a_list_of_sixty_reads_as_often_as_a_list_of_three(signed_in, vasko, page, fill):
    few, many = make_case(), make_case()
    fill(vasko, few, 3)
    fill(vasko, many, 60)
    signed_in.get(url(page, few))
    counted = []
    for case in (few, many):
        with CaptureQueriesContext(connection) as statements:
            assert signed_in.get(url(page, case)).status_code == 200
        counted.append(len(statements))
    assert counted[0] == counted[1]
    assert counted[0] <= 15


def test_the_packets_photographs_come_in_three_statements(vasko, django_assert_num_queries):
    case = make_case()
    fill_photographs(vasko, case, 60)
    tasks.derive_images(photograph_id=str(Photograph.objects.get(number=1).pk))
    with django_assert_num_queries(3):
        shown = queries.photographs_for_packet(case)
    assert [each.photograph.number for each in shown] == list(range(1, 61))
    assert [finding.number for finding in shown[0].findings] == [1]
    assert shown[0].screen_path.startswith("derived/")
    assert shown[1].screen_path == ""
    assert shown[0].path == f"originals/{shown[0].sha256[:2]}/{shown[0].sha256}"


def test_one_photograph_reads_at_most_fifteen_times(client, vasko):
    case = make_case()
    fill_photographs(vasko, case, 4)
    client.force_login(make_staff(Role.SUPERVISOR, Role.PATHOLOGIST))
    page = url("photograph", case, photograph_id=Photograph.objects.first().pk)
    client.get(page)
    with CaptureQueriesContext(connection) as statements:
        client.get(page)
    assert len(statements) <= 15

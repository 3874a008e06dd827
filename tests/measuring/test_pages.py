"""The pages of measuring, by role, with bad input, and locked."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.rules.case import CaseState
from evidence.measuring import actions
from evidence.measuring import tasks as copying
from evidence.measuring.models import DerivedCopy, Measurement
from evidence.photographs import tasks
from evidence.store.models import StoredFile
from findings.models import Finding
from me_office.accounts.roles import CASE_ROLES, Role
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent
from tests.builders import make_case, make_staff
from tests.evidence.pictures import link_to, make_finding
from tests.measuring.pictures import form_of, measured, photograph_with_scale, straight

pytestmark = pytest.mark.django_db


@pytest.fixture
def photograph(vasko):
    made = photograph_with_scale(vasko, make_case())
    tasks.derive_images(photograph_id=str(made.pk))
    made.refresh_from_db()
    return made


def url(name, photograph, **keys):
    if not keys:
        keys = {"photograph_id": photograph.pk}
    return reverse(f"measuring:{name}", kwargs={"case_id": photograph.case_id, **keys})


@pytest.mark.parametrize("role", sorted(CASE_ROLES))
def test_who_may_measure_gets_the_panel_and_others_the_picture_with_its_lines(
    client, vasko, photograph, role
):
    measured(vasko, photograph)
    client.force_login(make_staff(role))
    page = client.get(url("measure", photograph)).content.decode()
    assert "3.0 cm (2.6 to 3.4), tilt up to 5°, in the plane of the scale" in page
    may = role in {Role.PATHOLOGIST, Role.INVESTIGATOR, Role.EVIDENCE_TECHNICIAN}
    assert ("Save this measurement" in page) == may
    assert ("Use in a finding" in page) == (role == Role.PATHOLOGIST)
    assert ('data-widget="veil"' in page) == (not may)


def test_a_measurement_is_kept_by_the_form(signed_in, photograph, vasko):
    finding = make_finding(photograph.case, vasko)
    sent = form_of(straight(), finding=str(finding.pk), note="widest part")
    answer = signed_in.post(url("measure", photograph), sent, follow=True)
    assert "Measurement 1 saved: 3.0 cm" in answer.content.decode()
    kept = Measurement.objects.get()
    assert (kept.finding, kept.note) == (finding, "widest part")
    signed_in.post(url("measure", photograph), sent)
    assert Measurement.objects.count() == 1


def test_a_refusal_comes_back_with_what_was_picked_and_typed(signed_in, photograph):
    entry = straight(scale_in_plane=False)
    answer = signed_in.post(url("measure", photograph), form_of(entry, note="widest part"))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "does not lie in the plane" in page
    assert "widest part" in page
    assert "[700, 700]" in page
    nothing = signed_in.post(url("measure", photograph), form_of(entry) | {"measured": "x{"})
    assert (nothing.status_code, Measurement.objects.count()) == (422, 0)
    assert "First pick the points of the scale" in nothing.content.decode()


def test_a_picture_without_preview_says_so(signed_in, vasko):
    waiting = photograph_with_scale(vasko, make_case())
    page = signed_in.get(url("measure", waiting)).content.decode()
    assert "The preview is being made." in page
    assert 'data-widget="measure"' not in page


def test_a_signed_case_says_why_nothing_can_be_measured(signed_in, photograph):
    photograph.case.state = CaseState.SIGNED
    photograph.case.signed_at = photograph.created_at
    photograph.case.save()
    page = signed_in.get(url("measure", photograph)).content.decode()
    assert "signed and locked" in page
    assert "Save this measurement" not in page
    assert signed_in.post(url("measure", photograph), form_of(straight())).status_code == 422


def test_the_picture_is_streamed_and_the_look_is_noted(signed_in, photograph):
    answer = signed_in.get(url("picture", photograph))
    assert answer["Content-Type"] == "image/png"
    assert len(b"".join(answer.streaming_content)) == photograph.file.size_bytes
    assert AccessEvent.objects.filter(what="photograph", record_id=photograph.pk).exists()


def test_a_size_is_put_into_a_finding_on_its_page(signed_in, photograph, vasko):
    finding = make_finding(photograph.case, vasko)
    keys = {"measurement_id": measured(vasko, photograph).pk}
    page = url("use", photograph, **keys)
    assert signed_in.get(page).status_code == 200
    versions = '{"%s": 1}' % finding.pk  # noqa: UP031
    sent = {"finding": str(finding.pk), "dimension": "width", "versions": versions}
    # A width without a length is refused by the finding, and said here.
    refused = signed_in.post(page, {**sent, "record_id": str(new_id())})
    assert (refused.status_code, Finding.objects.get().width_mm) == (422, None)
    stale = {**sent, "dimension": "length", "versions": versions.replace("1}", "0}")}
    assert signed_in.post(page, {**stale, "record_id": str(new_id())}).status_code == 409
    done = signed_in.post(
        page, {**sent, "dimension": "length", "record_id": str(new_id())}, follow=True
    )
    assert "measured on photograph 1" in done.content.decode()
    assert Finding.objects.get().size_words == "3.0 cm"


def test_the_finding_says_on_which_photograph_it_was_measured(signed_in, photograph, vasko):
    finding = make_finding(photograph.case, vasko)
    address = url("of-finding", photograph, finding_id=finding.pk)
    part = {"HTTP_HX_REQUEST": "true"}
    assert "Not measured on a photograph" in signed_in.get(address, **part).content.decode()
    assert signed_in.get(address).status_code == 302
    # A measurement that names no finding may be of this one: only where the picture shows it.
    nameless = measured(vasko, photograph)
    assert "Not measured on a photograph" in signed_in.get(address, **part).content.decode()
    link_to(vasko, photograph, finding)
    page = signed_in.get(address, **part).content.decode()
    assert "of which finding is not recorded" in page
    assert "Not measured on a photograph" not in page
    actions.void_measurement(
        vasko, case_id=nameless.case_id, measurement_id=nameless.pk, version=1, reason="Not of it."
    )
    assert "Not measured on a photograph" in signed_in.get(address, **part).content.decode()
    kept = measured(vasko, photograph, finding_id=finding.pk)
    page = signed_in.get(address, **part).content.decode()
    assert "Length measured on photograph 1" in page
    assert "3.0 cm (2.6 to 3.4), tilt up to 5°" in page
    assert "not used for the finding’s size" in page
    actions.use_measurement(
        vasko, case_id=kept.case_id, measurement_id=kept.pk, record_id=new_id(),
        finding_id=finding.pk, version=1, dimension="length",
    )  # fmt: skip
    page = signed_in.get(address, **part).content.decode()
    assert page.count("Length measured on photograph 1") == 1
    assert "not used" not in page
    assert "up to 5 degrees, and not beyond" in page


def test_a_camera_raw_file_is_not_measured(signed_in, photograph):
    StoredFile.objects.filter(pk=photograph.file_id).update(media_type="image/x-adobe-dng")
    assert "camera raw" in signed_in.get(url("measure", photograph)).content.decode()
    answer = signed_in.post(url("measure", photograph), form_of(straight()))
    assert (answer.status_code, Measurement.objects.count()) == (422, 0)


def test_a_copy_is_made_downloaded_and_withdrawn(signed_in, photograph, vasko):
    measurement = measured(vasko, photograph)
    sent = {"kind": "rectified", "measurement": str(measurement.pk), "record_id": str(new_id())}
    refused = signed_in.post(url("make-copy", photograph), sent)
    assert refused.status_code == 422
    assert "right-angled one can" in refused.content.decode()
    page = signed_in.post(url("make-copy", photograph), sent | {"kind": "marked"}, follow=True)
    assert "Marked copy is being made" in page.content.decode()
    part = {"HTTP_HX_REQUEST": "true"}
    assert "every 1s" in signed_in.get(url("make-copy", photograph), **part).content.decode()
    again = signed_in.post(
        url("make-copy", photograph), sent | {"kind": "marked", "record_id": str(new_id())}
    )
    assert "already being made" in again.content.decode()
    copying.make_copy(request_id=sent["record_id"])
    done = signed_in.get(url("make-copy", photograph), **part).content.decode()
    assert "every 1s" not in done
    copy = DerivedCopy.objects.get()
    second = signed_in.post(
        url("make-copy", photograph), sent | {"kind": "marked", "record_id": str(new_id())}
    )
    assert "Copy 1 is already the same." in second.content.decode()
    where = url("copy-file", photograph, copy_id=copy.pk)
    head = signed_in.head(where)
    assert head["ETag"] == f'"{copy.file.sha256}"'
    assert not AccessEvent.objects.filter(what="copy").exists()
    got = signed_in.get(where)
    assert "photograph-1-copy-1.png" in got["Content-Disposition"]
    whole = got.getvalue()
    assert whole.startswith(b"\x89PNG")
    rest = signed_in.get(where, headers={"Range": "bytes=9-", "If-Range": head["ETag"]})
    assert (rest.status_code, rest.getvalue()) == (206, whole[9:])
    assert AccessEvent.objects.filter(what="copy", record_id=copy.pk).exists()
    page = signed_in.get(url("measure", photograph)).content.decode()
    assert copy.pixels_sha256 in page
    away = url("copy-withdraw", photograph, copy_id=copy.pk)
    assert signed_in.post(away, {"version": 1, "reason": ""}).status_code == 422
    assert signed_in.post(away, {"version": 1, "reason": "wrong line"}).status_code == 302
    assert not DerivedCopy.objects.active().exists()


def test_a_measurement_is_withdrawn_on_its_page(signed_in, photograph, vasko):
    kept = measured(vasko, photograph)
    away = url("withdraw", photograph, measurement_id=kept.pk)
    assert "3.0 cm" in signed_in.get(away).content.decode()
    assert signed_in.post(away, {"version": 1, "reason": "wrong edge"}).status_code == 302
    assert not Measurement.objects.active().exists()


def test_others_know_nothing_of_a_restricted_case(client, vasko, photograph):
    kept = measured(vasko, photograph)
    photograph.case.restricted = True
    photograph.case.save()
    client.force_login(make_staff(Role.PATHOLOGIST))
    for address in (
        url("measure", photograph),
        url("picture", photograph),
        url("use", photograph, measurement_id=kept.pk),
        url("withdraw", photograph, measurement_id=kept.pk),
    ):
        assert client.get(address).status_code == 404


def test_the_page_is_read_in_a_fixed_number_of_statements(signed_in, photograph, vasko):
    counted = []
    signed_in.get(url("measure", photograph))
    for wanted in (3, 60):
        while Measurement.objects.count() < wanted:
            measured(vasko, photograph)
        with CaptureQueriesContext(connection) as context:
            assert signed_in.get(url("measure", photograph)).status_code == 200
        counted.append(len(context))
    assert counted[0] == counted[1] <= 15, counted

"""What comes beside an exhibit and beside a photograph of a packet."""

from __future__ import annotations

import pytest
from django.urls import reverse

from cases.exhibits import queries
from cases.exhibits.presenting import presented
from evidence.measuring import actions
from evidence.photographs.queries import photographs_for_packet
from me_office.accounts.roles import Role
from me_office.audit.models import AccessEvent
from tests.builders import make_case, make_staff
from tests.exhibits.builders import make_exhibit, make_photograph, make_set
from tests.measuring.pictures import measured, photograph_with_scale

pytestmark = pytest.mark.django_db


def test_the_courtroom_screen_draws_over_an_exhibit_what_was_measured_on_its_photograph(client):
    vasko = make_staff(Role.PATHOLOGIST)
    clerk = make_staff(Role.RECORDS_CLERK)
    case = make_case(by=vasko)
    trial = make_set(clerk, case)
    with_size, without = photograph_with_scale(vasko, case), make_photograph(vasko, case, seed=3)
    measured(vasko, with_size)
    twice = measured(vasko, with_size)
    actions.void_measurement(
        vasko, case_id=case.pk, measurement_id=twice.pk, version=1, reason="measured twice"
    )
    for photograph in (with_size, without):
        make_exhibit(clerk, trial, photograph)
    client.force_login(clerk)
    address = reverse("exhibits:present", kwargs={"case_id": case.pk, "set_id": trial.pk})
    page = client.get(address).content.decode()
    _, first, second = page.split('data-part="exhibit"')
    assert 'class="shown-lines"' in first and 'data-act="lines"' in page
    assert f'viewBox="0 0 {with_size.width_px} {with_size.height_px}"' in first
    assert "shown-lines" not in second
    (shown, _) = presented(queries.exhibits_to_present(trial))
    assert len(shown.pictures[0].drawn) == 1, "what was withdrawn is drawn no more"
    notes = reverse("exhibits:court-notes", kwargs={"case_id": case.pk, "set_id": trial.pk})
    assert client.get(notes).status_code == 200
    looks = AccessEvent.objects.filter(case_id=case.pk, record_id=str(trial.pk)).order_by("id")
    assert [look.what for look in looks] == ["exhibits presented", "exhibits, witness's window"]


def test_a_photograph_goes_into_a_packet_with_its_smaller_copy_where_there_is_one():
    vasko = make_staff(Role.PATHOLOGIST)
    case = make_case(by=vasko)
    copied, not_yet = make_photograph(vasko, case), photograph_with_scale(vasko, case)
    [screen] = copied.derived.filter(kind="screen").select_related("file")
    assert {one.photograph.pk: one.screen_path for one in photographs_for_packet(case)} == {
        copied.pk: screen.file.path,
        not_yet.pk: "",
    }

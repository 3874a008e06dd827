"""Several photographs in one exhibit: which, in which order, and wherever an exhibit is read."""

from __future__ import annotations

import io

import pytest
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from cases.exhibits import actions, burning, queries
from cases.exhibits.forms import ComposeForm
from cases.exhibits.models import ExhibitPart
from cases.exhibits.printing import sheet_values
from evidence.photographs.tasks import derive_images
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.evidence.pictures import add, take_away
from tests.exhibits.builders import (
    link_contusion,
    make_exhibit,
    make_photograph,
    make_redaction,
    make_set,
    noisy_picture,
)
from tests.remains.builders import sign

pytestmark = pytest.mark.django_db


@pytest.fixture
def shots(vasko, case):
    return [
        add(vasko, case, noisy_picture(seed), name="DSC_0001.png", shows=f"The back, {seed}")
        for seed in range(1, 7)
    ]


def compose(by, exhibit, photographs, version):
    return actions.compose_exhibit(
        by,
        case_id=exhibit.case_id,
        exhibit_id=exhibit.pk,
        version=version,
        photographs=[one.pk for one in photographs],
    )


def numbers(exhibit):
    read = queries.exhibit_of(exhibit.case, exhibit.exhibit_set_id, exhibit.pk)
    return [one.number for one in read.photographs]


def test_photographs_are_put_together_reordered_and_taken_apart(vasko, trial, shots):
    made = make_exhibit(vasko, trial, shots[0])
    compose(vasko, made, [shots[0], shots[2], shots[1]], 1)
    assert numbers(made) == [1, 3, 2]
    untouched = ExhibitPart.objects.get(photograph=shots[2])
    compose(vasko, made, [shots[3], shots[2]], 2)
    assert numbers(made) == [4, 3]
    untouched.refresh_from_db()
    assert untouched.version == 1
    gone = ExhibitPart.objects.get(photograph=shots[1])
    assert gone.void_reason == "No longer in the exhibit."
    compose(vasko, made, [shots[3], shots[1]], 3)
    compose(vasko, made, [shots[3]], 4)
    assert numbers(made) == [4]
    compose(vasko, made, [shots[3], shots[1], shots[0]], 5)
    compose(vasko, made, [shots[3], shots[0], shots[1]], 6)
    assert numbers(made) == [4, 1, 2]
    tables = AuditEvent.objects.filter(act="compose_exhibit").values_list("table", flat=True)
    assert set(tables) == {"exhibits_exhibit", "exhibits_exhibitpart"}


def test_what_can_be_no_composite_is_refused(vasko, case, trial, shots):
    made = make_exhibit(vasko, trial, shots[0])
    make_exhibit(vasko, trial, shots[1])
    other = make_photograph(vasko, make_case(by=vasko))
    take_away(vasko, shots[5])
    for photographs, error, words in (
        (shots[:5], Refused, "two, three, four or six"),
        ([shots[0], shots[0]], Refused, "once"),
        ([shots[1], shots[2]], Refused, "leads another exhibit"),
        ([shots[0], shots[5]], Refused, "withdrawn"),
        ([shots[0], other], NotKnown, "photograph"),
    ):
        with pytest.raises(error, match=words):
            compose(vasko, made, photographs, 1)
    with pytest.raises(StaleRecord):
        compose(vasko, made, shots[:2], 2)
    with pytest.raises(NotAllowed):
        compose(make_staff(Role.INVESTIGATOR), made, shots[:2], 1)
    assert ExhibitPart.objects.count() == 0


def test_a_composite_that_is_sent_twice_is_one(vasko, case, trial, shots):
    key = new_id()

    def add(further):
        return actions.add_exhibit(
            vasko,
            case_id=case.pk,
            set_id=trial.pk,
            record_id=key,
            photograph_id=shots[0].pk,
            further=[one.pk for one in further],
            entry={},
        )

    made = add(shots[1:4])
    assert made.caption == "; ".join(f"The back, {n}" for n in (1, 2, 3, 4)) + "."
    assert add(shots[1:4]).pk == made.pk
    assert ExhibitPart.objects.count() == 3
    with pytest.raises(Conflict):
        add([shots[4]])


def test_it_is_changed_also_after_the_signature(vasko, trial, shots):
    made = make_exhibit(vasko, trial, shots[0])
    sign(trial.case)
    compose(vasko, made, shots[:2], 1)
    assert numbers(made) == [1, 2]


def test_each_picture_is_shown_redacted_where_that_stands_and_counted_everywhere(
    client, vasko, case, trial, shots
):
    for shot in shots[:4]:
        derive_images(photograph_id=str(shot.pk))
    made = make_exhibit(vasko, trial, shots[0], number="14", caption="The back")
    compose(vasko, made, shots[:4], 1)
    make_redaction(vasko, shots[2])
    link_contusion(vasko, case, shots[3])
    client.force_login(make_staff(Role.RECORDS_CLERK))
    keys = {"case_id": case.pk, "set_id": trial.pk}
    one = {**keys, "exhibit_id": made.pk}
    for kind in ("thumb", "screen", "large"):
        address = reverse(f"exhibits:{kind}", kwargs={**one, "photograph_id": shots[2].pk})
        shown = Image.open(io.BytesIO(client.get(address).getvalue())).convert("RGB")
        assert shown.getpixel((60, 50)) == pytest.approx(burning.COVER_COLOR, abs=2), kind
    other = reverse("exhibits:thumb", kwargs={**one, "photograph_id": shots[5].pk})
    assert client.get(other).status_code == 404

    screen = client.get(reverse("exhibits:present", kwargs=keys)).content.decode()
    assert screen.count('data-part="picture"') == 4
    assert "Exhibit 14, picture 3 of 4: The back" in screen
    assert "photographs 1, 2, 3, 4" in screen
    page = client.get(reverse("exhibits:set", kwargs=keys)).content.decode()
    assert "1 shown as a redacted copy" in page and "without a linked finding" not in page
    assert "Contusion" in page
    sheet = client.get(reverse("exhibits:contact-sheet", kwargs=keys)).content.decode()
    assert sheet.count("<img") == 4

    values = sheet_values(trial, queries.exhibits_to_present(trial), names={}, at=timezone.now())
    (printed,) = values["exhibits"]
    assert (printed["columns"], printed["photographs"]) == (2, "photographs 1, 2, 3, 4")
    assert [row["alternative"][:25] for row in printed["pictures"]][
        1
    ] == "Exhibit 14, picture 2 of "
    # One that was withdrawn keeps the whole from being presented.
    take_away(vasko, shots[1])
    assert queries.exhibits_to_present(trial) == []


def test_numbers_of_the_log_are_typed_or_photographs_chosen_together(client, vasko, case, shots):
    trial = make_set(vasko, case)
    client.force_login(make_staff(Role.RECORDS_CLERK))
    keys = {"case_id": case.pk, "set_id": trial.pk}
    form = {"photograph": [str(one.pk) for one in shots[:2]], "as_one": "1", "record_id": new_id()}
    client.post(reverse("exhibits:choose", kwargs=keys), form)
    (made,) = queries.exhibits_of(trial)
    assert numbers(made) == [1, 2]
    page = reverse("exhibits:compose-exhibit", kwargs={**keys, "exhibit_id": made.pk})
    assert 'value="1, 2"' in client.get(page).content.decode()
    for typed, words in (
        ("4, x", "Write the numbers with commas"),
        ("4, 99", "The log has no photograph 99."),
        ("1,2,3,4,5", "two, three, four or six"),
    ):
        wrong = client.post(page, {"photographs": typed, "version": made.version})
        assert wrong.status_code == 422
        assert words in wrong.content.decode()
    assert client.post(page, {"photographs": "4, 1 3", "version": 1}).status_code == 302
    assert numbers(made) == [4, 1, 3]
    assert client.post(page, {"photographs": "4", "version": 1}).status_code == 409
    assert ComposeForm({"photographs": "6 4"}, case=case).is_valid()
    api = reverse(
        "exhibits_api:compose-exhibit", kwargs={"case_id": case.pk, "exhibit_id": made.pk}
    )
    body = {"version": 2, "photographs": [str(shots[5].pk), str(shots[0].pk)]}
    answer = client.put(api, body, content_type="application/json")
    assert answer.json()["photographs"] == body["photographs"]

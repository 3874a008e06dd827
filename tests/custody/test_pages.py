"""Pages of custody."""

from __future__ import annotations

import pytest
from django.urls import reverse

from cases.packets.custody_record import custody_groups, custody_rows
from evidence.custody.models import Seal, Transfer
from evidence.custody.queries import custody_of, custody_record
from evidence.items.models import Item
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import MOMENT, make_case, make_staff
from tests.evidence.items import take
from tests.evidence.pictures import add, picture_bytes

pytestmark = pytest.mark.django_db


@pytest.fixture
def specimen():
    return take(make_staff(Role.PATHOLOGIST, name="Dr. I. Vasko"), make_case())


@pytest.fixture
def signed_in(client, renn):
    client.force_login(renn)
    return client


def url(name, case, **keys):
    return reverse(f"custody:{name}", kwargs={"case_id": case.pk, **keys})


def transfer_form(**fields):
    return {
        "record_id": str(new_id()),
        "version": "1",
        "from_party": "Specimen refrigerator 2",
        "to_party": "Larch toxicology laboratory",
        "to_staff": "",
        "to_where": "outside",
        "at": "2026-11-14T12:00",
        "place": "Loading dock",
        "purpose": "toxicology",
        "seal_state": "intact",
        "note": "",
        **fields,
    }


@pytest.mark.parametrize(
    "role",
    [
        Role.INVESTIGATOR, Role.PATHOLOGIST, Role.SUPERVISOR, Role.RECORDS_CLERK,
        Role.EVIDENCE_TECHNICIAN,
    ],
)  # fmt: skip
def test_every_role_of_the_case_sees_custody(client, specimen, role):
    client.force_login(make_staff(role))
    text = client.get(url("case", specimen.case)).content.decode()
    assert "no gap recorded" in text
    page = client.get(url("item", specimen.case, item_id=specimen.item_id)).content.decode()
    assert "Seal TC 0417 applied by Dr. I. Vasko" in page
    assert "No gap is recorded." in page


def test_the_list_is_narrowed_by_words(signed_in, specimen, renn):
    add(renn, specimen.case, picture_bytes())
    page = url("case", specimen.case)

    def numbers(query):
        return [each.item.number for each in signed_in.get(page + query).context["shown"]]

    assert numbers("") == numbers("?kind=nothing") == [1, 2]
    assert numbers("?kind=photograph") == [2]
    assert numbers("?kind=unsealed") == numbers("?kind=gaps") == []


@pytest.mark.parametrize("by_hand", [True, False])
def test_taking_a_photograph_in_is_one_line_of_custody_everywhere(signed_in, renn, by_hand):
    case = make_case()
    who = "D. Renn" if by_hand else "H. Alder"
    photograph = add(renn, case, picture_bytes(), photographer=who)
    digest, entered = photograph.file.sha256, "ntered by D. Renn"
    (item,) = custody_record(case)
    (moment,) = item.moments
    assert (moment.kind, moment.digest.number) == ("transfer", digest)
    (printed,) = custody_groups([item])[0]["items"]
    (row,) = printed["rows"]
    assert (row[1], row[4]) == (f"{who} to Office file store", f"SHA-256 {digest[:12]}…")
    assert (entered in row[3]) is not by_hand
    _, line = custody_rows([item])
    assert line[4] == "transfer" and line[-1] == f"SHA-256 {digest}, entered by D. Renn"
    page = signed_in.get(url("item", case, item_id=item.item.pk)).content.decode()
    story = page.split("custody-line")[1].split("</ol>")[0]
    assert story.count("<li>") == 1 and digest in story
    assert (entered in story) is not by_hand


def test_a_digest_without_its_transfer_keeps_a_line_of_its_own(renn):
    case = make_case()
    add(renn, case, picture_bytes())
    Transfer.objects.filter(case=case).update(voided_at=MOMENT, voided_by=renn, void_reason="wrong")
    (moment,) = custody_record(case)[0].moments
    assert (moment.kind, moment.record.kind) == ("sealed", "digest")


def test_a_transfer_is_recorded_on_its_page(signed_in, specimen):
    page = url("transfer", specimen.case, item_id=specimen.item_id)
    fresh = signed_in.get(page)
    assert fresh.context["form"].initial["from_party"] == "Specimen refrigerator 2"
    assert signed_in.post(page, transfer_form()).status_code == 302
    assert Transfer.objects.count() == 2


def test_where_a_receiver_is_is_asked_of_a_party_in_words(signed_in, specimen, renn):
    page = url("transfer", specimen.case, item_id=specimen.item_id)
    answer = signed_in.post(page, transfer_form(to_where=""))
    assert answer.status_code == 422
    asked = "Say whether “Larch toxicology laboratory” is in this office or outside it."
    assert answer.context["form"].errors == {"to_where": [asked]}
    assert signed_in.post(page, transfer_form(to_where="moon")).status_code == 422
    for said, party in (
        ({"to_where": "", "to_party": "Specimen freezer 1", "at": "2026-11-14T12:00"}, ""),
        (
            {
                "to_where": "",
                "to_party": "Bench 4",
                "purpose": "storage",
                "at": "2026-11-14T12:30",
            },
            "",
        ),
        (
            {"to_staff": renn.pk, "to_party": "", "to_where": "outside", "at": "2026-11-14T13:00"},
            "",
        ),
        ({"from_party": "D. Renn", "at": "2026-11-14T14:00"}, "outside"),
    ):
        item = Item.objects.get(pk=specimen.item_id)
        said = {"from_party": custody_of(item).chain.holder, **said, "version": item.version}
        done = signed_in.post(page, transfer_form(**said))
        assert done.status_code == 302, done.context["form"].errors
        assert Transfer.objects.order_by("at").last().to_where == party


def test_bad_input_of_a_transfer_stays_and_is_said_beside_its_field(signed_in, specimen):
    page = url("transfer", specimen.case, item_id=specimen.item_id)
    answer = signed_in.post(page, transfer_form(to_party="", place="", at="2026-11-14T03:00"))
    assert answer.status_code == 422
    assert {"to_party", "place"} <= set(answer.context["form"].errors)
    assert 'value="toxicology"' in answer.content.decode()
    early = signed_in.post(page, transfer_form(at="2026-11-14T03:00"))
    assert "at" in early.context["form"].errors


def test_a_stale_transfer_shows_who_holds_the_item_now(signed_in, specimen):
    page = url("transfer", specimen.case, item_id=specimen.item_id)
    signed_in.post(page, transfer_form())
    stale = signed_in.post(page, transfer_form(to_party="Court", at="2026-11-14T15:00"))
    assert stale.status_code == 409
    shown = {row.name: (row.typed, row.current) for row in stale.context["form"].stale}
    assert shown["to_party"] == ("Court", "Larch toxicology laboratory")


def test_a_gap_is_shown_in_words(signed_in, specimen):
    page = url("transfer", specimen.case, item_id=specimen.item_id)
    signed_in.post(page, transfer_form(from_party="Courier"))
    words = "Specimen refrigerator 2 received it, but Courier handed it on"
    assert words in signed_in.get(url("case", specimen.case)).content.decode()
    item = signed_in.get(url("item", specimen.case, item_id=specimen.item_id)).content.decode()
    assert words in item
    assert "The chain has 1 gap" in item


def test_a_seal_is_broken_and_a_new_one_applied_on_the_pages(signed_in, specimen):
    seal = Seal.objects.get()
    page = url("seal-break", specimen.case, seal_id=seal.pk)
    assert signed_in.get(page).status_code == 200
    entry = {"version": "1", "broken_at": "2026-11-14T12:00", "broken_by": "D. Renn"}
    wrong = signed_in.post(page, {**entry, "broken_why": ""})
    assert wrong.status_code == 422
    assert signed_in.post(page, {**entry, "broken_why": "opened for sampling"}).status_code == 302
    item = url("item", specimen.case, item_id=specimen.item_id)
    text = signed_in.get(item).content.decode()
    assert "Apply a seal" in text
    assert "Not sealed now.</strong> Seal TC 0417 was broken by D. Renn" in text
    page = url("seal", specimen.case, item_id=specimen.item_id)
    assert signed_in.get(page).status_code == 200
    form = {"record_id": str(new_id()), "version": "2", "applied_by": "D. Renn"}
    new = {**form, "number": "TC 0500", "applied_at": "2026-11-14T12:30"}
    assert signed_in.post(page, {**new, "number": ""}).status_code == 422
    assert signed_in.post(page, new).status_code == 302
    text = signed_in.get(item).content.decode()
    assert "Seal TC 0417 broken by D. Renn" in text
    assert "Seal TC 0500 applied by D. Renn" in text
    assert "Not sealed now." not in text


def test_seals_and_transfers_are_withdrawn_with_a_reason(signed_in, specimen):
    for name, record in (
        ("seal-withdraw", Seal.objects.get()),
        ("transfer-withdraw", Transfer.objects.get()),
    ):
        key = {"seal_id" if name.startswith("seal") else "transfer_id": record.pk}
        page = url(name, specimen.case, **key)
        assert signed_in.get(page).status_code == 200
        assert signed_in.post(page, {"version": "1", "reason": ""}).status_code == 422
        assert signed_in.post(page, {"version": "1", "reason": "misread"}).status_code == 302
    text = signed_in.get(url("item", specimen.case, item_id=specimen.item_id)).content.decode()
    assert "2 withdrawn" in text
    assert "No transfer is recorded" in text
    assert "Not sealed now.</strong> No seal is recorded." in text


def test_a_restricted_case_shows_no_item_to_others(client, specimen):
    type(specimen.case).objects.filter(pk=specimen.case_id).update(restricted=True)
    client.force_login(make_staff(Role.RECORDS_CLERK))
    assert client.get(url("item", specimen.case, item_id=specimen.item_id)).status_code == 404
    assert client.get(url("case", specimen.case)).status_code == 404

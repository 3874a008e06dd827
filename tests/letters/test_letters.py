"""Letters and templates: written, made, sent, withdrawn; refused, retried, both texts kept."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.db import connection, transaction
from django.db.utils import IntegrityError, InternalError
from django.urls import reverse
from django.utils import timezone

from cases.court.models import Counsel, Demand, Invoice, RecordsRequest
from cases.letters import actions, queries
from cases.letters.models import Letter, LetterMail, LetterSending, LetterTemplate
from cases.letters.rules import LetterKind
from cases.letters.standard import STANDARD
from cases.letters.values import values_for
from evidence import store
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from me_office.audit.records import save_new
from tests.builders import as_person, make_case, make_staff, set_back
from tests.court.builders import fee, invoice
from tests.letters.builders import WORDS, made, mailed, sent, written
from tests.packets.builders import make_request

pytestmark = pytest.mark.django_db


@pytest.fixture
def asked(clerk):
    return make_request(make_case(), clerk, contact="12 Quarry Road\nHale", cause_number="CR-1")


def own_template(by, record_id=None, **entry):
    said = {"kind": "fee", "title": "Fee", "subject": "Fee", "body": "To {letter.to}.", **entry}
    return actions.add_letter_template(by, record_id=record_id or new_id(), entry=said)


def changed(by, template, record_id=None, **entry):
    said = {"title": template.title, "subject": "Fee", "body": "New.", **entry}
    return actions.change_letter_template(
        by, template_id=template.pk, record_id=record_id or new_id(), version=template.version,
        entry=said, reason="shorter",
    )  # fmt: skip


def test_a_letter_begins_from_what_the_request_says(clerk, asked):
    for number, title in enumerate(("Report", "Photographs"), start=1):
        save_new(
            clerk, Demand(case=asked.case, request=asked, number=number, title=title), own_key=True
        )
    other = Counsel(
        case=asked.case, request=asked, side="opposing", name="B. Hart", address="Elm 4"
    )
    save_new(clerk, other, own_key=True)
    counsel = Counsel(
        case=asked.case, request=asked, side="asking", name="J. Moss", firm="Moss LLP"
    )
    counsel.address = "1 Court Lane\nHale"
    save_new(clerk, counsel, own_key=True)
    letter = actions.write_letter(
        clerk, case_id=asked.case_id, request_id=asked.pk, record_id=new_id(),
        kind="acknowledgment", entry={},
    )  # fmt: skip
    assert (letter.to_name, letter.address) == ("J. Moss", "Moss LLP\n1 Court Lane\nHale")
    assert "1. Report\n2. Photographs" in letter.body and letter.body.startswith("To J. Moss:")
    assert "no. CR-1: Oren Hallstead" in letter.subject
    assert "{fill in: what can be offered now" in letter.body
    assert letter.edition.startswith("standard text of version")
    assert (letter.number, letter.state, letter.signer) == (1, "draft", clerk.printed_name)
    event = AuditEvent.objects.get(table="letters_letter")
    assert (event.act, event.case_id) == ("write_letter", asked.case_id)


def test_a_letter_asks_for_no_paid_fee_and_names_no_day_while_the_clock_stands(clerk, asked):
    bill = invoice(clerk, asked, {fee(clerk): 1})
    said = values_for(clerk, asked)
    assert said["fee.number"] == bill.number and said["due.day"]
    assert "SHA" not in said.get("release.sent", "")
    Invoice.objects.filter(pk=bill.pk).update(waived_because="Family")
    RecordsRequest.objects.filter(pk=asked.pk).update(stopped_since=asked.served_on)
    asked.refresh_from_db()
    said = values_for(clerk, asked)
    assert (said["fee.total"], said["fee.number"]) == ("waived", bill.number)
    assert "due.day" not in said
    Invoice.objects.filter(pk=bill.pk).update(
        waived_because="", paid_on=asked.served_on, paid_how="check"
    )
    assert not {"fee.number", "fee.total"} & set(values_for(clerk, asked))


def test_a_letter_is_made_once_kept_by_its_digest_and_never_changed(clerk, asked):
    draft = written(asked, clerk)
    letter = actions.make_letter(clerk, case_id=asked.case_id, letter_id=draft.pk, version=1)
    assert (letter.state, letter.made_by, letter.pages) == ("made", clerk, 1)
    pdf = actions.letter_pdf(asked.case, letter.pk)
    assert pdf.startswith(b"%PDF") and store.is_whole(letter.file)
    for act, more in (
        (actions.change_letter, {"entry": {"body": "x"}}), (actions.make_letter, {}),
    ):  # fmt: skip
        with pytest.raises(Refused, match="made and no longer changes"):
            act(clerk, case_id=asked.case_id, letter_id=letter.pk, version=2, **more)
    with (
        pytest.raises((IntegrityError, InternalError)),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute("UPDATE letters_letter SET state = 'draft'")


def test_a_gap_keeps_a_letter_from_being_made_and_is_told_by_field(clerk, asked):
    gaps = {"to_name": "{who}", "address": "4 {fill in: street}", "signer": "{y}"}
    draft = written(asked, clerk, body="Due {fill in: day}.", subject="{x}", enclosures="}", **gaps)
    with pytest.raises(Invalid) as refused:
        actions.make_letter(clerk, case_id=asked.case_id, letter_id=draft.pk, version=1)
    assert refused.value.errors == {
        "body": ["Fill in or strike: day."],
        "subject": ["Fill in or strike: x."],
        "to_name": ["Fill in or strike: who."],
        "address": ["Fill in or strike: street."],
        "signer": ["Fill in or strike: y."],
        "enclosures": ["A brace is left over. Braces mark gaps; take it out."],
    }
    assert not Letter.objects.exclude(file=None).exists()
    with pytest.raises(Refused, match="not made yet"):
        actions.letter_pdf(asked.case, draft.pk)


def test_two_who_change_a_draft_lose_no_text(clerk, asked):
    draft = written(asked, clerk)
    mine = {"case_id": asked.case_id, "letter_id": draft.pk, "version": 1}
    actions.change_letter(clerk, **mine, entry={"body": "Hers."})
    with pytest.raises(StaleRecord) as stale:
        actions.change_letter(clerk, **mine, entry={"body": "His."})
    assert stale.value.record.body == "Hers."
    with pytest.raises(StaleRecord):
        actions.make_letter(clerk, **mine)


def test_what_cannot_be_so_is_refused_beside_its_field(clerk, asked):
    with pytest.raises(Invalid) as refused:
        written(asked, clerk, address="\n".join("1234567"), dated_on=date(2020, 1, 1))
    assert set(refused.value.errors) == {"address", "dated_on"}
    with pytest.raises(Refused) as kind:
        written(asked, clerk, kind="sonnet")
    assert kind.value.field == "kind"
    assert written(asked, clerk, subject=" Two\nlines ").subject == "Two lines"


def test_the_same_letter_twice_is_one_and_other_words_under_its_key_are_a_conflict(clerk, asked):
    key = new_id()
    common = {"case_id": asked.case_id, "request_id": asked.pk, "record_id": key, "kind": "fee"}
    first = actions.write_letter(clerk, **common, entry={"body": "One."})
    assert actions.write_letter(clerk, **common, entry={"body": "One."}).number == first.number
    with pytest.raises(Conflict):
        actions.write_letter(clerk, **common, entry={"body": "Two."})
    assert [written(asked, clerk).number, Letter.objects.count()] == [2, 2]


@pytest.mark.parametrize("role", [Role.PATHOLOGIST, Role.INVESTIGATOR, Role.EVIDENCE_TECHNICIAN])
def test_other_roles_write_no_letter_and_keep_no_template(clerk, asked, role):
    person, draft = make_staff(role), written(asked, clerk)
    with pytest.raises(NotAllowed):
        written(asked, person)
    with pytest.raises(NotAllowed):
        actions.make_letter(person, case_id=asked.case_id, letter_id=draft.pk, version=1)
    with pytest.raises(NotAllowed):
        own_template(person)


def test_another_cases_letter_or_request_is_not_known_under_this_case(clerk, asked):
    other, draft = make_case(), written(asked, clerk)
    with pytest.raises(NotKnown):
        actions.make_letter(clerk, case_id=other.pk, letter_id=draft.pk, version=1)
    with pytest.raises(NotKnown):
        actions.write_letter(
            clerk, case_id=other.pk, request_id=asked.pk, record_id=new_id(), kind="fee", entry={}
        )


def test_a_letter_is_written_made_and_sent_in_a_signed_case(clerk):
    asked = make_request(make_case(state="signed"), clerk)
    letter = made(asked, clerk)
    assert sent(letter, clerk).sent_at
    gone = actions.withdraw_letter(clerk, record_id=letter.pk, version=2, reason="wrong name")
    assert gone.is_voided


def test_a_letter_that_is_withdrawn_is_not_sent(clerk, asked):
    letter = made(asked, clerk)
    actions.withdraw_letter(clerk, record_id=letter.pk, version=2, reason="wrong name")
    with pytest.raises(Refused):
        sent(letter, clerk)
    assert [one.pk for one in queries.letters_of(asked.case)] == [letter.pk]
    assert queries.letters_of_request(asked.pk) == []


def test_how_a_letter_went_out_is_recorded_and_withdrawn(clerk, asked):
    with pytest.raises(Refused, match="Make the letter first"):
        sent(written(asked, clerk), clerk)
    letter = made(asked, clerk)
    with pytest.raises(Invalid) as early:
        sent(letter, clerk, sent_at=letter.made_at - timedelta(hours=1))
    assert set(early.value.errors) == {"sent_at"}
    by_hand = sent(letter, clerk, way="hand", note="Took it herself")
    assert not by_hand.waits and not LetterMail.objects.exists()
    gone = actions.withdraw_letter_sent(
        clerk, record_id=by_hand.pk, version=1, reason="another letter"
    )
    assert gone.is_voided
    waiting = mailed(letter, clerk)
    assert waiting.waits and LetterMail.objects.get().sending == waiting


def test_what_was_mailed_to_an_address_meanwhile_is_told_before_it_goes_there_again(clerk, asked):
    letter = made(asked, clerk)
    other = make_staff(Role.SUPERVISOR, name="M. Thorne")
    by_hand = sent(letter, clerk, way="hand", note="Took it herself")
    first = mailed(letter, clerk)
    with pytest.raises(Refused, match="Ostrander had it mailed to this address on") as told:
        mailed(letter, other, "Pell@Hale.invalid", after=by_hand.pk)
    assert told.value.field == "address"
    with pytest.raises(Refused):
        mailed(letter, other)
    # Another address, another way, a retry and who has read of it are let through.
    elsewhere = mailed(letter, other, "moss@hale.invalid", after=by_hand.pk)
    sent(letter, other, way="fax", address="555 0100")
    said = {"way": "email", "to_name": "A. Pell", "address": "pell@hale.invalid", "sent_at": None}
    again = actions.record_letter_sent(
        clerk, case_id=letter.case_id, letter_id=letter.pk, record_id=first.pk, entry=said
    )
    assert again == first
    third = mailed(letter, other, after=elsewhere.pk)
    # One that failed, or was taken back, is not in the way.
    set_back(LetterSending.objects.filter(pk=third.pk), outcome="failed")
    actions.withdraw_letter_sent(clerk, record_id=first.pk, version=1, reason="Mistaken")
    mailed(letter, other)
    assert queries.last_sending(letter) == LetterSending.objects.latest("created_at").pk
    page = reverse("letters:send", args=[letter.case_id, letter.pk])
    assert str(queries.last_sending(letter)) in as_person(clerk).get(page).content.decode()
    form = {**said, "record_id": str(new_id()), "after": str(first.pk), "sent_at": ""}
    refused = as_person(clerk).post(page, form)
    assert refused.status_code == 422 and "M. Thorne had it mailed" in refused.content.decode()
    done = as_person(clerk).post(page, {**form, "after": str(queries.last_sending(letter))})
    assert done.status_code == 302


def test_an_office_without_a_mail_server_mails_no_letter(clerk, asked, settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.dummy.EmailBackend"
    with pytest.raises(Invalid) as refused:
        mailed(made(asked, clerk), clerk)
    assert set(refused.value.errors) == {"way"}


def test_a_template_takes_the_place_of_the_standard_text_and_a_letter_keeps_its_edition(
    clerk, asked
):
    assert not next(one for one in queries.offers() if one.kind is LetterKind.FEE).templates
    first = own_template(clerk)
    letter = actions.write_letter(
        clerk, case_id=asked.case_id, request_id=asked.pk, record_id=new_id(), kind="fee",
        template_id=first.pk, entry={"address": ""},
    )  # fmt: skip
    assert letter.body == f"To {asked.party}."
    second = changed(clerk, first, kind="own")
    assert (second.number, second.replaces, second.kind) == (2, first, "fee")
    letter.refresh_from_db()
    assert (letter.template, letter.edition) == (first, "“Fee”, edition 1")
    [offered] = next(one for one in queries.offers() if one.kind is LetterKind.FEE).templates
    assert offered == second
    assert [one.number for one in queries.editions_of(first)] == [2, 1]
    with pytest.raises(Refused, match="no longer offered"):
        actions.write_letter(
            clerk, case_id=asked.case_id, request_id=asked.pk, record_id=new_id(), kind="fee",
            template_id=first.pk, entry={},
        )  # fmt: skip
    with pytest.raises(StaleRecord):
        changed(clerk, first, body="Other")
    gone = actions.void_letter_template(clerk, template_id=second.pk, version=1, reason="unused")
    assert gone.is_voided
    # Sent once more, each has its answer also after what it made was replaced or withdrawn.
    assert own_template(clerk, record_id=first.pk, body=first.body) == first
    assert changed(clerk, first, record_id=second.pk) == gone
    with pytest.raises(Refused, match="no longer in use"):
        changed(clerk, gone)


def test_a_template_names_known_fields_and_no_two_have_one_title(clerk):
    with pytest.raises(Invalid) as wrong:
        own_template(clerk, subject="{due.dya}", body="{open")
    assert "Do you mean {due.day}?" in wrong.value.errors["subject"][0]
    assert set(wrong.value.errors) == {"subject", "body"}
    own_template(clerk)
    with pytest.raises(Invalid):
        own_template(clerk)
    assert own_template(clerk, kind="cover").pk
    assert LetterTemplate.objects.count() == 2


def test_every_standard_letter_can_be_begun_for_a_bare_request(clerk, asked):
    values = values_for(clerk, asked)
    for kind in STANDARD:
        begun = queries.begun_from(kind, None, values)
        assert "{" not in begun.subject, kind
        assert f"To {asked.party}:" in begun.body


def test_a_letter_dated_later_than_today_is_allowed_within_two_months(clerk, asked):
    later = timezone.localdate() + timedelta(days=3)
    assert written(asked, clerk, dated_on=later).dated_on == later
    assert WORDS["to_name"] == "A. Pell"


def test_the_cover_letter_of_a_release_is_the_latest_that_is_made_and_stands(clerk, asked):
    assert queries.cover_letter_of(asked.pk) is None
    made(asked, clerk)
    written(asked, clerk, kind="cover")
    assert queries.cover_letter_of(asked.pk) is None
    first, second = made(asked, clerk, kind="cover"), made(asked, clerk, kind="cover")
    assert queries.cover_letter_of(asked.pk) == second
    actions.withdraw_letter(clerk, record_id=second.pk, version=2, reason="wrong name")
    assert queries.cover_letter_of(asked.pk) == first


def test_a_request_without_demands_is_cited_in_its_own_words(clerk, asked):
    assert values_for(clerk, asked)["demand list"] == asked.asks_for

"""Templates added, replaced and withdrawn; letters written, made, sent and withdrawn."""

from __future__ import annotations

import io
from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import (
    case_to_change,
    names_entered,
    refuse_voided,
    refuse_wrong,
    require_standing,
    void_entry,
    voids,
)
from cases.actions.office import adds_to_office, replaces_edition, withdraws_of_office
from cases.letters import queries
from cases.letters.court_values import address_of
from cases.letters.merging import wrong_in_letter, wrong_in_template
from cases.letters.models import Letter, LetterMail, LetterSending, LetterTemplate
from cases.letters.printing import file_name, print_letter
from cases.letters.rules import (
    LetterKind,
    LetterState,
    Outcome,
    Way,
    wrong_day,
    wrong_in_address,
    wrong_in_sending,
)
from cases.letters.values import values_for
from cases.models import Case
from evidence import store
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Invalid, Refused, known
from me_office.audit.fields import said_of, set_fields
from me_office.audit.records import VOIDING, recorded_before, save_new, save_next_version
from me_office.entries import Entry
from me_office.mailing import can_mail
from me_office.shell.templatetags.office import moment

TEMPLATE_FIELDS = ("kind", "title", "subject", "body")
LETTER_FIELDS = (
    *("to_name", "address", "dated_on", "subject", "body"),
    *("signer", "enclosures"),
)
SENDING_FIELDS = names_entered(LetterSending)


def _put(template: LetterTemplate, entry: Entry) -> None:
    set_fields(template, entry, TEMPLATE_FIELDS, whole=True)
    template.subject = " ".join(template.subject.split())
    wrong = {
        name: words
        for name in ("subject", "body")
        if (words := wrong_in_template(getattr(template, name)))
    }
    refuse_wrong(wrong)


# A retry may come after the template was replaced or withdrawn. `entry` has TEMPLATE_FIELDS.
add_letter_template = adds_to_office(
    "add_letter_template", LetterTemplate, _put, act=Act.KEEP_CLERK_LISTS, assigned=VOIDING
)

# A letter keeps the edition it was begun from.
change_letter_template = replaces_edition(
    "change_letter_template", LetterTemplate, "template", _put,
    act=Act.KEEP_CLERK_LISTS, fields=TEMPLATE_FIELDS, fixed="kind",
)  # fmt: skip

# Letters begun from it stay.
void_letter_template = withdraws_of_office(
    "void_letter_template", LetterTemplate, "template", act=Act.KEEP_CLERK_LISTS, key="template_id"
)


@action
def write_letter(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    kind: str,
    template_id: UUID | None = None,
    entry: Entry,
    reason: str = "",
) -> Letter:
    """Begin a letter as a draft; `entry` holds LETTER_FIELDS, and what it lacks is filled in.

    Raises NotAllowed, NotKnown, Invalid, Refused, Conflict.
    """
    case = case_to_change(actor, Act.HANDLE_REQUEST, case_id)
    there = Letter.objects.filter(pk=record_id).first()
    asked = queries.request_of(case, request_id)
    if kind not in {one.value for one in LetterKind}:
        raise Refused("Choose what the letter is for.", field="kind")
    template = queries.template_of(template_id) if template_id else None
    if template is not None and (template.kind != kind or (template.is_voided and not there)):
        raise Refused("This template is no longer offered. Choose another.", field="template")
    letter = Letter(
        pk=record_id, case=case, request=asked, kind=kind, template=template,
        number=there.number if there else queries.next_number(case),
    )  # fmt: skip
    begun = queries.begun_from(LetterKind(kind), template, values_for(actor, asked))
    to_name, address = address_of(asked)
    first = {
        "to_name": to_name, "address": address, "dated_on": timezone.localdate(),
        "subject": begun.subject, "body": begun.body, "signer": actor.printed_name,
        "enclosures": "",
    }  # fmt: skip
    letter.edition = begun.edition
    if there is not None:
        # A retry: what it leaves out stands as it was filled in then.
        letter.edition = there.edition
        first = said_of(there, LETTER_FIELDS)
    set_fields(letter, {**first, **entry}, LETTER_FIELDS)
    _tidy(letter)
    again = recorded_before(letter, assigned=_LATER)
    if again is not None:
        return again
    _check(letter)
    return save_new(actor, letter, own_key=True)


# What a letter becomes after it was begun; a retry of the beginning is known without.
_LATER = (
    *("state", "made_at", "made_by", "file", "pages"),
    *VOIDING,
)


@action
def change_letter(
    actor: Staff, *, case_id: UUID, letter_id: UUID, version: int, entry: Entry, reason: str = ""
) -> Letter:
    """Change a draft; `entry` holds LETTER_FIELDS.

    Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid.
    """
    case = case_to_change(actor, Act.HANDLE_REQUEST, case_id)
    letter = queries.letter_for_update(case, letter_id)
    require_standing(letter, version)
    _require_draft(letter)
    set_fields(letter, entry, LETTER_FIELDS)
    _tidy(letter)
    _check(letter)
    return save_next_version(actor, letter)


@action
def make_letter(
    actor: Staff, *, case_id: UUID, letter_id: UUID, version: int, reason: str = ""
) -> Letter:
    """Make the PDF of a draft and keep it; from then on the letter never changes.

    Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid, StoreFault.
    """
    case = case_to_change(actor, Act.HANDLE_REQUEST, case_id)
    queries.letter_for_update(case, letter_id)
    letter = queries.letter_of(case, letter_id)
    require_standing(letter, version)
    _require_draft(letter)
    refuse_wrong(
        {
            name: words
            for name in ("subject", "body", "to_name", "address", "signer", "enclosures")
            if (words := wrong_in_letter(getattr(letter, name)))
        }
    )
    now = timezone.now()
    printed = print_letter(letter, at=now)
    with store.receive(io.BytesIO(printed.pdf), name=file_name(letter)) as incoming:
        whole = incoming.recognized(media_type="application/pdf")
        letter.state, letter.made_at, letter.made_by = LetterState.MADE.value, now, actor
        with store.kept(whole, folder=store.DERIVED) as file:
            letter.file, letter.pages = file, printed.pages
            save_next_version(actor, letter)
    return letter


withdraw_letter = voids("withdraw_letter", Letter, Act.HANDLE_REQUEST)


@action
def record_letter_sent(
    actor: Staff,
    *,
    case_id: UUID,
    letter_id: UUID,
    record_id: UUID,
    after: UUID | None = None,
    entry: Entry,
    reason: str = "",
) -> LetterSending:
    """Record that a made letter went out, or have it mailed; `entry` holds SENDING_FIELDS.

    `after` is the key of the last sending that was read: what another person had mailed to the
    same address since is told, and not mailed there twice.
    Raises NotAllowed, NotKnown, Refused, Invalid, Conflict.
    """
    case = case_to_change(actor, Act.HANDLE_REQUEST, case_id)
    letter = queries.letter_for_update(case, letter_id)
    sending = LetterSending(pk=record_id, case=case, letter=letter)
    set_fields(sending, entry, SENDING_FIELDS)
    mailed = sending.way == Way.EMAIL
    # The moment of a mail is the office's.
    assigned = ("outcome", "fault", *VOIDING)
    there = recorded_before(sending, assigned=(*assigned, "sent_at") if mailed else assigned)
    if there is not None:
        return there
    if letter.made_at is None:
        raise Refused("Make the letter first: what is sent is the kept PDF.")
    refuse_voided(letter)
    said = said_of(sending, SENDING_FIELDS)
    refuse_wrong(
        wrong_in_sending(said, now=timezone.now(), made_at=letter.made_at, can_mail=can_mail())
    )
    if mailed:
        refuse_mailed_since(sending, after)
    save_new(actor, sending, own_key=True)
    if mailed:
        LetterMail.objects.create(sending=sending)
    return sending


def refuse_mailed_since(sending: LetterSending, after: UUID | None) -> None:
    """Refuse a mail where one went, or goes, to the same address that was not read. Raises Refused.

    The letter is locked: of two at the same time the second finds the first.
    """
    there = queries.last_mail(sending.letter, sending.address, after=after)
    if there is not None:
        raise Refused(
            f"{there.created_by} had it mailed to this address on {moment(there.created_at)}. To "
            "have it mailed there once more, open this page anew.",
            field="address",
        )


@action
def withdraw_letter_sent(
    actor: Staff,
    *,
    record_id: UUID,
    version: int,
    reason: str,
    case_id: UUID | None = None,
    letter_id: UUID | None = None,
) -> LetterSending:
    """Withdraw what was recorded of a letter's sending. Raises as `void_entry`.

    `case_id` and `letter_id` say under which case and letter it is sought.
    """
    sending = void_entry(
        actor, LetterSending, act=Act.HANDLE_REQUEST, record_id=record_id, version=version,
        reason=reason, case_id=case_id,
    )  # fmt: skip
    known(sending if letter_id in (None, sending.letter_id) else None, "sending")
    return sending


@action
def finish_letter_mail(
    actor: Staff, *, sending_id: UUID, outcome: str, fault: str = "", reason: str = ""
) -> LetterSending:
    """Note how a mail went, for the person who asked for it. Called by the job alone.

    The mail is out or not, whatever the person may do by now. What was told as not known is told
    anew where a slow worker learns it after all. Raises NotKnown.
    """
    rows = LetterSending.objects.select_for_update(of=("self",)).filter(pk=sending_id)
    sending = known(rows.first(), "letter")
    if sending.outcome not in {Outcome.WAITING, Outcome.UNKNOWN} or sending.outcome == outcome:
        return sending
    sending.outcome, sending.fault = outcome, fault
    if outcome == Outcome.SENT:
        sending.sent_at = timezone.now()
    return save_next_version(actor, sending)


def _require_draft(letter: Letter) -> None:
    if letter.is_made:
        raise Refused("The letter is made and no longer changes. Withdraw it and write another.")


def _tidy(letter: Letter) -> None:
    letter.subject = " ".join(str(letter.subject).split())
    letter.address = "\n".join(
        one.strip() for one in str(letter.address).splitlines() if one.strip()
    )


def _check(letter: Letter) -> None:
    wrong = {
        **wrong_in_address(letter.address),
        **wrong_day(letter.dated_on, timezone.localdate()),
    }
    if wrong:
        raise Invalid({name: [words] for name, words in wrong.items()})


def letter_pdf(case: Case, letter_id: UUID) -> bytes:
    """Return the kept bytes of a made letter, for who sends it with something else."""
    letter = queries.letter_of(case, letter_id)
    if letter.file is None:
        raise Refused("The letter is not made yet.")
    with store.open_stored(letter.file) as file:
        data: bytes = file.read()
        return data

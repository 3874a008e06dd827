"""API of letters, their templates and their sending: the same actions as the pages."""

from __future__ import annotations

from collections.abc import Iterable

from rest_framework import serializers

from cases.api.serializers import VOIDABLE, ReasonInput
from cases.api.shared import CASE, framed
from cases.letters import actions, queries
from cases.letters.models import Letter, LetterSending, LetterTemplate
from me_office.accounts.models import Staff
from me_office.accounts.roles import CASE_ROLES
from me_office.audit.errors import NotAllowed
from me_office.shell.endpoints import adds, at, changes, lists, reads, tells
from me_office.shell.shapes import ReadShape, sent_shape, shape_of

SENDING = ("way", "to_name", "address", "sent_at", "note")
OPTIONAL = {name: {"required": False} for name in actions.LETTER_FIELDS}

TemplateInput = sent_shape(
    "LetterTemplateInput", LetterTemplate, ("id", *actions.TEMPLATE_FIELDS),
    "Words of the office for a kind of letter.",
)  # fmt: skip
TemplateChange = sent_shape(
    "LetterTemplateChange", LetterTemplate,
    ("id", "version", "reason", "title", "subject", "body"),
    "A new edition, with the version of the one it replaces and the reason.",
    version=serializers.IntegerField(), reason=serializers.CharField(write_only=True),
)  # fmt: skip
TemplateOutput = shape_of(
    "LetterTemplateOutput", LetterTemplate,
    (*VOIDABLE, "number", "replaces", *actions.TEMPLATE_FIELDS),
    "An edition of a template of letters.",
)  # fmt: skip
SendingInput = sent_shape(
    "LetterSendingInput", LetterSending, ("id", "after", *SENDING),
    "How a letter went out; by e-mail it is mailed from here. `after` is the key of the last "
    "sending that was read, where there was one.",
    after=serializers.UUIDField(required=False, allow_null=True),
)  # fmt: skip
SendingOutput = shape_of(
    "LetterSendingOutput", LetterSending, (*VOIDABLE, *SENDING, "outcome", "fault"),
    "How a letter went out; a mail without outcome waits.",
)  # fmt: skip
LetterInput = sent_shape(
    "LetterInput", Letter, ("id", "request", "kind", "template", *actions.LETTER_FIELDS),
    "A letter begun as a draft; what is left out is filled in from template and request.",
    meta={"extra_kwargs": OPTIONAL}, request=serializers.UUIDField(), kind=serializers.CharField(),
    template=serializers.UUIDField(required=False, allow_null=True),
)  # fmt: skip
LetterChange = sent_shape(
    "LetterChange", Letter, ("version", *actions.LETTER_FIELDS),
    "A changed draft, with the version that was read.",
    meta={"extra_kwargs": OPTIONAL},
)  # fmt: skip
LetterOutput = shape_of(
    "LetterOutput", Letter,
    (*VOIDABLE, "number", "reference", "request", "kind", "template", "edition",
     *actions.LETTER_FIELDS, "state", "made_at", "pages", "sha256", "sendings"),
    "A letter with how it was sent.",
    reference=serializers.CharField(),
    sha256=serializers.CharField(source="file.sha256", default=None),
    sendings=SendingOutput(many=True, source="sendings.all"),
)  # fmt: skip


class MakeInput(ReadShape):
    """Which draft was read."""


def _whole(letter: Letter) -> Letter:
    return queries.letter_of(letter.case, letter.pk)


def _templates(actor: Staff) -> Iterable[LetterTemplate]:
    if not actor.roles & CASE_ROLES:
        raise NotAllowed("Your account gives no access to case files.")
    return queries.templates_in_use()


_ONE = f"{CASE}/letters/<uuid:letter_id>"
_TEMPLATE = "letter-templates/<uuid:template_id>"
routes = [
    at("letter-templates/", "letter-templates",
       get=tells("letter_templates_list", _templates, TemplateOutput,
           "List the office's templates of letters that are in use."),
       post=adds("letter_templates_add", actions.add_letter_template, TemplateInput,
           TemplateOutput, "Add a template of letters.")),
    at(f"{_TEMPLATE}/", "letter-template",
       put=changes("letter_templates_change", actions.change_letter_template, TemplateChange,
           TemplateOutput, "Put a new edition in place of a template of letters.")),
    at(f"{_TEMPLATE}/void/", "letter-template-void",
       post=changes("letter_templates_void", actions.void_letter_template, ReasonInput,
           TemplateOutput, "Withdraw a template of letters, with the reason.")),
    at(f"{CASE}/letters/", "letters",
       get=lists("letters_list", framed("court"), queries.letters_of, LetterOutput,
           "Return the letters of the case, the latest first."),
       post=adds("letters_write", actions.write_letter, LetterInput, LetterOutput,
           "Begin a letter as a draft.", shown=_whole)),
    at(f"{_ONE}/", "letter",
       get=reads("letters_read", framed("court"), queries.letter_of, LetterOutput,
           "Return the letter."),
       put=changes("letters_change", actions.change_letter, LetterChange, LetterOutput,
           "Change a draft.", shown=_whole)),
    at(f"{_ONE}/make/", "make-letter",
       post=changes("letters_make", actions.make_letter, MakeInput, LetterOutput,
           "Make the letter's PDF and keep it.", shown=_whole)),
    at(f"{_ONE}/withdraw/", "withdraw-letter",
       post=changes("letters_withdraw", actions.withdraw_letter, ReasonInput, LetterOutput,
           "Withdraw the letter, with the reason.", shown=_whole,
           keys={"letter_id": "record_id"})),
    at(f"{_ONE}/sendings/", "letter-sendings",
       post=adds("letters_send", actions.record_letter_sent, SendingInput, SendingOutput,
           "Record how the letter went out, or have it mailed.")),
    at(f"{_ONE}/sendings/<uuid:sending_id>/withdraw/", "withdraw-letter-sending",
       post=changes("letters_withdraw_sending", actions.withdraw_letter_sent, ReasonInput,
           SendingOutput, "Withdraw what was recorded of a sending, with the reason.",
           keys={"sending_id": "record_id"})),
]  # fmt: skip

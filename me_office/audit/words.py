"""Turns table, column and act names into words. Knows no case: it reads the models' own names."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from django.apps import apps
from django.db import models
from django.utils import dateparse

from me_office.moments import clock_words

# The first word of an action's name, as it is told afterward.
PAST = {
    "accept": "accepted",
    "add": "added",
    "answer": "answered",
    "apply": "applied",
    "assign": "assigned",
    "begin": "began",
    "break": "broke",
    "change": "changed",
    "close": "closed",
    "comment": "commented",
    "compose": "composed",
    "confirm": "confirmed",
    "copy": "copied",
    "correct": "corrected",
    "count": "counted",
    "decline": "declined",
    "describe": "described",
    "fail": "noted the failure of",
    "finish": "finished",
    "fix": "fixed",
    "keep": "kept",
    "leave": "left",
    "link": "linked",
    "log": "logged",
    "make": "made",
    "mark": "marked",
    "measure": "measured",
    "note": "noted",
    "move": "moved",
    "issue": "issued",
    "open": "opened",
    "outline": "outlined",
    "place": "placed",
    "put": "put",
    "receive": "received",
    "record": "recorded",
    "resolve": "resolved",
    "set": "set",
    "remove": "removed",
    "redact": "covered parts of",
    "rename": "renamed",
    "reopen": "reopened",
    "replace": "replaced",
    "request": "requested",
    "revoke": "revoked",
    "restrict": "restricted",
    "retry": "retried",
    "retire": "retired",
    "return": "sent back",
    "seal": "sealed",
    "sign": "signed",
    "state": "stated",
    "submit": "sent to review",
    "take": "took",
    "unlink": "unlinked",
    "unrestrict": "opened to the office",
    "void": "voided",
    "renew": "renewed",
    "weigh": "weighed",
    "withdraw": "withdrew",
    "write": "wrote",
}
WHOLE = {
    "give_request": "said who handles a request",
    "record_protective_order": "recorded a protective order",
    "change_protective_order": "corrected a protective order",
    "void_protective_order": "withdrew a protective order",
    "record_copies_ended": "recorded what became of copies under a protective order",
    "replace_certificate_wording": "put another wording of the custodian’s certificate in place",
    "record_delivery": "delivered an answer",
    "call_back_delivery": "called back the address of an answer",
    "give_page_numbers": "numbered the pages of an answer",
    "replace_page_series": "chose how pages are numbered",
    "record_fee": "kept a fee of the office’s list",
    "withdraw_fee": "withdrew a fee of the office’s list",
    "issue_invoice": "wrote an invoice",
    "record_payment": "recorded the payment of an invoice",
    "waive_invoice": "waived an invoice",
    "withdraw_invoice": "withdrew an invoice",
    "attach_original": "attached the original of a request",
    "record_authority": "recorded by what right somebody asks",
    "change_authority_need": "changed with which requests a right is asked for",
    "record_counsel": "recorded counsel of a request",
    "withdraw_counsel": "withdrew counsel of a request",
    "add_request_case": "noted that a request asks for this case, too",
    "remove_request_case": "noted that a request does not ask for this case after all",
    "keep_court_closure": "kept a closure of a court",
    "withdraw_court_closure": "withdrew a closure of a court",
    "write_letter": "began a letter",
    "change_letter": "changed the draft of a letter",
    "make_letter": "made a letter",
    "withdraw_letter": "withdrew a letter",
    "record_letter_sent": "recorded or asked for the sending of a letter",
    "withdraw_letter_sent": "withdrew a record of a letter’s sending",
    "add_letter_template": "added a template of letters",
    "change_letter_template": "put a new edition in place of a template of letters",
    "void_letter_template": "withdrew a template of letters",
    "reword": "changed a wording of the office’s reports",
    "restore_wording": "went back to a standard wording of reports",
    "sign_second": "signed an addendum as second pathologist",
    "import_certificate": "imported a certificate",
    "trust_time_stamps": "trusted an authority of time stamps",
    "decide_part": "decided on a part of the internal examination",
    "state_part_negative": "stated the negative of a part",
    "use_template": "laid the sentences of a template",
    "leave_system_out": "stated that the rest of a system was not examined",
    "add_system_template": "added sentences for a system",
    "change_system_template": "put a new edition in place of a template",
    "void_system_template": "withdrew a template",
    "renumber_exhibits": "numbered all exhibits of the set",
    "arrange_exhibits": "changed the order of the exhibits",
    "open_first_account": "opened the first account of the office",
    "change_own_password": "chose a password",
    "choose_calendar_names": "chose whether calendars name decedents",
    "keep_leave": "kept leave",
    "withdraw_leave": "withdrew leave",
    "choose_daily_mail": "chose whether what is waiting is mailed to them",
    "choose_own_shortcuts": "switched their own single-key shortcuts on or off",
    "set_up_second_factor": "set up a second factor",
    "take_own_second_factor_away": "removed their own second factor",
    "make_recovery_codes": "made recovery codes",
    "see_recovery_codes": "viewed their own recovery codes",
    "sign_in": "signed in",
    "confirm_identity": "confirmed their own identity",
    "replace_password": "set a new password",
    "reset_second_factor": "removed the second factor",
    "reopen_account": "reopened the account",
    "close_account": "closed the account",
    "change_account": "changed the account",
    "open_account": "opened the account",
    "amend_record": "amended the signed case",
    "amend_identity": "added a step of identification to the signed case",
    "sign_off": "signed the review of the report and locked the case file",
    "record_outside_review": "recorded a review made outside the office and locked the case file",
    "finish_without_review": "finished the report without peer review and locked the case file",
    "reach_records": "chose records that a demand reaches",
    "leave_out_records": "left out records that a demand reached",
    "decide_items": "decided what becomes of items that were asked for",
    "set_aside_sent": "set aside what was sent earlier",
    "note_stop": "noted what keeps answers back",
    "lift_stop": "lifted what kept answers back",
    "settle_stop": "decided that something does not keep the answer back",
    "ask_to_look": "asked somebody to look before a release",
    "answer_look": "answered a question about a release",
    "withdraw_look": "withdrew a question about a release",
    "approve_release": "approved what goes out, as the second person",
    "end_approval": "took back the approval of what goes out",
    "set_proposal_rule": "changed a rule of proposals",
    "state_cause_and_manner": "stated cause and manner",
    "keep_short_key": "kept a short key",
    "void_short_key": "withdrew a short key",
    "add_office_word": "added a word of the office",
    "void_office_word": "withdrew a word of the office",
    "state_to_registrar": "stated the certificate to the registrar",
    "record_particulars": "recorded items of the certificate that others state",
    "record_follow_up": "recorded what the certificate waits for",
    "void_follow_up": "voided something the certificate waits for",
    "submit_report": "sent the report to peer review",
    "return_report": "sent the report back",
    "comment_on_passage": "commented on a passage of the report",
    "change_review_policy": "changed the rules of review",
    "draw_seed": "drew a new seed for the share of cases",
    "give_review": "gave the review of the report to somebody",
    "record_opinion": "recorded an opinion of their own on cause and manner",
    "compare_opinion": "compared their opinion with the author's",
    "settle_disagreement": "recorded how a disagreement on cause and manner was settled",
    "fill_sheet": "answered the review sheet",
    "reply_to_comment": "replied to a comment on the report",
    "resolve_comment": "resolved a comment on the report",
    "reopen_comment": "reopened a comment on the report",
    "write_report": "wrote the report's text",
    "log_report_of_death": "logged the report of death",
    "receive_body": "recorded receipt of the body",
    "release_body": "recorded release of the body",
    "return_body": "recorded the return of the body",
    "place_hold": "placed a hold on the body",
    "lift_hold": "lifted a hold on the body",
    "void_hold": "voided a hold on the body",
    "void_release": "voided a release of the body",
    "void_return": "voided a return of the body",
    "log_cremation_request": "logged a request for cremation approval",
    "decide_cremation": "decided on a cremation",
    "void_cremation_request": "voided a request for cremation approval",
    "record_disposition": "recorded the final disposition",
    "void_disposition": "voided a final disposition",
    "keep_court_mark": "kept a mark made in court",
    "void_court_mark": "withdrew a mark made in court",
    "state_not_done": "stated what was not done",
    "void_not_done": "withdrew a statement of what was not done",
    "close_case": "closed the case without a report",
    "reopen_case": "reopened the case",
    "record_scene": "recorded the scene",
    "accept_jurisdiction": "accepted jurisdiction",
    "decline_jurisdiction": "declined jurisdiction",
    "restrict_case": "restricted the case",
    "unrestrict_case": "opened the case to the office",
    "assign_case": "assigned the case",
    "open_examination": "opened the examination",
    "record_examination": "recorded the examination",
    "record_qualification": "recorded a line of a curriculum vitae",
    "void_qualification": "voided a line of a curriculum vitae",
    "list_testimony": "listed a case testified in",
    "void_testimony_line": "voided a case testified in",
    "issue_curriculum": "issued a curriculum vitae",
    "record_appearance": "recorded a date in court",
    "move_appearance": "moved a date in court",
    "cancel_appearance": "canceled a date in court",
    "record_testimony": "recorded how a date in court went",
    "settle_asked": "noted what was done about what was asked for in court",
    "void_appearance": "voided a date in court",
    "request_packet": "requested a release packet",
    "record_release": "recorded a release",
    "answer_without_packet": "recorded an answer without a packet",
    "retry_packet": "retried building a release packet",
    "release_packet": "released a packet",
    "hand_to_agency": "handed items to an agency",
    "void_receipt": "withdrew the receipt of an agency",
    "receive_specimen": "received a specimen taken by others",
    "record_property": "recorded an item of evidence or personal effects",
    "describe_property": "corrected an item of evidence or personal effects",
    "record_kit": "recorded a kit or tray",
    "move_part": "moved a part to the kit that it is in",
    "take_part_out": "took a part out of the kit in which it was recorded",
    "enclose_file": "attached a file to an item named by hand",
    "hand_over_apart": "noted that an item is handed over separately",
    "hand_over_packet": "recorded the release of a packet",
    "confirm_negative": "confirmed a negative statement",
    "set_aside": "set aside a gap or proposal",
    "point_out_again": "restored a gap or proposal that was set aside",
    "point_out_check_again": "restored a conflict that was set aside",
    "set_check_aside": "set a conflict in the record aside",
    "answer_check": "answered a check",
    "withdraw_registrar_statement": "withdrew a statement to the registrar",
    "withdraw_answer": "withdrew the answer to a check",
    "add_office_check": "added a check of the office",
    "change_office_check": "changed a check of the office",
    "withdraw_office_check": "withdrew a change of the office’s checks",
    "request_copy": "requested a copy of a photograph",
    "retry_copy": "retried making a copy of a photograph",
    "leave_copy": "dismissed a copy that could not be made",
    "open_document_redaction": "began to redact a document",
    "add_document_to_redact": "added a document to be redacted",
    "void_document_redaction": "withdrew the redaction of a document",
    "mark_for_redaction": "marked what is hidden in a document",
    "change_redaction_mark": "gave a mark in a document another reason",
    "void_redaction_marks": "took back what was marked in a document",
    "request_redacted_document": "requested the redacted copy of a document",
    "retry_redacted_document": "retried making the redacted copy of a document",
    "abandon_redacted_document": "dismissed a redacted copy of a document that could not be made",
    "leave_words_elsewhere": "let a redacted copy go out with hidden words still read elsewhere",
    "add_redaction_reason": "added a reason for redaction",
    "change_redaction_reason": "changed a reason for redaction",
    "void_redaction_reason": "took a reason for redaction off the list",
    "request_redaction": "requested a redacted copy of a photograph",
    "add_statement": "added an earlier statement",
    "change_statement": "corrected what is said of an earlier statement",
    "void_statement": "withdrew an earlier statement",
    "abandon_statement": "dismissed an earlier statement that could not be read",
    "retry_statement_reading": "asked again for an earlier statement to be read",
    "mark_passage": "marked a passage of an earlier statement",
    "link_passage": "changed what a passage of an earlier statement is about",
    "void_passage": "withdrew a passage of an earlier statement",
    "retry_redaction": "retried making a redacted copy of a photograph",
    "leave_redaction": "dismissed a redacted copy that could not be made",
    "add_own_question": "added a question for rehearsal",
    "change_own_question": "changed a question for rehearsal",
    "withdraw_own_question": "withdrew a question for rehearsal",
    "mark_answer": "noted how an answer came in rehearsal",
    "request_exhibit_pdf": "requested a PDF of an exhibit set",
    "retry_exhibit_pdf": "retried making a PDF of an exhibit set",
    "abandon_exhibit_pdf": "dismissed a PDF of an exhibit set that could not be made",
    "put_measurement_into_finding": "used a measurement for the size of a finding",
}
# What workers do in the name of the person who asked: told as done by nobody, and left out where
# the history is that of one person.
AUTOMATIC = {
    "finish_letter_mail": "mailing of a letter noted automatically",
    "add_preview": "preview made automatically",
    "fail_preview": "preview could not be made",
    "begin_copy": "copy of a photograph begun automatically",
    "finish_copy": "copy of a photograph made automatically",
    "fail_copy": "copy of a photograph could not be made",
    "begin_redaction": "redacted copy begun automatically",
    "finish_redaction": "redacted copy made automatically",
    "fail_redaction": "redacted copy could not be made",
    "begin_redacted_document": "redacted copy of a document begun automatically",
    "finish_redacted_document": "redacted copy of a document made automatically",
    "fail_redacted_document": "redacted copy of a document could not be made",
    "begin_exhibit_pdf": "PDF of an exhibit set begun automatically",
    "finish_exhibit_pdf": "PDF of an exhibit set made automatically",
    "fail_exhibit_pdf": "PDF of an exhibit set could not be made",
    "begin_packet": "release packet begun automatically",
    "finish_packet": "release packet made automatically",
    "fail_packet": "release packet could not be made",
    "begin_answer": "answer to a request begun automatically",
    "finish_answer": "answer to a request made automatically",
    "fail_answer": "answer to a request could not be made",
    "keep_signed_pdf": "PDF of the signed report made automatically",
    "keep_signed_report": "PDF of the signed report made and signed automatically",
    "keep_signed_addendum": "PDF of an addendum made and signed automatically",
    "renew_certificate": "certificate renewed automatically",
    "begin_statement_reading": "reading of an earlier statement begun automatically",
    "finish_statement_reading": "earlier statement read automatically",
    "fail_statement_reading": "earlier statement could not be read",
}
# Tables whose records are named otherwise: by which columns, and by how many of those that are
# filled.
NAMED_BY: Mapping[str, tuple[tuple[str, ...], int]] = {
    "decisions_itemdecision": (("outcome", "number", "label"), 2),
    "decisions_reach": (("words", "kind"), 1),
}
# Columns that name a record, in the order in which they say most.
NAMING = (
    "number",
    "term",
    "title",
    "name",
    "material",
    "organ",
    "layer",
    "statement",
    "manner",
    "outcome",
    "identity",
    "method",
    "party",
    "released_to",
    "to_party",
    "heading",
    "family_name",
    "view",
    "kind",
)
UNITS = {
    "g": "g", "kg": "kg", "mm": "mm", "cm": "cm", "c": "°C", "px": "px", "bytes": "bytes",
    "years": "years", "minutes": "min", "seconds": "s", "percent": "%",
}  # fmt: skip
UNSAID = {
    "version",
    "id",
    "case_id",
    "created_at",
    "search_name",
    "void_reason",
    "voided_by_id",
    "position",
    "numbers_before",
    "session_generation",
    "only",
    "name_key",
}


def act_words(act: str) -> str:
    """Return what was done, told afterward: record_finding -> recorded a finding."""
    if act in AUTOMATIC:
        return AUTOMATIC[act]
    if act in WHOLE:
        return WHOLE[act]
    first, _, rest = act.partition("_")
    verb = PAST.get(first, first)
    if not rest:
        return verb
    thing = rest.replace("_", " ")
    article = "an" if thing[0] in "aeiou" else "a"
    return f"{verb} {article} {thing}"


def failed_try_words(asked: Mapping[str, str]) -> str:
    """Say a wrong password or code: wrong password, at the sign-in."""
    wrong, place = f"wrong {asked.get('secret', 'password')}", asked.get("place", "")
    what = f"told to wait after too many {wrong}s" if asked.get("held_back") else wrong
    return f"{what}, at the sign-in" if place == "sign-in" else f"{what}, {place}"


def look_words(what: str) -> str:
    """Return what somebody looked at, in words: cause_and_manner -> cause and manner."""
    return what.replace("_", " ")


@cache
def model_of(table: str) -> type[models.Model] | None:
    """Return the model of a table, or None."""
    for model in apps.get_models(include_auto_created=True):
        if model._meta.db_table == table:
            return model
    return None


def table_words(table: str) -> str:
    """Return a table's name in words: findings_layerfinding -> layer finding."""
    model = model_of(table)
    return str(model._meta.verbose_name) if model else table.replace("_", " ")


def field_words(table: str, column: str) -> str:
    """Return a column's name in words, from the model, without the unit that its name ends with."""
    field = _field(table, column)
    if field is None:
        return column.replace("_", " ")
    name = str(field.verbose_name)
    return name.rpartition(" ")[0] if _unit(field) else name


def _unit(field: models.Field[Any, Any] | None) -> str:
    """Return the unit of a measured column: weight_g is in g, and cause_c is a line of words."""
    if not isinstance(field, models.DecimalField | models.FloatField | models.IntegerField):
        return ""
    return UNITS.get(field.name.rpartition("_")[2], "") if "_" in field.name else ""


def _field(table: str, column: str) -> models.Field[Any, Any] | None:
    model = model_of(table)
    if model is None:
        return None
    for field in model._meta.concrete_fields:
        if field.column == column:
            return field
    return None


def is_shown(table: str, column: str) -> bool:
    """Tell whether a history shows this column."""
    return column not in UNSAID


def value_words(table: str, column: str, value: object, names: dict[str, str]) -> str:
    """Return a stored value as a person reads it. `names` maps keys of staff to their names."""
    if value is None or value == "":
        return ""
    field = _field(table, column)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if field is not None and field.choices:
        return str(dict(field.flatchoices).get(value, value))
    if isinstance(field, models.ForeignKey):
        return names.get(str(value), "")
    if isinstance(field, models.DateTimeField):
        moment = dateparse.parse_datetime(str(value))
        if moment is not None:
            return clock_words(moment, "%d %b %Y, %H:%M")
    if isinstance(value, list | dict):
        return _listed(value)
    return f"{value} {_unit(field)}".rstrip()


def _listed(value: list[Any] | dict[str, Any]) -> str:
    """A few plain words as they are; anything else by its count."""
    if isinstance(value, list) and 0 < len(value) <= 8:
        words = [one for one in value if isinstance(one, str) and one.replace(" ", "").isalpha()]
        if len(words) == len(value):
            return ", ".join(words)
    if not value:
        return ""
    return f"{len(value)} {'entry' if len(value) == 1 else 'entries'}"

"""What may follow a signature: one table, read by the access rules and by the database's lock.

A case that is signed is locked: its rows neither change nor become more, but for what stands here
and for what a signed amendment names (`cases.review.amending`). No database, no clock.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Follows:
    """One table whose rows may be added after the signature; `changes` says whether also changed.

    `columns` may be written even where nothing else changes: no reader of the report sees them;
    `act` is the name of the act (`cases.access.Act`) by which people do it, empty for what the
    office's jobs do.
    """

    act: str
    adds: bool = True
    changes: bool = True
    columns: tuple[str, ...] = ()


# What withdrawing writes on a row, beside its version.
WITHDRAWN = ("voided_at", "voided_by_id", "void_reason")
MAY_FOLLOW: dict[str, Follows] = {
    # Family contacts and the notification of next of kin go on for months.
    "cases_person": Follows("CONTACT_FAMILY"),
    "cases_teammember": Follows("RESTRICT"),
    # Exhibits and specimens go on being handled, sent, returned and disposed of.
    "custody_seal": Follows("TRANSFER_ITEM"),
    "custody_transfer": Follows("TRANSFER_ITEM"),
    "custody_agencyreceipt": Follows("TRANSFER_ITEM"),
    # A body is mostly released before the report is signed, and sometimes long after.
    "remains_bodyhold": Follows("HOLD_BODY"),
    "remains_bodyrelease": Follows("RELEASE_BODY"),
    "remains_bodyreturn": Follows("RELEASE_BODY"),
    "remains_cremationrequest": Follows("LOG_CREMATION"),
    "remains_cremationdecision": Follows("DECIDE_CREMATION", changes=False),
    "remains_disposition": Follows("RECORD_DISPOSITION"),
    # A certificate is filed and completed apart from the report; what was stated never changes.
    "certification_particulars": Follows("KEEP_CERTIFICATE"),
    "certification_followup": Follows("KEEP_CERTIFICATE"),
    "certification_registrarstatement": Follows(
        "STATE_TO_REGISTRAR", changes=False, columns=WITHDRAWN
    ),
    # A late result is added, never changed; what it changes in the report is an amendment's.
    "results_result": Follows("RECORD_RESULT", changes=False),
    "results_resultitem": Follows("RECORD_RESULT", changes=False),
    "results_resultline": Follows("RECORD_RESULT", changes=False),
    "exhibits_courtmark": Follows("KEEP_COURT_MARK"),
    "court_recordsrequest": Follows("HANDLE_REQUEST"),
    "court_release": Follows("RELEASE"),
    # What goes out, and how each request is answered, is no part of the report.
    "court_requestcase": Follows("HANDLE_REQUEST"),
    "court_counsel": Follows("HANDLE_REQUEST"),
    "court_demand": Follows("HANDLE_REQUEST"),
    "clock_duecount": Follows("HANDLE_REQUEST", changes=False, columns=WITHDRAWN),
    "clock_clockchange": Follows("HANDLE_REQUEST", changes=False, columns=WITHDRAWN),
    "docket_handling": Follows("HANDLE_REQUEST"),
    "docket_protectiveorder": Follows("HANDLE_REQUEST"),
    "letters_letter": Follows("HANDLE_REQUEST"),
    "letters_lettersending": Follows("HANDLE_REQUEST"),
    "court_original": Follows("HANDLE_REQUEST", changes=False, columns=WITHDRAWN),
    "court_authority": Follows("HANDLE_REQUEST"),
    "court_invoice": Follows("HANDLE_REQUEST"),
    "court_closing": Follows("HANDLE_REQUEST", changes=False),
    "decisions_itemdecision": Follows("DECIDE_RELEASE", changes=False, columns=WITHDRAWN),
    "decisions_approval": Follows("APPROVE_RELEASE", changes=False, columns=WITHDRAWN),
    "decisions_reach": Follows("DECIDE_RELEASE", changes=False, columns=WITHDRAWN),
    "decisions_enclosure": Follows("DECIDE_RELEASE", changes=False, columns=WITHDRAWN),
    "decisions_stop": Follows("DECIDE_RELEASE", changes=False, columns=WITHDRAWN),
    "decisions_stopsettled": Follows("DECIDE_RELEASE", changes=False, columns=WITHDRAWN),
    "decisions_lookasked": Follows("APPROVE_RELEASE"),
    "packets_packet": Follows("BUILD_PACKET"),
    "answers_answer": Follows("BUILD_ANSWER"),
    "answers_pagerun": Follows("BUILD_ANSWER", changes=False),
    "answers_numberedpages": Follows("BUILD_ANSWER", changes=False),
    "answers_delivery": Follows("BUILD_ANSWER"),
    "answers_opening": Follows("", changes=False),
    # Testimony comes after the signature; how it went is written later still.
    "appearances_appearance": Follows("KEEP_APPEARANCE"),
    "appearances_appearancemove": Follows("KEEP_APPEARANCE", changes=False),
    "exhibits_exhibitset": Follows("PREPARE_EXHIBITS"),
    "exhibits_exhibit": Follows("PREPARE_EXHIBITS"),
    "exhibits_exhibitpart": Follows("PREPARE_EXHIBITS"),
    "exhibits_exhibitpdf": Follows("PREPARE_EXHIBITS"),
    "exhibits_exhibitruling": Follows("PREPARE_EXHIBITS"),
    "exhibits_redactionrequest": Follows("PREPARE_EXHIBITS"),
    "exhibits_redaction": Follows("PREPARE_EXHIBITS"),
    # Copies of documents for release; the documents stay as they are.
    "redaction_documentredaction": Follows("REDACT_DOCUMENTS"),
    "redaction_redactionmark": Follows("REDACT_DOCUMENTS"),
    "redaction_redacteddocument": Follows("REDACT_DOCUMENTS"),
    # Work notes of a witness, which are no part of what is signed.
    "rehearsal_ownquestion": Follows("REHEARSE"),
    "rehearsal_rehearsalmark": Follows("REHEARSE", changes=False),
    # What was said elsewhere, before or after; no part of the report.
    "statements_statement": Follows("KEEP_STATEMENTS"),
    "statements_statementpage": Follows("KEEP_STATEMENTS", changes=False),
    "statements_statementpassage": Follows("KEEP_STATEMENTS"),
    "statements_passagelink": Follows("KEEP_STATEMENTS"),
    # Copies leave the original and what was measured on it as they are.
    "measuring_copyrequest": Follows("PREPARE_EXHIBITS"),
    "measuring_derivedcopy": Follows("PREPARE_EXHIBITS"),
    "evidence_photograph": Follows("", adds=False, columns=("preview",)),
    # An upload that was begun may still end or expire; it makes no photograph then.
    "evidence_photographupload": Follows(""),
    # The PDF of what was signed is made by a job, once.
    "review_signedpdf": Follows("", changes=False),
    # So are its signatures, and the PDF of an addendum; a second pathologist may sign that.
    "signatures_signeddocument": Follows("", changes=False),
    "signatures_signature": Follows("", changes=False),
    "signatures_secondsignature": Follows("SIGN_SECOND", changes=False),
    "review_addendum": Follows("AMEND_SIGNED", changes=False),
    "review_amendedpassage": Follows("AMEND_SIGNED", changes=False),
}
ACTS_THAT_FOLLOW = frozenset(one.act for one in MAY_FOLLOW.values() if one.act)

"""The certificate of the records custodian: its wording, and what is filled in."""

from __future__ import annotations

import re
from collections.abc import Mapping

from me_office.statements import COMMON_PRACTICE, statement

# The rules were read as quoted in G. P. Joseph, Self-Authentication of Electronic Evidence: New
# Rules 902(13)-(14) (2018), and in an account of the amendments of December 1, 2017; not in the
# official edition.
SOURCE = "Federal Rules of Evidence 803(6)(A)-(C), 902(11), 902(13), 902(14), as quoted in 2018"
BUSINESS = statement(
    "answer.certificate.records",
    "The documents named below that this office made were made at or near the time of what they "
    "record by, or from information transmitted by, someone with knowledge, or were printed for "
    "this answer from records that were; they were kept in the course of a regularly conducted "
    "activity of this office; and making them was a regular practice of that activity (Federal "
    "Rules of Evidence 803(6)(A)–(C) and 902(11)).",
    where="Answer to a request, certificate",
    source=SOURCE,
)
OTHERS = statement(
    "answer.certificate.others",
    "A document that somebody else made, such as a laboratory’s report or an earlier statement, "
    "was received by this office and is kept as it was received; how it was made is for its maker "
    "to certify.",
    where="Answer to a request, certificate",
    source=COMMON_PRACTICE,
)
PROCESS = statement(
    "answer.certificate.process",
    "The numbered pages were put together from the office’s electronic records by a process that "
    "the office uses for every answer and that, to my knowledge, produces an accurate result: each "
    "stored file is compared with the SHA-256 digest that was computed when it was taken in, and "
    "nothing is sent where the two differ (Rule 902(13)).",
    where="Answer to a request, certificate",
    source=SOURCE,
)
COPIES = statement(
    "answer.certificate.copies",
    "The files that are sent as copies of stored files were identified by that digest: each has "
    "the SHA-256 that is named below for it (Rule 902(14)).",
    where="Answer to a request, certificate",
    source=SOURCE,
)
COUNSEL = statement(
    "answer.certificate.counsel",
    "This certificate is unsigned until the custodian signs it. The custodian strikes what is not "
    "so. Whether a court asks for such a certificate, and in which words, is governed by its own "
    "rules; check with counsel.",
    where="Answer to a request, certificate",
    source=COMMON_PRACTICE,
)
WHO = statement(
    "answer.certificate.who",
    "I am the custodian of the records of {office}, or another person qualified to certify them.",
    where="Answer to a request, certificate",
    source=SOURCE,
)
KEPT_BACK = statement(
    "answer.certificate.kept-back",
    "What was kept back or redacted is named in the withholding log of this answer; a redacted "
    "document is certified as a redacted copy only.",
    where="Answer to a request, certificate",
    source=COMMON_PRACTICE,
)
SWORN = statement(
    "answer.certificate.sworn",
    "I declare under penalty of perjury that the foregoing is true and correct.",
    where="Answer to a request, certificate",
    source="28 U.S.C. 1746; source not checked",
)
STANDARD = "\n".join(one.text for one in (WHO, BUSINESS, OTHERS, PROCESS, COPIES, KEPT_BACK, SWORN))
FIELDS = ("office", "case", "request", "cause", "party", "court")
_FIELD = re.compile(r"\{([^{}]*)\}")


def wrong_in_wording(words: str) -> str:
    """Return what is wrong with a wording, or nothing."""
    unknown = [name for name in _FIELD.findall(words) if name not in FIELDS]
    if unknown:
        known = ", ".join(f"{{{name}}}" for name in FIELDS)
        return f"There is no {{{unknown[0]}}}. What can be filled in: {known}."
    return "" if words.strip() else "Write what the custodian certifies."


def paragraphs(words: str, values: Mapping[str, str]) -> list[str]:
    """Return a wording's paragraphs with what is filled in; a gap stays as a line to write on."""
    filled = _FIELD.sub(lambda found: values.get(found[1]) or "____________", words)
    return [line.strip() for line in filled.splitlines() if line.strip()]

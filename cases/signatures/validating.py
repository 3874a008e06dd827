"""Checks the signatures of a PDF by pyHanko, without a network."""

from __future__ import annotations

import io
import logging
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from asn1crypto import crl, x509
from pyhanko.pdf_utils.misc import PdfError
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.diff_analysis import ModificationLevel
from pyhanko.sign.validation import EmbeddedPdfSignature, validate_pdf_signature
from pyhanko.sign.validation.errors import SignatureValidationError
from pyhanko_certvalidator import ValidationContext

from cases.signatures.authority import ders
from cases.signatures.loops import in_its_own_loop

# It names whose certificate it looks at, and a person's name belongs in no log.
for _name in ("pyhanko", "pyhanko_certvalidator"):
    logging.getLogger(_name).setLevel(logging.CRITICAL + 1)


@dataclass(frozen=True)
class Checked:
    """How one signature of a file stands; `says` is empty where nothing is wrong with it."""

    field: str
    serial: str
    says: str
    stamped_at: datetime | None = None

    @property
    def is_valid(self) -> bool:
        """Tell whether nothing is wrong with it."""
        return not self.says


NOT_READ = "The file can't be read as a PDF with signatures."
CHANGED = "The file was changed after this signature."
REVOKED = "The certificate was revoked."
UNKNOWN = "The certificate was not issued by an authority that the office knows."
ENDED = "The certificate was not valid at that moment."
WRONG_STAMP = "The time stamp is not of an authority that the office knows, or not of this file."


@in_its_own_loop
def check(
    pdf: bytes,
    *,
    roots: str,
    at: datetime,
    lists: Sequence[bytes] = (),
    stamp_roots: str = "",
) -> list[Checked]:
    """Return how each signature stands at a moment, in the order in which they were made.

    `roots` are the certificates that are trusted (PEM), `lists` the lists of revoked ones (DER).
    A certificate is looked for on the lists of who issued it; where there is none, on no list.
    """
    try:
        signatures = PdfFileReader(io.BytesIO(pdf)).embedded_regular_signatures
    except (PdfError, ValueError, KeyError):
        return [Checked("", "", NOT_READ)]
    found = []
    for one in signatures:
        try:
            trust = _trust(roots, at, _lists_for(one, lists))
            found.append(_check(one, trust, _trust(stamp_roots, at, ())))
        except (SignatureValidationError, PdfError, ValueError, KeyError):
            found.append(Checked(one.field_name, "", CHANGED))
    return found


def _lists_for(one: EmbeddedPdfSignature, lists: Sequence[bytes]) -> list[bytes]:
    """Return the lists of who issued the signer's certificate."""
    issuer = one.signer_cert.issuer
    return [der for der in lists if crl.CertificateList.load(der).issuer == issuer]


def _trust(roots: str, at: datetime, lists: Sequence[bytes]) -> ValidationContext:
    return ValidationContext(
        trust_roots=[x509.Certificate.load(der) for der in ders(roots)],
        crls=list(lists),
        moment=at,
        allow_fetching=False,
        # Asked of whom a list is at hand: another authority may publish its own elsewhere only.
        # Anything less than "require" asks only certificates that name the place of their list.
        revocation_mode="require" if lists else "soft-fail",
        retroactive_revinfo=True,
    )


def _check(
    one: EmbeddedPdfSignature, trust: ValidationContext, stamps: ValidationContext
) -> Checked:
    status = validate_pdf_signature(one, trust, stamps)
    stamp = status.timestamp_validity
    says = ""
    if not (status.intact and status.valid) or status.modification_level not in ACCEPTED:
        says = CHANGED
    elif status.revoked:
        says = REVOKED
    elif not status.trusted:
        own = status.signing_cert
        ended = not own.not_valid_before <= trust.moment <= own.not_valid_after
        says = ENDED if ended else UNKNOWN
    elif stamp is not None and not (stamp.intact and stamp.valid and stamp.trusted):
        says = WRONG_STAMP
    return Checked(
        field=one.field_name,
        serial=f"{status.signing_cert.serial_number:X}",
        says=says,
        stamped_at=stamp.timestamp if stamp is not None else None,
    )


# A later signature of the same file is no change of what the earlier one signed.
ACCEPTED = (
    ModificationLevel.NONE, ModificationLevel.LTA_UPDATES, ModificationLevel.FORM_FILLING,
)  # fmt: skip

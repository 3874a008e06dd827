"""Checks the digital signatures of a PDF; needs pyHanko and nothing of the office's software.

    pip install pyHanko
    python check_signatures.py FILE.pdf office-root.pem [revoked.crl]

Prints a line for each signature and ends with 1 if one is not valid, or if there is none.
"""

from __future__ import annotations

import logging
import sys
from pathlib import Path

from asn1crypto import pem, x509
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko_certvalidator import ValidationContext


def main(file: str, root: str, *lists: str) -> int:
    """Check one file; return how it came out."""
    logging.disable()
    _, _, der = pem.unarmor(Path(root).read_bytes())
    wrong = found = 0
    with Path(file).open("rb") as opened:
        for one in PdfFileReader(opened).embedded_regular_signatures:
            found += 1
            trust = ValidationContext(
                trust_roots=[x509.Certificate.load(der)],
                crls=[Path(name).read_bytes() for name in lists],
                allow_fetching=False,
                revocation_mode="require" if lists else "soft-fail",
            )
            status = validate_pdf_signature(one, trust)
            said = "valid" if status.bottom_line else "NOT VALID"
            who = status.signing_cert.subject.native["common_name"]
            print(f"{one.field_name}: {said}, {who}, {status.signer_reported_dt}")
            wrong += not status.bottom_line
    if not found:
        print("No signature.")
    return 1 if wrong or not found else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))

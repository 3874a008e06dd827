"""Certificates and a small PDF for tests of signatures, and readers that are not the office's."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import typst
from asn1crypto import cms
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, padding

from cases.signatures import authority, pades

NOW = datetime.now(UTC).replace(microsecond=0)
OFFICE = "Tarn County Medical Examiner"


@cache
def small_pdf() -> bytes:
    """One page as PDF/A-3b and PDF/UA-1."""
    source = b'#set document(title: "A page")\n#set text(lang: "en")\n= A page\nWords.\n'
    made = typst.compile(io.BytesIO(source).getvalue(), format="pdf",
                         pdf_standards=["a-3b", "ua-1"])  # fmt: skip
    assert isinstance(made, bytes)
    return made


@cache
def root() -> authority.Issued:
    return authority.make_root(OFFICE, now=NOW)


@cache
def issued(person: str) -> authority.Issued:
    return authority.issue(root(), person=person, office=OFFICE, now=NOW)


def signer(field: str, one: authority.Issued, name: str) -> pades.Signer:
    return pades.Signer(
        field, f"Digital signature, {field}", name, "I have read it.", "Tarnford", one.pem,
        one.chain, one.key,
    )  # fmt: skip


def no_list() -> bytes:
    """The office's list while nothing is revoked."""
    return authority.list_of_revoked(root(), [], now=NOW)


@cache
def signed_twice() -> bytes:
    """The page, signed by its author and then by its reviewer."""
    return pades.sign(
        small_pdf(),
        [
            signer("Author", issued("I. Vasko, MD"), "I. Vasko, MD"),
            signer("Reviewer", issued("M. Thorne, MD"), "M. Thorne, MD"),
        ],
        lists=[no_list()],
    )


def plainly_checked(pdf: bytes) -> list[tuple[str, int]]:
    """Check every signature by its bytes alone: who signed, and to where it covers the file.

    The digest of the ranges stands in the signed attributes, whose signature the certificate's key
    verifies (RFC 5652, section 5.4); nothing of the library that signed is asked.
    """
    found = []
    for match in re.finditer(rb"/ByteRange\s*\[\s*(\d+) (\d+) (\d+) (\d+)\s*\]", pdf):
        first, length, second, more = map(int, match.groups())
        held = pdf[first + length + 1 : second - 1]
        signed = cms.ContentInfo.load(bytes.fromhex(held.decode()), strict=False)["content"]
        (info,) = signed["signer_infos"]
        digest = hashes.Hash(hashes.SHA256())
        digest.update(pdf[first : first + length] + pdf[second : second + more])
        attributes = {one["type"].native: one["values"] for one in info["signed_attrs"]}
        assert attributes["message_digest"][0].native == digest.finalize()
        serial = info["sid"].chosen["serial_number"].native
        own = next(
            one.chosen for one in signed["certificates"]
            if one.chosen.serial_number == serial
        )  # fmt: skip
        read = x509.load_der_x509_certificate(own.dump())
        key, said = read.public_key(), info["signed_attrs"].untag().dump()
        if isinstance(key, ec.EllipticCurvePublicKey):
            key.verify(info["signature"].native, said, ec.ECDSA(hashes.SHA256()))
        else:
            key.verify(info["signature"].native, said, padding.PKCS1v15(), hashes.SHA256())
        name = read.subject.get_attributes_for_oid(x509.NameOID.COMMON_NAME)[0].value
        found.append((str(name), second + more))
    return found


def poppler_says(pdf: bytes, folder: Path) -> list[str] | None:
    """What another program says of each signature; None where it is not installed."""
    if shutil.which("pdfsig") is None:
        return None
    there = folder / "asked.pdf"
    there.write_bytes(pdf)
    said = subprocess.run(
        ["pdfsig", "-nocert", str(there)], capture_output=True, text=True, timeout=60, check=False
    )
    return re.findall(r"Signature Validation: (.*)", said.stdout)

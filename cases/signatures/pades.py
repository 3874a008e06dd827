"""Signs a PDF (PAdES baseline, ETSI EN 319 142-1) by pyHanko, whole in memory.

What a reader needs to check it without a network (the certificates, the list of revoked ones) is
written before the first signature, so that the last signature covers every byte before it.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

import aiohttp
from asn1crypto import crl as asn1_crl
from asn1crypto import keys as asn1_keys
from asn1crypto import tsp
from asn1crypto import x509 as asn1_x509
from pyhanko.pdf_utils.generic import NameObject
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.misc import PdfError
from pyhanko.sign.fields import InvisSigSettings, SigFieldSpec, SigSeedSubFilter
from pyhanko.sign.signers.pdf_cms import SimpleSigner
from pyhanko.sign.signers.pdf_signer import PdfSignatureMetadata, PdfSigner
from pyhanko.sign.timestamps import HTTPTimeStamper
from pyhanko.sign.timestamps.common_utils import TimestampRequestError
from pyhanko.sign.validation.dss import DocumentSecurityStore
from pyhanko_certvalidator.registry import SimpleCertificateStore

from cases.signatures.authority import ders
from cases.signatures.loops import in_its_own_loop

# For the whole answer of a time-stamp authority; there are two questions a signature.
PATIENCE_S = 10
MOST_BYTES = 64 * 1024


class NoTimeStamp(Exception):
    """The time-stamp authority gave no stamp that can be used."""


@dataclass(frozen=True)
class Signer:
    """Who signs, with what, and what is said of it in the file."""

    field: str
    words: str
    name: str
    reason: str
    location: str
    pem: str
    chain: str
    key: bytes


@in_its_own_loop
def sign(
    pdf: bytes, signers: Sequence[Signer], *, lists: Sequence[bytes] = (), stamps_at: str = ""
) -> bytes:
    """Return the PDF with the signature of each, in this order; the bytes given are its beginning.

    `lists` are lists of revoked certificates (DER), `stamps_at` the address of a time-stamp
    authority (RFC 3161). Raises NoTimeStamp.
    """
    stamper = _Stamper(stamps_at, timeout=PATIENCE_S) if stamps_at else None
    pdf = _with_what_checks_it(pdf, signers, lists)
    for one in signers:
        pdf = _signed(pdf, one, stamper)
    return pdf


def _with_what_checks_it(pdf: bytes, signers: Sequence[Signer], lists: Sequence[bytes]) -> bytes:
    held = io.BytesIO(pdf)
    writer = IncrementalPdfFileWriter(held)
    certificates = {
        der: _certificate(der) for one in signers for der in ders(one.pem + "\n" + one.chain)
    }
    DocumentSecurityStore.supply_dss_in_writer(
        writer,
        None,
        certs=list(certificates.values()),
        crls=[asn1_crl.CertificateList.load(one) for one in lists],
    )
    # PDF/UA-1 (ISO 14289-1, 7.18.3): a page with annotations names the order of its tabs.
    page = writer.root["/Pages"]["/Kids"][0].get_object()
    while page["/Type"] == "/Pages":
        page = page["/Kids"][0].get_object()
    if "/Tabs" not in page:
        page[NameObject("/Tabs")] = NameObject("/S")
        writer.update_container(page)
    writer.write_in_place()  # type: ignore[no-untyped-call]
    return held.getvalue()


def _signed(pdf: bytes, one: Signer, stamper: HTTPTimeStamper | None) -> bytes:
    certificates = [_certificate(der) for der in ders(one.pem + "\n" + one.chain)]
    registry = SimpleCertificateStore()  # type: ignore[no-untyped-call]
    registry.register_multiple(certificates[1:])
    signer = SimpleSigner(
        signing_cert=certificates[0],
        signing_key=asn1_keys.PrivateKeyInfo.load(one.key),
        cert_registry=registry,
    )
    said = PdfSignatureMetadata(
        field_name=one.field,
        name=one.name,
        reason=one.reason,
        location=one.location,
        md_algorithm="sha256",
        subfilter=SigSeedSubFilter.PADES,
        signer_key_usage=set(),
    )
    # Neither a mark on the page nor hidden: PDF/A forbids the flag, PDF/UA a mark without its tag.
    place = SigFieldSpec(
        one.field,
        on_page=0,
        readable_field_name=one.words,
        invis_sig_settings=InvisSigSettings(box_out_of_bounds=True),
    )
    writer = IncrementalPdfFileWriter(io.BytesIO(pdf))
    try:
        made = PdfSigner(said, signer, timestamper=stamper, new_field_spec=place).sign_pdf(writer)
    except (TimestampRequestError, TimeoutError, OSError) as error:
        raise NoTimeStamp(type(error).__name__) from error
    except (PdfError, ValueError) as error:
        if stamper is None:
            raise
        raise NoTimeStamp(type(error).__name__) from error
    signed: bytes = made.getvalue()
    return signed


class _Stamper(HTTPTimeStamper):
    """Asks a time-stamp authority, within a time and for no more than a token can have."""

    async def async_request_tsa_response(self, req: tsp.TimeStampReq) -> tsp.TimeStampResp:
        """Return the answer to one request. Raises TimestampRequestError, TimeoutError."""
        whole = aiohttp.ClientTimeout(total=self.timeout)
        content = b""
        try:
            async with (
                aiohttp.ClientSession(timeout=whole) as session,
                session.post(
                    self.url,
                    headers=self.request_headers(),
                    data=req.dump(),
                    raise_for_status=True,
                    allow_redirects=False,
                ) as answer,
            ):
                async for piece in answer.content.iter_any():
                    content += piece
                    if len(content) > MOST_BYTES:
                        raise TimestampRequestError("The answer is too long for a time stamp.")
        except aiohttp.ClientError as error:
            raise TimestampRequestError("No answer that can be used.") from error
        return _of_this_request(tsp.TimeStampResp.load(content), req)


def _of_this_request(answer: tsp.TimeStampResp, req: tsp.TimeStampReq) -> tsp.TimeStampResp:
    """Return an answer, unless its stamp is of something else. Raises TimestampRequestError."""
    try:
        signed = answer["time_stamp_token"]["content"]["encap_content_info"]["content"].parsed
        stamped = signed["message_imprint"]["hashed_message"].native
        answers = signed["nonce"].native
    except (TypeError, ValueError, KeyError, AttributeError) as error:
        raise TimestampRequestError("The answer is no time stamp.") from error
    if stamped != req["message_imprint"]["hashed_message"].native:
        raise TimestampRequestError("The time stamp is of something else.")
    # An old answer that is sent again. The library asks too, and stumbles over what it finds.
    if answers != req["nonce"].native:
        raise TimestampRequestError("The time stamp answers another question.")
    return answer


def _certificate(der: bytes) -> asn1_x509.Certificate:
    return asn1_x509.Certificate.load(der)


__all__ = ["NoTimeStamp", "Signer", "sign"]

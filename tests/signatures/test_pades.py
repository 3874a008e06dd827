"""What is signed is what anybody else's program reads, and one changed byte is told."""

from __future__ import annotations

import asyncio
import http.server
import io
import subprocess
import sys
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta
from pathlib import Path

import pikepdf
import pytest
from asn1crypto import tsp
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import pkcs12
from cryptography.x509.oid import ExtendedKeyUsageOID
from pyhanko.keys.internal import translate_pyca_cryptography_cert_to_asn1
from pyhanko.sign.timestamps import DummyTimeStamper

from cases.signatures import authority, pades, validating
from cases.signatures.loops import in_its_own_loop
from me_office.audit.errors import Refused
from tests.signatures.making import (
    NOW,
    OFFICE,
    issued,
    no_list,
    plainly_checked,
    poppler_says,
    root,
    signed_twice,
    signer,
    small_pdf,
)

ROOT = Path(__file__).resolve().parents[2]


def check(pdf, **said):
    said = {"roots": root().pem, "at": NOW + timedelta(seconds=5), "lists": [no_list()], **said}
    return [(one.field, one.says) for one in validating.check(pdf, **said)]


GOOD = [("Author", ""), ("Reviewer", "")]


def test_both_signatures_are_good_for_the_office_for_plain_arithmetic_and_for_poppler(
    processes, tmp_path
):
    pdf = signed_twice()
    assert pdf.startswith(small_pdf())
    assert check(pdf) == GOOD
    (author, covers), (reviewer, covers_all) = plainly_checked(pdf)
    assert (author, reviewer) == ("I. Vasko, MD", "M. Thorne, MD")
    # The second covers the first, and every byte of the file.
    assert covers < covers_all == len(pdf)
    assert poppler_says(pdf, tmp_path) in (None, ["Signature is Valid."] * 2)


def test_one_changed_byte_is_told_wherever_it_is(processes, tmp_path):
    pdf = signed_twice()
    in_the_text = len(small_pdf()) // 2
    for at in (10, in_the_text, len(small_pdf()) + 40, len(pdf) - 40):
        changed = bytearray(pdf)
        changed[at] ^= 1
        assert check(bytes(changed)) != GOOD, at
    changed = bytearray(pdf)
    changed[in_the_text] ^= 1
    assert check(bytes(changed)) == [(name, validating.CHANGED) for name, _ in GOOD]
    with pytest.raises(AssertionError):
        plainly_checked(bytes(changed))
    assert poppler_says(bytes(changed), tmp_path) in (None, ["Digest Mismatch."] * 2)
    assert check(b"%PDF-1.7 nothing") == [("", validating.NOT_READ)]
    assert check(small_pdf()) == []


def test_what_is_added_behind_the_signatures_is_told():
    with pikepdf.open(io.BytesIO(signed_twice())) as opened:
        opened.pages[0].MediaBox = [0, 0, 10, 10]
        whole = io.BytesIO()
        opened.save(whole)
    assert check(whole.getvalue()) != GOOD
    behind = signed_twice() + b"\n% a note\n"
    assert plainly_checked(behind)[-1][1] < len(behind)


def test_another_root_a_revoked_certificate_and_one_that_has_ended_are_told():
    pdf = signed_twice()
    other = authority.make_root("Another office", now=NOW)
    assert check(pdf, roots=other.pem) == [(name, validating.UNKNOWN) for name, _ in GOOD]
    serial = authority.facts_of(issued("M. Thorne, MD").pem).serial
    revoked = authority.list_of_revoked(root(), [(serial, NOW)], now=NOW)
    assert check(pdf, lists=[revoked]) == [GOOD[0], ("Reviewer", validating.REVOKED)]
    # A list that was made after the moment that is asked about says what holds for that one, too.
    later = authority.list_of_revoked(root(), [], now=NOW + timedelta(hours=2))
    assert check(pdf, at=NOW, lists=[later]) == GOOD
    much_later = NOW + authority.PERSON_FOR + timedelta(days=1)
    ended = check(pdf, at=much_later, lists=[])
    assert [says for _, says in ended] == [validating.ENDED] * 2


def test_the_claims_the_tags_and_the_attachment_stay_and_the_fields_are_no_marks():
    with pikepdf.open(io.BytesIO(signed_twice())) as pdf:
        said = pdf.open_metadata()
        assert (said["pdfaid:part"], said["pdfaid:conformance"]) == ("3", "B")
        assert said["pdfuaid:part"] == "1" and said["dc:title"] == "A page"
        assert pdf.Root.MarkInfo.Marked and "/StructTreeRoot" in pdf.Root
        fields = [str(one.T) for one in pdf.Root.AcroForm.Fields]
        assert fields == ["Author", "Reviewer"]
        assert int(pdf.Root.AcroForm.SigFlags) == 3 and "/NeedAppearances" not in pdf.Root.AcroForm
        page = pdf.pages[0]
        assert page.Tabs == "/S"
        for one in pdf.Root.AcroForm.Fields:
            # PDF/A-3 (6.3): printed, not hidden; without an appearance only where it has no size.
            assert int(one.F) & 0b111111 == 0b100
            left, bottom, right, top = map(float, one.Rect)
            assert (left, bottom) == (right, top)
            # PDF/UA-1 (7.18.1): tagged, or outside the page; named for who can't see it (TU).
            assert right < float(page.mediabox[0]) and str(one.TU).startswith("Digital signature")
            assert one.V.SubFilter == "/ETSI.CAdES.detached"
            assert one.V.Location == "Tarnford" and one.V.Reason == "I have read it."
        # Everything to check it with, without a network.
        assert len(pdf.Root.DSS.Certs) == 3 and len(pdf.Root.DSS.CRLs) == 1


def test_certificates_say_what_they_are_for():
    read = x509.load_pem_x509_certificate(issued("I. Vasko, MD").pem.encode())
    usage = read.extensions.get_extension_for_class(x509.KeyUsage).value
    assert usage.content_commitment and usage.digital_signature and not usage.key_cert_sign
    assert read.not_valid_after_utc <= authority.facts_of(root().pem).not_after
    top = x509.load_pem_x509_certificate(root().pem.encode())
    assert top.extensions.get_extension_for_class(x509.BasicConstraints).value.path_length == 0
    read.verify_directly_issued_by(top)
    assert authority.is_issued_by(issued("I. Vasko, MD").pem, root().pem)
    assert not authority.is_issued_by(root().pem, issued("I. Vasko, MD").pem)
    facts = authority.facts_of(issued("I. Vasko, MD").pem)
    assert (facts.name, facts.issuer) == ("I. Vasko, MD", f"{OFFICE} Signing Authority")
    near_the_end = authority.make_root(OFFICE, now=NOW - authority.ROOT_FOR + timedelta(days=9))
    short = authority.issue(near_the_end, person="X", office=OFFICE, now=NOW)
    ends = authority.facts_of(near_the_end.pem).not_after
    assert authority.facts_of(short.pem).not_after == ends
    listed = authority.issue(root(), person="X", office=OFFICE, now=NOW, lists_at="https://x/r.crl")
    (place,) = (
        x509.load_pem_x509_certificate(listed.pem.encode())
        .extensions.get_extension_for_class(x509.CRLDistributionPoints)
        .value
    )
    assert place.full_name[0].value == "https://x/r.crl"


def _file(one, key=None, password=b"open"):
    read = x509.load_pem_x509_certificate(one.pem.encode())
    key = key or serialization.load_der_private_key(one.key, None)
    sealed = serialization.BestAvailableEncryption(password)
    return pkcs12.serialize_key_and_certificates(b"", key, read, None, sealed)


def _self_signed(key, **usage):
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "N. Amadi, MD")])
    made = (
        x509.CertificateBuilder().subject_name(name).issuer_name(name).serial_number(7)
        .public_key(key.public_key())
        .not_valid_before(NOW - timedelta(days=1)).not_valid_after(NOW + timedelta(days=1))
    )  # fmt: skip
    if usage:
        made = made.add_extension(authority._usage(*usage), critical=True)
    signed = made.sign(key, hashes.SHA256())
    return authority.Issued(signed.public_bytes(serialization.Encoding.PEM).decode(), b"")


def test_a_persons_own_file_is_read_and_a_wrong_one_refused():
    one = issued("I. Vasko, MD")
    read = authority.read_pkcs12(_file(one), "open")
    assert (read.pem, read.key, read.chain) == (one.pem, one.key, "")
    curve = ec.generate_private_key(ec.SECP256R1())
    for content, password, said in (
        (_file(one), "shut", "another password"),
        (b"\x00nothing", "open", "no PKCS#12"),
        (_file(_self_signed(curve, key_encipherment=True), curve), "open", "not meant for signing"),
    ):
        with pytest.raises(Refused, match=said):
            authority.read_pkcs12(content, password)
    small = rsa.generate_private_key(65537, 1024)
    with pytest.raises(Refused, match="fewer than 2048"):
        authority.read_pkcs12(_file(_self_signed(small), small), "open")
    assert authority.own_root(one.pem, root().pem) == root().pem
    assert authority.own_root(root().pem, "") == root().pem
    assert authority.read_authority(root().pem) == root().pem
    for wrong in (one.pem, "nothing"):
        with pytest.raises(Refused):
            authority.read_authority(wrong)


def _stamp_certificate():
    key = rsa.generate_private_key(65537, 2048)
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "Invented Time Stamps")])
    made = (
        x509.CertificateBuilder().subject_name(name).issuer_name(name).serial_number(9)
        .public_key(key.public_key())
        .not_valid_before(NOW - timedelta(days=1)).not_valid_after(NOW + timedelta(days=1))
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .add_extension(
            x509.ExtendedKeyUsage([ExtendedKeyUsageOID.TIME_STAMPING]), critical=True)
        .add_extension(authority._usage("digital_signature", "key_cert_sign"), critical=True)
        .sign(key, hashes.SHA256())
    )  # fmt: skip
    return made, key


class Stamps:
    """A time-stamp authority on this machine that answers as it is told to."""

    def __init__(self) -> None:
        self.certificate, self.key = _stamp_certificate()
        self.how = "rightly"
        self.says_at: datetime | None = None
        self.over = threading.Event()
        outer = self

        class Answers(http.server.BaseHTTPRequestHandler):
            def do_POST(self) -> None:
                asked = self.rfile.read(int(self.headers["Content-Length"]))
                outer.answer(self, asked)

            def log_message(self, *_: object) -> None:
                pass

        self.server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Answers)
        self.server.daemon_threads = True
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.server.server_address[1]}/stamp"

    @property
    def pem(self) -> str:
        return self.certificate.public_bytes(serialization.Encoding.PEM).decode()

    def token(self, asked: bytes) -> bytes:
        request = tsp.TimeStampReq.load(asked)
        if self.how == "of another question":
            request["nonce"] = 7
        if self.how == "of another file":
            request["message_imprint"]["hashed_message"] = b"\x01" * 32
        stamper = DummyTimeStamper(
            tsa_cert=translate_pyca_cryptography_cert_to_asn1(self.certificate),
            tsa_key=_asn1_key(self.key),
            certs_to_embed=None,
            fixed_dt=self.says_at,
        )
        return stamper.request_tsa_response(request).dump()

    def answer(self, handler, asked: bytes) -> None:
        if self.how == "silent":
            self.over.wait(60)
            return
        if self.how == "refuses":
            handler.send_error(503)
            return
        content = {
            "nonsense": b"\x30\x03\x02\x01\x02",
            "endless": b"\x00" * 100_000,
        }.get(self.how) or self.token(asked)
        handler.send_response(200)
        handler.send_header("Content-Type", "application/timestamp-reply")
        handler.send_header("Content-Length", str(len(content)))
        handler.end_headers()
        if self.how == "drips":
            for byte in content:
                handler.wfile.write(bytes([byte]))
                handler.wfile.flush()
                if self.over.wait(0.05):
                    return
        handler.wfile.write(content)

    def close(self) -> None:
        self.over.set()
        self.server.shutdown()
        self.server.server_close()


def _asn1_key(key):
    from asn1crypto.keys import PrivateKeyInfo

    return PrivateKeyInfo.load(
        key.private_bytes(
            serialization.Encoding.DER, serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )  # fmt: skip


@pytest.fixture(scope="module")
def stamps():
    there = Stamps()
    yield there
    there.close()


def _stamped(stamps, how):
    stamps.how = how
    one = signer("Author", issued("I. Vasko, MD"), "I. Vasko, MD")
    return pades.sign(small_pdf(), [one], stamps_at=stamps.address)


def test_a_time_stamp_is_taken_and_checked_against_the_authority_that_is_trusted(stamps):
    pdf = _stamped(stamps, "rightly")
    (one,) = validating.check(
        pdf, roots=root().pem, at=NOW + timedelta(seconds=5), stamp_roots=stamps.pem
    )
    assert one.is_valid and one.stamped_at is not None
    (one,) = validating.check(pdf, roots=root().pem, at=NOW + timedelta(seconds=5))
    assert one.says == validating.WRONG_STAMP


@pytest.mark.parametrize(
    "how",
    ["of another file", "of another question", "nonsense", "endless", "refuses", "silent", "drips"],
)
def test_an_authority_that_lies_hangs_or_drips_gives_no_stamp_and_no_half_signed_file(
    stamps, how, monkeypatch
):
    monkeypatch.setattr(pades, "PATIENCE_S", 0.3)
    begun = time.monotonic()
    with pytest.raises(pades.NoTimeStamp):
        _stamped(stamps, how)
    assert time.monotonic() - begun < 20


def test_an_authority_that_is_not_there_gives_no_stamp():
    one = signer("Author", issued("I. Vasko, MD"), "I. Vasko, MD")
    with pytest.raises(pades.NoTimeStamp):
        pades.sign(small_pdf(), [one], stamps_at="http://127.0.0.1:9/stamp")


def test_a_program_that_knows_nothing_of_the_office_says_the_same(processes, tmp_path):
    changed = bytearray(signed_twice())
    changed[len(small_pdf()) // 2] ^= 1
    serial = authority.facts_of(issued("M. Thorne, MD").pem).serial
    files = {
        "good.pdf": signed_twice(),
        "changed.pdf": bytes(changed),
        "unsigned.pdf": small_pdf(),
        "root.pem": root().pem.encode(),
        "other.pem": authority.make_root("Another office", now=NOW).pem.encode(),
        "none.crl": no_list(),
        "one.crl": authority.list_of_revoked(root(), [(serial, NOW)], now=NOW),
    }
    for name, content in files.items():
        (tmp_path / name).write_bytes(content)
    asked = [
        ("good.pdf", "root.pem", "none.crl"),
        ("changed.pdf", "root.pem"),
        ("unsigned.pdf", "root.pem"),
        ("good.pdf", "other.pem"),
        ("good.pdf", "root.pem", "one.crl"),
    ]
    code = (
        "import runpy\n"
        f"main = runpy.run_path({str(ROOT / 'docs' / 'check_signatures.py')!r})['main']\n"
        f"print([main(*row) for row in {asked!r}])"
    )
    said = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True
    )
    *lines, ended = said.stdout.splitlines()
    assert ended == "[0, 1, 1, 1, 1]"
    assert lines[0].startswith("Author: valid, I. Vasko, MD, ")
    assert lines[1].startswith("Reviewer: valid, M. Thorne, MD, ")
    assert [line.split(",")[0].split(": ")[-1] for line in lines[2:]] == [
        "NOT VALID", "NOT VALID", "No signature.", "NOT VALID", "NOT VALID", "valid", "NOT VALID",
    ]  # fmt: skip


def test_beside_a_loop_that_runs_a_function_has_one_of_its_own():
    async def doubled(number):
        return 2 * number

    @in_its_own_loop
    def double(number):
        return asyncio.run(doubled(number))

    async def beside():
        return double(2)

    # A thread of its own has no loop of a browser that an earlier test opened.
    with ThreadPoolExecutor(1) as apart:
        assert (double(3), apart.submit(lambda: asyncio.run(beside())).result()) == (6, 4)

"""Certificates (X.509, RFC 5280): the office's own small authority, and what others issued.

Nothing here reads or writes a table; private keys come and go as PKCS#8 in memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import pkcs12
from cryptography.x509.oid import NameOID

from me_office.audit.errors import Refused

# A root outlives many persons' certificates; those are short enough to be looked at again.
ROOT_FOR, PERSON_FOR = timedelta(days=20 * 365), timedelta(days=2 * 365)
# A list that is embedded in a signed file says when the next one is due.
LIST_FOR = timedelta(days=30)
# Clocks differ a little; a certificate counts from shortly before it was made.
SHORTLY = timedelta(minutes=5)
# NIST SP 800-131A (from memory, not checked): RSA of fewer bits is no longer good for signing.
LEAST_RSA_BITS = 2048
NOT_FOR_SIGNING = "This certificate is not meant for signing documents (its key usage says so)."


@dataclass(frozen=True)
class Issued:
    """A certificate with its private key, and the certificates above it."""

    pem: str
    key: bytes
    chain: str = ""


@dataclass(frozen=True)
class Facts:
    """What a certificate says."""

    name: str
    issuer: str
    serial: str
    fingerprint: str
    not_before: datetime
    not_after: datetime


def facts_of(pem: str) -> Facts:
    """Read a certificate."""
    read = _one(pem)
    return Facts(
        name=_common_name(read.subject),
        issuer=_common_name(read.issuer),
        serial=f"{read.serial_number:X}",
        fingerprint=read.fingerprint(hashes.SHA256()).hex(),
        not_before=read.not_valid_before_utc,
        not_after=read.not_valid_after_utc,
    )


def make_root(office: str, *, now: datetime) -> Issued:
    """Make the office's own authority: a root that signs persons' certificates and nothing else."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = _name(f"{office} Signing Authority", office)
    made = (
        _begun(name, name, key.public_key(), now, ROOT_FOR)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage("key_cert_sign", "crl_sign"), critical=True)
        .sign(key, hashes.SHA256())
    )
    return Issued(_pem(made), _pkcs8(key))


def issue(root: Issued, *, person: str, office: str, now: datetime, lists_at: str = "") -> Issued:
    """Issue a person's certificate for signing; `lists_at` is where revoked ones are listed."""
    authority, authority_key = _one(root.pem), _key(root.key)
    key = ec.generate_private_key(ec.SECP256R1())
    # Never beyond the root: what it signs would end with it.
    until = min(now + PERSON_FOR, authority.not_valid_after_utc)
    begun = (
        _begun(_name(person, office), authority.subject, key.public_key(), now, until - now)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage("digital_signature", "content_commitment"), critical=True)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(authority_key.public_key()),
            critical=False,
        )
    )
    if lists_at:
        place = x509.DistributionPoint([x509.UniformResourceIdentifier(lists_at)], None, None, None)
        begun = begun.add_extension(x509.CRLDistributionPoints([place]), critical=False)
    return Issued(_pem(begun.sign(authority_key, hashes.SHA256())), _pkcs8(key), root.pem)


def list_of_revoked(
    root: Issued, revoked: Iterable[tuple[str, datetime]], *, now: datetime
) -> bytes:
    """Return the authority's list of revoked certificates (serial in hex, moment), as DER."""
    authority, key = _one(root.pem), _key(root.key)
    made = (
        x509.CertificateRevocationListBuilder()
        .issuer_name(authority.subject)
        .last_update(now - SHORTLY)
        .next_update(now + LIST_FOR)
        .add_extension(x509.CRLNumber(int(now.timestamp())), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(key.public_key()), critical=False
        )
    )
    for serial, at in revoked:
        entry = x509.RevokedCertificateBuilder(int(serial, 16), at)
        made = made.add_revoked_certificate(entry.build())
    return made.sign(key, hashes.SHA256()).public_bytes(serialization.Encoding.DER)


def read_pkcs12(content: bytes, password: str) -> Issued:
    """Read a person's certificate with its private key from a PKCS#12 file. Raises Refused."""
    try:
        key, certificate, others = pkcs12.load_key_and_certificates(content, password.encode())
    except ValueError as error:
        raise Refused(
            "This is no PKCS#12 file (.p12 or .pfx), or the file has another password.",
            field="file",
        ) from error
    if key is None or certificate is None:
        raise Refused("The file holds no certificate with its private key.", field="file")
    if isinstance(key, rsa.RSAPrivateKey):
        if key.key_size < LEAST_RSA_BITS:
            raise Refused(f"Its RSA key has fewer than {LEAST_RSA_BITS} bits.", field="file")
    elif not isinstance(key, ec.EllipticCurvePrivateKey):
        raise Refused("Its key is neither RSA nor of an elliptic curve.", field="file")
    if not _may_sign(certificate):
        raise Refused(NOT_FOR_SIGNING, field="file")
    return Issued(_pem(certificate), _pkcs8(key), "".join(map(_pem, others)))


def read_authority(pem: str) -> str:
    """Return the one certificate of an authority of time stamps, as PEM. Raises Refused."""
    try:
        read = _one(pem)
        is_authority = read.extensions.get_extension_for_class(x509.BasicConstraints).value.ca
    except (ValueError, x509.ExtensionNotFound) as error:
        raise Refused(
            "This is no certificate of an authority in PEM form.", field="file"
        ) from error
    if not is_authority:
        raise Refused("This certificate is not that of an authority.", field="file")
    return _pem(read)


def ders(pems: str) -> list[bytes]:
    """Return the certificates of a PEM text, as DER."""
    if not pems.strip():
        return []
    read = x509.load_pem_x509_certificates(pems.encode())
    return [one.public_bytes(serialization.Encoding.DER) for one in read]


def is_issued_by(pem: str, authority: str) -> bool:
    """Tell whether an authority signed a certificate."""
    try:
        _one(pem).verify_directly_issued_by(_one(authority))
    except (ValueError, TypeError, InvalidSignature):
        return False
    return True


def _may_sign(certificate: x509.Certificate) -> bool:
    try:
        usage = certificate.extensions.get_extension_for_class(x509.KeyUsage).value
    except x509.ExtensionNotFound:
        return True
    return usage.content_commitment or usage.digital_signature


def _begun(
    subject: x509.Name, issuer: x509.Name, key: Any, now: datetime, lasts: timedelta
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - SHORTLY)
        .not_valid_after(now + lasts)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key), critical=False)
    )


USAGES: Sequence[str] = (
    "digital_signature", "content_commitment", "key_encipherment", "data_encipherment",
    "key_agreement", "key_cert_sign", "crl_sign", "encipher_only", "decipher_only",
)  # fmt: skip


def _usage(*named: str) -> x509.KeyUsage:
    return x509.KeyUsage(**{name: name in named for name in USAGES})


def _name(common: str, office: str) -> x509.Name:
    # RFC 5280, appendix A: either name has at most 64 characters.
    return x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, office[:64]),
            x509.NameAttribute(NameOID.COMMON_NAME, common[:64]),
        ]
    )


def _common_name(name: x509.Name) -> str:
    found = name.get_attributes_for_oid(NameOID.COMMON_NAME)
    return str(found[0].value) if found else name.rfc4514_string()


def _one(pem: str) -> x509.Certificate:
    return x509.load_pem_x509_certificate(pem.encode())


def _pem(certificate: x509.Certificate) -> str:
    return certificate.public_bytes(serialization.Encoding.PEM).decode()


def _key(pkcs8: bytes) -> Any:
    return serialization.load_der_private_key(pkcs8, None)


def _pkcs8(key: Any) -> bytes:
    made: bytes = key.private_bytes(
        serialization.Encoding.DER,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    return made


def own_root(pem: str, chain: str) -> str:
    """Return the highest certificate above one that is known: it signed itself, or came last."""
    above = x509.load_pem_x509_certificates(chain.encode()) if chain.strip() else []
    for one in above:
        if one.subject == one.issuer:
            return _pem(one)
    return _pem(above[-1]) if above else pem

"""Private keys, sealed by the office's signing secret: database and backups hold no open one.

AES-256-GCM (NIST SP 800-38D) under a key that HKDF-SHA-256 (RFC 5869) makes of the secret. The
certificate's key is bound in, so that a sealed key can't be put beside another certificate.
"""

from __future__ import annotations

import os
from uuid import UUID

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from django.conf import settings

from me_office.audit.errors import Refused

NONCE_BYTES = 12
NOTHING_SET = "No signing secret is set (ME_SIGNING_SECRET): no key can be kept here or used."
SEALED_OTHERWISE = "The private key was sealed with another signing secret than is set now."


class CannotOpen(Refused):
    """A sealed key can't be opened here."""


def has_secret() -> bool:
    """Tell whether keys can be sealed and opened."""
    return bool(settings.SIGNING_SECRET)


def seal(certificate: UUID, key: bytes) -> bytes:
    """Return a private key (PKCS#8) sealed for its certificate. Raises CannotOpen."""
    nonce = os.urandom(NONCE_BYTES)
    return nonce + _cipher().encrypt(nonce, key, certificate.bytes)


def unseal(certificate: UUID, sealed: bytes) -> bytes:
    """Return the private key that was sealed for a certificate. Raises CannotOpen."""
    sealed = bytes(sealed)
    try:
        return _cipher().decrypt(sealed[:NONCE_BYTES], sealed[NONCE_BYTES:], certificate.bytes)
    except InvalidTag:
        raise CannotOpen(SEALED_OTHERWISE) from None


def _cipher() -> AESGCM:
    if not has_secret():
        raise CannotOpen(NOTHING_SET)
    made = HKDF(algorithm=SHA256(), length=32, salt=None, info=b"me_office.signing-keys")
    return AESGCM(made.derive(settings.SIGNING_SECRET.encode()))

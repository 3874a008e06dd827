"""What a password costs who guesses it, which the run itself makes cheap."""

from __future__ import annotations

from django.contrib.auth.hashers import ScryptPasswordHasher
from django.utils.module_loading import import_string

from tests.conftest import OFFICE_WORK_FACTOR


def test_a_password_costs_what_is_recommended(settings):
    # OWASP, Password Storage Cheat Sheet: scrypt with N=2^14, r=8, p=5 (from memory).
    assert [import_string(name) for name in settings.PASSWORD_HASHERS] == [ScryptPasswordHasher]
    assert OFFICE_WORK_FACTOR == 2**14
    assert (ScryptPasswordHasher.block_size, ScryptPasswordHasher.parallelism) == (8, 5)

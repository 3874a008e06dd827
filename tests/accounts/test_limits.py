"""How long somebody waits after wrong passwords and codes: both sides of every limit."""

from __future__ import annotations

import pytest
from django.conf import settings

from me_office.accounts import limits
from me_office.accounts.limits import (
    ADDRESS,
    CODES_FROM_ANYWHERE,
    OWN_DEVICE,
    SITE,
    STRANGER,
    STRANGER_AT_AN_ATTACKED_NAME,
    wait_s,
)

# The table written out a second time: failures in a row, and the wait right after the last one.
WAITS = [
    (OWN_DEVICE, {0: 0, 4: 0, 5: 15, 6: 30, 7: 60, 10: 480, 11: 900, 12: 900, 500: 900}),
    (STRANGER, {0: 0, 4: 0, 5: 30, 6: 60, 9: 480, 10: 900, 500: 900}),
    (STRANGER_AT_AN_ATTACKED_NAME, {0: 0, 1: 30, 2: 60, 6: 900}),
    (ADDRESS, {0: 0, 29: 0, 30: 10, 31: 20, 34: 160, 35: 300, 500: 300}),
    (SITE, {0: 0, 59: 0, 60: 10, 61: 20, 64: 160, 65: 300, 500: 300}),
    (CODES_FROM_ANYWHERE, {0: 0, 19: 0, 20: 15, 21: 30, 22: 60, 23: 120, 24: 180, 500: 180}),
]


@pytest.mark.parametrize(("limit", "waits"), WAITS)
def test_a_wait_doubles_after_the_free_tries_up_to_a_longest_one(limit, waits) -> None:
    assert {n: wait_s(limit, failures=n, since_s=0) for n in waits} == waits


def test_a_wait_passes_and_never_ends_early() -> None:
    left = [wait_s(OWN_DEVICE, failures=6, since_s=s) for s in (0, 0.5, 1, 29, 29.9, 30, 31)]
    assert left == [30, 30, 29, 1, 1, 0, 0]


def test_a_clock_that_was_ahead_makes_no_longer_wait() -> None:
    for limit, waits in WAITS:
        for failures, wait in waits.items():
            assert wait_s(limit, failures=failures, since_s=-86_400) == wait


@pytest.mark.parametrize(
    ("limit", "seconds"),
    [
        (OWN_DEVICE, 86_400), (STRANGER, 86_400), (STRANGER_AT_AN_ATTACKED_NAME, 86_400),
        (ADDRESS, 3_600), (SITE, 3_600), (CODES_FROM_ANYWHERE, 3_600),
    ],
)  # fmt: skip
def test_what_is_old_is_forgotten(limit, seconds) -> None:
    assert limit.forgotten_after_s == seconds
    forgets = limits.replace(limit, first_s=10**6, most_s=10**6)
    assert wait_s(forgets, failures=99, since_s=seconds - 1) > 0
    assert wait_s(forgets, failures=99, since_s=seconds) == 0


def test_a_day_of_guesses_from_everywhere_finds_one_code_in_five_hundred_at_most() -> None:
    taken_at_once = 2 * settings.MFA_TOTP_TOLERANCE + 1
    a_day = CODES_FROM_ANYWHERE.free + limits.DAY_S / CODES_FROM_ANYWHERE.most_s
    assert a_day * taken_at_once / 10**6 < 1 / 500


def test_a_hundred_guesses_at_one_account_take_most_of_a_day() -> None:
    # NIST SP 800-63B, rate limiting: at most 100 failures in a row (from memory, not checked).
    for limit in (OWN_DEVICE, STRANGER):
        assert sum(wait_s(limit, failures=n, since_s=0) for n in range(100)) > 20 * 3600


def counted(**said):
    plain = {"name": "lind", "secret": "password", "device": "", "signed_in": False}
    said = {**plain, "line": "192.0.2.9", "site": "", "attacked": False, **said}
    said["kind"] = said.pop("secret")
    return limits.counts(**said)


def test_an_own_device_and_a_sign_in_under_way_depend_on_nobody_else() -> None:
    for own in ({"device": "d1"}, {"signed_in": True}, {"device": "d1", "signed_in": True}):
        for line, attacked in (("192.0.2.9", False), ("192.0.2.9", True), ("198.51.100.7", True)):
            [count] = counted(**own, line=line, attacked=attacked)
            assert (count.limit, count.resets) == (OWN_DEVICE, True)
            assert count == counted(**own)[0]
    keys = {counted(device=device, name=name, secret=secret)[0].key
            for device in ("d1", "d2") for name in ("lind", "marsh")
            for secret in ("password", "code")}  # fmt: skip
    assert len(keys) == 8


def test_a_stranger_counts_by_address_and_name_and_by_address() -> None:
    pair, address, name = counted()
    assert (pair.limit, address.limit, name.limit) == (STRANGER, ADDRESS, None)
    assert [one.resets for one in (pair, address, name)] == [True, False, False]
    assert counted(name="marsh")[1] == address
    assert counted(line="198.51.100.7")[2] == name
    assert len({one.key for one in counted() + counted(name="marsh")}) == 5


def test_a_site_of_ipv6_counts_too_and_takes_back_only_its_own() -> None:
    first, second = ("2001:db8:99::/64", "2001:db8:99:1::/64")
    of_first, of_second = (counted(line=line, site="2001:db8:99::/48") for line in (first, second))
    (site,) = set(of_first) & set(of_second) - {of_first[-1]}
    assert (site.limit, site.resets) == (SITE, False)
    assert len(counted()) == len(of_first) - 1 == 3
    assert site not in counted(line=second, site="2001:db8:98::/48")


def test_an_attacked_name_slows_strangers_of_each_address_by_themselves() -> None:
    pair, _, name = counted(attacked=True)
    assert pair.limit == STRANGER_AT_AN_ATTACKED_NAME
    # The first try of an address that did not take part is free, whatever the others do.
    assert wait_s(pair.limit, failures=0, since_s=0) == 0
    assert name.limit is None


def test_codes_are_slowed_from_everywhere_together() -> None:
    assert counted(secret="code")[2].limit == CODES_FROM_ANYWHERE
    assert counted(secret="code")[2].key != counted()[2].key


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(1, "1 second"), (2, "2 seconds"), (90, "90 seconds"), (91, "2 minutes"),
     (120, "2 minutes"), (121, "3 minutes"), (900, "15 minutes")],
)  # fmt: skip
def test_the_sentence_says_how_long(seconds: int, words: str) -> None:
    said = limits.held_back_words("code", seconds)
    assert said == f"Too many wrong codes. Wait {words}, then try again."

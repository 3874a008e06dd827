"""What counts of tries forget, and what is told again: at the edges of their times."""

from __future__ import annotations

import pytest

from me_office.accounts import tries
from tests.accounts.test_tries import (
    HOME,
    OTHER,
    _quick_hash,  # noqa: F401
    clerk,  # noqa: F401
    failures,
    is_held,
    later,
    person_named,
    sign_in,
)

pytestmark = pytest.mark.django_db


def test_a_name_is_attacked_for_an_hour(clerk):  # noqa: F811
    for n in range(20):
        sign_in("wrong", address=f"198.51.100.{n}")
    later(3600)
    assert not is_held(sign_in("wrong", address=HOME))
    assert not is_held(sign_in("wrong", address=HOME)), "the name is not attacked any more"


def test_each_wait_is_recorded_once(clerk):  # noqa: F811
    def waits() -> int:
        return sum(one.get("held_back") == "yes" for one in failures())

    for _ in range(5):
        sign_in("wrong")
    for _ in range(3):
        assert is_held(sign_in())
    assert waits() == 1
    later(30)
    assert not is_held(sign_in("wrong"))
    for _ in range(2):
        assert is_held(sign_in())
    assert waits() == 2
    assert not is_held(sign_in("wrong", address=OTHER))


def test_a_code_is_taken_once_while_it_could_be_valid(clerk):  # noqa: F811
    # RFC 6238, section 5.2: a code is accepted once.
    other = person_named("mallard")
    assert [tries.is_first_use(clerk, "123456") for _ in range(3)] == [True, False, False]
    assert tries.is_first_use(other, "123456") and tries.is_first_use(clerk, "123457")
    later(290)
    assert not tries.is_first_use(clerk, "123456")
    later(11)
    assert tries.is_first_use(clerk, "123456")
    assert not tries.is_first_use(clerk, "123456")


def test_a_wait_of_the_address_on_top_of_an_own_one_is_not_recorded_again(clerk):  # noqa: F811
    for _ in range(6):
        sign_in("wrong")
    for n in range(25):
        sign_in("wrong", name=f"name{n}")
    assert is_held(sign_in())
    assert [one.get("held_back") for one in failures()] == [None] * 5 + ["yes"]

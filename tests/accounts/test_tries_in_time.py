"""What counts of tries forget, and what is told again: at the edges of their times."""

from __future__ import annotations

import pytest

from me_office.accounts import tries
from me_office.accounts.models import TryCount
from tests.accounts.test_tries import (
    HOME,
    OTHER,
    _quick_hash,  # noqa: F401
    clerk,  # noqa: F401
    failures,
    is_held,
    is_in,
    later,
    person_named,
    sign_in,
    told_to_wait,
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


def test_a_clock_that_is_set_right_makes_nobody_wait_for_hours(clerk):  # noqa: F811
    for _ in range(6):
        sign_in("wrong")
    later(-7200)  # as if they had been made while the clock was two hours ahead
    assert 0 < told_to_wait(sign_in()) <= 30
    later(30)
    assert is_in(sign_in())


def test_one_site_of_ipv6_does_not_guess_from_each_of_its_lines(clerk):  # noqa: F811
    lines = iter(range(10_000))

    def from_the_next_line(site="2001:db8:99", **said):
        return sign_in("wrong", address=f"{site}:{next(lines):x}::9", **said)

    assert not is_held(from_the_next_line(name="first"))
    TryCount.objects.update(failures=59)
    assert [is_held(from_the_next_line(name=f"name{n}")) for n in range(3)] == [False, True, True]
    assert not is_held(from_the_next_line("2001:db8:9a"))
    later(10)
    assert not is_held(from_the_next_line())
    assert is_held(from_the_next_line())
    later(3600)
    assert is_in(sign_in(address="2001:db8:99:1::9"))


def test_no_other_letters_make_a_name_of_their_own(clerk):  # noqa: F811
    # Unicode: the capital of dotless i (U+0131) is I, that of long s (U+017F) is S. A database that
    # compares without case may take them for i and s; nobody signs in so, and nobody is told of it.
    person_named("quill.sis")
    for name in ("qu\u0131ll.sis", "quill.\u017fis", "QU\u0131LL.SIS"):
        assert not is_in(sign_in(name=name, address=OTHER))
    assert failures() == []
    for name in ("QUILL.sis", " quill.sis ", "Quill.Sis"):
        sign_in("wrong", name=name)
    assert len(failures()) == 3
    for _ in range(2):
        sign_in("wrong", name="quill.sis")
    assert is_held(sign_in("wrong", name="QUILL.SIS"))

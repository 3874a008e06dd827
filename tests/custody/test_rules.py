"""Whether a chain holds: common practice of evidence custody, decided without a database."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from evidence.custody.rules import (
    Handover,
    SealLife,
    check_break,
    check_new_seal,
    check_transfer,
    custody_chain,
    same_party,
)
from me_office.audit.errors import Refused

START = datetime(2026, 11, 14, 9, 0, tzinfo=UTC)


def at(minutes):
    return START + timedelta(minutes=minutes)


def hand(giver, taker, minutes, seal="intact"):
    return Handover(giver, taker, at(minutes), seal)


SEALED = [SealLife("TC 1", at(0))]
UNBROKEN = [hand("Vasko", "Refrigerator 2", 5), hand("Refrigerator 2", "Renn", 60)]


def test_an_unbroken_chain_has_a_holder_and_no_gap():
    chain = custody_chain(UNBROKEN, SEALED)
    assert (chain.holder, chain.since, chain.sealed) == ("Renn", at(60), True)
    assert chain.unbroken


def test_the_order_in_which_transfers_were_entered_does_not_count():
    assert custody_chain(UNBROKEN[::-1], SEALED) == custody_chain(UNBROKEN, SEALED)


def test_a_missing_hand_is_named():
    chain = custody_chain([UNBROKEN[0], hand("Courier", "Laboratory", 90)], SEALED)
    assert chain.gaps == (
        "Refrigerator 2 received it, but Courier handed it on: "
        "the transfer between them is missing.",
    )
    assert chain.holder == "Laboratory"


def test_two_transfers_at_one_time_are_a_gap():
    chain = custody_chain([hand("A", "B", 5), hand("B", "C", 5)], SEALED)
    assert chain.gaps == ("The transfers to B and to C carry the same time.",)


def test_no_transfer_is_a_gap():
    assert custody_chain([], SEALED).gaps == ("No transfer is recorded.",)
    assert custody_chain([], SEALED).holder == ""


@pytest.mark.parametrize(
    ("seals", "said", "words"),
    [
        ([], "intact", "no seal closed it"),
        ([SealLife("TC 1", at(30))], "intact", "no seal closed it"),
        ([SealLife("TC 1", at(0), at(3))], "intact", "no seal closed it"),
        (SEALED, "none", "no seal was noted, but one closed it"),
        (SEALED, "broken", "who broke it and why is not recorded"),
        ([], "broken", "none had been applied"),
    ],
)
def test_a_seal_that_does_not_fit_what_was_said_is_a_gap(seals, said, words):
    chain = custody_chain([hand("A", "B", 5, said)], seals)
    assert len(chain.gaps) == 1
    assert words in chain.gaps[0]


@pytest.mark.parametrize(
    ("seals", "said"),
    [
        ([], "none"),
        ([SealLife("TC 1", at(0), at(3))], "broken"),
        ([SealLife("TC 1", at(0), at(3)), SealLife("TC 2", at(4))], "intact"),
    ],
)
def test_a_seal_that_fits_what_was_said_is_no_gap(seals, said):
    assert custody_chain([hand("A", "B", 5, said)], seals).unbroken


def test_a_party_is_the_same_in_other_letters():
    assert same_party("D. Renn", " d.  renn ")
    assert not same_party("D. Renn", "D. Rennie")


@pytest.mark.parametrize(
    ("new", "field"),
    [
        (hand("Renn", "renn", 90), "to_party"),
        (hand("Renn", "Laboratory", 500), "at"),
        (hand("Renn", "Laboratory", 60), "at"),
        (hand("Renn", "Laboratory", 30), "at"),
        (hand("Renn", "Laboratory", 90, "broken"), "seal_state"),
    ],
)
def test_a_transfer_that_cannot_follow_is_refused_beside_its_field(new, field):
    with pytest.raises(Refused) as refused:
        check_transfer(new, UNBROKEN, SEALED, now=at(120))
    assert refused.value.field == field


def test_an_intact_seal_needs_a_seal():
    with pytest.raises(Refused, match="No seal closes this item"):
        check_transfer(hand("Renn", "Laboratory", 90), UNBROKEN, [], now=at(120))


def test_a_gap_is_recorded_not_refused():
    check_transfer(hand("Courier", "Laboratory", 90), UNBROKEN, SEALED, now=at(120))


def test_a_second_seal_on_a_closed_item_is_refused():
    with pytest.raises(Refused, match="Seal TC 1 closes this item"):
        check_new_seal(SEALED, applied_at=at(10), now=at(120))
    broken = [SealLife("TC 1", at(0), at(50))]
    with pytest.raises(Refused, match="broken later"):
        check_new_seal(broken, applied_at=at(40), now=at(120))
    with pytest.raises(Refused, match="future"):
        check_new_seal(broken, applied_at=at(121), now=at(120))
    check_new_seal(broken, applied_at=at(50), now=at(120))


@pytest.mark.parametrize(
    ("seal", "kind", "minutes", "words"),
    [
        (SealLife("ab", at(0)), "digest", 10, "bytes never change"),
        (SealLife("TC 1", at(0), at(5)), "numbered", 10, "broken before"),
        (SealLife("TC 1", at(0)), "numbered", 130, "future"),
        (SealLife("TC 1", at(20)), "numbered", 10, "applied later"),
    ],
)
def test_a_seal_is_broken_once_and_after_it_was_applied(seal, kind, minutes, words):
    with pytest.raises(Refused, match=words):
        check_break(seal, kind, broken_at=at(minutes), now=at(120))

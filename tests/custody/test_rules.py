"""Whether a chain holds: common practice of evidence custody, decided without a database."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from evidence.custody.rules import (
    Chain,
    Handover,
    SealLife,
    check_break,
    check_moves_alone,
    check_new_seal,
    check_receipt,
    check_transfer,
    check_within_office,
    custody_chain,
    same_party,
    seal_state_of,
)
from me_office.audit.errors import Refused

START = datetime(2026, 11, 14, 9, 0, tzinfo=UTC)


def at(minutes):
    return START + timedelta(minutes=minutes)


def hand(giver, taker, minutes, seal="intact"):
    return Handover(giver, taker, at(minutes), seal)


def refusal(check, *args, **kwargs):
    """The words of a refusal and the field beside which they stand."""
    with pytest.raises(Refused) as refused:
        check(*args, **kwargs)
    return str(refused.value), refused.value.field


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
    assert custody_chain([], SEALED) == Chain("", None, True, ("No transfer is recorded.",))
    assert custody_chain([], []) == Chain("", None, False, ("No transfer is recorded.",))


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
    assert chain.gaps[0].startswith("At the transfer from A to B ")
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


def test_a_seal_closes_from_when_it_is_applied_until_it_is_broken():
    seal = SealLife("TC 1", at(10), at(20))
    closed = [minute for minute in (9, 10, 19, 20, 21) if seal.closed_at(at(minute))]
    assert closed == [10, 19]
    # Said to be broken in the very minute it was applied: it had been applied.
    one = [SealLife("TC 1", at(5), at(5))]
    assert custody_chain([hand("A", "B", 5, "broken")], one).unbroken


LATER = (
    "This is not later than the last transfer. Enter a later time, or withdraw that transfer.",
    "at",
)


@pytest.mark.parametrize(
    ("new", "seals", "refused"),
    [
        (
            hand("Renn", "renn", 90),
            SEALED,
            ("An item cannot pass to the party that holds it.", "to_party"),
        ),
        (
            hand("Renn", "Laboratory", 121),
            SEALED,
            ("The time of the transfer is in the future.", "at"),
        ),
        (hand("Renn", "Laboratory", 60), SEALED, LATER),
        (hand("Renn", "Laboratory", 30), SEALED, LATER),
        (
            hand("Renn", "Laboratory", 90),
            [],
            ("No seal closes this item. Record the seal first.", "seal_state"),
        ),
        (
            hand("Renn", "Laboratory", 90, "broken"),
            SEALED,
            ("Record first who broke the seal, when and why.", "seal_state"),
        ),
    ],
)
def test_a_transfer_that_cannot_follow_is_refused_beside_its_field(new, seals, refused):
    assert refusal(check_transfer, new, UNBROKEN, seals, now=at(120)) == refused


def test_a_gap_is_recorded_not_refused():
    check_transfer(hand("Courier", "Laboratory", 90), UNBROKEN, SEALED, now=at(120))


def test_the_first_transfer_and_one_of_this_moment_are_taken():
    check_transfer(hand("Vasko", "Refrigerator 2", 5), [], SEALED, now=at(5))
    check_transfer(hand("Renn", "Laboratory", 61), UNBROKEN, SEALED, now=at(61))


def test_a_second_seal_on_a_closed_item_is_refused():
    assert refusal(check_new_seal, SEALED, applied_at=at(10), now=at(120)) == (
        "Seal TC 1 closes this item. Record first who broke it and why.",
        "number",
    )


def test_a_seal_is_applied_after_the_one_before_was_broken_and_not_later_than_now():
    broken = [SealLife("TC 0", at(0), at(20)), SealLife("TC 1", at(30), at(50))]
    assert refusal(check_new_seal, broken, applied_at=at(49), now=at(120)) == (
        "The previous seal was broken later than this.",
        "applied_at",
    )
    assert refusal(check_new_seal, broken, applied_at=at(121), now=at(120)) == (
        "The time of the seal is in the future.",
        "applied_at",
    )
    check_new_seal(broken, applied_at=at(50), now=at(120))
    check_new_seal(broken, applied_at=at(120), now=at(120))
    check_new_seal([], applied_at=at(0), now=at(120))


@pytest.mark.parametrize(
    ("seal", "kind", "minutes", "refused"),
    [
        (
            SealLife("ab", at(0)),
            "digest",
            10,
            ("A digest cannot be broken: the original's bytes never change.", None),
        ),
        (SealLife("TC 1", at(0), at(5)), "numbered", 10, ("This seal was already broken.", None)),
        (SealLife("TC 1", at(0)), "numbered", 121, ("The time is in the future.", "broken_at")),
        (
            SealLife("TC 1", at(20)),
            "numbered",
            19,
            ("The seal was applied after this time.", "broken_at"),
        ),
    ],
)
def test_a_seal_is_broken_once_and_after_it_was_applied(seal, kind, minutes, refused):
    assert refusal(check_break, seal, kind, broken_at=at(minutes), now=at(120)) == refused


def test_a_seal_may_break_in_the_minute_it_was_applied_and_up_to_now():
    for minutes in (20, 120):
        check_break(SealLife("TC 1", at(20)), "numbered", broken_at=at(minutes), now=at(120))


@pytest.mark.parametrize(
    ("seals", "state"),
    [
        ([], "none"),
        ([SealLife("TC 1", at(0))], "intact"),
        ([SealLife("TC 1", at(0), at(5))], "broken"),
        ([SealLife("TC 1", at(0), at(5)), SealLife("TC 2", at(6))], "intact"),
        ([SealLife("TC 1", at(0), at(5)), SealLife("TC 2", at(6), at(7))], "broken"),
    ],
)
def test_how_the_seal_stands_follows_from_the_seals(seals, state):
    assert seal_state_of(seals) == state


NAME_THE_SECOND = ("Cash is handed over by two people: name the second.", "second_person")
SOMEBODY_ELSE = ("The second person must be someone else.", "second_person")


@pytest.mark.parametrize(
    ("cash", "second", "refused"),
    [
        (True, "", NAME_THE_SECOND),
        (True, "  ", NAME_THE_SECOND),
        (True, "D. Renn", SOMEBODY_ELSE),
        (True, " o. lind", SOMEBODY_ELSE),
        (False, "D Renn", SOMEBODY_ELSE),
        (False, "O. Lind", SOMEBODY_ELSE),
    ],
)
def test_cash_is_given_by_two_people(cash, second, refused):
    # Common practice: two people count cash when it is taken and when it is given.
    given = {"given_by": "D. Renn", "received_by": "O. Lind"}
    assert refusal(check_receipt, cash=cash, second_person=second, **given) == refused


@pytest.mark.parametrize(("cash", "second"), [(True, "L. Quill"), (False, ""), (False, "L. Quill")])
def test_what_is_no_cash_is_given_by_one(cash, second):
    check_receipt(cash=cash, second_person=second, given_by="D. Renn", received_by="O. Lind")


def test_a_part_of_a_kit_is_not_sealed_or_moved_by_itself():
    check_moves_alone(False)
    words = "This is a part of a kit or tray: seal and move the kit."
    assert refusal(check_moves_alone, True) == (words, None)


def test_of_what_was_handed_over_against_a_receipt_only_the_return_is_recorded():
    for left_office, to_staff in ((False, False), (False, True), (True, True)):
        check_within_office(left_office=left_office, to_staff=to_staff)
    assert refusal(check_within_office, left_office=True, to_staff=False) == (
        "The office's custody of this item ended when it was handed over against a receipt. Record "
        "its return by naming the member of staff who receives it.",
        "to_staff",
    )

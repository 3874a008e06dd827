"""A run of mails: in their order, until the server is silent or the time is over."""

from __future__ import annotations

import pytest

from me_office import mailing


class Link:
    """A connection to a mail server."""

    closed = 0
    breaks = False

    def close(self) -> None:
        self.closed += 1
        if self.breaks:
            raise OSError("cut")


@pytest.mark.parametrize(
    ("longest", "answers", "begun"),
    [
        (100.0, (True, True, True), [1, 2, 3]),
        (100.0, (True, False, True), [1, 2]),
        # The clock says 10, 20, 30 s when the first, the second, the third would begin.
        (20.0, (True, True, True), [1, 2]),
        (19.9, (True, True, True), [1]),
        (9.9, (True, True, True), []),
    ],
)
def test_a_run_ends_where_nobody_answers_or_after_its_time(monkeypatch, longest, answers, begun):
    clock, seen, link = iter(range(0, 100, 10)), [], Link()
    monkeypatch.setattr(mailing, "monotonic", lambda: float(next(clock)))

    def send(one):
        seen.append(one)
        return one != 1, answers[one - 1]

    sent = mailing.sent_in_turn(link, (1, 2, 3), send, longest=longest)
    assert (seen, sent, link.closed) == (begun, len([one for one in begun if one != 1]), 1)


@pytest.mark.parametrize("breaks", [False, True])
def test_the_connection_is_closed_whatever_happens(breaks):
    link = Link()
    link.breaks = breaks
    with pytest.raises(ZeroDivisionError):
        mailing.sent_in_turn(link, (1,), lambda one: (one / 0, True), longest=9)
    assert mailing.sent_in_turn(link, (), lambda one: (True, True), longest=9) == 0
    assert link.closed == 2

"""What the page says on which something of the evidence is withdrawn, with the reason."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from evidence.items.forms import WithdrawForm
from me_office.shell.confirming import Confirmation
from me_office.shell.forms import OfficeForm


@dataclass(frozen=True)
class Withdrawal(Confirmation):
    """A confirmation whose reason is short, and whose tab tells the page and the case alone."""

    in_step: bool = False
    form_class: Callable[..., OfficeForm] = WithdrawForm


def of_numbered(
    what: str, number: int, sentence: str, *, back: str, then: str = "", says: bool = True
) -> Withdrawal:
    """Return the same for what is named by its kind and number: copy 3.

    `says` tells whether the next page says that it is withdrawn.
    """
    named = f"{what} {number}"
    done = f"{named.capitalize()} withdrawn." if says else ""
    return Withdrawal(f"Withdraw {named}", sentence, f"Withdraw the {what}", back, done, then)

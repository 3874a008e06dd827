"""Is a seal's number borne by another item, and has that been said?"""

from __future__ import annotations

from evidence.custody.models import Seal
from me_office.audit.errors import Invalid

TAKEN = "This seal number is in use on another item."
ASKED = "Read both seals again. If both have this number, say why."


def require_number_asked(seal: Seal) -> None:
    """Ask about a number that stands on another item, and refuse a reason where it does not.

    The table refuses the second of two that were written at once without a reason. A reason is
    kept only where it is true, so that a number is not freed of the question by it. Raises Invalid.
    """
    repeated = Seal.objects.filter(kind="numbered", number=seal.number, voided_at=None).exists()
    if repeated and not seal.number_repeats:
        raise Invalid({"number": [TAKEN], "number_repeats": [ASKED]})
    if seal.number_repeats and not repeated:
        raise Invalid({"number_repeats": ["No other item has this number: leave this empty."]})

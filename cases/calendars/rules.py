"""What leave may be, and the address of a feed. No database, no clock."""

from __future__ import annotations

import hashlib
import re
import secrets
from datetime import date

from me_office.entries import Entry

LONGEST_LEAVE_DAYS = 400
# A feed reaches so far back and ahead.
BACK_DAYS, AHEAD_DAYS = 31, 400
MOST_EVENTS = 500
_SECRET = re.compile(r"[A-Za-z0-9_-]{43}")


def wrong_in_leave(entry: Entry, _today: date | None = None) -> dict[str, str]:
    """Return what cannot be so of leave, by field."""
    first, last = entry.get("first_on"), entry.get("last_on")
    if isinstance(first, date) and isinstance(last, date):
        if last < first:
            return {"last_on": "The last day cannot be before the first."}
        if (last - first).days > LONGEST_LEAVE_DAYS:
            return {"last_on": f"At most {LONGEST_LEAVE_DAYS} days; enter a longer one in parts."}
    return {}


def new_secret() -> str:
    """Return a new secret for a feed's address: 256 bits, as they stand in an address."""
    return secrets.token_urlsafe(32)


def is_secret(text: str) -> bool:
    """Tell whether a text can be the secret of an address."""
    return _SECRET.fullmatch(text) is not None


def digest_of(secret: str) -> str:
    """Return what is kept of a secret."""
    return hashlib.sha256(secret.encode()).hexdigest()

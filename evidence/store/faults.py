"""What the store says when it does not hold what it should."""

from __future__ import annotations


class StoreFault(Exception):
    """The store does not hold what it should; never the person's mistake."""

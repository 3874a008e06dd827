"""What pages of withdrawing an item say."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.urls import reverse


def withdrawal(item: Any, back: str, case_id: UUID) -> dict[str, Any]:
    """Return what the page says on which an item is withdrawn."""
    return {
        "title": f"Withdraw item {item.number}",
        "sentence": f"Item {item.number}, {item.title}, will no longer count in this case. Its "
        "number is not used again, and its seals and transfers stay on record.",
        "act": "Withdraw the item",
        "back": reverse(back, kwargs={"case_id": case_id}),
    }

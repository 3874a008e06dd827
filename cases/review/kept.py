"""What the office keeps, as the report says it: evidence apart from personal effects."""

from __future__ import annotations

from collections.abc import Iterable

from evidence.items.kinds import EVIDENCE, PROPERTY
from evidence.items.models import Item
from evidence.property.models import PropertyItem
from evidence.specimens.models import Specimen

GROUPS = [(EVIDENCE, "Evidence"), (PROPERTY, "Personal effects of the decedent")]
COLUMNS = ["Item", "What it is", "Description", "Found", "From finding"]


def kept_sections(things: Iterable[PropertyItem]) -> list[dict[str, object]]:
    """Return a table of evidence and one of personal effects, as sections of the report."""
    things = list(things)
    return [
        {
            "key": f"kept-{kept_as}",
            "title": title,
            "passages": [],
            "columns": COLUMNS,
            "rows": [_row(thing) for thing in things if thing.kept_as == kept_as],
        }
        for kept_as, title in GROUPS
    ]


def received_section(specimens: Iterable[Specimen]) -> dict[str, object]:
    """Return a table of what others took: never among what was taken at the examination."""
    rows = [row for row in specimens if row.is_of_others]
    return {
        "key": "specimens-of-others",
        "title": "Specimens taken by others, not at the examination",
        "passages": [],
        "columns": ["Item", "Material", "Taken", "By and where", "Time on the label", "Received"],
        "rows": [
            [
                str(row.item.number),
                f"{row.material}, {row.site}",
                row.get_origin_display().removesuffix(" by others"),
                f"{row.taken_by}, {row.taken_where}",
                row.label_time,
                f"from {row.received_from}",
            ]
            for row in rows
        ],
    }


def numbered(item: Item) -> str:
    """Say an item's number, of a part with the number of its kit or tray."""
    return f"{item.number} (in {item.container.number})" if item.container else str(item.number)


def _row(thing: PropertyItem) -> list[str]:
    counted = f" Counted: {thing.cash_words}." if thing.cash_words else ""
    return [
        str(thing.item.number),
        thing.get_category_display(),
        f"{thing.description}{counted}",
        thing.where_words,
        str(thing.finding.number) if thing.finding else "",
    ]

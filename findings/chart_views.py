"""Which views the chart offers together, and which view lies opposite. No database."""

from __future__ import annotations

from dataclasses import dataclass

from findings.body.views import VIEWS

# A word for the tab, and its views with a short word each.
GROUPS: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    ("Front", (("anterior", "Whole body"),)),
    ("Back", (("posterior", "Whole body"),)),
    ("Left", (("left", "Whole side"), ("trunk_left", "Trunk, arm not drawn"))),
    ("Right", (("right", "Whole side"), ("trunk_right", "Trunk, arm not drawn"))),
    (
        "Head",
        (
            ("head_anterior", "Front"),
            ("head_posterior", "Back"),
            ("head_left", "Left"),
            ("head_right", "Right"),
            ("head_superior", "Above"),
            ("head_inferior", "Below"),
        ),
    ),
    (
        "Hands",
        (
            ("hand_left_palmar", "Left palm"),
            ("hand_left_dorsal", "Left back"),
            ("hand_right_palmar", "Right palm"),
            ("hand_right_dorsal", "Right back"),
        ),
    ),
    (
        "Feet",
        (
            ("foot_left_dorsal", "Left top"),
            ("foot_left_plantar", "Left sole"),
            ("foot_right_dorsal", "Right top"),
            ("foot_right_plantar", "Right sole"),
        ),
    ),
    (
        "Limbs",
        (
            ("arm_left_medial", "Left arm, inner"),
            ("arm_right_medial", "Right arm, inner"),
            ("leg_left_medial", "Left leg, inner"),
            ("leg_right_medial", "Right leg, inner"),
        ),
    ),
)

_PAIRS = (
    ("anterior", "posterior"),
    ("left", "right"),
    ("trunk_left", "trunk_right"),
    ("head_anterior", "head_posterior"),
    ("head_left", "head_right"),
    ("head_superior", "head_inferior"),
    ("hand_left_palmar", "hand_left_dorsal"),
    ("hand_right_palmar", "hand_right_dorsal"),
    ("foot_left_dorsal", "foot_left_plantar"),
    ("foot_right_dorsal", "foot_right_plantar"),
    ("arm_left_medial", "arm_right_medial"),
    ("leg_left_medial", "leg_right_medial"),
)
OPPOSITE = {**dict(_PAIRS), **{second: first for first, second in _PAIRS}}
FIRST_VIEW = "anterior"


@dataclass(frozen=True)
class Tab:
    """One tab of the chart: its word, the view it opens, whether it is open."""

    word: str
    view: str
    current: bool


def known_view(key: str) -> str:
    """The view of that key, or the front when there is none."""
    return key if key in VIEWS else FIRST_VIEW


def tabs(current: str) -> list[Tab]:
    """The groups of views as tabs."""
    return [Tab(word, views[0][0], _holds(views, current)) for word, views in GROUPS]


def tabs_within(current: str) -> list[Tab]:
    """The views of the open group; empty when it has one only."""
    for _, views in GROUPS:
        if _holds(views, current) and len(views) > 1:
            return [Tab(word, key, key == current) for key, word in views]
    return []


def _holds(views: tuple[tuple[str, str], ...], current: str) -> bool:
    return any(key == current for key, _ in views)


def title_of(view: str) -> str:
    """A view's title as the drawing names it."""
    return VIEWS[view].title

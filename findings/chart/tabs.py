"""Which views the chart offers together, and which view lies opposite. No database."""

from __future__ import annotations

from dataclasses import dataclass

from findings.body.views import SCHEMATICS, VIEWS, view_title

# A word for the group, and its views with a short word each.
GROUPS: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    ("Front", (("anterior", "Whole body"),)),
    ("Back", (("posterior", "Whole body"),)),
    ("Left", (("left", "Whole body"),)),
    ("Right", (("right", "Whole body"),)),
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
        "Trunk and limbs",
        (
            ("trunk_left", "Trunk, left, no arm"),
            ("trunk_right", "Trunk, right, no arm"),
            ("arm_left_medial", "Left arm, inner"),
            ("arm_right_medial", "Right arm, inner"),
            ("leg_left_medial", "Left leg, inner"),
            ("leg_right_medial", "Right leg, inner"),
        ),
    ),
    (
        "Perineum, mouth",
        (
            ("perineum_female", "Perineum, female"),
            ("perineum_male", "Perineum, male"),
            ("mouth", "Mouth"),
        ),
    ),
    (
        "Bones",
        (
            ("skeleton_anterior", "Skeleton, front"),
            ("skeleton_posterior", "Skeleton, back"),
            ("skull_left", "Skull, left"),
            ("skull_right", "Skull, right"),
            ("skull_superior", "Skull, above"),
            ("skull_base_inner", "Skull base, inside"),
        ),
    ),
    (
        "Organs",
        (
            ("brain_superior", "Brain, above"),
            ("brain_inferior", "Brain, below"),
            ("brain_left", "Brain, left"),
            ("brain_right", "Brain, right"),
            ("neck_organs", "Neck"),
            ("heart_anterior", "Heart, front"),
            ("heart_posterior", "Heart, back"),
            ("torso_organs", "Cavities"),
            ("retroperitoneum", "Retroperitoneum"),
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
    ("perineum_female", "perineum_male"),
    ("skeleton_anterior", "skeleton_posterior"),
    ("skull_left", "skull_right"),
    ("skull_superior", "skull_base_inner"),
    ("brain_superior", "brain_inferior"),
    ("brain_left", "brain_right"),
    ("heart_anterior", "heart_posterior"),
    ("torso_organs", "retroperitoneum"),
)
OPPOSITE = {**dict(_PAIRS), **{second: first for first, second in _PAIRS}}
# Single drawings have a neighbor instead.
OPPOSITE |= {"mouth": "head_anterior", "neck_organs": "head_anterior"}
# These groups stand as tabs in one row; the others in the menu behind it.
IN_A_ROW = 7
ALL_VIEWS = (*VIEWS, *SCHEMATICS)
FIRST_VIEW = "anterior"


@dataclass(frozen=True)
class Tab:
    """One tab of the chart: its word, the view it opens, whether it is open."""

    word: str
    view: str
    current: bool


def known_view(key: str) -> str:
    """The view of that key, or the front when there is none."""
    return key if key in ALL_VIEWS else FIRST_VIEW


def tabs(current: str) -> list[Tab]:
    """The main groups of views as tabs."""
    return [Tab(word, views[0][0], _holds(views, current)) for word, views in GROUPS[:IN_A_ROW]]


def tabs_within(current: str) -> list[Tab]:
    """The views of the open tab; empty when it has one only, or the view is from the menu."""
    for _, views in GROUPS[:IN_A_ROW]:
        if _holds(views, current) and len(views) > 1:
            return [Tab(word, key, key == current) for key, word in views]
    return []


def menu(current: str) -> list[tuple[str, list[Tab]]]:
    """The views that stand in the menu, by group."""
    return [
        (word, [Tab(title, key, key == current) for key, title in views])
        for word, views in GROUPS[IN_A_ROW:]
    ]


def menu_word(current: str) -> str:
    """The open view's word if it is one of the menu's; else nothing."""
    words = (tab.word for _, views in menu(current) for tab in views if tab.current)
    return next(words, "")


def _holds(views: tuple[tuple[str, str], ...], current: str) -> bool:
    return any(key == current for key, _ in views)


def is_schematic(view: str) -> bool:
    """Whether a drawing shows parts without their true shape: no heights, no areas."""
    return view in SCHEMATICS


def title_of(view: str) -> str:
    """A view's title as the drawing names it."""
    return view_title(view)

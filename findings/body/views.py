"""Bodies and the views in which the chart shows them.

Units are thousandths of crown-heel length. In space x is to the body's left, y anterior, z up from
the lowest point. On the page `u` goes right and `v` down: `v = 1000 - z` where the page's upward
axis is z, and the negative of that axis otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, NamedTuple

from findings.body.catalogue import UnknownBody, UnknownView, catalogue

Point3 = tuple[float, float, float]

# Ages at which the proportions of the next body fit better (common practice; there are four bodies,
# and the drawn proportions change slowly between them).
INFANT_BELOW_YEARS: Final = 2.0
CHILD_BELOW_YEARS: Final = 13.0

CROWN_HEEL: Final = 1000.0


class Box(NamedTuple):
    """The part of a view's page that is drawn: left, top, width, height."""

    x: float
    y: float
    width: float
    height: float

    def holds(self, u: float, v: float) -> bool:
        """Whether the page point lies in the box, edges included."""
        return self.x <= u <= self.x + self.width and self.y <= v <= self.y + self.height


@dataclass(frozen=True, slots=True)
class Axis:
    """A signed axis of space: index 0, 1, 2 for x, y, z and +1 or -1."""

    index: int
    sign: int

    @classmethod
    def named(cls, name: str) -> Axis:
        """Read "x", "-y", ..."""
        return cls("xyz".index(name[-1]), -1 if name.startswith("-") else 1)

    def of(self, point: Point3) -> float:
        """The point's coordinate along this axis."""
        return self.sign * point[self.index]


@dataclass(frozen=True, slots=True)
class View:
    """A fixed direction of looking at the body, and which regions it draws.

    `shown` is None when every region is drawn; `hidden` regions are left out; `side` limits the
    view to one side of the body ("left", "right") or not ("both").
    """

    key: str
    title: str
    u: Axis
    up: Axis
    toward: Axis
    shown: frozenset[str] | None
    hidden: frozenset[str]
    side: str

    def shows(self, region_base: str, region_side: str) -> bool:
        """Whether faces of this region are drawn in this view."""
        if self.shown is not None and region_base not in self.shown:
            return False
        if region_base in self.hidden:
            return False
        return self.side == "both" or self.side == region_side

    def project(self, point: Point3) -> tuple[float, float]:
        """Where a point in space lies on this view's page."""
        up = self.up.of(point)
        return self.u.of(point), (CROWN_HEEL - up if self.up.index == 2 else -up)

    def up_of_page(self, v: float) -> float:
        """The coordinate along the page's upward axis of a page height."""
        return CROWN_HEEL - v if self.up.index == 2 else -v


@dataclass(frozen=True, slots=True)
class BodyModel:
    """One of the drawn bodies: its title, surface area (units squared), landmarks and boxes.

    `faded_above` holds, for views of a limb whose upper end is faded out, the page height above
    which nothing is drawn.
    """

    key: str
    title: str
    surface_area: float
    landmarks: MappingProxyType[str, Point3]
    boxes: MappingProxyType[str, Box]
    faded_above: MappingProxyType[str, float]


@dataclass(frozen=True, slots=True)
class Schematic:
    """A schematic drawing without a surface: perineum, mouth, skeleton, organs.

    The same for every body, in units of its own; `group` gathers the drawings of one subject.
    """

    key: str
    title: str
    group: str
    box: Box


def _load_views() -> MappingProxyType[str, View]:
    return MappingProxyType(
        {
            row["key"]: View(
                key=row["key"],
                title=row["title"],
                u=Axis.named(row["u"]),
                up=Axis.named(row["up"]),
                toward=Axis.named(row["toward"]),
                shown=None if row["shown"] == "all" else frozenset(row["shown"]),
                hidden=frozenset(row["hidden"]),
                side=row["side"],
            )
            for row in catalogue()["views"]
        }
    )


def _load_bodies() -> MappingProxyType[str, BodyModel]:
    return MappingProxyType(
        {
            key: BodyModel(
                key=key,
                title=row["title"],
                surface_area=row["surface_area"],
                landmarks=MappingProxyType(
                    {k: (p[0], p[1], p[2]) for k, p in row["landmarks"].items()}
                ),
                boxes=MappingProxyType({k: Box(*box) for k, box in row["view_boxes"].items()}),
                faded_above=MappingProxyType(row["faded_above"]),
            )
            for key, row in catalogue()["bodies"].items()
        }
    )


VIEWS: Final = _load_views()
"""Every view by its key, in the order in which a chart offers them."""

BODIES: Final = _load_bodies()
"""Every body by its key."""


SCHEMATICS: Final = MappingProxyType(
    {
        row["key"]: Schematic(row["key"], row["title"], row["group"], Box(*row["box"]))
        for row in catalogue()["schematics"]
    }
)
"""The schematic drawings by their key: marks can be placed there, but have no surface point."""


def body_model(key: str) -> BodyModel:
    """The body of that key; raises UnknownBody."""
    try:
        return BODIES[key]
    except KeyError:
        raise UnknownBody(key) from None


def view(key: str) -> View:
    """The view of that key; raises UnknownView, also for a schematic drawing."""
    try:
        return VIEWS[key]
    except KeyError:
        raise UnknownView(key) from None


def view_title(key: str) -> str:
    """The title of a view or schematic drawing; raises UnknownView."""
    return SCHEMATICS[key].title if key in SCHEMATICS else view(key).title


def view_box(body: str, view_key: str) -> Box:
    """The box of a body's view or of a schematic; raises UnknownBody, UnknownView."""
    if view_key in SCHEMATICS:
        body_model(body)
        return SCHEMATICS[view_key].box
    view(view_key)
    return body_model(body).boxes[view_key]


def choose_body(sex: str | None, age_years: float | None) -> str:
    """The body that fits a decedent best; the person at the chart may choose another.

    Below 2 years the infant, below 13 the child, otherwise an adult: female when recorded so, else
    the male drawing. An unknown age counts as adult.
    """
    if age_years is not None:
        if age_years < INFANT_BELOW_YEARS:
            return "infant"
        if age_years < CHILD_BELOW_YEARS:
            return "child"
    return "adult_female" if (sex or "").strip().casefold() in {"f", "female"} else "adult_male"

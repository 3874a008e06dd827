"""Marks on skin, painted at true size in muted tones; stylised, for demonstration only."""

from collections.abc import Callable
from typing import Any

import numpy as np

from .picture_canvas import Canvas, Floats, Point, smoothstep
from .picture_marks import (
    band_abrasion,
    exit_wound,
    insect_marks,
    paired_lines,
    rectangle,
    scrape,
    skin_slippage,
    tattoo,
)
from .picture_skin import Grid, Part, Skin, blob

# What the skin lets through of red, green and blue under each color.
_PURPLE = (0.66, 0.50, 0.66)
_DEEP = (0.66, 0.52, 0.66)
_YELLOW = (0.95, 0.90, 0.66)
_FRESH = (0.96, 0.72, 0.74)
_RED = (0.90, 0.66, 0.61)
_PINK = (0.98, 0.80, 0.79)
_BROWN = (0.78, 0.60, 0.49)


def _bruise(skin: Skin, grid: Grid, rho: Floats, strength: float, halo: bool) -> None:
    """Blood under the skin: an uneven core within a soft edge."""
    cloud, fine = skin.mottle(grid, 9, 3), skin.mottle(grid, 1.1, 2)
    wavy = rho + 0.07 * cloud
    if halo:
        skin.tint(grid, 0.75 * smoothstep(1.32, 0.86, wavy), _YELLOW)
    skin.tint(grid, strength * 0.85 * smoothstep(1.06, 0.62, wavy + 0.02 * fine), _PURPLE)
    core = smoothstep(0.86, 0.18, wavy + 0.10 * cloud) * (0.85 + 0.15 * fine)
    skin.tint(grid, strength * core, _DEEP)


def _around(grid: Grid, length: float, width: float, reach: float) -> Floats:
    """1 inside a long mark, fading to 0 within reach mm about it."""
    away = np.hypot(grid.u / (length / 2 + reach), grid.v / (width / 2 + reach))
    return smoothstep(1.0, 0.35, away)


def contusion(
    skin: Skin,
    *,
    length_mm: float = 58,
    width_mm: float = 36,
    angle: float = -14,
    age: str = "fresh",
) -> list[Part]:
    """A bruise; age is "fresh", "days" or "week". A fresh one is purple-red, without any yellow."""
    strengths = {"fresh": 0.86, "days": 0.92, "week": 0.5}
    if age not in strengths:
        raise ValueError(f"age must be fresh, days or week, not {age}")
    strength = strengths[age]
    shape = blob(skin.rng, length_mm, width_mm, 0.10)
    grid = skin.grid(length_mm * 0.8, width_mm * 0.85, angle=angle, step=3)
    rho = shape.rho(grid.u, grid.v)
    if age == "fresh":
        skin.tint(grid, 0.55 * smoothstep(1.25, 0.7, rho), _FRESH)
    _bruise(skin, grid, rho, strength, age != "fresh")
    return [skin.part(shape.points, angle=angle)]


def patterned_contusion(
    skin: Skin, *, length_mm: float = 46, width_mm: float = 8, gap_mm: float = 8, angle: float = 78
) -> list[Part]:
    """Four parallel bands."""
    parts = []
    for n in range(4):
        across = (n - 1.5) * (width_mm + gap_mm)
        turn = np.radians(angle)
        center = (float(-across * np.sin(turn)), float(across * np.cos(turn)))
        long = length_mm * float(skin.rng.uniform(0.93, 1.0))
        shape = blob(skin.rng, long, width_mm, 0.05, 4.0)
        grid = skin.grid(long * 0.7, width_mm * 1.1, center, angle, 2)
        _bruise(skin, grid, shape.rho(grid.u, grid.v), 0.72, False)
        parts.append(skin.part(shape.points, center, angle))
    return parts


def abrasion(
    skin: Skin, *, length_mm: float = 52, width_mm: float = 30, angle: float = 12
) -> list[Part]:
    """A graze."""
    shape = blob(skin.rng, length_mm, width_mm, 0.14)
    scrape(skin, shape, (0, 0), angle, (length_mm * 0.75, width_mm * 0.8))
    return [skin.part(shape.points, angle=angle)]


def linear_abrasion(
    skin: Skin, *, length_mm: float = 74, width_mm: float = 2.6, angle: float = -9
) -> list[Part]:
    """One long scratch and two shorter ones beside it."""
    parts = []
    for share, dv, du, wide in (
        (1.0, 0.0, 0.0, 1.0),
        (0.55, 7.5, 9.0, 0.7),
        (0.34, -6.0, -12.0, 0.6),
    ):
        turn = np.radians(angle)
        center = (
            float(du * np.cos(turn) - dv * np.sin(turn)),
            float(du * np.sin(turn) + dv * np.cos(turn)),
        )
        shape = blob(skin.rng, length_mm * share, width_mm * wide, 0.03, 1.7)
        reach = (length_mm * share * 0.66, width_mm * 2.2)
        scrape(skin, shape, center, angle, reach, 1.15 * wide)
        parts.append(skin.part(shape.points, center, angle))
    return parts


def _opening(skin: Skin, grid: Grid, rho: Floats, rim: float, halo: Floats) -> None:
    """A parted surface in plain, muted tones with a lit lower lip."""
    edge = smoothstep(1.0 + rim, 1.0 - rim, rho)
    skin.tint(grid, 0.85 * halo, _PINK)
    skin.cover(grid, edge, (146, 84, 78))
    skin.cover(grid, 0.85 * smoothstep(0.92, 0.25, rho), (112, 60, 58))
    lower = smoothstep(0.0, 0.5, grid.v / max(float(np.abs(grid.v).max()), 1e-6))
    lip = smoothstep(0.72, 0.95, rho) * smoothstep(1.12, 0.98, rho) * lower
    skin.cover(grid, 0.5 * lip, (222, 176, 160))


def laceration(
    skin: Skin, *, length_mm: float = 34, width_mm: float = 8, angle: float = 24
) -> list[Part]:
    """A tear with an uneven, scraped margin and strands across it."""
    margin = blob(skin.rng, length_mm * 1.3, width_mm * 2.6, 0.2)
    scrape(skin, margin, (0, 0), angle, (length_mm, width_mm * 2.2), 0.45)
    shape = blob(skin.rng, length_mm, width_mm, 0.22, 1.35)
    grid = skin.grid(length_mm * 0.7, width_mm * 1.2, angle=angle, step=1)
    rho = shape.rho(grid.u, grid.v) + 0.07 * skin.mottle(grid, 2.4, 2)
    _opening(skin, grid, rho, 0.07, _around(grid, length_mm, width_mm, 4))
    for _ in range(4):
        at, lean = skin.rng.uniform(-0.3, 0.3) * length_mm, skin.rng.uniform(-0.5, 0.5)
        across = np.abs(grid.u - at - lean * grid.v + 0.25 * np.sin(grid.v * 1.4))
        strand = smoothstep(0.75, 0.30, across) * smoothstep(1.05, 0.9, rho)
        skin.cover(grid, 0.8 * strand, (172, 112, 100))
    return [skin.part(shape.points, angle=angle)]


def incised_wound(
    skin: Skin, *, length_mm: float = 42, width_mm: float = 6, angle: float = -18
) -> list[Part]:
    """A clean spindle with sharp ends."""
    shape = blob(skin.rng, length_mm, width_mm, 0.015, 1.22)
    grid = skin.grid(length_mm * 0.5 + 5, width_mm * 0.5 + 5, angle=angle, step=1)
    halo = _around(grid, length_mm, width_mm, 4)
    _opening(skin, grid, shape.rho(grid.u, grid.v), 0.03, halo)
    return [skin.part(shape.points, angle=angle)]


def entrance_wound(
    skin: Skin, *, length_mm: float = 11, width_mm: float = 10, angle: float = 30
) -> list[Part]:
    """A round defect in a scraped collar; the outline is the collar's."""
    shape = blob(skin.rng, length_mm, width_mm, 0.03)
    grid = skin.grid(length_mm * 1.6, width_mm * 1.6, angle=angle, step=1)
    rho = shape.rho(grid.u, grid.v)
    fine = skin.mottle(grid, 0.5, 2)
    skin.tint(grid, 0.55 * smoothstep(2.1, 0.9, rho), _PINK)
    skin.tint(grid, 0.9 * smoothstep(1.05, 0.93, rho + 0.012 * fine), (0.74, 0.48, 0.40))
    skin.tint(grid, (0.35 + 0.2 * fine) * smoothstep(0.95, 0.7, rho), _BROWN)
    hole = np.hypot(grid.u + 0.3, grid.v + 0.2) / (0.3 * length_mm)
    skin.cover(grid, smoothstep(1.06, 0.94, hole), (70, 40, 38))
    skin.cover(grid, smoothstep(0.95, 0.4, hole), (46, 29, 29))
    return [skin.part(shape.points, angle=angle)]


def burn(
    skin: Skin, *, length_mm: float = 92, width_mm: float = 58, angle: float = 8
) -> list[Part]:
    """A reddened area with a paler middle, blisters along its edge, and soot on the skin."""
    shape = blob(skin.rng, length_mm, width_mm, 0.13)
    grid = skin.grid(length_mm * 0.8, width_mm * 0.9, angle=angle, step=2)
    rho, cloud = shape.rho(grid.u, grid.v), skin.mottle(grid, 14, 3)
    skin.tint(grid, 0.8 * smoothstep(1.25, 0.9, rho), _PINK)
    skin.tint(grid, 0.8 * smoothstep(1.04, 0.93, rho + 0.03 * cloud), (0.96, 0.74, 0.68))
    pale = smoothstep(0.70, 0.42, rho + 0.16 * cloud)
    skin.cover(grid, 0.42 * pale, (228, 192, 170) if skin.tone < 3 else (178, 134, 116))
    soot = smoothstep(0.1, 0.8, skin.mottle(grid, 7, 3)) * smoothstep(1.35, 0.9, rho)
    skin.tint(grid, 0.7 * soot, (0.42, 0.40, 0.40))
    for turn in np.arange(0.0, 2 * np.pi, 0.62):
        t = float(turn + skin.rng.uniform(-0.2, 0.2))
        at = (0.42 * length_mm * float(np.cos(t)), 0.40 * width_mm * float(np.sin(t)))
        _blister(skin, grid, at, float(skin.rng.uniform(3.0, 6.5)))
    return [skin.part(shape.points, angle=angle)]


def _blister(skin: Skin, grid: Grid, at: Point, radius: float) -> None:
    """A raised, fluid-filled bleb: pale dome, dark lower rim, a small light on it."""
    away = np.hypot((grid.u - at[0]) / 1.25, grid.v - at[1]) / radius
    skin.cover(grid, 0.5 * smoothstep(1.05, 0.85, away), (236, 206, 166))
    rim = smoothstep(0.78, 0.95, away) * smoothstep(1.12, 0.98, away)
    skin.tint(grid, 0.8 * rim, (0.74, 0.56, 0.50))
    light = np.hypot(grid.u - at[0] + 0.3 * radius, grid.v - at[1] + 0.35 * radius) / radius
    skin.cover(grid, 0.75 * smoothstep(0.30, 0.12, light), (255, 250, 240))


def lividity(
    skin: Skin, *, length_mm: float = 300, width_mm: float = 175, angle: float = 4
) -> list[Part]:
    """Settled blood with paler places where the body rested."""
    shape = blob(skin.rng, length_mm, width_mm, 0.13, 2.6)
    grid = skin.grid(length_mm * 0.75, width_mm * 0.8, angle=angle, step=4)
    cloud = skin.mottle(grid, 34, 4)
    rho = shape.rho(grid.u, grid.v) + 0.08 * cloud
    depth = smoothstep(1.08, 0.62, rho)
    wave = 0.10 * cloud
    rest = np.hypot(
        (grid.u + 0.02 * length_mm) / (0.30 * length_mm),
        (grid.v + 0.17 * width_mm) / (0.17 * width_mm),
    ) + 0.5 * np.sin(grid.u * 0.02)
    depth = depth * (1 - 0.85 * smoothstep(1.35, 0.7, rest + 2 * wave))
    # A crease of the sheet keeps a narrow band free of color.
    crease = np.abs(grid.v - 0.23 * width_mm - 0.10 * grid.u) / 5.5
    depth = depth * (1 - 0.7 * smoothstep(1.5, 0.6, crease + wave))
    skin.tint(grid, depth * (0.80 + 0.14 * cloud), (0.70, 0.48, 0.60))
    return [skin.part(shape.points, angle=angle)]


def drying(
    skin: Skin, *, length_mm: float = 44, width_mm: float = 19, angle: float = -6
) -> list[Part]:
    """A parchment-like brown area with a firm edge and a faint sheen."""
    shape = blob(skin.rng, length_mm, width_mm, 0.10)
    grid = skin.grid(length_mm * 0.7, width_mm * 0.8, angle=angle, step=2)
    cloud = skin.mottle(grid, 5, 3)
    rho = shape.rho(grid.u, grid.v) + 0.02 * cloud
    inside = smoothstep(1.02, 0.95, rho)
    skin.tint(grid, 0.4 * smoothstep(1.2, 0.9, rho), (0.96, 0.86, 0.74))
    skin.tint(grid, inside * (0.86 + 0.12 * cloud), (0.80, 0.58, 0.36))
    rim = smoothstep(0.80, 0.97, rho) * smoothstep(1.03, 0.98, rho)
    skin.tint(grid, 0.65 * rim, (0.72, 0.54, 0.42))
    sheen = smoothstep(0.5, 0.0, np.abs(grid.v / width_mm + 0.16 + 0.06 * cloud) * 3.4)
    skin.cover(grid, 0.16 * sheen * smoothstep(0.9, 0.6, rho), (255, 240, 214))
    return [skin.part(shape.points, angle=angle)]


def puncture(
    skin: Skin,
    *,
    length_mm: float = 7,
    width_mm: float = 5.5,
    angle: float = 20,
    bruise: bool = True,
) -> list[Part]:
    """A point-like needle mark, in a small bruise or in clean skin; the outline is the area's."""
    shape = blob(skin.rng, length_mm, width_mm, 0.12)
    grid = skin.grid(length_mm, width_mm, angle=angle, step=1)
    rho = shape.rho(grid.u, grid.v) + 0.08 * skin.mottle(grid, 1.4, 2)
    point = np.hypot(grid.u, grid.v)
    if bruise:
        skin.tint(grid, 0.62 * smoothstep(1.08, 0.25, rho), _PURPLE)
        skin.tint(grid, 0.8 * smoothstep(1.0, 0.55, point), _RED)
    skin.cover(grid, smoothstep(0.46, 0.26, point), (84, 36, 36))
    return [skin.part(shape.points, angle=angle)]


def electrode_marks(skin: Skin, *, length_mm: float = 120, width_mm: float = 80) -> list[Part]:
    """Faint marks with the outline of two adhesive electrode pads."""
    parts = []
    for center, angle in (((-72.0, -42.0), 68.0), ((76.0, 46.0), 84.0)):
        shape = rectangle(skin, length_mm, width_mm)
        grid = skin.grid(length_mm * 0.6, width_mm * 0.7, center, angle, 2)
        rho, cloud = shape.rho(grid.u, grid.v), skin.mottle(grid, 6, 2)
        skin.tint(grid, 0.4 * smoothstep(1.02, 0.98, rho) * (0.8 + 0.3 * cloud), _PINK)
        rim = smoothstep(0.93, 0.98, rho) * smoothstep(1.03, 0.99, rho)
        skin.tint(grid, rim * (0.6 + 0.3 * cloud), (0.86, 0.66, 0.60))
        parts.append(skin.part(shape.points, center, angle))
    return parts


def surgical_scar(
    skin: Skin, *, length_mm: float = 96, width_mm: float = 3.4, angle: float = -4
) -> list[Part]:
    """A healed line with the small marks of its stitches."""
    shape = blob(skin.rng, length_mm, width_mm, 0.03, 2.6)
    grid = skin.grid(length_mm * 0.6, 12, angle=angle, step=1)
    cloud = skin.mottle(grid, 3, 2)
    rho = shape.rho(grid.u, grid.v)
    pale = tuple(min(part + 26, 255) for part in skin.color)
    skin.tint(grid, 0.7 * _around(grid, length_mm, width_mm, 4), _PINK)
    skin.cover(grid, (0.66 + 0.2 * cloud) * smoothstep(1.05, 0.8, rho), (pale[0], pale[1], pale[2]))
    low = smoothstep(0.25, 0.8, grid.v / width_mm) * smoothstep(1.25, 0.95, rho)
    skin.tint(grid, 0.45 * low, (0.82, 0.66, 0.60))
    for at in np.arange(-0.44, 0.45, 0.088) * length_mm:
        for side in (-1, 1):
            dot = np.hypot(grid.u - at, (grid.v - side * 5.0) * 0.75)
            skin.tint(grid, 0.6 * smoothstep(1.1, 0.5, dot), (0.88, 0.70, 0.64))
    return [skin.part(shape.points, angle=angle)]


Marker = Callable[..., list[Part]]
INJURIES: dict[str, tuple[Marker, float, str]] = {
    # kind: how it is painted, width of the field in mm, what the skin belongs to
    "contusion": (contusion, 150, "trunk"),
    "abrasion": (abrasion, 140, "limb"),
    "linear_abrasion": (linear_abrasion, 150, "limb"),
    "patterned_contusion": (patterned_contusion, 150, "trunk"),
    "laceration": (laceration, 110, "trunk"),
    "incised_wound": (incised_wound, 110, "limb"),
    "entrance_wound": (entrance_wound, 75, "trunk"),
    "burn": (burn, 210, "limb"),
    "lividity": (lividity, 460, "trunk"),
    "drying": (drying, 130, "trunk"),
    "puncture": (puncture, 75, "limb"),
    "electrode_marks": (electrode_marks, 300, "trunk"),
    "band_abrasion": (band_abrasion, 220, "trunk"),
    "paired_lines": (paired_lines, 110, "limb"),
    "exit_wound": (exit_wound, 75, "trunk"),
    "surgical_scar": (surgical_scar, 190, "trunk"),
    "tattoo": (tattoo, 150, "limb"),
    "insect_marks": (insect_marks, 120, "trunk"),
    "skin_slippage": (skin_slippage, 200, "limb"),
}


def paint_injury(
    canvas: Canvas,
    kind: str,
    *,
    scale: bool,
    tone: int = 1,
    surface: str = "",
    field_mm: float = 0,
    scale_form: str = "right_angle",
    scale_angle: float | None = None,
    **options: Any,
) -> dict[str, Any]:
    """Paint a mark on a patch of skin with its scale; returns its true sizes."""
    if scale_form not in ("right_angle", "straight"):
        raise ValueError(f"scale_form must be right_angle or straight, not {scale_form}")
    marker, usual_mm, usual_surface = INJURIES[kind]
    skin = Skin(canvas, field_mm=field_mm or usual_mm, tone=tone, surface=surface or usual_surface)
    parts = marker(skin, **options)
    skin.furrow()
    canvas.soften_edges(start=0.72, radius=6)
    truth: dict[str, Any] = {
        "mm_per_px": skin.mm_per_px,
        **parts[0].truth(),
        "parts": [part.truth() for part in parts],
        "scale": None,
    }
    if scale:
        truth["scale"] = skin.lay_scale(parts, form=scale_form, angle=scale_angle).truth()
    return truth

"""Scrapes, slits and tattoos on skin, painted at true size."""

import numpy as np

from .picture_canvas import Canvas, Floats, Point, curve, oval, ribbon, smoothstep
from .picture_skin import Grid, Part, Shape, Skin, blob

_RED = (0.90, 0.66, 0.61)
_PINK = (0.98, 0.80, 0.79)
_BROWN = (0.78, 0.60, 0.49)


def scrape(
    skin: Skin, shape: Shape, center: Point, angle: float, reach: Point, strength: float = 1.0
) -> None:
    """A scraped surface: fine tracks along it, drier and darker in places."""
    grid = skin.grid(*reach, center, angle, 2)
    rho = shape.rho(grid.u, grid.v)
    tracks = _tracks(skin, grid)
    cloud = skin.mottle(grid, 5, 2)
    inside = smoothstep(1.04, 0.84, rho + 0.10 * tracks)
    skin.tint(grid, 0.7 * strength * smoothstep(1.25, 0.7, rho), _PINK)
    skin.tint(grid, strength * inside * (0.54 + 0.20 * cloud), _RED)
    skin.tint(grid, 0.8 * strength * inside * smoothstep(-0.2, 1.1, tracks + 0.4 * cloud), _BROWN)
    skin.cover(grid, 0.22 * inside * smoothstep(0.35, 1.0, -tracks), (236, 205, 188))


def _tracks(skin: Skin, grid: Grid) -> Floats:
    """Streaks along u: one-dimensional noise across, slowly changing along."""
    fine = np.arange(-400, 401, dtype=np.float32) * 0.18
    out = np.zeros_like(grid.u)
    for lane in range(2):
        values = skin.rng.uniform(-1, 1, len(fine))
        sway = 0.5 * np.sin(grid.u * 0.09 + lane * 2.1)
        out += np.interp(grid.v + sway, fine * (1 + lane * 1.4), values).astype(np.float32)
    return (out * 0.75).astype(np.float32)


def rectangle(skin: Skin, length: float, width: float) -> Shape:
    """A rectangle with rounded corners and sides of these lengths, in mm."""
    # A blob is given by its greatest length, which here is the diagonal.
    diagonal = float(np.hypot(length, width))
    return blob(skin.rng, diagonal, width * diagonal / length, 0.002, 9.0)


def band_abrasion(
    skin: Skin, *, length_mm: float = 170, width_mm: float = 48, angle: float = 38
) -> list[Part]:
    """A part of a broad scraped band with two parallel edges, as a belt leaves it."""
    shape = rectangle(skin, length_mm, width_mm)
    grid = skin.grid(length_mm * 0.6, width_mm * 0.8, angle=angle, step=2)
    rho, tracks = shape.rho(grid.u, grid.v), _tracks(skin, grid)
    cloud = skin.mottle(grid, 9, 2)
    inside = smoothstep(1.03, 0.97, rho)
    skin.tint(grid, 0.55 * inside, _PINK)
    skin.tint(grid, inside * np.clip(0.30 + 0.22 * cloud + 0.12 * tracks, 0, 1), _RED)
    edge = smoothstep(width_mm * 0.40, width_mm * 0.46, np.abs(grid.v)) * inside
    skin.tint(grid, edge * (0.75 + 0.2 * cloud), _RED)
    skin.tint(grid, 0.8 * edge * smoothstep(-0.3, 0.7, tracks), _BROWN)
    return [skin.part(shape.points, angle=angle)]


def paired_lines(
    skin: Skin, *, length_mm: float = 55, width_mm: float = 4, gap_mm: float = 7, angle: float = -6
) -> list[Part]:
    """Two parallel scraped lines of one length."""
    parts, turn = [], np.radians(angle)
    for across in (-(width_mm + gap_mm) / 2, (width_mm + gap_mm) / 2):
        center = (float(-across * np.sin(turn)), float(across * np.cos(turn)))
        shape = blob(skin.rng, length_mm, width_mm, 0.02, 2.6)
        scrape(skin, shape, center, angle, (length_mm * 0.6, width_mm * 1.6), 1.1)
        parts.append(skin.part(shape.points, center, angle))
    return parts


def exit_wound(
    skin: Skin, *, length_mm: float = 17, width_mm: float = 8, angle: float = 24
) -> list[Part]:
    """A slit with everted, slightly ragged lips; no ring, no soot."""
    shape = blob(skin.rng, length_mm, width_mm, 0.09, 1.25)
    grid = skin.grid(length_mm * 0.8, width_mm * 1.3, angle=angle, step=1)
    rho = shape.rho(grid.u, grid.v) + 0.05 * skin.mottle(grid, 1.6, 2)
    skin.cover(grid, smoothstep(1.05, 0.95, rho), (146, 84, 78))
    skin.cover(grid, smoothstep(0.85, 0.35, rho), (84, 44, 44))
    lip = smoothstep(0.82, 0.97, rho) * smoothstep(1.12, 1.0, rho)
    skin.cover(grid, 0.5 * lip, (224, 176, 160) if skin.tone < 3 else (168, 122, 104))
    return [skin.part(shape.points, angle=angle)]


def insect_marks(
    skin: Skin, *, length_mm: float = 46, width_mm: float = 20, angle: float = -16
) -> list[Part]:
    """Many shallow brown pits in a curved row; the outline is that of the row."""
    shape = blob(skin.rng, length_mm, width_mm, 0.08)
    grid = skin.grid(length_mm * 0.6, width_mm * 0.7, angle=angle, step=1)
    skin.tint(grid, 0.25 * smoothstep(1.1, 0.5, shape.rho(grid.u, grid.v)), (0.97, 0.88, 0.78))
    for along in np.linspace(-0.48, 0.48, 28):
        u = float(along * length_mm)
        v = float(width_mm * (1.4 * along**2 - 0.14 + skin.rng.uniform(-0.16, 0.16)))
        away = np.hypot(grid.u - u, grid.v - v) / float(skin.rng.uniform(0.7, 1.3))
        skin.tint(grid, 0.8 * smoothstep(1.25, 0.6, away), _BROWN)
        skin.tint(grid, 0.5 * smoothstep(0.7, 0.3, away), (0.72, 0.52, 0.40))
    return [skin.part(shape.points, angle=angle)]


def skin_slippage(
    skin: Skin, *, length_mm: float = 90, width_mm: float = 56, angle: float = 76
) -> list[Part]:
    """The outer layer loose and wrinkled at the edge of a moist red-brown base."""
    shape = blob(skin.rng, length_mm, width_mm, 0.12)
    grid = skin.grid(length_mm * 0.7, width_mm * 0.8, angle=angle, step=2)
    cloud = skin.mottle(grid, 8, 3)
    rho = shape.rho(grid.u, grid.v) + 0.03 * cloud
    skin.tint(grid, smoothstep(1.0, 0.93, rho) * (0.8 + 0.15 * cloud), (0.86, 0.62, 0.54))
    folds = np.sin(6 * grid.v / width_mm * np.pi + 2.4 * cloud) * smoothstep(1.2, 0.98, rho)
    rim = smoothstep(0.78, 0.94, rho) * smoothstep(1.18, 1.0, rho)
    skin.cover(grid, 0.4 * rim, (238, 220, 200) if skin.tone < 3 else (176, 136, 116))
    skin.tint(grid, 0.5 * rim * smoothstep(0.2, 0.9, folds), (0.82, 0.70, 0.60))
    sheen = smoothstep(0.5, 0.0, np.abs(grid.u / length_mm + 0.2 + 0.08 * cloud) * 4)
    skin.cover(grid, 0.14 * sheen * smoothstep(0.85, 0.6, rho), (255, 244, 230))
    return [skin.part(shape.points, angle=angle)]


def tattoo(skin: Skin, *, length_mm: float = 64, angle: float = 0) -> list[Part]:
    """A wren on a branch, in a ring, in aged ink."""
    r = length_mm / 2
    ink: list[list[Point]] = [ribbon(oval(0, 0, r - 0.8, r - 0.8), 1.6)]
    for points, wide in _WREN:
        line = curve([(x * r, y * r) for x, y in points], closed=False)
        ink.append(ribbon(line, wide))
    for points in _WREN_FILLED:
        ink.append(curve([(x * r, y * r) for x, y in points]))
    ink.append(oval(0.30 * r, -0.235 * r, 0.035 * r, 0.035 * r))
    _press(skin, ink, r, angle)
    return [skin.part(oval(0, 0, r, r)[:-1], angle=angle)]


# Shares of the ring's radius; x to the right, y downward.
_WREN: tuple[tuple[tuple[Point, ...], float], ...] = (
    # Back and raised tail, breast, head.
    (((-0.62, -0.62), (-0.46, -0.24), (-0.22, -0.12), (0.02, -0.22), (0.20, -0.38)), 1.5),
    (((0.20, -0.38), (0.34, -0.40), (0.44, -0.28), (0.46, -0.20)), 1.5),
    (((0.46, -0.13), (0.40, 0.04), (0.26, 0.22), (0.02, 0.32), (-0.22, 0.26)), 1.5),
    (((-0.22, 0.26), (-0.42, 0.08), (-0.56, -0.16), (-0.74, -0.52)), 1.5),
    (((-0.74, -0.52), (-0.68, -0.60), (-0.62, -0.62)), 1.4),
    # Bars of the tail, the wing, the brow.
    (((-0.68, -0.44), (-0.57, -0.50)), 0.9),
    (((-0.62, -0.32), (-0.50, -0.38)), 0.9),
    (((-0.55, -0.20), (-0.44, -0.26)), 0.9),
    (((-0.28, -0.02), (-0.06, -0.08), (0.10, 0.02), (-0.04, 0.16), (-0.26, 0.12)), 1.1),
    (((-0.22, 0.04), (0.00, 0.02)), 0.8),
    (((-0.20, 0.09), (-0.02, 0.09)), 0.8),
    (((0.22, -0.30), (0.30, -0.31), (0.38, -0.27)), 0.8),
    # Legs, the branch, its twigs.
    (((-0.06, 0.31), (-0.02, 0.44)), 1.0),
    (((0.10, 0.30), (0.12, 0.43)), 1.0),
    (((-0.84, 0.36), (-0.40, 0.46), (0.10, 0.45), (0.50, 0.52), (0.82, 0.44)), 2.2),
    (((-0.40, 0.46), (-0.52, 0.62)), 1.2),
    (((0.46, 0.51), (0.58, 0.34)), 1.2),
)
_WREN_FILLED: tuple[tuple[Point, ...], ...] = (
    # Bill and three leaves.
    ((0.45, -0.21), (0.66, -0.20), (0.46, -0.14)),
    ((-0.52, 0.62), (-0.60, 0.76), (-0.46, 0.80), (-0.44, 0.66)),
    ((0.58, 0.34), (0.56, 0.20), (0.68, 0.14), (0.70, 0.28)),
    ((0.20, 0.48), (0.22, 0.66), (0.36, 0.70), (0.34, 0.56)),
)


def _press(skin: Skin, ink: list[list[Point]], reach: float, angle: float) -> None:
    """Lay inked shapes into the skin, slightly spread and faded."""
    grid = skin.grid(reach * 1.05, reach * 1.05, angle=angle, step=2)
    x0, y0, x1, y1 = grid.box
    sheet = Canvas(x1 - x0, y1 - y0, skin.rng)
    sheet.unit, sheet.left, sheet.top = 1.0, float(-x0), float(-y0)
    sheet.image.paste((0, 0, 0), (0, 0, x1 - x0, y1 - y0))
    for shape in ink:
        sheet.fill(
            [skin.place(u, v, (0, 0), angle) for u, v in shape],
            (255, 255, 255),
            blur=0.28 / skin.mm_per_px,
        )
    rows, columns = grid.u.shape
    flat = np.asarray(sheet.image.getchannel("R").resize((columns, rows)), dtype=np.float32) / 255
    fade = 0.84 + 0.14 * skin.mottle(grid, 5, 2)
    skin.tint(grid, flat * fade, (0.30, 0.38, 0.46))

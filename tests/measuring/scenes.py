"""Scenes of known geometry: a plane seen by a pinhole camera, written out by hand."""

from __future__ import annotations

import math

import numpy as np

SIZE = (1200, 900)


class Camera:
    """A pinhole camera that looks at the plane's point `target` (mm), tilted and turned."""

    def __init__(self, tilt: float, turn: float, spin: float, *, away=400.0, focal=2400.0,
                 target=(40.0, 40.0)) -> None:  # fmt: skip
        t, u, s = (math.radians(angle) for angle in (tilt, turn, spin))
        about_x = [[1, 0, 0], [0, math.cos(t), -math.sin(t)], [0, math.sin(t), math.cos(t)]]
        about_y = [[math.cos(u), 0, math.sin(u)], [0, 1, 0], [-math.sin(u), 0, math.cos(u)]]
        about_z = [[math.cos(s), -math.sin(s), 0], [math.sin(s), math.cos(s), 0], [0, 0, 1]]
        turned = np.array(about_x) @ np.array(about_y) @ np.array(about_z)
        lens = np.array([[focal, 0, SIZE[0] / 2], [0, focal, SIZE[1] / 2], [0, 0, 1]])
        # Plane (x, y, 1) to camera: two columns of the turn, and where the target stands.
        to_camera = np.column_stack(
            [turned[:, 0], turned[:, 1], [0, 0, away] - turned[:, :2] @ np.array(target)]
        )
        self.matrix = lens @ to_camera

    def seen(self, points_mm) -> np.ndarray:
        """Points of the plane (n, 2) as the camera sees them, in px."""
        points = np.asarray(points_mm, float)
        flat = np.column_stack([points, np.ones(len(points))]) @ self.matrix.T
        return flat[:, :2] / flat[:, 2:]

    def rendered(self, painted) -> np.ndarray:
        """A gray picture: `painted(x_mm, y_mm)` looked up along rays, 3 x 3 in every pixel."""
        back = np.linalg.inv(self.matrix)
        total = np.zeros((SIZE[1], SIZE[0]))
        for dx in (1 / 6, 3 / 6, 5 / 6):
            for dy in (1 / 6, 3 / 6, 5 / 6):
                x, y = np.meshgrid(np.arange(SIZE[0]) + dx, np.arange(SIZE[1]) + dy)
                w = back[2, 0] * x + back[2, 1] * y + back[2, 2]
                px = (back[0, 0] * x + back[0, 1] * y + back[0, 2]) / w
                py = (back[1, 0] * x + back[1, 1] * y + back[1, 2]) / w
                total += painted(px, py)
        return total / 9

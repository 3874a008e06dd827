"""Random scenes with a straight scale, and how often the truth lies between the stated limits.

    python -m tests.measuring.tilted [SCENES]

prints the table for 2,000 scenes: by band of tilt, with the limits' default and with what a careful
person states, and what happens when somebody does it wrong. Share and its 95 % confidence limits:
Wilson EB. J Am Stat Assoc 1927;22:209-212 (source not checked).
"""

from __future__ import annotations

import math
import sys
from dataclasses import dataclass, field, replace

import numpy as np

from findings.calculations.photo_measurement import (
    Answer,
    Errors,
    MeasureKind,
    Scale,
    measure,
)

SIZE = (4000, 3000)
BANDS = ((0, 10), (10, 20), (20, 30), (30, 40), (40, 50))
CLICK_PX, MADE_MM = 1.0, 0.1
Z95 = 1.959964


@dataclass(frozen=True)
class Scene:
    """One view of a plane: what was picked, and the true length."""

    tilt_deg: float
    true_mm: float
    scale_mm: float
    scale_px: np.ndarray
    points_px: np.ndarray

    def answer(self, tilt_deg: float | None = None, **changed) -> Answer:
        """What the method says to it, with the tilt that the person states."""
        known = np.array([[0.0, 0.0], [self.scale_mm, 0.0]])
        stated = {} if tilt_deg is None else {"tilt_deg": tilt_deg}
        return measure(
            MeasureKind.LENGTH,
            Scale(changed.get("scale_px", self.scale_px), known),
            self.points_px,
            errors=Errors(CLICK_PX, MADE_MM, **stated),
            picture_size=SIZE,
        )

    def holds(self, answer: Answer) -> bool:
        """Whether the truth lies between the limits."""
        (found,) = answer.quantities
        return found.low <= self.true_mm <= found.high


def scene(
    rng: np.random.Generator,
    tilt_deg: float,
    *,
    depth_mm: float | None = None,
    beside: bool = True,
) -> Scene:
    """A view at this tilt in a direction by chance; scale and line point any way.

    The line lies anywhere in the picture; the scale beside it, 10 to 60 mm away, or anywhere.
    `depth_mm` is how far the scale lies above the plane; by chance within 5 mm where not given.
    """
    while True:
        focal = rng.uniform(0.62, 2.5) * max(SIZE)
        away, about = rng.uniform(200, 700), rng.uniform(0, 2 * math.pi)
        tilt = math.radians(tilt_deg)
        # Two directions in the plane and its normal, as the camera sees them.
        normal = np.array(
            [math.sin(tilt) * math.cos(about), math.sin(tilt) * math.sin(about), math.cos(tilt)]
        )
        one = np.cross(normal, [0.3, 0.9, 0.1])
        one /= np.linalg.norm(one)
        two = np.cross(normal, one)

        def placed(middle, direction, length, height=0.0, *, away=away, one=one, two=two,
                   normal=normal):  # fmt: skip
            along = np.array([math.cos(direction), math.sin(direction)]) * length / 2
            ends = np.array([middle - along, middle + along])
            return np.array([0, 0, away]) + ends @ np.array([one, two]) - height * normal

        def seen(points, *, focal=focal):
            return points[:, :2] / points[:, 2:] * focal + np.array(SIZE) / 2

        stated = float(rng.choice([20.0, 50.0, 100.0]))
        true = float(rng.uniform(8, 90))
        wide = 0.45 * away * max(SIZE) / focal
        height = rng.uniform(-5, 5) if depth_mm is None else depth_mm
        made = stated + rng.normal(0, MADE_MM)
        at = rng.uniform(-wide, wide, 2)
        line = placed(at, rng.uniform(0, math.pi), true)
        if beside:
            way = rng.uniform(0, 2 * math.pi)
            at = at + rng.uniform(10, 60) * np.array([math.cos(way), math.sin(way)])
        else:
            at = rng.uniform(-wide, wide, 2)
        scale = placed(at, rng.uniform(0, math.pi), made, height)
        if min(scale[:, 2].min(), line[:, 2].min()) < 20:
            continue
        both = np.vstack([seen(scale), seen(line)])
        if not ((both > 0).all() and (both < SIZE).all()):
            continue
        if min(np.hypot(*(both[1] - both[0])), np.hypot(*(both[3] - both[2]))) < 40:
            continue
        picked = both + rng.normal(0, CLICK_PX, both.shape)
        return Scene(tilt_deg, true, stated, picked[:2], picked[2:])


@dataclass
class Count:
    """How many were answered, how many of those held, and how wide the limits were."""

    scenes: int = 0
    held: int = 0
    answered: int = 0
    widths: list[float] = field(default_factory=list)

    def add(self, one: Scene, answer: Answer) -> None:
        self.scenes += 1
        if answer.refusal:
            return
        self.answered += 1
        self.held += one.holds(answer)
        (found,) = answer.quantities
        self.widths.append((found.high - found.low) / found.value)

    @property
    def share(self) -> float:
        return self.held / self.answered if self.answered else math.nan

    @property
    def limits(self) -> tuple[float, float]:
        return wilson(self.held, self.answered)

    def words(self) -> str:
        if not self.answered:
            return f"{self.scenes:>6} {0:>8}   all refused"
        low, high = self.limits
        return (
            f"{self.scenes:>6} {self.answered:>8} {100 * self.share:>7.1f} "
            f"({100 * low:.1f} to {100 * high:.1f}) {100 * float(np.median(self.widths)):>8.0f}"
        )


def wilson(held: int, of: int) -> tuple[float, float]:
    """95 % confidence limits of a share."""
    if of == 0:
        return math.nan, math.nan
    share, z2 = held / of, Z95**2
    middle = (share + z2 / (2 * of)) / (1 + z2 / of)
    half = Z95 * math.sqrt(share * (1 - share) / of + z2 / (4 * of * of)) / (1 + z2 / of)
    return middle - half, middle + half


WAYS = (
    "scale beside, tilt not stated: up to 50 degrees",
    "scale beside, stated: the end of the band",
    "scale anywhere, tilt not stated: up to 50 degrees",
    "scale anywhere, stated: the end of the band",
)


def by_band(rng: np.random.Generator, scenes: int) -> dict[str, dict[tuple[int, int], Count]]:
    """Counts by band of tilt, half with the scale beside the line, with each way of stating."""
    found = {way: {band: Count() for band in BANDS} for way in WAYS}
    for number in range(scenes):
        band, beside = BANDS[number % len(BANDS)], number % 2 == 0
        one = scene(rng, rng.uniform(*band), beside=beside)
        not_stated, stated = WAYS[:2] if beside else WAYS[2:]
        found[not_stated][band].add(one, one.answer())
        found[stated][band].add(one, one.answer(float(band[1])))
    return found


def done_wrong(rng: np.random.Generator, scenes: int) -> dict[str, Count]:
    """Counts where somebody does what people do."""
    found = {name: Count() for name in WRONG}
    for _ in range(scenes):
        tilt = rng.uniform(0, 20)
        one = scene(rng, tilt)
        shift = rng.uniform(2, 3) * np.array([math.cos(a := rng.uniform(0, 7)), math.sin(a)])
        off = replace(one, scale_px=one.scale_px + np.array([shift, [0, 0]]))
        found["an end of the scale 2 to 3 px off"].add(off, off.answer(20.0))
        high = scene(rng, tilt, depth_mm=float(rng.choice([-10.0, 10.0])))
        found["the scale 10 mm higher or lower"].add(high, high.answer(20.0))
        further = scene(rng, rng.uniform(25, 45))
        found["tilted 25 to 45 degrees, 20 stated"].add(further, further.answer(20.0))
        same = further.answer()
        found["the same scenes, nothing stated"].add(further, same)
    return found


WRONG = (
    "an end of the scale 2 to 3 px off",
    "the scale 10 mm higher or lower",
    "tilted 25 to 45 degrees, 20 stated",
    "the same scenes, nothing stated",
)


def main(scenes: int) -> None:
    """Print the table."""
    head = f"{'':<38} {'scenes':>6} {'answered':>8} {'held %':>7} (95 % limits)  width %"
    rng = np.random.default_rng(20_261_128)
    for way, bands in by_band(rng, scenes).items():
        print(f"{way}\n{head}")
        for band, count in bands.items():
            print(f"{f'  tilt {band[0]} to {band[1]} degrees':<38} {count.words()}")
    print(f"done wrong\n{head}")
    for name, count in done_wrong(rng, scenes // 5).items():
        print(f"{'  ' + name:<38} {count.words()}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2000)

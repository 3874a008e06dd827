"""Charts as SVG: drawn from numbers alone, colored by the page's own style sheet. No database.

Whatever a chart shows, a table beside it says too. Text in it is escaped here.
"""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

WIDTH = 640
# A curve: room at the left for percent, beneath for days.
LEFT, RIGHT, TOP, BOTTOM = 52, 20, 14, 34
CURVE_HEIGHT = 260
# Bars: a row for each, the name above its bar.
ROW_HEIGHT, BAR_HEIGHT, BAR_LEFT = 46, 12, 2
# Columns.
COLUMNS_HEIGHT = 200


def _svg(height: float, says: str, inner: Sequence[str]) -> str:
    return (
        f'<svg class="chart" viewBox="0 0 {WIDTH} {_n(height)}" role="img" '
        f"aria-label={quoteattr(says)}>{''.join(inner)}</svg>"
    )


def _n(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".")


def _line(kind: str, x1: float, y1: float, x2: float, y2: float) -> str:
    return f'<line class="{kind}" x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}"/>'


def _text(x: float, y: float, words: str, *, anchor: str = "start", kind: str = "") -> str:
    place = f'x="{_n(x)}" y="{_n(y)}" text-anchor="{anchor}"'
    return f'<text class="{f"chart-text {kind}".strip()}" {place}>{escape(words)}</text>'


def step_curve(
    points: Sequence[tuple[int, float]],
    *,
    until: int,
    says: str,
    marks: Sequence[int] = (),
    target: tuple[int, float] | None = None,
) -> str:
    """Draw a share that grows in steps: (day, share done from that day on), in order of days.

    The curve ends at the day `until`, beyond which nothing was observed. `marks` are days with a
    line of their own, `target` the day and share that are aimed at.
    """
    last = max(until, *(marks or (1,)), 1)
    span, height = WIDTH - LEFT - RIGHT, CURVE_HEIGHT - TOP - BOTTOM

    def x(day: float) -> float:
        return LEFT + span * min(day, last) / last

    def y(share: float) -> float:
        return TOP + height * (1 - share)

    drawn = []
    for share in (0, 0.5, 1):
        drawn.append(_line("chart-grid", LEFT, y(share), WIDTH - RIGHT, y(share)))
        drawn.append(_text(LEFT - 8, y(share) + 5, f"{share * 100:.0f}%", anchor="end"))
    for day in marks:
        drawn.append(_line("chart-grid", x(day), TOP, x(day), TOP + height))
    for day in sorted({0, *marks}):
        drawn.append(_text(x(day), CURVE_HEIGHT - 12, str(day), anchor="middle"))
    if last - max((0, *marks)) > last * 0.12:
        drawn.append(_text(x(last), CURVE_HEIGHT - 12, f"{last} days", anchor="end"))
    if target is not None:
        day, share = target
        drawn.append(_line("chart-limit", LEFT, y(share), x(day), y(share)))
        drawn.append(_line("chart-limit", x(day), y(share), x(day), TOP + height))
    path, at = f"M{_n(x(0))} {_n(y(0))}", 0.0
    for day, share in points:
        path += f"H{_n(x(day))}V{_n(y(share))}"
        at = share
    path += f"H{_n(x(until))}" if at < 1 else ""
    drawn.append(f'<path class="chart-curve" d="{path}"/>')
    return _svg(CURVE_HEIGHT, says, drawn)


def bars(
    rows: Sequence[tuple[str, int]], *, says: str, limits: Sequence[tuple[int, str]] = ()
) -> str:
    """Draw a bar for each row, its name and number above it, and lines at the limits."""
    longest = max([1, *(value for _, value in rows), *(limit for limit, _ in limits)])
    span = WIDTH - BAR_LEFT - RIGHT

    def x(value: float) -> float:
        return BAR_LEFT + span * value / longest

    head = 24 if limits else 4
    height = head + ROW_HEIGHT * len(rows) + 4
    drawn = []
    for limit, words in limits:
        drawn.append(_line("chart-limit", x(limit), head - 4, x(limit), height))
        drawn.append(_text(x(limit), head - 9, words, anchor="end", kind="chart-said"))
    for place, (name, value) in enumerate(rows):
        top = head + ROW_HEIGHT * place
        drawn.append(_text(BAR_LEFT, top + 18, f"{name}, {value:,}"))
        drawn.append(
            f'<rect class="chart-bar" x="{_n(BAR_LEFT)}" y="{_n(top + 25)}" '
            f'width="{_n(x(value) - BAR_LEFT)}" height="{BAR_HEIGHT}"/>'
        )
    return _svg(height, says, drawn)


def columns(rows: Sequence[tuple[str, int]], *, says: str, after: int | None = None) -> str:
    """Draw a column for each row, its number above and its name beneath.

    Columns from the place `after` on are those beyond a limit, and told by their color too.
    """
    tallest = max([1, *(value for _, value in rows)])
    each = (WIDTH - 2 * BAR_LEFT) / max(len(rows), 1)
    room = COLUMNS_HEIGHT - TOP - BOTTOM - 16
    floor = COLUMNS_HEIGHT - BOTTOM
    drawn = [_line("chart-grid", 0, floor, WIDTH, floor)]
    for place, (name, value) in enumerate(rows):
        left, high = BAR_LEFT + each * place, room * value / tallest
        kind = "chart-bar" if after is None or place < after else "chart-bar chart-beyond"
        drawn.append(
            f'<rect class="{kind}" x="{_n(left + each * 0.12)}" y="{_n(floor - high)}" '
            f'width="{_n(each * 0.76)}" height="{_n(high)}"/>'
        )
        middle = left + each / 2
        drawn.append(_text(middle, floor - high - 6, f"{value:,}", anchor="middle"))
        drawn.append(_text(middle, COLUMNS_HEIGHT - 12, name, anchor="middle"))
    return _svg(COLUMNS_HEIGHT, says, drawn)

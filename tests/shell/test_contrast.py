"""Contrast of the color tokens, light and dark.

Formula and limits: Web Content Accessibility Guidelines (WCAG) 2.2, W3C Recommendation, the
definitions of "relative luminance" and "contrast ratio", success criteria 1.4.3 (text 4.5:1) and
1.4.11 (graphics 3:1).
"""

from __future__ import annotations

import re
from itertools import product
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PARTS = ("me_office", "cases", "findings", "evidence")
TOKENS = ROOT / "me_office/shell/static/shell/css/tokens.css"
PAIRS = {
    name: (light, dark)
    for name, light, dark in re.findall(
        r"--([\w-]+): light-dark\((#[0-9a-f]{6}), (#[0-9a-f]{6})\)", TOKENS.read_text()
    )
}
THEMES = {"light": 0, "dark": 1}
PAPERS = ["paper-raised", "paper", "paper-2", "paper-3"]
WASHES = ["accent-wash", "attention-wash", "stop-wash", "settled-wash"]
TEXTS = ["ink", "quiet", "accent", "accent-strong", "attention", "stop", "settled"]
MARKS = ["injury", "after-death", "artifact", "medical", "natural"]


def luminance(colour: str) -> float:
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def of_tokens(one: str, other: str, theme: str) -> float:
    return contrast(PAIRS[one][THEMES[theme]], PAIRS[other][THEMES[theme]])


def test_the_formula_gives_the_extremes_of_the_standard() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#777777") == pytest.approx(1)


@pytest.mark.parametrize("theme", THEMES)
def test_text_is_read_on_every_ground(theme: str) -> None:
    for text, ground in product(TEXTS, PAPERS + WASHES):
        assert of_tokens(text, ground, theme) >= 4.5, (text, ground)


@pytest.mark.parametrize("theme", THEMES)
def test_words_in_buttons_and_marks_are_read(theme: str) -> None:
    for text, ground in (
        ("on-accent", "accent"),
        ("on-accent", "accent-strong"),
        ("on-stop", "stop"),
        *(("on-mark", f"mark-{mark}") for mark in MARKS),
        *((f"mark-{mark}", paper) for mark in MARKS for paper in ("paper-raised", "paper")),
    ):
        assert of_tokens(text, ground, theme) >= 4.5, (text, ground)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("ground", ["paper-raised", "paper", "paper-2"])
def test_borders_of_inputs_are_seen(theme: str, ground: str) -> None:
    assert of_tokens("edge", ground, theme) >= 3


@pytest.mark.parametrize("theme", THEMES)
def test_marks_are_seen_on_every_ground(theme: str) -> None:
    for mark, ground in product(MARKS, PAPERS + WASHES):
        assert of_tokens(f"mark-{mark}", ground, theme) >= 3, (mark, ground)


def test_no_other_stylesheet_of_the_frame_names_a_color() -> None:
    allowed = {"tokens.css", "print.css", "account.css"}
    for sheet in TOKENS.parent.glob("*.css"):
        if sheet.name not in allowed:
            assert not re.search(r"#[0-9a-f]{3,8}\b", sheet.read_text()), sheet.name


def test_nothing_moves_for_who_asked_for_no_motion() -> None:
    reduced = TOKENS.read_text().partition("prefers-reduced-motion: reduce")[2]
    assert "--quick: 0ms" in reduced.partition("}\n}")[0]
    sheets = [one for part in PARTS for one in (ROOT / part).rglob("static/**/*.css")]
    assert len(sheets) > 20
    moves = r"(?<!over)(?:transition|animation|scroll-behavior):[^;]+|@keyframes"
    # What stands there at once after a while does not move.
    still = r"animation: ([\w-]+) \ds step-end;"
    for sheet in sheets:
        text = sheet.read_text()
        for name in re.findall(still, text):
            text = re.sub(
                rf"@keyframes {name} {{\s*from {{\s*visibility: hidden;\s*}}\s*}}", "", text
            )
        for moving in re.findall(moves, re.sub(still, "", text)):
            assert set(re.findall(r"var\(--\w+\)|\d+m?s", moving)) == {"var(--quick)"}, sheet.name


# Linear RGB as seen without one kind of cone: Machado, Oliveira and Fernandes, "A Physiologically-
# based Model for Simulation of Color Vision Deficiency" (IEEE TVCG 15(6), 2009), severity 1.0. The
# numbers are from memory; that white stays white is checked below.
SEEN_BY = {
    "protanopia": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216),
                   (-0.003882, -0.048116, 1.051998)),
    "deuteranopia": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413),
                     (-0.011820, 0.042940, 0.968881)),
    "tritanopia": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602),
                   (0.004733, 0.691367, 0.303900)),
}  # fmt: skip


def as_seen(colour: str, rows: tuple[tuple[float, float, float], ...]) -> str:
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    mixed = [sum(a * b for a, b in zip(row, linear, strict=True)) for row in rows]
    inside = [min(1.0, max(0.0, one)) for one in mixed]
    back = [12.92 * c if c <= 0.0031308 else 1.055 * c ** (1 / 2.4) - 0.055 for c in inside]
    return "#" + "".join(f"{round(255 * c):02x}" for c in back)


@pytest.mark.parametrize("kind", SEEN_BY)
@pytest.mark.parametrize("theme", THEMES)
def test_text_is_read_without_one_kind_of_cone(theme: str, kind: str) -> None:
    rows = SEEN_BY[kind]
    assert as_seen("#ffffff", rows) == "#ffffff"
    seen = {name: as_seen(pair[THEMES[theme]], rows) for name, pair in PAIRS.items()}
    own = [(wash.removesuffix("-wash"), wash) for wash in WASHES]
    for text, ground in [*product(TEXTS, PAPERS), *product(["ink"], WASHES), *own]:
        assert contrast(seen[text], seen[ground]) >= 4.5, (text, ground)


def test_on_gray_paper_text_is_told_from_its_ground() -> None:
    """A printer without colors prints luminance, and paper is always the light theme's."""
    on_paper = re.search(r"@media print \{\s*([^}]*)\}", TOKENS.read_text())
    assert on_paper and ":root[data-theme]" in on_paper[1] and "color-scheme: light" in on_paper[1]
    for text, ground in product(TEXTS, PAPERS):
        gray = [round(255 * luminance(PAIRS[one][0]) ** (1 / 2.2)) for one in (text, ground)]
        assert contrast(*(f"#{one:02x}{one:02x}{one:02x}" for one in gray)) >= 4.5, (text, ground)

"""The shared check vectors of the body geometry."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent


def pick_vectors() -> list[dict[str, Any]]:
    """1,000 picks: body, view, (u, v) and what lies there; `point` is None off the body.

    The first 480 came with the surfaces and were made by separate code. The others were made by the
    server's picking and keep away from silhouettes and region borders.
    """
    return json.loads((HERE / "vectors.json").read_text(encoding="utf-8"))


def area_vectors() -> list[dict[str, Any]]:
    """24 outlines with the share of the surface they take in; they came with the surfaces."""
    return json.loads((HERE / "area_vectors.json").read_text(encoding="utf-8"))

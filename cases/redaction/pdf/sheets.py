"""One page of a document that is redacted: what is hidden in it, and what goes along."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from PIL import Image

from cases.redaction.pdf import covering
from cases.redaction.pdf.layer import Laid
from cases.redaction.pdf.words import Character


@dataclass
class Sheet:
    """One page: what is hidden in it, and the words that go along."""

    number: int
    marks: list[Mapping[str, Any]]
    characters: list[Character]
    size: tuple[float, float]
    anew: bool = False
    laid: list[Laid] = field(default_factory=list)
    without_text: bool = False
    # How light each part of it was before the bars, where it is made anew.
    blocks: Image.Image | None = None

    @property
    def covers(self) -> list[covering.Cover]:
        """The bars over it."""
        return covering.covers_of(self.marks)

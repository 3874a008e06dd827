"""What is known of an invented examination when its report is written."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any
from uuid import UUID


@dataclass
class Examined:
    """What the report needs to know of the examination."""

    passages: list[dict[str, Any]] = field(default_factory=list)
    marks: list[dict[str, Any]] = field(default_factory=list)
    legend: list[dict[str, Any]] = field(default_factory=list)
    organs: list[list[str]] = field(default_factory=list)
    specimens: list[list[str]] = field(default_factory=list)
    taken: list[UUID] = field(default_factory=list)
    items: int = 0
    findings: list[UUID] = field(default_factory=list)

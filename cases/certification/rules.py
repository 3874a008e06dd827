"""Manner of death. No database."""

from __future__ import annotations

from enum import StrEnum


class Manner(StrEnum):
    """Manner of death as the US Standard Certificate of Death (2003 revision, item 37) has it."""

    NATURAL = "natural"
    ACCIDENT = "accident"
    SUICIDE = "suicide"
    HOMICIDE = "homicide"
    UNDETERMINED = "undetermined"
    PENDING = "pending"

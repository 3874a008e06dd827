"""Every change to photographs, their links and their series."""

from evidence.photographs.actions.photographs import (
    AlreadyInCase,
    add_photograph,
    add_preview,
    add_tiles,
    describe_photograph,
    fail_preview,
    link_finding,
    outline_finding,
    unlink_finding,
    void_photograph,
)
from evidence.photographs.actions.series import (
    add_to_series,
    make_series,
    take_from_series,
    void_series,
)

__all__ = [
    "AlreadyInCase",
    "add_photograph",
    "add_preview",
    "add_tiles",
    "add_to_series",
    "describe_photograph",
    "fail_preview",
    "link_finding",
    "make_series",
    "outline_finding",
    "take_from_series",
    "unlink_finding",
    "void_photograph",
    "void_series",
]

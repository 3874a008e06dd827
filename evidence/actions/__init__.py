"""Every change to photographs, specimens and property."""

from evidence.actions.photographs import (
    AlreadyInCase,
    add_photograph,
    describe_photograph,
    keep_derived_images,
    link_finding,
    note_failed_preview,
    unlink_finding,
    void_photograph,
)
from evidence.actions.property import describe_property, record_property, void_property
from evidence.actions.specimens import describe_specimen, take_specimen, void_specimen

__all__ = [
    "AlreadyInCase",
    "add_photograph",
    "describe_photograph",
    "describe_property",
    "describe_specimen",
    "keep_derived_images",
    "link_finding",
    "note_failed_preview",
    "record_property",
    "take_specimen",
    "unlink_finding",
    "void_photograph",
    "void_property",
    "void_specimen",
]

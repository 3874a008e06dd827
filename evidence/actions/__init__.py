"""Every change to photographs, specimens and property."""

from evidence.actions.kit_parts import move_part, take_part_out
from evidence.actions.kits import record_kit, void_kit
from evidence.actions.photographs import (
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
from evidence.actions.property import describe_property, record_property, void_property
from evidence.actions.received import receive_specimen
from evidence.actions.series import (
    add_to_series,
    make_series,
    take_from_series,
    void_series,
)
from evidence.actions.specimens import describe_specimen, take_specimen, void_specimen

__all__ = [
    "AlreadyInCase",
    "add_photograph",
    "add_preview",
    "add_tiles",
    "add_to_series",
    "describe_photograph",
    "describe_property",
    "describe_specimen",
    "fail_preview",
    "link_finding",
    "make_series",
    "move_part",
    "outline_finding",
    "receive_specimen",
    "record_kit",
    "record_property",
    "take_from_series",
    "take_part_out",
    "take_specimen",
    "unlink_finding",
    "void_kit",
    "void_photograph",
    "void_property",
    "void_series",
    "void_specimen",
]

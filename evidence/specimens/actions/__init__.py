"""Every change to specimens, kits and their parts."""

from evidence.specimens.actions.kit_parts import move_part, take_part_out
from evidence.specimens.actions.kits import record_kit, void_kit
from evidence.specimens.actions.received import receive_specimen
from evidence.specimens.actions.specimens import (
    DESCRIBED,
    describe_specimen,
    require_site_asked,
    take_specimen,
    void_specimen,
)

__all__ = [
    "DESCRIBED",
    "describe_specimen",
    "move_part",
    "receive_specimen",
    "record_kit",
    "require_site_asked",
    "take_part_out",
    "take_specimen",
    "void_kit",
    "void_specimen",
]

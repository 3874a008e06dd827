"""Files by digest: taken in, published in the last step, read back, never overwritten.

One store for originals, smaller and derived copies, redactions and packets.
"""

from evidence.store.away import StoreAway
from evidence.store.commands import for_a_command
from evidence.store.faults import StoreFault
from evidence.store.incoming import (
    Incoming,
    receive,
    receive_pieces,
    remove_forgotten,
    take_back_forgotten_parts,
)
from evidence.store.limits import within_limit
from evidence.store.lying import INCOMING, MARK
from evidence.store.marking import GOOD, Whose, WrongStore, require_own_store, whose, write_mark
from evidence.store.publishing import (
    DERIVED,
    ORIGINALS,
    Damaged,
    kept,
    publish,
    publish_made,
)
from evidence.store.reading import (
    CHUNK,
    can_be_read,
    digest_if_there,
    digest_of,
    holds,
    in_folder,
    is_away,
    is_whole,
    lend,
    office_bucket,
    open_part,
    open_stored,
    original_chunks,
)

__all__ = [
    "CHUNK", "DERIVED", "GOOD", "INCOMING", "MARK", "ORIGINALS", "Damaged", "Incoming",
    "StoreAway", "StoreFault", "Whose", "WrongStore", "can_be_read",
    "digest_if_there", "digest_of", "for_a_command", "holds", "in_folder", "is_away", "is_whole",
    "kept", "lend", "office_bucket", "open_part", "open_stored", "original_chunks",
    "publish", "publish_made", "receive", "receive_pieces", "remove_forgotten",
    "require_own_store", "take_back_forgotten_parts", "whose", "within_limit", "write_mark",
]  # fmt: skip

"""Files by digest: taken in, published in the last step, read back, never overwritten.

One store for originals, smaller and derived copies, redactions and packets.
"""

from evidence.store.incoming import Incoming, receive, remove_forgotten
from evidence.store.lying import INCOMING, MARK
from evidence.store.marking import GOOD, Whose, WrongStore, require_own_store, whose, write_mark
from evidence.store.publishing import (
    DERIVED,
    ORIGINALS,
    Damaged,
    Registered,
    move_into_place,
    publish,
    publish_made,
    register,
)
from evidence.store.reading import (
    CHUNK,
    StoreFault,
    digest_if_there,
    digest_of,
    holds,
    in_folder,
    is_whole,
    lend,
    open_part,
    open_stored,
    original_chunks,
)

__all__ = [
    "CHUNK", "DERIVED", "GOOD", "INCOMING", "MARK", "ORIGINALS", "Damaged", "Incoming",
    "Registered", "StoreFault", "Whose", "WrongStore", "digest_if_there", "digest_of", "holds",
    "in_folder", "is_whole", "lend", "move_into_place", "open_part", "open_stored",
    "original_chunks", "publish", "publish_made", "receive", "register", "remove_forgotten",
    "require_own_store", "whose", "write_mark",
]  # fmt: skip

"""Digests and proofs of the audit ledger, computed on their own.

SHA-256 of a message, and root, inclusion proof and consistency proof of a Merkle tree. Written
from the standards apart from the ledger's own code, so that one can check the other.

Formula:
    SHA-256 as in FIPS 180-4
    empty tree = SHA-256 of nothing; leaf = SHA-256(00 || data); node = SHA-256(01 || left || right)
    n leaves are split at the largest power of two below n

Range:
    Exact. Messages up to two million characters (ten million by repetition), up to 5000 leaves.

Sources:
    - FIPS 180-4 (2015).
    - RFC 6962, section 2.1; RFC 9162, sections 2.1.1 to 2.1.4.
    - The eight leaves used when none are given: test data of open-source verifiable-log code
      (roots for sizes 0 to 8 seen in several public repositories).

Cautions:
    - A chain of hashes without the prefixes 00 and 01 is not this tree.
    - Odd nodes are carried up, never doubled.
    - A proof that is too long, too short or out of range is refused, not only one that differs.
    - A digest shows that bytes are unchanged since it was made, not that they were right then.
"""

from __future__ import annotations

import hashlib
import re

from findings.calculations.fields import BadInput, Field, Inputs, Kind
from findings.calculations.method import ResultField, define
from findings.calculations.result import Outcome, Plain

LONGEST_MESSAGE = 10_000_000
EIGHT_LEAVES_HEX = (
    "",
    "00",
    "10",
    "2021",
    "3031",
    "40414243",
    "5051525354555657",
    "606162636465666768696a6b6c6d6e6f",
)
THE_EIGHT_LEAVES = "the eight leaves"
# The standard's way of writing its long example: 'a' x 1000000.
_REPEATED = re.compile(r"^'(.)' x (\d{1,8})$")


def sha256(data: bytes) -> bytes:
    """The SHA-256 digest."""
    return hashlib.sha256(data).digest()


def leaf_hash(data: bytes) -> bytes:
    """Digest of a leaf."""
    return sha256(b"\x00" + data)


def node_hash(left: bytes, right: bytes) -> bytes:
    """Digest of an inner node."""
    return sha256(b"\x01" + left + right)


def _split(count: int) -> int:
    return 1 << ((count - 1).bit_length() - 1)


def root_of(hashes: list[bytes]) -> bytes:
    """Root of the tree over leaf hashes."""
    if not hashes:
        return sha256(b"")
    if len(hashes) == 1:
        return hashes[0]
    k = _split(len(hashes))
    return node_hash(root_of(hashes[:k]), root_of(hashes[k:]))


def inclusion_proof(index: int, hashes: list[bytes]) -> list[bytes]:
    """Audit path of one leaf, from the leaf upward (RFC 6962, 2.1.1)."""
    if len(hashes) == 1:
        return []
    k = _split(len(hashes))
    if index < k:
        return [*inclusion_proof(index, hashes[:k]), root_of(hashes[k:])]
    return [*inclusion_proof(index - k, hashes[k:]), root_of(hashes[:k])]


def consistency_proof(old_size: int, hashes: list[bytes]) -> list[bytes]:
    """Proof that the first `old_size` leaves are still the beginning (RFC 6962, 2.1.2)."""

    def below(size: int, part: list[bytes], is_whole: bool) -> list[bytes]:
        if size == len(part):
            return [] if is_whole else [root_of(part)]
        k = _split(len(part))
        if size <= k:
            return [*below(size, part[:k], is_whole), root_of(part[k:])]
        return [*below(size - k, part[k:], False), root_of(part[:k])]

    return below(old_size, hashes, True)


def inclusion_holds(leaf: bytes, index: int, size: int, proof: list[bytes], root: bytes) -> bool:
    """Whether an inclusion proof leads from the leaf to the root (RFC 9162, 2.1.3.2)."""
    if not 0 <= index < size:
        return False
    fn, sn, found = index, size - 1, leaf
    for node in proof:
        if sn == 0:
            return False
        if fn & 1 or fn == sn:
            found = node_hash(node, found)
            while fn and not fn & 1:
                fn, sn = fn >> 1, sn >> 1
        else:
            found = node_hash(found, node)
        fn, sn = fn >> 1, sn >> 1
    return sn == 0 and found == root


def consistency_holds(
    sizes: tuple[int, int], proof: list[bytes], old_root: bytes, new_root: bytes
) -> bool:
    """Whether a consistency proof ties an old root to a new one (RFC 9162, 2.1.4.2)."""
    old_size, new_size = sizes
    if not 0 < old_size <= new_size:
        return False
    if old_size == new_size:
        return not proof and old_root == new_root
    nodes = [old_root, *proof] if old_size & (old_size - 1) == 0 else list(proof)
    if not nodes:
        return False
    fn, sn = old_size - 1, new_size - 1
    while fn & 1:
        fn, sn = fn >> 1, sn >> 1
    old = new = nodes[0]
    for node in nodes[1:]:
        if sn == 0:
            return False
        if fn & 1 or fn == sn:
            old, new = node_hash(node, old), node_hash(node, new)
            while fn and not fn & 1:
                fn, sn = fn >> 1, sn >> 1
        else:
            new = node_hash(new, node)
        fn, sn = fn >> 1, sn >> 1
    return sn == 0 and old == old_root and new == new_root


def _from_hex(text: str, name: str) -> bytes:
    try:
        return bytes.fromhex(text)
    except ValueError:
        raise BadInput(name, "must be hexadecimal") from None


def _leaf_hashes(inputs: Inputs) -> list[bytes]:
    leaves = inputs.values.get("leaves", THE_EIGHT_LEAVES)
    if isinstance(leaves, str):
        if leaves != THE_EIGHT_LEAVES:
            raise BadInput("leaves", f"must be a list of hexadecimal texts or {THE_EIGHT_LEAVES!r}")
        leaves = EIGHT_LEAVES_HEX
    return [leaf_hash(_from_hex(leaf, "leaves")) for leaf in leaves]


def _size(inputs: Inputs, name: str, leaves: list[bytes]) -> int:
    size = int(inputs.number(name))
    if size > len(leaves):
        raise BadInput(name, f"is more than the {len(leaves)} leaves")
    return size


def _digest(inputs: Inputs) -> Outcome:
    message = inputs.text("message")
    repeated = _REPEATED.match(message)
    if repeated:
        count = int(repeated.group(2))
        if count * len(repeated.group(1).encode()) > LONGEST_MESSAGE:
            raise BadInput("message", f"must not be longer than {LONGEST_MESSAGE} bytes")
        data = repeated.group(1).encode() * count
        return _answer("sha256", sha256(data).hex(), "hex", f"read as {count} repetitions")
    return _answer("sha256", sha256(message.encode()).hex(), "hex")


def _answer(name: str, value: Plain, unit: str, *notes: str) -> Outcome:
    return Outcome(fields={name: value}, value=value, unit=unit, notes=notes)


def _root(inputs: Inputs) -> Outcome:
    leaves = _leaf_hashes(inputs)
    return _answer("root", root_of(leaves[: _size(inputs, "first_n_leaves", leaves)]).hex(), "hex")


def _proof_hexes(proof: list[bytes]) -> list[Plain]:
    return [node.hex() for node in proof]


def _inclusion(inputs: Inputs) -> Outcome:
    leaves = _leaf_hashes(inputs)
    index, size = int(inputs.number("leaf_index")), int(inputs.number("tree_size"))
    if not inputs.has("root"):
        size = _size(inputs, "tree_size", leaves)
    for name in ("leaf", "root"):
        if inputs.has(name) and not (inputs.has("proof") and inputs.has("leaf")):
            raise BadInput(name, "belongs to a proof to check, with both leaf and proof")
    if not inputs.has("proof"):
        if index >= size:
            raise BadInput("leaf_index", "is outside the tree")
        return _answer("proof", _proof_hexes(inclusion_proof(index, leaves[:size])), "hex list")
    proof = [_from_hex(node, "proof") for node in inputs.raw("proof")]
    leaf = leaves[index] if index < len(leaves) else sha256(b"")
    if inputs.has("leaf"):
        leaf = leaf_hash(_from_hex(inputs.text("leaf"), "leaf"))
    root = _from_hex(inputs.text("root"), "root") if inputs.has("root") else root_of(leaves[:size])
    return _answer("verifies", inclusion_holds(leaf, index, size, proof, root), "verifies")


def _consistency(inputs: Inputs) -> Outcome:
    leaves = _leaf_hashes(inputs)
    new_size, old_size = _size(inputs, "new_size", leaves), int(inputs.number("old_size"))
    if not inputs.has("proof"):
        if not 0 < old_size <= new_size:
            raise BadInput("old_size", "must be from 1 to new_size")
        proof = consistency_proof(old_size, leaves[:new_size])
        return _answer("proof", _proof_hexes(proof), "hex list")
    proof = [_from_hex(node, "proof") for node in inputs.raw("proof")]
    holds = consistency_holds(
        (old_size, new_size), proof, root_of(leaves[:old_size]), root_of(leaves[:new_size])
    )
    return _answer("verifies", holds, "verifies")


def compute(inputs: Inputs) -> Outcome:
    """Digest, root, proof or check, by which fields were given."""
    ways = {
        "message": _digest,
        "first_n_leaves": _root,
        "leaf_index": _inclusion,
        "old_size": _consistency,
    }
    given = [name for name in ways if inputs.has(name)]
    if len(given) != 1:
        message = "is required, or first_n_leaves, or leaf_index, or old_size"
        if given:
            message = "give only one of: " + ", ".join(given)
        raise BadInput(given[-1] if given else "message", message)
    return ways[given[0]](inputs)


def _count(name: str, text: str) -> Field:
    return Field(name, Kind.INTEGER, text, minimum=0, maximum=1_000_000)


METHOD = define(
    __doc__,
    name="hash_and_merkle",
    title="Digests and tree proofs",
    version="1.0",
    fields=(
        Field(
            "message",
            Kind.TEXT,
            "Text to digest; \"'a' x 1000000\" repeats a character.",
            maximum=2_000_000,
        ),
        _count("first_n_leaves", "Give the root over this many leaves."),
        _count("leaf_index", "Give or check the inclusion proof of this leaf, from 0."),
        _count("tree_size", "Size of the tree for the inclusion proof."),
        _count("old_size", "Give or check the consistency proof from this size."),
        _count("new_size", "To this size."),
        Field(
            "leaves",
            Kind.TEXT_OR_TEXTS,
            "Leaves in hexadecimal; the eight leaves of the test data if not given.",
        ),
        Field("proof", Kind.TEXTS, "A proof to check, in hexadecimal."),
        Field("leaf", Kind.TEXT, "Data of the leaf whose proof is checked, in hexadecimal."),
        Field("root", Kind.TEXT, "Root to check that proof against, in hexadecimal."),
    ),
    result_fields=(
        ResultField("sha256", "hex", "Digest of the message."),
        ResultField("root", "hex", "Root of the tree."),
        ResultField("proof", "hex list", "Inclusion or consistency proof."),
        ResultField("verifies", "", "Whether the given proof holds."),
    ),
    example={"message": "abc"},
    compute=compute,
)

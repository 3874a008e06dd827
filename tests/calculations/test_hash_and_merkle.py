"""Tree digests against a second, slower implementation and against tampering."""

import hashlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from findings.calculations import hash_and_merkle as tree
from findings.calculations.registry import calculate

HASHES = [tree.leaf_hash(bytes([number])) for number in range(33)]
quick = settings(max_examples=60, deadline=None)


def slow_root(leaves: list[bytes]) -> bytes:
    """Root built layer by layer, an odd node carried up: another way to the same tree."""
    if not leaves:
        return hashlib.sha256().digest()
    layer = [hashlib.sha256(b"\x00" + leaf).digest() for leaf in leaves]
    while len(layer) > 1:
        pairs = zip(layer[::2], layer[1::2], strict=False)
        above = [hashlib.sha256(b"\x01" + left + right).digest() for left, right in pairs]
        layer = above + ([layer[-1]] if len(layer) % 2 else [])
    return layer[0]


@pytest.mark.parametrize("size", range(34))
def test_roots_equal_those_of_a_second_implementation(size: int) -> None:
    leaves = [bytes([number]) for number in range(size)]
    assert tree.root_of([tree.leaf_hash(leaf) for leaf in leaves]) == slow_root(leaves)


@pytest.mark.parametrize("size", range(1, 34))
def test_every_inclusion_proof_holds_and_no_tampered_one(size: int) -> None:
    hashes = HASHES[:size]
    root = tree.root_of(hashes)
    for index in range(size):
        proof = tree.inclusion_proof(index, hashes)
        assert tree.inclusion_holds(hashes[index], index, size, proof, root)
        assert not tree.inclusion_holds(hashes[index], index, size, [*proof, root], root)
        assert not tree.inclusion_holds(hashes[index], size, size, proof, root)
        if proof:
            assert not tree.inclusion_holds(hashes[index], index, size, proof[:-1], root)
            changed = [bytes([proof[0][0] ^ 1]) + proof[0][1:], *proof[1:]]
            assert not tree.inclusion_holds(hashes[index], index, size, changed, root)


@pytest.mark.parametrize("new_size", range(1, 34))
def test_every_consistency_proof_holds_and_no_tampered_one(new_size: int) -> None:
    new_root = tree.root_of(HASHES[:new_size])
    for old_size in range(1, new_size + 1):
        sizes, old_root = (old_size, new_size), tree.root_of(HASHES[:old_size])
        proof = tree.consistency_proof(old_size, HASHES[:new_size])
        assert tree.consistency_holds(sizes, proof, old_root, new_root)
        assert not tree.consistency_holds(sizes, [*proof, new_root], old_root, new_root)
        assert not tree.consistency_holds(sizes, proof, new_root[::-1], new_root)
        if proof:
            assert not tree.consistency_holds(sizes, proof[:-1], old_root, new_root)


@quick
# A null character cannot be kept in the case file and is refused.
@given(
    st.text(
        st.characters(exclude_characters="\0", exclude_categories=("Cs",)), max_size=200
    ).filter(lambda text: not text.startswith("'"))
)
def test_a_digest_is_that_of_the_standard_library(message: str) -> None:
    found = calculate("hash_and_merkle", {"message": message}).outcome.value
    assert found == hashlib.sha256(message.encode()).hexdigest()


@quick
@given(st.lists(st.binary(max_size=8), min_size=1, max_size=12), st.data())
def test_a_proof_asked_for_can_be_checked(leaves: list[bytes], data: st.DataObject) -> None:
    index = data.draw(st.integers(0, len(leaves) - 1))
    asked = {
        "leaves": [leaf.hex() for leaf in leaves],
        "leaf_index": index,
        "tree_size": len(leaves),
    }
    proof = calculate("hash_and_merkle", asked).outcome.value
    assert calculate("hash_and_merkle", {**asked, "proof": proof}).outcome.value is True


def test_a_proof_is_checked_against_a_root_without_the_other_leaves() -> None:
    leaves = [bytes([number]) for number in range(9)]
    hashes = [tree.leaf_hash(leaf) for leaf in leaves]
    inputs = {
        "leaf_index": 6,
        "tree_size": 9,
        "leaf": leaves[6].hex(),
        "root": tree.root_of(hashes).hex(),
        "proof": [node.hex() for node in tree.inclusion_proof(6, hashes)],
    }
    assert calculate("hash_and_merkle", inputs).outcome.value is True
    assert calculate("hash_and_merkle", {**inputs, "leaf": "ff"}).outcome.value is False
    assert calculate("hash_and_merkle", {**inputs, "tree_size": 7}).outcome.value is False

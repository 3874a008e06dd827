"""Digests, roots and proofs row by row: published examples, every wrong claim, every refusal."""

from __future__ import annotations

import hashlib
from itertools import product
from typing import Any

import pytest

from findings.calculations import hash_and_merkle as tree
from findings.calculations.fields import BadInput, Field, Kind
from findings.calculations.registry import calculate
from findings.calculations.result import Outcome

MOST = 9
HASHES = [tree.leaf_hash(bytes([number])) for number in range(MOST)]
ROOTS = [tree.root_of(HASHES[:size]) for size in range(MOST + 1)]


def merkle(**inputs: Any) -> Outcome:
    return calculate("hash_and_merkle", inputs).outcome


def test_the_paths_and_proofs_of_seven_leaves_are_those_of_the_standard() -> None:
    # RFC 6962, section 2.1.3: the tree of seven leaves, its audit paths and consistency proofs.
    a, b, c, d, e, f, j = HASHES[:7]
    g, h, i = tree.node_hash(a, b), tree.node_hash(c, d), tree.node_hash(e, f)
    k, last = tree.node_hash(g, h), tree.node_hash(i, j)
    paths = {0: [b, h, last], 3: [c, g, last], 4: [f, j, k], 6: [i, k]}
    for index, path in paths.items():
        assert tree.inclusion_proof(index, HASHES[:7]) == path
    proofs = {3: [c, d, g, last], 4: [last], 6: [i, j, k], 7: []}
    for old_size, proof in proofs.items():
        assert tree.consistency_proof(old_size, HASHES[:7]) == proof
    assert ROOTS[7] == tree.node_hash(k, last)
    assert node_by_hand(k, last) == ROOTS[7]
    assert hashlib.sha256(b"\x00\x03").digest() == d


def node_by_hand(left: bytes, right: bytes) -> bytes:
    return hashlib.sha256(b"\x01" + left + right).digest()


def test_an_inclusion_proof_holds_for_its_own_leaf_and_tree_alone() -> None:
    own = {
        (n, i): tree.inclusion_proof(i, HASHES[:n]) for n in range(1, MOST + 1) for i in range(n)
    }
    for (size, index), proof in product(own, own.values()):
        holds = tree.inclusion_holds(HASHES[index], index, size, proof, ROOTS[size])
        assert holds is (proof == own[size, index])
        assert not tree.inclusion_holds(HASHES[index], index, size, proof, ROOTS[0])
    for (size, index), proof in own.items():
        root, leaf = ROOTS[size], HASHES[index]
        for wrong in ([*proof, root], [root, *proof], proof[:-1]):
            holds = tree.inclusion_holds(leaf, index, size, wrong, root)
            assert holds is (wrong == proof)
        for outside in (-1, size):
            assert not tree.inclusion_holds(leaf, outside, size, proof, root)
    assert not tree.inclusion_holds(HASHES[0], 0, 0, [], HASHES[0])


def test_a_consistency_proof_holds_for_its_own_two_trees_alone() -> None:
    sizes = [(m, n) for n in range(1, MOST + 1) for m in range(1, n + 1)]
    own = {pair: tree.consistency_proof(pair[0], HASHES[: pair[1]]) for pair in sizes}
    for pair, proof in product(sizes, own.values()):
        old, new = ROOTS[pair[0]], ROOTS[pair[1]]
        assert tree.consistency_holds(pair, proof, old, new) is (proof == own[pair])
        assert not tree.consistency_holds(pair, proof, old, ROOTS[0])
        assert not tree.consistency_holds(pair, proof, ROOTS[0], new)
    for pair, proof in own.items():
        old, new = ROOTS[pair[0]], ROOTS[pair[1]]
        for wrong in ([*proof, new], [old, *proof], [new, *proof], proof[:-1]):
            assert tree.consistency_holds(pair, wrong, old, new) is (wrong == proof)
    for pair in ((0, 0), (0, 3), (-1, 3), (4, 3)):
        for proof in ([], [ROOTS[3]]):
            assert not tree.consistency_holds(pair, proof, ROOTS[0], ROOTS[3])
            assert not tree.consistency_holds(pair, proof, ROOTS[3], ROOTS[3])
    # One leaf and two: without a proof the old root is not the new one, whatever is claimed.
    assert not tree.consistency_holds((1, 2), [], ROOTS[2], ROOTS[2])


def test_every_consistency_proof_of_larger_trees_holds() -> None:
    hashes = [tree.leaf_hash(bytes([number])) for number in range(24)]
    roots = [tree.root_of(hashes[:size]) for size in range(25)]
    for new in range(10, 25):
        for old in range(1, new):
            proof = tree.consistency_proof(old, hashes[:new])
            assert tree.consistency_holds((old, new), proof, roots[old], roots[new]), (old, new)


ABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
MILLION = "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"


def test_a_digest_is_that_of_the_standards_examples() -> None:
    # FIPS 180-4, NIST's example values: "abc" and one million times "a".
    assert merkle(message="abc") == Outcome({"sha256": ABC}, value=ABC, unit="hex")
    repeated = merkle(message="'a' x 1000000")
    assert repeated == Outcome(
        {"sha256": MILLION}, value=MILLION, unit="hex", notes=("read as 1000000 repetitions",)
    )
    assert merkle(message="'ab' x 3").value == hashlib.sha256(b"'ab' x 3").hexdigest()
    assert merkle(message="'é' x 2").value == hashlib.sha256("éé".encode()).hexdigest()


LEAVES = [bytes([number]).hex() for number in range(MOST)]
HEXES = [root.hex() for root in ROOTS]


def hexes(proof: list[bytes]) -> list[str]:
    return [node.hex() for node in proof]


@pytest.mark.parametrize("size", range(MOST + 1))
def test_a_root_is_that_of_the_first_leaves(size: int) -> None:
    found = merkle(leaves=LEAVES, first_n_leaves=size)
    assert found == Outcome({"root": HEXES[size]}, value=HEXES[size], unit="hex")


def test_the_eight_leaves_stand_where_no_leaves_are_given() -> None:
    eight = [bytes.fromhex(leaf) for leaf in tree.EIGHT_LEAVES_HEX]
    root = tree.root_of([tree.leaf_hash(leaf) for leaf in eight]).hex()
    assert merkle(first_n_leaves=8).value == root
    assert merkle(first_n_leaves=8, leaves="the eight leaves").value == root
    assert merkle(leaf_index=7, tree_size=8).fields["proof"]


def test_a_proof_is_given_and_checked() -> None:
    asked = {"leaves": LEAVES, "leaf_index": 3, "tree_size": 7}
    path = hexes(tree.inclusion_proof(3, HASHES[:7]))
    assert merkle(**asked) == Outcome({"proof": path}, value=path, unit="hex list")
    yes = Outcome({"verifies": True}, value=True, unit="verifies")
    assert merkle(**asked, proof=path) == yes
    assert merkle(**asked, proof=path[1:]).value is False
    assert merkle(**{**asked, "leaf_index": 2}, proof=path).value is False
    assert merkle(**{**asked, "tree_size": 8}, proof=path).value is False
    assert merkle(**asked, proof=path, leaf="03") == yes
    assert merkle(**asked, proof=path, leaf="04").value is False
    assert merkle(**asked, proof=path, leaf="03", root=HEXES[7]) == yes
    assert merkle(**asked, proof=path, leaf="03", root=HEXES[8]).value is False
    # Beyond the leaves that are at hand: the proof is checked with what is sent, or fails.
    beyond = {"leaves": LEAVES[:2], "leaf_index": 3, "tree_size": 7, "proof": path}
    assert merkle(**beyond, leaf="03", root=HEXES[7]) == yes
    assert merkle(leaves=LEAVES[:2], leaf_index=2, tree_size=2, proof=[]).value is False
    between = {"old_size": 3, "new_size": 7, "leaves": LEAVES}
    proof = hexes(tree.consistency_proof(3, HASHES[:7]))
    assert merkle(**between) == Outcome({"proof": proof}, value=proof, unit="hex list")
    assert merkle(**between, proof=proof) == yes
    assert merkle(**between, proof=proof[1:]).value is False
    assert merkle(**{**between, "old_size": 4}, proof=proof).value is False
    assert merkle(**{**between, "new_size": 8}, proof=proof).value is False
    assert merkle(leaves=LEAVES, old_size=0, new_size=7, proof=[]).value is False
    assert merkle(leaves=LEAVES, old_size=9, new_size=9).value == []
    assert merkle(leaves=LEAVES, old_size=1, new_size=2).value == [HASHES[1].hex()]


HEX = "must be hexadecimal"
BOTH = "belongs to a proof to check, with both leaf and proof"
PATH = {"leaves": LEAVES, "leaf_index": 1, "tree_size": 3}
TWO = {"leaves": LEAVES, "old_size": 1, "new_size": 3}


@pytest.mark.parametrize(
    ("inputs", "field", "words"),
    [
        ({}, "message", "is required, or first_n_leaves, or leaf_index, or old_size"),
        ({"message": "a", "old_size": 1}, "old_size", "give only one of: message, old_size"),
        ({"message": "a", "first_n_leaves": 1, "old_size": 1}, "old_size",
         "give only one of: message, first_n_leaves, old_size"),
        ({**PATH, "first_n_leaves": 1}, "leaf_index",
         "give only one of: first_n_leaves, leaf_index"),
        ({"first_n_leaves": 1, "leaves": "five"}, "leaves",
         "must be a list of hexadecimal texts or 'the eight leaves'"),
        ({"first_n_leaves": 1, "leaves": ["0g"]}, "leaves", HEX),
        ({"first_n_leaves": 10, "leaves": LEAVES}, "first_n_leaves", "is more than the 9 leaves"),
        ({**PATH, "tree_size": 10}, "tree_size", "is more than the 9 leaves"),
        ({**PATH, "leaf_index": 3}, "leaf_index", "is outside the tree"),
        ({"leaves": LEAVES, "leaf_index": 1}, "tree_size", "is required"),
        ({**PATH, "leaf": "00"}, "leaf", BOTH),
        ({**PATH, "root": "00"}, "root", BOTH),
        ({**PATH, "root": "00", "proof": []}, "root", BOTH),
        ({**PATH, "proof": ["0g"]}, "proof", HEX),
        ({**PATH, "proof": [], "leaf": "0g"}, "leaf", HEX),
        ({**PATH, "proof": [], "leaf": "00", "root": "0g"}, "root", HEX),
        ({**TWO, "new_size": 10}, "new_size", "is more than the 9 leaves"),
        ({"leaves": LEAVES, "old_size": 1}, "new_size", "is required"),
        ({**TWO, "old_size": 4}, "old_size", "must be from 1 to new_size"),
        ({**TWO, "old_size": 0}, "old_size", "must be from 1 to new_size"),
        ({**TWO, "proof": ["0g"]}, "proof", HEX),
        ({"message": "'a' x 10000001"}, "message", "must not be longer than 10000000 bytes"),
        ({"message": "'é' x 5000001"}, "message", "must not be longer than 10000000 bytes"),
    ],
)  # fmt: skip
def test_what_cannot_be_asked_names_its_field(
    inputs: dict[str, Any], field: str, words: str
) -> None:
    with pytest.raises(BadInput) as caught:
        merkle(**inputs)
    assert (caught.value.field, caught.value.message) == (field, words)


def test_the_longest_message_by_repetition_is_digested() -> None:
    expected = hashlib.sha256("é".encode() * 5_000_000).hexdigest()
    assert merkle(message="'é' x 5000000").value == expected
    # Three of three bytes, so that bytes are counted and not characters.
    with pytest.raises(BadInput):
        merkle(message="'€' x 3333334")


def test_a_number_of_leaves_is_a_whole_one_up_to_a_million() -> None:
    expected = Field("n", Kind.INTEGER, "How many.", minimum=0, maximum=1_000_000)
    assert tree._count("n", "How many.") == expected

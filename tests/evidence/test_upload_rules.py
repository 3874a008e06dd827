"""What the headers of a sent piece may say, by tus 1.0.0 and RFC 4648 (base64)."""

from __future__ import annotations

import base64
import hashlib

import pytest

from evidence.intake import rules

DIGEST = hashlib.sha256(b"abc").digest()
IN_64 = base64.b64encode(DIGEST).decode()


def refused(call, *given):
    with pytest.raises(rules.Malformed) as caught:
        call(*given)
    return str(caught.value)


@pytest.mark.parametrize(
    ("header", "read"),
    [
        ("", {}),
        # The example of the protocol's text.
        (
            "filename d29ybGRfZG9taW5hdGlvbl9wbGFuLnBkZg==,is_confidential",
            {"filename": "world_domination_plan.pdf", "is_confidential": ""},
        ),
        ("a YQ== , b Yg==,,c w6k=", {"a": "a", "b": "b", "c": "é"}),
    ],
)
def test_pairs_of_metadata_are_read(header, read):
    assert rules.metadata_of(header) == read


@pytest.mark.parametrize(
    ("header", "words"),
    [
        ("a YQ==,a Yg==", "Upload-Metadata names a twice."),
        ("b YQ", "Upload-Metadata: b is not base64 of UTF-8 text."),
        ("b Y*Q==", "Upload-Metadata: b is not base64 of UTF-8 text."),
        ("b /w==", "Upload-Metadata: b is not base64 of UTF-8 text."),
    ],
)
def test_metadata_that_cannot_be_read_is_refused(header, words):
    assert refused(rules.metadata_of, header) == words


def test_both_kinds_of_checksum_are_read():
    assert rules.checksum_of("") is None
    assert rules.checksum_of(f"sha256 {IN_64}") == rules.Checksum("sha256", DIGEST)
    assert rules.checksum_of("sha1 YWI=") == rules.Checksum("sha1", b"ab")


@pytest.mark.parametrize(
    ("header", "words"),
    [
        (f"md5 {IN_64}", "Upload-Checksum: only sha256, sha1 are known."),
        (f"SHA256 {IN_64}", "Upload-Checksum: only sha256, sha1 are known."),
        ("sha256 YWI", "Upload-Checksum is not base64."),
        (f"sha256 {IN_64} {IN_64}", "Upload-Checksum is not base64."),
        ("sha1 Y*WI=", "Upload-Checksum is not base64."),
    ],
)
def test_another_checksum_is_refused(header, words):
    assert refused(rules.checksum_of, header) == words


@pytest.mark.parametrize(("header", "count"), [("0", 0), ("42", 42), ("9" * 15, 10**15 - 1)])
def test_a_number_of_bytes_is_read(header, count):
    assert rules.count_of_bytes(header, "Upload-Length") == count


@pytest.mark.parametrize("header", [None, "", "-1", "1.0", "٣", "²", "1 ", "9" * 16])
def test_what_is_no_number_of_bytes_is_refused(header):
    words = refused(rules.count_of_bytes, header, "Upload-Length")
    assert words == "Upload-Length must be a number of bytes."


@pytest.mark.parametrize(
    ("offset", "kept"), [(0, 0), (10, 1), (30, 2), (60, 3), (11, 2), (29, 2), (31, 3)]
)
def test_a_run_replaces_what_was_sent_from_its_offset_on(offset, kept):
    pieces = [[10, "a", "one"], [20, "b", "two"], [30, "c", "three"]]
    assert rules.with_run(pieces, offset, 5, "d", "four") == [*pieces[:kept], [5, "d", "four"]]

"""What a file is by how it begins, and what is said of what is handed over apart."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest

from cases.court import paper
from cases.decisions import enclosed_rules as rules
from cases.decisions.rules import DemandState
from cases.redaction.pdf import limits
from cases.statements.rules import MOST_PDF_BYTES

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize(
    ("begins", "kind", "ending"),
    [
        (b"%PDF-1.7", "application/pdf", "pdf"),
        (b"\xff\xd8\xff\xe0", "image/jpeg", "jpg"),
        (b"\x89PNG\r\n\x1a\n", "image/png", "png"),
        (b"ID3\x03", "audio/mpeg", "mp3"),
        (b"\xff\xfb\x90", "audio/mpeg", "mp3"),
        (b"\xff\xf3\x90", "audio/mpeg", "mp3"),
        (b"OggS\x00", "audio/ogg", "ogg"),
        (b"fLaC\x00", "audio/flac", "flac"),
        (b"\x1aE\xdf\xa3\x01", "video/x-matroska", "mkv"),
        (b"RIFF\x24\x00\x00\x00WAVEfmt ", "audio/wav", "wav"),
        (b"RIFF\x24\x00\x00\x00AVI LIST", "application/octet-stream", "bin"),
        (b"\x00\x00\x00\x18ftypM4A ", "audio/mp4", "m4a"),
        (b"\x00\x00\x00\x18ftypqt  ", "video/quicktime", "mov"),
        (b"\x00\x00\x00\x18ftypisom", "video/mp4", "mp4"),
        (b"<html>", "application/octet-stream", "bin"),
        (b"", "application/octet-stream", "bin"),
    ],
)
def test_a_file_is_told_by_how_it_begins(begins, kind, ending):
    assert rules.kind_of(begins) == kind
    assert rules.ending_of(kind) == ending


def test_how_long_a_file_may_be():
    assert rules.wrong_size(0) == "This file is empty."
    assert rules.wrong_size(1) == rules.wrong_size(rules.MOST_BYTES) == ""
    assert "larger than 120 MB" in rules.wrong_size(rules.MOST_BYTES + 1)


def test_what_a_form_may_carry_is_what_the_proxy_lets_through():
    for kept in ("docs/production/nginx.conf", "docker-compose.yml"):
        [mega] = re.findall(r"client_max_body_size (\d+)m;", (ROOT / kept).read_text("utf-8"))
        around = int(mega) * 1024**2 - 4 * 1024**2
        for most in (rules.MOST_BYTES, limits.MOST_SENT_BYTES, paper.MOST_BYTES, MOST_PDF_BYTES):
            assert most <= around, kept


def test_to_whom_and_when():
    day = date(2026, 11, 3)
    assert rules.wrong_apart("County attorney", day) == {}
    assert set(rules.wrong_apart(" ", None)) == {"apart_to", "apart_on"}


def test_what_goes_out_without_a_file_is_named():
    state = DemandState(2, True, 2, 0, 0, lacks_file=("Slides",))
    assert state.lacking == [
        "Demand 2: no file is attached for “Slides”, decided to go out. Attach it, or say to whom "
        "it was handed."
    ]

"""The program that reads PDF is a process of its own, and ends by itself."""

from __future__ import annotations

import io

import pytest

from cases.redaction import reading
from cases.redaction.pdf import limits, program
from me_office.audit.errors import Refused
from tests.redaction.papers import area, line, paper, saved


def test_a_document_is_read_and_burned_by_a_process_of_its_own(processes):
    content = saved(paper(line("Seen by Marla at nine")))
    assert reading.pages_of(content) == 1
    said, made = reading.ask(content, "burn", marks=[area(1, 0, 0, 4000, 4000)], name="paper")
    assert said["pages"] == 1 and made.startswith(b"%PDF-1.7")


def test_what_takes_too_much_ends_the_program_and_nothing_else(processes, monkeypatch):
    # Arrays within arrays, deeper than any reader goes.
    deep = b"%PDF-1.7\n1 0 obj\n" + b"[" * 200_000 + b"]" * 200_000 + b"\nendobj\n"
    with pytest.raises(Refused) as refused:
        reading.pages_of(deep)
    assert str(refused.value) in {limits.BROKEN, limits.TOO_MUCH}
    monkeypatch.setattr(reading, "LOOK_WAITS", 0.01)
    with pytest.raises(Refused, match="more memory or time"):
        reading.pages_of(saved(paper(line("Seen by Marla"))))


def test_a_file_is_handed_on_piece_by_piece_from_its_beginning(monkeypatch):
    class Long(io.BytesIO):
        def read(self, size: int = -1) -> bytes:
            assert 0 < size <= 2**20, "nothing is held whole"
            return super().read(size)

    def answered(given, waits):
        given.read(int(given.read(program.HEAD)))
        return program.as_sent({"pages": len(given.read())}, b"")

    monkeypatch.setattr(reading, "_run", answered)
    file = Long(bytes(5 * 2**20))
    file.seek(7)
    assert reading.pages_of(file) == 5 * 2**20
    monkeypatch.setattr(limits, "MOST_BYTES", 2**20)
    with pytest.raises(Refused, match="larger than"):
        reading.pages_of(file)

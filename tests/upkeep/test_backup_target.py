"""The folder of the backups: each folder in it is listed once, for however many files."""

from __future__ import annotations

from pathlib import Path

import pytest

from me_office.upkeep.backup.target import Target


def digest(folder: str, number: int) -> str:
    return f"{folder}{number:062x}"


@pytest.fixture
def listed(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The folders that were listed, in order."""
    glob, folders = Path.glob, list[str]()

    def noted(self: Path, pattern: str) -> object:
        folders.append(self.name)
        return glob(self, pattern)

    monkeypatch.setattr(Path, "glob", noted)
    return folders


def test_a_folder_is_listed_once_and_what_is_taken_in_or_removed_is_known(tmp_path, listed):
    sealed = digest("ff", 0)
    for folder in ("00", "a7"):
        (tmp_path / "files" / folder).mkdir(parents=True)
        for number in range(40):
            (tmp_path / "files" / folder / f"{digest(folder, number)}.{sealed}.age").touch()
        (tmp_path / "files" / folder / f"part-{digest(folder, 99)}").touch()
    target = Target(tmp_path)
    for folder in ("00", "a7", "f1"):
        for number in range(41):
            found = target.file(digest(folder, number))
            name = f"{digest(folder, number)}.{sealed}.age"
            there = tmp_path / "files" / folder / name
            assert found == (there if number < 40 and folder != "f1" else None)
    assert listed == ["00", "a7", "f1"]

    one, other = digest("a7", 99), digest("a7", 3)
    assert target.file(one) is None
    target.take_in(tmp_path / "files" / "a7" / f"part-{one}", one, sealed)
    assert target.file(one).is_file()
    target.remove(other)
    assert target.file(other) is None
    target.remove(other)
    assert not list((tmp_path / "files" / "a7").glob(f"{other}*"))
    assert listed[3:] == ["a7", "a7"]  # the second is this test's own

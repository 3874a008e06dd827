"""Without a browser the tests say how to get one and fail; they are never left out."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.browser import chromium


def test_the_named_program_is_the_one_that_is_used(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    program = tmp_path / "chromium"
    program.touch(mode=0o755)
    monkeypatch.setenv("CHROMIUM", str(program))
    assert chromium.find() == program
    assert chromium.main() == 0


def test_a_named_program_that_is_not_there_fails_with_advice(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("CHROMIUM", "/nowhere/chromium")
    assert chromium.main() == 1
    assert "apt-get install chromium" in capsys.readouterr().err


def test_an_ordinary_account_without_a_browser_is_told_how_to_get_one(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv("CHROMIUM", raising=False)
    monkeypatch.setattr(chromium, "find", lambda: None)
    monkeypatch.setattr(chromium.os, "geteuid", lambda: 1000)
    monkeypatch.setattr(chromium, "install", lambda: pytest.fail("only root can install"))
    assert chromium.main() == 1
    assert "Chromium" in capsys.readouterr().err


def test_root_installs_the_package_where_there_is_none(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    installed: list[Path] = []
    monkeypatch.delenv("CHROMIUM", raising=False)
    monkeypatch.setattr(chromium, "find", lambda: installed[0] if installed else None)
    monkeypatch.setattr(chromium.os, "geteuid", lambda: 0)
    monkeypatch.setattr(chromium.shutil, "which", lambda name: f"/usr/bin/{name}")
    monkeypatch.setattr(chromium, "install", lambda: installed.append(Path("/usr/bin/chromium")))
    assert chromium.main() == 0

"""Every page asks for one style sheet, which is made of the frame's."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest
from django.contrib.staticfiles import finders
from django.core.management import call_command
from django.test import Client

from me_office.shell import one_sheet
from me_office.shell.one_sheet import NAME, PARTS, WRITTEN, OneSheet

# A page asks for these by themselves: on paper, and where a case is worked on.
APART = {"print", "texts"}


@pytest.fixture
def finder(settings: Any, tmp_path: Path) -> OneSheet:
    settings.DATA_DIR = tmp_path
    return OneSheet()


def test_every_sheet_of_the_frame_is_in_it_whole_and_in_order(finder: OneSheet) -> None:
    assert {one.stem for one in WRITTEN.glob("*.css")} == {*PARTS} | APART
    whole = Path(finder.find(NAME)).read_text()
    places = [whole.index((WRITTEN / f"{part}.css").read_text()) for part in PARTS]
    assert places == sorted(places)
    for part in PARTS:
        words = (WRITTEN / f"{part}.css").read_text()
        # What one leaves open would swallow the next; and only the first may say such things.
        assert words.count("{") == words.count("}"), part
        assert words.count("/*") == words.count("*/"), part
        assert not any(rule in words for rule in ("@charset", "@import", "@namespace")), part


def test_it_is_made_anew_when_a_part_changes_and_only_then(
    finder: OneSheet, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    for part in PARTS:
        (tmp_path / f"{part}.css").write_text(f".{part} {{}}")
    monkeypatch.setattr(one_sheet, "WRITTEN", tmp_path)
    place = Path(finder.find(NAME))
    os.utime(place, (1, 1))
    [(_, storage)] = finder.list([])
    assert (Path(storage.path(NAME)), place.stat().st_mtime) == (place, 1)
    (tmp_path / "list.css").write_text(".rows {}")
    assert ".rows {}" in Path(finder.find(NAME)).read_text()
    assert finder.find("shell/css/list.css") == []
    assert [one.name for one in place.parent.iterdir()] == [place.name]


def test_it_is_served_where_nobody_collected_files(client: Client) -> None:
    answer = client.get(f"/static/{NAME}")
    assert answer["Content-Type"].startswith("text/css")
    assert answer.getvalue() == Path(str(finders.find(NAME))).read_bytes()


def test_it_is_collected_under_a_name_of_its_own_with_fonts_that_are_found(
    settings: Any, tmp_path: Path
) -> None:
    settings.STATIC_ROOT = tmp_path
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "me_office.shell.static_urls.Collected"},
    }
    others = ["css", "js", "json", "*.svg", "*.png", "*.txt"]
    call_command("collectstatic", verbosity=0, interactive=False, ignore_patterns=others)
    known = json.loads((settings.STATIC_ROOT / "staticfiles.json").read_text())["paths"]
    collected = settings.STATIC_ROOT / known[NAME]
    assert collected.with_suffix(".css.gz").exists()
    font = Path(known["shell/fonts/source-sans-3-latin-wght-normal.woff2"]).name
    assert f'url("../fonts/{font}")' in collected.read_text()

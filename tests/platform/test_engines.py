"""`make engines`, which no daily run includes, is whole and finds things as they are said."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from me_office.demo.office import PASSWORD, STAFF
from tests.engines import __main__ as run
from tests.engines import steps
from tests.engines.engine import Engine, NotInstalled

ROOT = Path(__file__).resolve().parents[2]
FINDS = {"click", "fill", "sees", "misses", "choose_files"}
# With a number or a day that a page told, or of what the office holds.
OF_THE_OFFICE = {
    *("Add 1 photograph", "1 added", "Exhibit S-21", "Exhibit S-22"),
    *("Wednesday, March 4, 2026, 14:05 EST…", "Friday, March 13, 2026, 14:05 EDT…"),
}


def said_by_steps() -> set[str]:
    """The names by which steps find things, as they are written in them."""
    tree = ast.parse(Path(steps.__file__).read_text())
    calls = [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in FINDS
    ]
    kinds = {"button", "chart", "field", "group", "heading", "image", "link", "list", "words"}
    given = [arg for call in calls for arg in [*call.args[:2], *(k.value for k in call.keywords)]]
    words = {arg.value for arg in given if isinstance(arg, ast.Constant)}
    return {word for word in words if isinstance(word, str)} - kinds


def test_every_engine_can_do_what_a_step_asks() -> None:
    asked = {name for name in vars(Engine) if not name.startswith("_")} - {"name", "version"}
    for engine in run.ENGINES.values():
        assert asked <= set(dir(engine)), engine


def test_steps_find_things_by_words_that_the_office_says() -> None:
    assert len(said_by_steps()) > 20
    text = "\n".join(
        path.read_text()
        for room in ("me_office", "cases", "findings", "evidence")
        for ending in ("html", "py", "js")
        for path in (ROOT / room).rglob(f"*.{ending}")
        if not {"migrations", "vendor", "demo"} & set(path.parts)
    ).lower()
    # A name that a script puts together of two has a comma: "Choose date, Read at".
    said = {part for name in said_by_steps() - OF_THE_OFFICE for part in name.split(", ")}
    assert {part for part in said if part.strip("…").lower() not in text} == set()


def test_steps_sign_in_as_people_of_the_invented_office() -> None:
    names = {member.username for member in STAFF}
    assert steps.PASSWORD == PASSWORD
    assert set(steps.WITH_A_SECOND_FACTOR) == set(run.ENGINES)
    assert set(steps.WITH_A_SECOND_FACTOR.values()) <= names


class Away:
    name = "away"
    version = ""

    def start(self, folder: Path) -> None:
        raise NotInstalled("apt-get install away")

    def stop(self) -> None:
        pass


def test_an_engine_that_is_not_installed_is_named_and_is_no_success(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(run, "ENGINES", {"away": Away})
    monkeypatch.setenv("ENGINES", "away")
    assert run.main(["--office", "http://office.invalid", "--pictures", str(tmp_path)]) == 2
    assert "away: NOT TRIED" in capsys.readouterr().out

"""Every folder says in its first line what it is for, and the guide's layout names every room."""

from __future__ import annotations

import ast
import os
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
TOP = ("me_office", "cases", "findings", "evidence")
# Named and filled as Django wants it.
OF_DJANGO = {"migrations", "management", "commands", "templates", "static", "templatetags"}
# A layer that has grown from a file into a folder: what it holds stands in the guide's table.
LAYERS = {"actions", "api", "forms", "models", "queries", "rules", "views"}
# Words that every first line may have; one that has no others says only what kind of code it is.
SAY_NOTHING = {"a", "an", "the", "of", "and", "package", "module", "modules", "code", "app", "init"}


def packages() -> list[Path]:
    """Every folder of the office with Python files, but Django's own."""
    found = {path.parent for top in TOP for path in (ROOT / top).rglob("*.py")}
    inside = {folder: set(folder.relative_to(ROOT).parts) for folder in found}
    return sorted(folder for folder in found if not inside[folder] & (OF_DJANGO - {"templatetags"}))


def first_line(folder: Path) -> str:
    """Return the first line of what a folder says of itself."""
    inside = folder / "__init__.py"
    said = ast.get_docstring(ast.parse(inside.read_text())) if inside.exists() else None
    return (said or "").partition("\n")[0]


def says_too_little(folder: Path, line: str) -> bool:
    """Tell whether a first line is no sentence, or only says the folder's name again."""
    words = set(re.findall(r"[a-z']+", line.lower()))
    names = {part.lower() for part in folder.relative_to(ROOT).parts}
    return not re.match(r"[A-Z].+[.?]$", line) or len(words - SAY_NOTHING - names) < 2


def test_every_folder_says_in_its_first_line_what_it_is_for():
    lines = {str(folder.relative_to(ROOT)): first_line(folder) for folder in packages()}
    assert len(lines) > 50
    wanting = [name for name, line in lines.items() if says_too_little(ROOT / name, line)]
    assert wanting == [], "begin __init__.py with a sentence that says what the folder is for"
    assert len(set(lines.values())) == len(lines), "two folders say the same"


def test_a_first_line_that_says_only_the_name_is_noticed():
    room = ROOT / "cases" / "remains"
    assert says_too_little(room, "")
    assert says_too_little(room, "Remains package.")
    assert says_too_little(room, "The body leaves the office")
    assert not says_too_little(room, "The body leaves the office.")


def rooms() -> set[str]:
    """Every room by its path: neither a layer, nor Django's, nor a folder inside of a room."""
    found, there = set(), set(packages())
    for top in TOP:
        for folder in (ROOT / top).iterdir():
            if folder in there and folder.name not in OF_DJANGO | LAYERS:
                found.add(f"{top}/{folder.name}")
    return found


def named_in_the_layout() -> set[str]:
    """Every room that the guide's layout names, by its path."""
    guide = (ROOT / "DEVELOPERS.md").read_text()
    drawn = guide.partition("## Layout\n")[2].partition("\n## ")[0]
    named, top = set(), ""
    for line in re.findall(r"^ {4}(?:  )?\S.*$", drawn, re.MULTILINE):
        for name in re.match(r" *((?:[a-z_.]+/(?:, )?)*)", line)[1].split(", "):
            if not line.startswith("      "):
                top = name.strip().rstrip("/")
            elif name.strip():
                named.add(f"{top}/{name.strip().rstrip('/')}")
    return {name for name in named if name.partition("/")[0] in TOP}


def test_the_layout_of_the_guide_names_every_room_and_no_other():
    named, there = named_in_the_layout(), rooms()
    assert named - there == set(), "the guide names what is not there"
    assert there - named == set(), "name these in DEVELOPERS.md, Layout"


GUIDES = ("DEVELOPERS.md", "me_office/how-a-datum-travels.md")
FILE = r"[\w./-]+\.(?:py|js|sql|typ|json|md|css)\b"


@pytest.mark.parametrize("guide", GUIDES)
def test_every_file_that_a_guide_names_by_its_path_is_there(guide):
    named = set(
        re.findall(rf"\b(?:{'|'.join((*TOP, 'tests'))})/{FILE}", (ROOT / guide).read_text())
    )
    assert named
    assert sorted(name for name in named if not (ROOT / name).exists()) == []


def is_there(dotted: str) -> bool:
    """Tell whether a module is there, or a module that has the last name in it."""
    module, _, name = dotted.rpartition(".")
    for whole, inside in ((dotted, ""), (module, name)):
        path = ROOT / whole.replace(".", "/")
        for file in (path.with_suffix(".py"), path / "__init__.py"):
            if file.exists() and re.search(rf"\b{inside}\b", file.read_text()):
                return True
    return False


@pytest.mark.parametrize("guide", GUIDES[:1])
def test_every_module_and_name_in_a_module_that_the_guide_says_is_there(guide):
    dotted = rf"`((?:{'|'.join(TOP)})(?:\.\w+)+)`"
    named = set(re.findall(dotted, (ROOT / guide).read_text()))
    assert named
    assert sorted(name for name in named if not is_there(name)) == []
    assert not is_there("me_office.audit.actions.no_such_name") and not is_there("evidence.lacking")


def drawn_files(text: str) -> set[str]:
    """Every file of the drawn paths: a name alone lies in the folder that stands above it."""
    found, heading = set(), ""
    for line in re.findall(r"^ {4}.*$", text, re.MULTILINE):
        folder = re.search(r"[\w/]+/$", line)
        if re.match(r" {4}\S", line):
            heading = folder[0] if folder else ""
        inside = heading
        for name in re.findall(FILE, line):
            whole = name if name.partition("/")[0] in TOP else f"{inside}{name}"
            found.add(os.path.normpath(whole))
            inside = f"{whole.rpartition('/')[0]}/"
    return found


def test_every_file_on_the_drawn_paths_is_there():
    files = drawn_files((ROOT / GUIDES[-1]).read_text())
    assert len(files) > 70
    assert sorted(name for name in files if not (ROOT / name).is_file()) == []

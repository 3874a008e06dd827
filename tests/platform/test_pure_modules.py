"""Every module that knows no database is tried by `make mutants`, or it is said why not."""

from __future__ import annotations

import ast
import tomllib
from fnmatch import fnmatch
from functools import cache
from pathlib import Path

import pytest

from tests.mutation.equivalent import EQUIVALENT
from tests.mutation.held_by import HELD_BY, LEFT_OUT

ROOT = Path(__file__).resolve().parents[2]
TOLD = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["mutmut"]
MODULES = {
    ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): path
    for app in TOLD["source_paths"]
    for path in (ROOT / app).rglob("*.py")
    if "migrations" not in path.parts
}
# What reaches the database, the network or a queue.
REACHES_OUT = {"boto3", "celery", "django", "guardian", "psycopg", "redis", "rest_framework"}


@cache
def read(module: str) -> tuple[frozenset[str], bool]:
    """What a module imports when it is imported itself, not for its types; has it functions?"""
    names: set[str] = set()
    tree = ast.parse(MODULES[module].read_text())
    for node in tree.body:
        if isinstance(node, ast.Import):
            names |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module, *(f"{node.module}.{name.name}" for name in node.names)}
    return frozenset(names), any(isinstance(node, ast.FunctionDef) for node in ast.walk(tree))


def is_pure(module: str, met: frozenset[str] = frozenset()) -> bool:
    """Tell whether nothing that a module imports reaches out."""
    inner, _ = read(module)
    return not any(name.partition(".")[0] in REACHES_OUT for name in inner) and all(
        is_pure(name, met | {module}) for name in inner & MODULES.keys() - met
    )


def has_functions(module: str) -> bool:
    return read(module)[1]


def is_left_out(module: str) -> bool:
    return any(module == name or module.startswith(f"{name}.") for name in LEFT_OUT)


def matches(path: Path, patterns: list[str]) -> bool:
    """Tell whether a path is meant, as mutmut reads patterns: a star stands for a slash, too."""
    inside = str(path.relative_to(ROOT))
    return any(fnmatch(inside, pattern) for pattern in patterns)


def test_every_pure_module_and_every_module_of_rules_is_tried():
    rules = {name for name in MODULES if name.endswith((".rules", "_rules"))}
    ours = {name for name in MODULES if (name in rules or is_pure(name)) and has_functions(name)}
    assert len(ours) > 100
    untried = sorted(name for name in ours - HELD_BY.keys() if not is_left_out(name))
    assert not untried, f"name in tests/mutation/held_by.py what holds {', '.join(untried)}"


def test_what_is_left_out_is_there_and_is_not_tried_all_the_same():
    folders = {name.rpartition(".")[0] for name in MODULES}
    assert [name for name in LEFT_OUT if name not in MODULES.keys() | folders] == []
    assert [name for name in HELD_BY if is_left_out(name)] == []


def test_mutmut_changes_what_is_tried_and_nothing_else():
    changed = {
        name
        for name, path in MODULES.items()
        if has_functions(name)
        and matches(path, TOLD["only_mutate"])
        and not matches(path, TOLD["do_not_mutate"])
    }
    assert changed == HELD_BY.keys(), "only_mutate of pyproject.toml and held_by.py differ"


@pytest.mark.parametrize("module", HELD_BY)
def test_the_tests_that_hold_a_module_are_there(module):
    assert [test for test in HELD_BY[module] if not (ROOT / test).is_file()] == []


def test_an_equivalent_change_is_one_of_a_module_that_is_tried():
    assert {name.rpartition(".")[0] for name in EQUIVALENT} <= HELD_BY.keys()

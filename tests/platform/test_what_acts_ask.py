"""Every act on a case locks the case, and every act that was given a version compares it.

Read from the functions themselves: what an act calls, and what these call, down to the lock.
"""

from __future__ import annotations

import ast
import importlib
import inspect
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

from cases.queries import case_for_update
from me_office.audit.records import require_version

# These compare it in words of their own: accounts and files of the store are no records.
BY_THEMSELVES = {
    "evidence.fixity.actions.resolve_problem",
    *(f"me_office.accounts.actions.{name}" for name in (
        "change_account", "close_account", "reopen_account", "replace_password",
        "reset_second_factor",
    )),
}  # fmt: skip
ROOT = Path(__file__).resolve().parents[2]
OURS = ("cases", "evidence", "findings", "me_office")
DEEP = 5


def acts() -> Iterator[Any]:
    """Yield every act: the functions of all modules that the frame of actions runs."""
    for room in OURS:
        for path in sorted((ROOT / room).rglob("*.py")):
            text = path.read_text(encoding="utf-8")
            if "\n@action\n" not in text or "/demo/" in str(path):
                continue
            name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
            module = importlib.import_module(name)
            for found in vars(module).values():
                act = getattr(found, "__wrapped__", None)
                if inspect.isfunction(found) and getattr(act, "__module__", "") == name:
                    yield act


@cache
def body_of(function: Callable[..., Any]) -> tuple[ast.stmt, ...]:
    """The statements of a function, its first words left out."""
    found = functions_of(function.__code__.co_filename)[function.__code__.co_firstlineno]
    return tuple(found.body)


@cache
def functions_of(path: str) -> dict[int, ast.FunctionDef]:
    """The functions of a file by the line on which each begins, its decorators with it."""
    tree = ast.parse(Path(path).read_text(encoding="utf-8"))
    found = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    return {min([one.lineno, *(d.lineno for d in one.decorator_list)]): one for one in found}


def called_in(function: Callable[..., Any], part: ast.AST) -> Iterator[Callable[..., Any]]:
    """Yield the office's functions that a part of a function calls by name, or hands on."""
    for node in ast.walk(part):
        one = None
        if isinstance(node, ast.Name):
            one = function.__globals__.get(node.id)
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            module = function.__globals__.get(node.value.id)
            one = getattr(module, node.attr, None) if inspect.ismodule(module) else None
        if inspect.isfunction(one) and one.__module__.startswith(OURS):
            yield inspect.unwrap(one)


@cache
def comes_to(function: Callable[..., Any], wanted: Callable[..., Any], deep: int = DEEP) -> bool:
    """Tell whether a function calls another one, or calls what does."""
    return deep > 0 and any(
        one is wanted or (one is not function and comes_to(one, wanted, deep - 1))
        for part in body_of(function)
        for one in called_in(function, part)
    )


def locks_first(act: Callable[..., Any]) -> bool:
    """Tell whether an act locks the case before it reads any row."""
    for part in body_of(act):
        if any(
            one is case_for_update or comes_to(one, case_for_update) for one in called_in(act, part)
        ):
            return True
        if any(
            isinstance(node, ast.Attribute) and node.attr == "objects" for node in ast.walk(part)
        ):
            return False
    return False


ACTS = {f"{one.__module__}.{one.__name__}": one for one in acts()}


def that_take(name: str) -> dict[str, Any]:
    return {key: one for key, one in ACTS.items() if name in inspect.signature(one).parameters}


def test_every_act_on_a_case_locks_it_before_it_reads_anything() -> None:
    given = that_take("case_id")
    assert len(given) > 90
    assert sorted(key for key, one in given.items() if not locks_first(one)) == []


def test_every_act_that_is_given_a_version_compares_it() -> None:
    given = that_take("version")
    assert len(given) > 90
    left = {key for key, one in given.items() if not comes_to(one, require_version)}
    assert left == BY_THEMSELVES


@cache
def locks_a_row(function: Callable[..., Any], deep: int = DEEP) -> bool:
    """Tell whether a function, or one that it calls, locks what it reads."""
    nodes = [node for part in body_of(function) for node in ast.walk(part)]
    if any(isinstance(one, ast.Attribute) and one.attr == "select_for_update" for one in nodes):
        return True
    called = [one for part in body_of(function) for one in called_in(function, part)]
    return deep > 1 and any(locks_a_row(one, deep - 1) for one in called if one is not function)


def test_every_act_on_what_the_office_keeps_locks_what_it_was_given_a_version_of() -> None:
    given = that_take("version") | that_take("replaces")
    of_the_office = {key: one for key, one in given.items() if key not in that_take("case_id")}
    assert len(of_the_office) > 15
    assert sorted(key for key, one in of_the_office.items() if not locks_a_row(one)) == []

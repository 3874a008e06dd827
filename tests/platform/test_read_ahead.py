"""What a list reads ahead for its records has its name and type on their model."""

from __future__ import annotations

import ast
from pathlib import Path

from django.apps import apps

ROOT = Path(__file__).resolve().parents[2]


def test_a_name_under_which_rows_are_read_ahead_is_one_of_a_model():
    texts = [
        path.read_text()
        for room in ("me_office", "cases", "findings", "evidence")
        for path in (ROOT / room).rglob("*.py")
        if "migrations" not in path.parts
    ]
    named = {
        word.value.value
        for text in texts
        if "to_attr" in text
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Call)
        for word in node.keywords
        if word.arg == "to_attr" and isinstance(word.value, ast.Constant)
    }
    assert len(named) >= 4
    known = {name for model in apps.get_models() for name in vars(model)}
    assert named - known == set()

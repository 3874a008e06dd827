"""Every action of the office, found by its frame."""

from __future__ import annotations

import importlib
import importlib.util
import inspect
import pkgutil
import re
from pathlib import Path
from typing import Any

import cases
import evidence
import findings
import me_office.accounts
from cases.actions import record_medication

# An action of its own, or one that a frame makes: name = withdraws("name", ...).
MADE = re.compile(r"^@action$|^\w+ = [\w.]+\(\s*\"[a-z_]+\"", re.MULTILINE)


def all_actions() -> dict[str, Any]:
    found, framed = {}, record_medication.__code__
    for package in (cases, findings, evidence, me_office.accounts):
        for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            spec = importlib.util.find_spec(module.name)
            source = Path(spec.origin or "") if spec else Path()
            if source.is_file() and MADE.search(source.read_text(encoding="utf-8")):
                for name, one in vars(importlib.import_module(module.name)).items():
                    if inspect.isfunction(one) and one.__code__ is framed:
                        found[name] = one
    return found

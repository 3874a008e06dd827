"""The places where an app has to be named, and what to do where it is not."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from fnmatch import fnmatch
from pathlib import Path

from django.conf import settings

ROOT = Path(__file__).resolve().parents[2]
ROOMS = ("me_office", "cases", "findings", "evidence")
# What is done with a case later; findings and evidence may know the others.
KNOWN_TO_ALL = {"cases.certification", "cases.history"}
# Layers of an app: whoever has one of these has to keep their order.
LAYERS = ("models", "queries", "actions", "forms", "views", "api")


@dataclass(frozen=True)
class Named:
    """What the project names its apps in, as it is written now."""

    installed: tuple[str, ...] = field(default_factory=lambda: tuple(settings.INSTALLED_APPS))
    urls: str = field(default_factory=lambda: (ROOT / "me_office/urls.py").read_text())
    guide: str = field(default_factory=lambda: (ROOT / "DEVELOPERS.md").read_text())
    image: str = field(default_factory=lambda: (ROOT / "Dockerfile").read_text())
    project: str = field(default_factory=lambda: (ROOT / "pyproject.toml").read_text())

    @property
    def tools(self) -> dict:
        return tomllib.loads(self.project)["tool"]

    def contract(self, key: str) -> dict:
        return next(one for one in self.tools["importlinter"]["contracts"] if one["id"] == key)


def apps_in(root: Path) -> list[str]:
    """Return every app by its dotted name: a folder with an `apps.py`."""
    found = [path.parent for room in ROOMS for path in (root / room).rglob("apps.py")]
    return sorted(".".join(path.relative_to(root).parts) for path in found)


def lacking(app: str, root: Path, named: Named) -> Iterator[str]:
    """Yield, for one app, every place in which it is missing, as what to do there."""
    folder = root.joinpath(*app.split("."))
    if app not in named.installed:
        yield f"name {app} in INSTALLED_APPS (me_office/settings.py)"
    for module in ("urls", "api_urls"):
        if _has(folder, module) and f'include("{app}.{module}")' not in named.urls:
            yield f'add include("{app}.{module}") to me_office/urls.py'
    for module in ("steps", "checks"):
        started = (folder / "apps.py").read_text()
        if _has(folder, module) and not re.search(rf"import .*\b{module}\b", started):
            yield f"import {app}.{module} in ready() of {app}.apps"
    yield from _lacking_in_contracts(app, folder, named)
    for path in sorted(folder.glob("*rules.py")):
        module = f"{app}.{path.stem}"
        if not any(_matches(module, one) for one in named.contract("pure-rules")["source_modules"]):
            yield f'name {module} in source_modules of the contract "pure-rules"'
    if f"COPY {app.partition('.')[0]} " not in named.image:
        yield f"copy {app.partition('.')[0]} in the Dockerfile, and let it in by .dockerignore"
    if not re.search(rf"^ .*\b{app.rpartition('.')[2]}/", named.guide, re.MULTILINE):
        yield f"say in one line of DEVELOPERS.md, Layout, what {app} is for"


def _lacking_in_contracts(app: str, folder: Path, named: Named) -> Iterator[str]:
    has_layers = any(_has(folder, module) for module in LAYERS)
    if has_layers and app not in named.contract("inside-an-app")["containers"]:
        yield f'name {app} in containers of the contract "inside-an-app" (pyproject.toml)'
    room, _, name = app.partition(".")
    if room == "cases" and name and "." not in name:
        layers = " ".join(named.contract("case-file")["layers"])
        if not re.search(rf"\b{name}\b", layers):
            yield f'give {name} its layer in the contract "case-file"'
        forbidden = named.contract("evidence-and-findings")["forbidden_modules"]
        if app not in forbidden and app not in KNOWN_TO_ALL:
            yield f'name {app} in forbidden_modules of the contract "evidence-and-findings"'


def _has(folder: Path, module: str) -> bool:
    return (folder / f"{module}.py").exists() or (folder / module / "__init__.py").exists()


def _matches(module: str, pattern: str) -> bool:
    """Tell whether a pattern of import-linter means a module."""
    return fnmatch(module, pattern.replace("**", "*"))

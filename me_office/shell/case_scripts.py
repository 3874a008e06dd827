"""Scripts that a room adds to every page of a case, such as the short keys. Knows no room."""

from __future__ import annotations

from dataclasses import dataclass

from django.templatetags.static import static
from django.urls import reverse


@dataclass(frozen=True)
class CaseScript:
    """A module among the static files, and the name of the address that it reads."""

    path: str
    url_name: str

    @property
    def src(self) -> str:
        """Where the module is."""
        return static(self.path)

    @property
    def address(self) -> str:
        """What it reads."""
        return reverse(self.url_name)


_SCRIPTS: dict[str, CaseScript] = {}


def register(script: CaseScript) -> None:
    """Add a script; the same path again replaces it."""
    _SCRIPTS[script.path] = script


def case_scripts() -> list[CaseScript]:
    """Return the scripts of every page of a case."""
    return list(_SCRIPTS.values())

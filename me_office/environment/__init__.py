"""Every name of the environment that the office reads: what it is, and what is wrong with a value.

`table.py` lists them, `checks.py` reads one value, `together.py` looks at several at once, and
`Environment` hands them to the settings. All that is wrong is said at once, each with what to do.
"""

from __future__ import annotations

from collections.abc import Mapping
from ipaddress import IPv4Network, IPv6Network
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

from me_office.environment.checks import flag_of, networks_of, number_of, words_of
from me_office.environment.table import BY_NAME, Setting
from me_office.environment.together import problems


class Environment:
    """The office's settings as the environment gives them, after everything was looked at."""

    def __init__(self, given: Mapping[str, str]) -> None:
        """Look at all of them. Raises ImproperlyConfigured, which names every one that is wrong."""
        self.given = {name: value.strip() for name, value in given.items() if name in BY_NAME}
        found = problems(given)
        if len(found) == 1:
            raise ImproperlyConfigured(found[0])
        if found:
            lines = "".join(f"\n  {line}" for line in found)
            raise ImproperlyConfigured(f"{len(found)} settings are wrong; nothing starts:{lines}")

    def text(self, name: str) -> str:
        """Return the value, or the default where none is set."""
        return self.given.get(name, "") or BY_NAME[name].default

    def flag(self, name: str, *, default: bool | None = None) -> bool:
        """Return a switch; `default` where the table's depends on something else."""
        said = self.given.get(name, "")
        if not said and default is not None:
            return default
        return flag_of(self.text(name))

    def number(self, name: str) -> int:
        """Return a whole number."""
        return number_of(self.text(name))

    def words(self, name: str) -> list[str]:
        """Return what is separated by commas."""
        return words_of(self.text(name))

    def folder(self, name: str, otherwise: Path) -> Path:
        """Return a folder; `otherwise` where none is named."""
        return Path(self.text(name) or otherwise).resolve()

    def networks(self, name: str) -> tuple[IPv4Network | IPv6Network, ...]:
        """Return addresses and networks."""
        return networks_of(self.text(name))


__all__ = ["BY_NAME", "Environment", "Setting", "problems"]

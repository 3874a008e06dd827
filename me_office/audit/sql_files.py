"""The functions and triggers of the trail, as SQL: `sql/` is read by migrations, guard and tests.

A file holds one function as it stands now, under a comment and then letter for letter as
`pg_get_functiondef` tells it. A migration that makes a function reads the file as well: the newest
text is right from the beginning, because a function asks for its tables when it runs. After every
migration `guard` makes again what is otherwise, so that changing a function is changing its file.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

FOLDER = Path(__file__).with_name("sql")
TRIGGERS = "triggers"


def function_names() -> list[str]:
    """Return the names of all functions, in a fixed order."""
    return sorted(path.stem for path in FOLDER.glob("*.sql") if path.stem != TRIGGERS)


def function(name: str) -> str:
    """Return the statement that makes a function or makes it again, without its comment."""
    text = _text(name)
    return text[text.index("CREATE OR REPLACE FUNCTION ") :]


def functions(*names: str) -> str:
    """Return the statements that make these functions, one after the other."""
    return "".join(f"{function(name)};\n" for name in names)


def trigger(name: str, table: str, **filled: str) -> str:
    """Return the statement that makes a trigger on a table; `filled` are its other names."""
    begins = f"CREATE TRIGGER {name} "
    [line] = [line for line in _text(TRIGGERS).splitlines() if line.startswith(begins)]
    return line.format(table=table, **filled)


@cache
def _text(name: str) -> str:
    return (FOLDER / f"{name}.sql").read_text(encoding="utf-8")

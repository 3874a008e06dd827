"""Change the pure modules one place at a time and see whether a test notices: `make mutants`.

`python -m tests.mutants [NAME ...]` runs mutmut over what `[tool.mutmut]` in pyproject.toml names,
or over the modules whose dotted names begin with a NAME, and prints the share noticed by module.
Every survivor has to be noticed by a new test or to stand in `EQUIVALENT` with its reason. Needs
no server: what is mutated knows no database.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
WANTED = 0.95
# Settings that are read and never reached.
NOWHERE = {
    "DATABASE_URL": "postgresql://nobody@127.0.0.1:1/none",
    "REDIS_URL": "redis://127.0.0.1:1/0",
    "DJANGO_SETTINGS_MODULE": "me_office.settings",
    "ME_TESTING": "1",
    "ME_SECRET_KEY": "changed one place at a time, and seen by a test every time",
}
# Survivors that change nothing anybody could see: the change's name and why. Counted as noticed.
# A name that no longer exists, or is noticed after all, fails the run.
EQUIVALENT: dict[str, str] = {}
NOTICED = {1, 3, 36, 24, -24, 152, 255}  # a failing test, or one that never ends


def main(names: list[str]) -> int:
    """Run and print; return 0 where every module reaches what is wanted."""
    program = Path(sys.executable).parent / "mutmut"
    patterns = [f"{name.rstrip('*')}*" for name in names]
    ran = subprocess.run([program, "run", *patterns], cwd=ROOT, env=os.environ | NOWHERE)
    if ran.returncode not in (0, 1):
        return ran.returncode
    missed, known = 0, {}
    for kept in sorted((ROOT / "mutants").rglob("*.meta")):
        codes = json.loads(kept.read_text())["exit_code_by_key"]
        checked = {name: code for name, code in codes.items() if code is not None}
        known |= checked
        if not checked:
            continue
        noticed = sum(code in NOTICED or name in EQUIVALENT for name, code in checked.items())
        share = noticed / len(checked)
        missed += share < WANTED
        print(
            f"{share:7.1%}  {noticed:5} of {len(checked):5}  {kept.relative_to(ROOT / 'mutants')}"
        )
    stale = stale_names(known, whole=not names)
    for name in stale:
        print(f"EQUIVALENT names {name}, which does not exist or is noticed by a test.")
    return int(missed > 0 or bool(stale))


def stale_names(codes: dict[str, int], *, whole: bool) -> list[str]:
    """The names in EQUIVALENT that are no survivors; a partial run only sees what it ran."""
    return [
        name for name in EQUIVALENT if (name in codes or whole) and codes.get(name, 1) in NOTICED
    ]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

"""Change the pure modules one place at a time and see whether a test notices: `make mutants`.

`python -m tests.mutation [NAME ...]` changes the modules of `HELD_BY`, or those whose dotted names
begin with a NAME, with mutmut, tries each change with the tests that hold its module, and prints
the share noticed by module and the names of the survivors. Every survivor has to be noticed by a
new test or to stand in `EQUIVALENT` with its reason. Needs no server: what is changed knows no
database. MUTANTS_AT_ONCE is how many changes are tried at once; otherwise one a core.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from tests.mutation.equivalent import EQUIVALENT
from tests.mutation.held_by import HELD_BY

ROOT = Path(__file__).resolve().parents[2]
HERE = Path(__file__).resolve().parent
WANTED = 0.95
AT_ONCE = "MUTANTS_AT_ONCE"
# What a trial may take of the processor beyond eight times its tests, and how long it may idle.
SPARE_SECONDS = 3
IDLE_SECONDS = 60
LEFT = {0, 33}  # every test passes, or no test calls the function
# Settings that are read and never reached.
NOWHERE = {
    "DATABASE_URL": "postgresql://nobody@127.0.0.1:1/none",
    "REDIS_URL": "redis://127.0.0.1:1/0",
    "DJANGO_SETTINGS_MODULE": "me_office.settings",
    "ME_TESTING": "1",
    "ME_SECRET_KEY": "changed one place at a time, and seen by a test every time",
}


def main(names: list[str]) -> int:
    """Run and print; return 0 where every module reaches what is wanted."""
    asked = tuple(name.rstrip("*") for name in names) or ("",)
    modules = {one: tests for one, tests in HELD_BY.items() if one.startswith(asked)}
    make_changes(ROOT)
    missed = set(modules)
    changes = noticed = 0
    for answer in tried(ROOT, modules, int(os.environ.get(AT_ONCE) or os.cpu_count() or 1)):
        module, codes = answer["module"], answer.get("codes", {})
        lines, good = score(module, codes, EQUIVALENT)
        if "fault" in answer:
            lines = [f"{module}: {answer['fault']}"]
        print("\n".join([f"{lines[0]}  {answer['seconds']:.0f} s", *lines[1:]]), flush=True)
        missed -= {module} if good else set()
        changes += len(codes)
        noticed += sum(code not in LEFT for code in codes.values())
    print(f"{noticed} of {changes} changes noticed in {len(modules)} modules.")
    for module in sorted(missed):
        print(f"Not good enough: {module}")
    return int(bool(missed) or not modules)


def score(module: str, codes: dict[str, int], equivalent: dict[str, str]) -> tuple[list[str], bool]:
    """What to print of a module, and whether it reaches what is wanted."""
    left = [name for name, code in codes.items() if code in LEFT and name not in equivalent]
    share = 1 - len(left) / max(len(codes), 1)
    stale = stale_names(module, codes, equivalent)
    lines = [f"{share:7.1%}  {len(left):4} of {len(codes):4} left  {module}"]
    lines += [f"         {name.rpartition('.')[2]}" for name in left]
    lines += [
        f"EQUIVALENT names {name}, which does not exist or is noticed by a test." for name in stale
    ]
    return lines, share >= WANTED and bool(codes) and not stale


def stale_names(module: str, codes: dict[str, int], equivalent: dict[str, str]) -> list[str]:
    """The names of a module among the equivalent ones that are no survivors."""
    of_it = [name for name in equivalent if name.rpartition(".")[0] == module]
    return [name for name in of_it if codes.get(name) not in LEFT]


def make_changes(root: Path) -> None:
    """Fill `mutants/` of a folder."""
    command = [sys.executable, "-P", str(HERE / "changing.py")]
    subprocess.run(
        command, cwd=root, env=os.environ | NOWHERE, stdout=subprocess.DEVNULL, check=True
    )


def tried(
    root: Path,
    modules: dict[str, tuple[str, ...]],
    at_once: int,
    spare: int = SPARE_SECONDS,
    longest: int = IDLE_SECONDS,
    settings: Mapping[str, str] = NOWHERE,
) -> Iterator[dict[str, Any]]:
    """How the tests of each module ended with each of its changes, or what was at fault.

    The answers are kept beside the changes, where mutmut's own commands look for them.
    """
    asked = {
        module: {"tests": tests, "changes": list(kept(root, module)["exit_code_by_key"])}
        for module, tests in modules.items()
    }
    limits = {"at_once": at_once, "spare": spare, "longest": longest}
    told = json.dumps({"modules": asked, **limits})
    with subprocess.Popen(
        [sys.executable, "-P", str(HERE / "trying.py")],
        cwd=root / "mutants",
        env={**os.environ, **settings},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdin and process.stdout
        process.stdin.write(told)
        process.stdin.close()
        for line in process.stdout:
            answer = json.loads(line)
            if "codes" in answer:
                keep(root, answer["module"], answer["codes"])
            yield answer


def kept(root: Path, module: str) -> dict[str, Any]:
    """What mutmut keeps beside the changes of a module."""
    path = root / "mutants" / f"{module.replace('.', '/')}.py.meta"
    if not path.exists():
        sys.exit(f"{module} is not changed: name it in pyproject.toml, too (only_mutate).")
    meta: dict[str, Any] = json.loads(path.read_text())
    return meta


def keep(root: Path, module: str, codes: dict[str, int]) -> None:
    """Keep how each change of a module came out, for `mutmut show` and `mutmut results`."""
    path = root / "mutants" / f"{module.replace('.', '/')}.py.meta"
    path.write_text(json.dumps(kept(root, module) | {"exit_code_by_key": codes}, indent=4))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

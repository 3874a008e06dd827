"""Fill `mutants/` of the folder in which this runs: mutmut's changes beside what stays as it is.

Run as a script by its path. What mutmut is to change stands in that folder's pyproject.toml.
"""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path

from mutmut.__main__ import create_mutants
from mutmut.mutation.trampoline import set_mutant_under_test
from mutmut.utils.file_utils import (
    copy_also_copy_files,
    copy_src_dir,
    walk_all_files,
    walk_mutatable_files,
)


def main() -> None:
    """Bring `mutants/` up to date; only what was changed since is changed again."""
    into = Path("mutants")
    into.mkdir(exist_ok=True)
    shutil.rmtree(into / "tests", ignore_errors=True)
    set_mutant_under_test("mutant_generation")
    # mutmut leaves a table or a template as it was copied the first time.
    for folder, name in walk_all_files():
        if not name.endswith(".py"):
            (into / folder / name).unlink(missing_ok=True)
    # It takes a copy that was made before its file was named for a changed one, too.
    for path in walk_mutatable_files():
        if not (into / f"{path}.meta").exists():
            (into / path).unlink(missing_ok=True)
    copy_src_dir()
    copy_also_copy_files()
    create_mutants(os.cpu_count() or 1)


if __name__ == "__main__":
    sys.exit(main())

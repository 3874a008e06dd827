"""Let three engines do the same work in one office: `make engines`."""

from __future__ import annotations

import os
import signal
import sys
import tempfile
import time
import traceback
from argparse import ArgumentParser
from pathlib import Path

from tests.engines.chromium import Chromium
from tests.engines.engine import Engine, NotInstalled
from tests.engines.firefox import Firefox
from tests.engines.office import Office
from tests.engines.steps import STEPS
from tests.engines.visitor import DESK, Visitor
from tests.engines.webkit import WebKit

ENGINES = {"chromium": Chromium, "firefox": Firefox, "webkit": WebKit}
WELL, WRONG, NOT_TRIED = range(3)


def main(given: list[str] | None = None) -> int:
    """Try every engine that is asked for; return 0, 1 where a step failed, 2 for one not tried."""
    parser = ArgumentParser(prog="python -m tests.engines", description=__doc__)
    parser.add_argument("--office", metavar="ADDRESS", help="an invented office that runs already")
    parser.add_argument("--pictures", type=Path, help="keep what was seen in this folder")
    parser.add_argument("--only", metavar="WORDS", nargs="+", default=[""], help="some steps")
    asked = parser.parse_args(given)
    named = os.environ.get("ENGINES", "").replace(",", " ").split() or list(ENGINES)
    if unknown := set(named) - set(ENGINES):
        parser.error(f"ENGINES names {', '.join(unknown)}; there are {', '.join(ENGINES)}")
    with tempfile.TemporaryDirectory(prefix="office-engines-", dir="/tmp") as folder:
        home = Path(folder)
        office = Office(home)
        try:
            if not asked.office:
                office.start()
            pictures = asked.pictures or home
            pictures.mkdir(parents=True, exist_ok=True)
            address = (asked.office or office.address).rstrip("/")
            outcomes = [
                tried(ENGINES[name](), address, home, pictures, asked.only) for name in named
            ]
        finally:
            office.stop()
    return max(outcomes, key=[WELL, NOT_TRIED, WRONG].index)


def tried(engine: Engine, address: str, home: Path, pictures: Path, only: list[str]) -> int:
    """Let one engine take every step and say how each came out, and which engine it was."""
    folder = home / engine.name
    folder.mkdir()
    try:
        engine.start(folder)
        print(f"{engine.name} {engine.version}", flush=True)
        visitor = Visitor(engine, address, pictures)
        steps = [words for words in STEPS if any(part in words for part in only)]
        failed = [words for words in steps if not taken(words, visitor)]
    except NotInstalled as missing:
        print(f"{engine.name}: NOT TRIED, as it is not installed: {missing}", flush=True)
        return NOT_TRIED
    finally:
        engine.stop()
    return WRONG if failed else WELL


def taken(words: str, visitor: Visitor) -> bool:
    """Take one step; say how long it took, or what went wrong and where."""
    began = time.monotonic()
    wrong = ""
    try:
        visitor.engine.size(*DESK)
        STEPS[words](visitor)
        if said := visitor.engine.complaints():
            wrong = f"scripts complained: {said}"
    except Exception:
        wrong = traceback.format_exc(limit=-3)
        visitor.photograph(f"failed-{words.replace(' ', '-')}")
    print(
        f"  {'FAILED' if wrong else 'ok':6} {time.monotonic() - began:6.1f} s  {words}", flush=True
    )
    if wrong:
        print(
            "\n".join(f"      {line}" for line in wrong.splitlines()), file=sys.stderr, flush=True
        )
    return not wrong


if __name__ == "__main__":
    # Whoever is asked to end takes the office and the browsers along.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(WRONG))
    sys.exit(main())

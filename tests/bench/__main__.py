"""Run the measurements: `python -m tests.bench --cases 1000 --cases 20000`."""

from __future__ import annotations

import gc
import os
import shutil
import sys
import tempfile
from argparse import ArgumentParser, Namespace
from pathlib import Path

from tests.bench.servers import EMPTY, Servers

ROOT = Path(__file__).resolve().parents[2]
SIZES = (1_000, 20_000)


def _asked() -> Namespace:
    parser = ArgumentParser(
        prog="python -m tests.bench",
        description="Builds invented offices and measures their pages, side by side.",
    )
    parser.add_argument(
        "--cases",
        type=int,
        action="append",
        help="size of an office; may be given several times (default: BENCH_CASES, else "
        f"{' and '.join(map(str, SIZES))})",
    )
    parser.add_argument(
        "--requests", type=int, default=int(os.environ.get("BENCH_REQUESTS", "40")),
        help="requests of each page and action (default: 40)",
    )  # fmt: skip
    parser.add_argument(
        "--out", type=Path, default=ROOT / ".local" / "bench",
        help="folder for table and JSON (default: .local/bench)",
    )  # fmt: skip
    parser.add_argument(
        "--home", type=Path,
        help="keep servers and offices in this folder and use what is there (default: a "
        "temporary folder)",
    )  # fmt: skip
    parser.add_argument("--only", default="", help="only measures whose title holds this")
    asked = parser.parse_args()
    sizes = asked.cases or [int(word) for word in os.environ.get("BENCH_CASES", "").split()]
    asked.cases = sorted(set(sizes or SIZES))
    if min(asked.cases) < 30 or asked.requests < 1:
        parser.error("An office needs at least 30 cases, and a page at least one request.")
    return asked


def _tell(words: str) -> None:
    print(words, file=sys.stderr, flush=True)


def _run(asked: Namespace, servers: Servers) -> None:
    import django

    django.setup()
    # As the web processes do (gunicorn.conf.py).
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 50, 50)
    from tests.bench.boards import board_times
    from tests.bench.evidence import evidence_times
    from tests.bench.measuring import measured
    from tests.bench.methods import method_times
    from tests.bench.offices import Office, bring_up_to_date, known_offices, make_empty, make_office
    from tests.bench.pages import MEASURES
    from tests.bench.printed import printed_times
    from tests.bench.results import Line, Results
    from tests.bench.sent import sent_times

    known = known_offices(servers)
    there = [EMPTY, *(f"office_{cases}" for cases in known)]
    for database in sorted(servers.databases().intersection(there)):
        bring_up_to_date(servers, database)
    if EMPTY not in servers.databases():
        _tell("Migrating an empty database.")
        make_empty(servers)
    measures = [measure for measure in MEASURES if asked.only in measure.title]
    sizes = asked.cases if measures else []
    for cases in sizes:
        if cases not in known:
            _tell(f"Building an office of {cases} cases.")
            known[cases] = make_office(servers, cases, _tell)
    offices = [Office(servers, cases) for cases in sizes]
    results = Results([known[cases] for cases in sizes], asked.requests)
    results.load_before = os.getloadavg()
    for measure in measures:
        taken = measured(measure, offices, requests=asked.requests, warm=3)
        results.lines.append(Line(measure, taken))
        _tell(f"  {measure.title}")
    results.compared = [
        *evidence_times(servers, asked.only),
        *printed_times(servers, asked.only),
        *sent_times(servers, asked.only),
        *board_times(servers, asked.only),
    ]
    results.methods = method_times()
    results.load_after = os.getloadavg()
    path = results.keep(asked.out)
    print(results.table())
    _tell(f"Kept in {path.parent}.")
    for office in offices:
        office.wrapper.close()


def main() -> int:
    """Read the command line, run, and clean up."""
    asked = _asked()
    # Directly in /tmp: a socket's path has to be short, and TMPDIR may be anything.
    home = asked.home or Path(tempfile.mkdtemp(prefix="office-bench-", dir="/tmp"))
    servers = Servers(home.resolve())
    try:
        servers.start()
        _run(asked, servers)
    finally:
        servers.stop()
        if asked.home is None:
            shutil.rmtree(home, ignore_errors=True)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())

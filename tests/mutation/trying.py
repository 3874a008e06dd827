"""Try changes of a module, each in a process forked from one that has everything imported.

Run as a script in the folder that mutmut has filled, by its path, so that it is the tests and the
sources of that folder which are imported. Reads what is asked as JSON and writes a line of JSON
for each module. Three ways, each only for what the one before left unnoticed:

1. in a fork of a process in which the module's tests have run, so that every cache is filled;
2. in a fork of one in which no test has run: a cache filled before hides a change;
3. in a new process, where a function is called while modules are imported.

Before any change is tried, the module's tests have to pass twice: as they are, and forked.
"""

from __future__ import annotations

import gc
import json
import mmap
import os
import pickle
import resource
import signal
import subprocess
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from hypothesis import Phase, settings
from mutmut.mutation.trampoline import set_mutant_under_test
from mutmut.state import state
from mutmut.utils.format_utils import mangled_name_from_mutant_name as function_of

# How a change came out, in the codes of mutmut, so that its own commands can show them.
UNNOTICED, NOTICED, NO_TEST, HUNG = 0, 1, 33, 36
# What a process that tries one change may use.
MEMORY = 4 << 30
TIMES_AS_LONG = 8
# Whoever does less than this between two looks waits for what never comes.
IDLE_SECONDS = 0.02
ARGUMENTS = [
    *("--rootdir=.", "--tb=no", "--assert=plain", "-q", "-s", "-p", "no:cacheprovider"),
    *("-p", "no:randomly", "-p", "no:xdist", "-o", "addopts=", "-o", "timeout=0"),
    *("-o", "django_find_project=false"),
]


@dataclass
class Held:
    """The tests that hold one module: which call a function, and how long each takes."""

    seconds: dict[str, float] = field(default_factory=dict)
    calling: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    noticed: Counter[str] = field(default_factory=Counter)

    def of(self, change: str) -> list[str]:
        """The tests that may notice a change, first those that cost little and notice much."""
        calling = self.calling[function_of(change)] if change else self.seconds
        return sorted(calling, key=self._cost)

    def _cost(self, test: str) -> float:
        return (self.seconds[test] + 0.002) / (1 + 3 * self.noticed[test])


@dataclass(eq=False)
class Trials:
    """The plugin: collects once, and tries every change instead of running the tests."""

    asked: dict[str, Any]
    say: Callable[[dict[str, Any]], None]
    items: dict[str, pytest.Item] = field(default_factory=dict)
    failed: list[str] = field(default_factory=list)
    trying: bool = False

    @pytest.hookimpl(tryfirst=True)
    def pytest_pycollect_makemodule(self) -> None:
        """Let no test look for the smallest example that fails: one is enough."""
        settings.register_profile(
            "first", settings(), phases=[Phase.explicit, Phase.generate], database=None
        )
        settings.load_profile("first")

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            if self.trying:
                os._exit(NOTICED)
            self.failed.append(report.nodeid)

    @pytest.hookimpl(tryfirst=True)
    def pytest_report_teststatus(self, report: pytest.TestReport) -> tuple[str, str, str]:
        """Print nothing for a test: there are many thousands."""
        return report.outcome, "", ""

    def pytest_runtestloop(self, session: pytest.Session) -> bool | None:
        if session.testsfailed:
            return None
        while_imported = set(state()._stats)
        set_mutant_under_test("")
        self.items = {item.nodeid: item for item in session.items}
        gc.collect()
        gc.freeze()
        for module, asked in self.asked["modules"].items():
            begun = time.monotonic()
            said = in_a_fork(lambda asked=asked: self.with_filled_caches(**asked))
            if "fault" not in said:
                codes: dict[str, int] = said["codes"]
                left = [change for change in codes if codes[change] == UNNOTICED]
                codes |= self.tried(left, said["held"])
                for change in codes:
                    if function_of(change) in while_imported and is_left(codes[change]):
                        codes[change] = self.in_a_new_process(change, asked["tests"])
                said = {"codes": codes}
            self.say({"module": module, "seconds": time.monotonic() - begun, **said})
        return True

    def with_filled_caches(self, tests: list[str], changes: list[str]) -> dict[str, Any]:
        """Run the tests as they are, then every change; what they are and how each came out."""
        held = Held()
        of_module = [test for test in self.items if test.partition("::")[0] in tests]
        set_mutant_under_test("stats")
        for test, following in pairs(of_module):
            state()._stats.clear()
            begun = time.process_time()
            self.run(test, following)
            held.seconds[test] = time.process_time() - begun
            for function in state()._stats:
                held.calling[function].add(test)
        set_mutant_under_test("")
        if self.failed or not of_module:
            return {"fault": f"The tests fail as they are: {self.failed or tests}"}
        if self.tried([""], held)[""] != UNNOTICED:
            return {"fault": "The tests fail in a forked process with nothing changed."}
        return {"codes": self.tried(changes, held), "held": held}

    def tried(self, changes: list[str], held: Held) -> dict[str, int]:
        """How each change came out, `at_once` of them at the same time."""
        codes: dict[str, int] = {}
        waiting = list(reversed(changes))
        running: dict[int, tuple[str, list[str], mmap.mmap]] = {}
        while waiting or running:
            if waiting and len(running) < self.asked["at_once"]:
                change = waiting.pop()
                tests = held.of(change)
                if not tests:
                    codes[change] = NO_TEST
                    continue
                reached = mmap.mmap(-1, 4)
                limit = int(self.asked["spare"] + TIMES_AS_LONG * sum(map(held.seconds.get, tests)))
                if not (process := os.fork()):
                    self.try_one(change, tests, reached, limit)
                running[process] = change, tests, reached
                continue
            process, status = os.wait()
            change, tests, reached = running.pop(process)
            codes[change] = meaning(os.waitstatus_to_exitcode(status))
            if codes[change] != UNNOTICED:
                held.noticed[tests[int.from_bytes(reached[:4], "big")]] += 1
        return codes

    def try_one(self, change: str, tests: list[str], reached: mmap.mmap, limit: int) -> None:
        """Run the tests with a change, in a process of its own, and end it."""
        try:
            self.trying = True
            gc.disable()
            set_mutant_under_test(change)
            resource.setrlimit(resource.RLIMIT_CPU, (limit, limit + 1))
            resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
            end_when_idle(self.asked["longest"])
            for index, (test, following) in enumerate(pairs(tests)):
                reached[:4] = index.to_bytes(4, "big")
                self.run(test, following)
        except BaseException:
            os._exit(NOTICED)
        os._exit(UNNOTICED)

    def run(self, test: str, following: str | None) -> None:
        item = self.items[test]
        following_item = self.items[following] if following else None
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=following_item)

    def in_a_new_process(self, change: str, tests: list[str]) -> int:
        """How a change came out that is there already while modules are imported."""
        command = [sys.executable, "-P", __file__, change, *tests]
        try:
            ran = subprocess.run(command, capture_output=True, timeout=10 * self.asked["longest"])
        except subprocess.TimeoutExpired:
            return HUNG
        return meaning(ran.returncode)


def end_when_idle(seconds: float) -> None:
    """End this process when it has done nothing for so long.

    By what it did, not by the clock: on a busy machine a process may long wait for its turn.
    """
    used = time.process_time()

    def look(*_: object) -> None:
        nonlocal used
        if time.process_time() - used < IDLE_SECONDS:
            os._exit(HUNG)
        used = time.process_time()

    signal.signal(signal.SIGALRM, look)
    signal.setitimer(signal.ITIMER_REAL, seconds, seconds)


def meaning(code: int) -> int:
    """The code of mutmut for how a process ended."""
    if code == HUNG or -code in {signal.SIGXCPU, signal.SIGKILL}:
        return HUNG
    return UNNOTICED if code == UNNOTICED else NOTICED


def is_left(code: int) -> bool:
    """Whether nothing noticed the change."""
    return code in {UNNOTICED, NO_TEST}


def pairs(tests: list[str]) -> Iterable[tuple[str, str | None]]:
    """Each test and the one after it, so that what they share is set up once."""
    return zip(tests, [*tests[1:], None], strict=False)  # nothing for no test


def in_a_fork(answer: Callable[[], dict[str, Any]]) -> dict[str, Any]:
    """What a function answers in a process of its own, which leaves nothing behind in this one."""
    reading, writing = os.pipe()
    if not (process := os.fork()):
        try:
            with os.fdopen(writing, "wb") as pipe:
                pickle.dump(answer(), pipe)
        finally:
            os._exit(0)
    os.close(writing)
    with os.fdopen(reading, "rb") as pipe:
        said = pipe.read()
    os.waitpid(process, 0)
    return pickle.loads(said) if said else {"fault": "The process of the module has died."}


def main() -> int:
    """Answer what is asked on the input, or run the tests named with the change named."""
    sys.path.insert(0, str(Path.cwd()))
    if len(sys.argv) > 1:
        set_mutant_under_test(sys.argv[1])
        return int(pytest.main(["-x", *ARGUMENTS, *sys.argv[2:]]))
    asked = json.load(sys.stdin)
    answers = os.fdopen(os.dup(1), "w")
    os.dup2(2, 1)

    def say(line: dict[str, Any]) -> None:
        answers.write(json.dumps(line) + "\n")
        answers.flush()

    tests = {test for module in asked["modules"].values() for test in module["tests"]}
    set_mutant_under_test("stats")
    return int(pytest.main([*ARGUMENTS, *sorted(tests)], plugins=[Trials(asked, say)]))


if __name__ == "__main__":
    sys.exit(main())

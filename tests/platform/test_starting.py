"""Starting: the port is held, only the own office counts, and asking for help starts nothing."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from typing import Any

import pytest
from django.test import Client, override_settings

from me_office import embedded, run

ROOT = Path(__file__).resolve().parents[2]


@contextmanager
def somebody_else(instance: str = "", status: int = 200) -> Iterator[str]:
    """Another program that answers on a port, in the way of an office."""

    class Answer(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(status)
            if instance:
                self.send_header("X-Office-Instance", instance)
            self.end_headers()

        def log_message(self, *args: object) -> None:
            """Say nothing."""

    server = HTTPServer(("127.0.0.1", 0), Answer)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/health/"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def test_a_held_port_is_taken_for_everybody_else_and_answers_nobody_yet():
    with run.hold_port(embedded.free_port()) as held:
        port = held.getsockname()[1]
        with run.hold_port(port) as second:
            assert second.getsockname()[1] > port
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            with pytest.raises(OSError, match="in use"):
                probe.bind(("127.0.0.1", port))
        # Who comes early is let in later: the connection stands, unanswered.
        socket.create_connection(("127.0.0.1", port), timeout=5).close()


def test_no_free_port_is_refused_in_words(monkeypatch):
    monkeypatch.setattr(run, "PORTS_TO_TRY", 1)
    with run.hold_port(embedded.free_port()) as held:
        port = held.getsockname()[1]
        with pytest.raises(run.Refused, match=f"No port from {port} to {port} is free"):
            run.hold_port(port)


@pytest.mark.parametrize("said", ["x", "0", "65536", "-1", "80.5", "８０００"])
def test_a_port_that_is_none_is_refused_in_words(monkeypatch, said):
    monkeypatch.setenv("PORT", said)
    with pytest.raises(run.Refused, match="PORT has to be a number from 1 to 65535"):
        run.wanted_port()


@pytest.mark.parametrize(("said", "port"), [("", 8000), ("1", 1), ("65535", 65_535)])
def test_a_port_is_taken_as_it_was_said(monkeypatch, said, port):
    monkeypatch.setenv("PORT", said)
    assert run.wanted_port() == port


def test_another_offices_answer_is_not_taken_for_the_own_one():
    with somebody_else() as address:
        assert run.answers(address)
        assert not run.answers(address, instance="ours")
    with somebody_else("theirs") as address:
        assert not run.answers(address, instance="ours")
    with somebody_else("ours") as address:
        assert run.answers(address, instance="ours")
    with somebody_else("ours", status=503) as address:
        assert not run.answers(address, instance="ours")
    assert not run.answers(address, instance="ours"), "nobody is there any longer"


class Started:
    """An office that starts nothing and notes what it was told to start."""

    instance = "ours"
    url = ""

    def __init__(self, home: Path) -> None:
        self.home = home
        self.parts: dict[str, tuple[str, ...]] = {}
        self.kept: dict[str, list[int]] = {}

    def start(self, name: str, *command: str, keeping: list[int] | None = None) -> None:
        self.parts[name] = command
        self.kept[name] = list(keeping or [])

    def __getattr__(self, name: str) -> Any:
        return lambda *_, **__: ""


def test_the_office_serves_on_the_held_port_takes_requests_whole_and_knows_its_own_answer(
    tmp_path, monkeypatch
):
    asked = []
    monkeypatch.setattr(
        run, "answers", lambda address, *, instance="": not asked.append((address, instance))
    )
    (tmp_path / "sign-ins.txt").write_text("")
    office = Started(tmp_path)
    with run.hold_port(embedded.free_port()) as held:
        run._start_all(office, held, 0.0)
        port, number = held.getsockname()[1], held.fileno()
    web = office.parts["web"]
    assert web[web.index("-k") + 1] == "me_office.serve.BufferingWorker"
    assert f"--bind=fd://{number}" in web and office.kept["web"] == [number]
    assert asked == [(f"http://127.0.0.1:{port}/health/", "ours")]
    queues = {one[one.index("-Q") + 1] for one in office.parts.values() if "-Q" in one}
    assert queues == {"quick", "long"} and "beat" in office.parts
    # Django's checks load every page, which none of these three shows.
    assert [name for name, one in office.parts.items() if "--skip-checks" in one] == [
        "worker-quick", "worker-long", "beat",
    ]  # fmt: skip


@pytest.mark.django_db
def test_the_health_answer_says_which_start_it_is_only_where_there_is_one():
    with override_settings(INSTANCE="ours"):
        assert Client().get("/health/")["X-Office-Instance"] == "ours"
    with override_settings(INSTANCE=""):
        assert "X-Office-Instance" not in Client().get("/health/")


ASKED = [
    (["--help"], 0),
    (["demo", "--help"], 0),
    (["demo", "--port", "80"], 2),
    (["demo", "now"], 2),
    (["prepare", "--help"], 0),
    (["load", "now"], 2),
    (["health"], 2),
    ([], 2),
]


@pytest.mark.parametrize(("asked", "status"), ASKED)
def test_asking_for_help_or_for_what_there_is_not_starts_nothing(
    tmp_path, monkeypatch, capsys, asked, status
):
    home = tmp_path / "office"
    monkeypatch.setenv("ME_DATA_DIR", str(home))
    monkeypatch.setattr("sys.argv", ["run.py", *asked])
    with pytest.raises(SystemExit) as ended:
        run.main()
    assert ended.value.code == status
    assert "usage: python -m me_office.run" in "".join(capsys.readouterr())
    assert not home.exists()


@pytest.mark.usefixtures("processes")
def test_a_process_that_is_asked_for_help_makes_no_folder(tmp_path):
    home = tmp_path / "office"
    done = subprocess.run(
        [sys.executable, "-m", "me_office.run", "demo", "--help"],
        cwd=ROOT,
        env={**os.environ, "ME_DATA_DIR": str(home)},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert done.returncode == 0
    assert "usage: python -m me_office.run demo" in done.stdout
    assert not home.exists()


def test_what_follows_with_is_left_to_the_command():
    asked = run._parser().parse_args(["with", "manage.py", "shell", "--help"])
    assert asked.command == ["manage.py", "shell", "--help"]

"""Run the whole office on this machine with embedded servers: `python -m me_office.run demo`.

Also `python -m me_office.run with manage.py shell`, which starts the servers around one command
if they are not running, and `python -m me_office.run health URL`, the health check of containers.
"""

from __future__ import annotations

import fcntl
import hashlib
import http.client
import os
import secrets
import signal
import socket
import subprocess
import sys
import threading
import time
import types
from argparse import REMAINDER, ArgumentParser
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from io import StringIO
from pathlib import Path
from urllib.parse import urlsplit

from me_office import embedded

ROOT = Path(__file__).resolve().parent.parent
DESCRIPTION = "Run the office on this machine with embedded servers."
FIRST_PORT, LAST_PORT = 8000, 65_535
PORTS_TO_TRY = 100
BACKLOG = 128
WEB_SECONDS = 60
# Longer than a worker needs to put a task down, shorter than anyone's patience.
STOP_SECONDS = 8


class Stopped(Exception):
    """Somebody asked the office to stop."""


class Refused(Exception):
    """The office can't run, for the reason given."""


class Office:
    """The processes of one office, started in order and stopped in reverse."""

    def __init__(self, home: Path) -> None:
        """Note the folder that holds all data."""
        self.home = home
        self.postgresql = embedded.PostgreSQL(home)
        self.redis = embedded.Redis(home)
        self.parts: dict[str, subprocess.Popen[bytes]] = {}
        self.asked_to_stop = threading.Event()
        # By this the web process of this office is told from any other that answers.
        self.instance = secrets.token_urlsafe(16)
        self.environment = {
            **os.environ,
            "ME_DATA_DIR": str(home),
            "ME_INSTANCE": self.instance,
            "PYTHONUNBUFFERED": "1",
        }

    def listen_to_signals(self) -> None:
        """Note a request to stop; every wait looks at it.

        Raising from the handler would lose the request where Python swallows exceptions, such
        as just after a fork.
        """

        def note(number: int, frame: types.FrameType | None) -> None:
            self.asked_to_stop.set()

        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, note)

    def pause(self, seconds: float) -> None:
        """Let some time pass. Raises Stopped as soon as somebody asks for it."""
        if self.asked_to_stop.wait(seconds):
            raise Stopped

    def start_servers(self) -> None:
        """Start PostgreSQL and the Redis-protocol server."""
        self.postgresql.start()
        self.redis.start()

    def step(self, *command: str, role: str = embedded.APPLICATION) -> None:
        """Run one command of the set-up to its end. Raises Refused when it fails."""
        process = subprocess.Popen(
            [sys.executable, *command],
            cwd=ROOT,
            env={**self.environment, "ME_EMBEDDED_ROLE": role},
            stdin=subprocess.DEVNULL,
            preexec_fn=embedded.end_with_parent,
            start_new_session=True,
        )
        try:
            while process.poll() is None:
                self.pause(0.05)
        finally:
            embedded.stop(process, seconds=STOP_SECONDS)
        if process.returncode:
            raise Refused(f"`{' '.join(command)}` failed ({process.returncode}).")

    def start(self, name: str, *command: str, keeping: Iterable[int] = ()) -> None:
        """Start one lasting part of the office; what it prints goes to its log.

        `keeping` are open files that are handed over to it.
        """
        # Asked to stop while it looks for a broker, which goes at the same moment, Celery would
        # look on for as long as it may. What a killed worker had begun is taken over anyway.
        number = signal.SIGKILL if command[0] == "celery" else signal.SIGTERM
        with self.log_of(name).open("wb") as log:
            self.parts[name] = subprocess.Popen(
                [sys.executable, "-m", *command],
                cwd=ROOT,
                env=self.environment,
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=subprocess.STDOUT,
                preexec_fn=lambda: embedded.end_with_parent(number),
                start_new_session=True,
                pass_fds=tuple(keeping),
            )

    def log_of(self, name: str) -> Path:
        """Return where a part's log is."""
        return self.home / f"{name}.log"

    def check_parts(self) -> None:
        """Raise Refused when a part has ended by itself."""
        servers = {"postgresql": self.postgresql.process, "redis": self.redis.process}
        for name, process in {**self.parts, **servers}.items():
            if process is not None and process.poll() is not None:
                last = self.log_of(name).read_text(errors="replace").splitlines()[-15:]
                raise Refused("\n".join([f"The {name} process ended by itself:", *last]))

    def stop(self) -> None:
        """End web, worker and beat first, the servers they use last; leave nothing running."""
        for process in self.parts.values():
            if process.poll() is None:
                process.terminate()
        for process in self.parts.values():
            embedded.stop(process, seconds=STOP_SECONDS)
            embedded.kill_group(process.pid)
        self.redis.stop()
        self.postgresql.stop()


@contextmanager
def lock(home: Path) -> Iterator[bool]:
    """Hold the folder for this process; yields False if another office runs on it."""
    home.mkdir(mode=0o700, parents=True, exist_ok=True)
    with (home / "lock").open("a") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            yield False
        else:
            yield True


def wanted_port() -> int:
    """Return the port that is asked for. Raises Refused where it is none."""
    said = os.environ.get("PORT", "") or str(FIRST_PORT)
    if not said.isascii() or not said.isdigit() or not 0 < int(said) <= LAST_PORT:
        raise Refused(f"PORT has to be a number from 1 to {LAST_PORT}, not {said!r}.")
    return int(said)


def hold_port(wanted: int) -> socket.socket:
    """Listen on `wanted`, or on the next port that is free, from now on. Raises Refused.

    The web process gets this very socket once the office is prepared: nobody can take the port
    in between. Who comes before waits for it.
    """
    last = min(wanted + PORTS_TO_TRY - 1, LAST_PORT)
    for port in range(wanted, last + 1):
        held = socket.socket()
        held.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            held.bind(("127.0.0.1", port))
            held.listen(BACKLOG)
        except OSError:
            held.close()
            continue
        if port != wanted:
            print(f"Port {wanted} is taken; the office uses {port}.")
        return held
    raise Refused(f"No port from {wanted} to {last} is free.")


def answers(address: str, *, instance: str = "") -> bool:
    """Tell whether the web process answers a plain request without a server error.

    With `instance` only the office that was started with it counts.
    """
    parts = urlsplit(address)
    named = os.environ.get("ME_HOSTS", "localhost").split(",")[0].strip()
    link = http.client.HTTPConnection(parts.hostname or "", parts.port, timeout=10)
    try:
        with closing(link):
            link.request("GET", parts.path or "/", headers={"Host": named})
            answer = link.getresponse()
            ours = not instance or answer.headers.get("X-Office-Instance") == instance
            return answer.status < 400 and ours
    except (OSError, http.client.HTTPException):
        return False


def demo(home: Path) -> None:
    """Start everything, print the address and the sign-ins, and run until asked to stop."""
    for name in ("DATABASE_URL", "REDIS_URL"):
        if os.environ.get(name):
            raise Refused(f"{name} is set: the demo runs on its own embedded servers only.")
    with lock(home) as free:
        if not free:
            raise Refused(f"An office already runs on {home}.")
        began = time.monotonic()
        office = Office(home)
        office.listen_to_signals()
        held = hold_port(wanted_port())
        try:
            _start_all(office, held, began)
            while True:
                office.check_parts()
                office.pause(0.5)
        except Stopped:
            print("\nStopping the office.", flush=True)
        finally:
            office.stop()
            held.close()
    print("Stopped. What was entered is kept in", home, flush=True)


def _start_all(office: Office, held: socket.socket, began: float) -> None:
    address = f"http://127.0.0.1:{held.getsockname()[1]}/"
    print(f"Starting the office; its data is in {office.home}.", flush=True)
    office.start_servers()
    office.pause(0)
    office.step("-m", "me_office.run", "prepare", role=embedded.OWNER)
    office.step("-m", "me_office.run", "load")
    # Django's checks are of the code, and the tests make them. Here they would load every page,
    # which takes a second and 40 megabytes of each of these processes.
    celery = "celery -q --skip-checks -A me_office"
    worker = f"{celery} worker --concurrency=1 --without-gossip --loglevel=warning"
    beat = f"{celery} beat --pidfile= --loglevel=warning"
    web = "gunicorn me_office.wsgi --preload --workers=2 --threads=4 --no-control-socket"
    web += " -k me_office.serve.BufferingWorker"
    office.start("web", *web.split(), f"--bind=fd://{held.fileno()}", keeping=[held.fileno()])
    # Two, so that a packet of an hour keeps no picture waiting.
    for queue in ("quick", "long"):
        office.start(f"worker-{queue}", *worker.split(), "-Q", queue, "-n", f"{queue}@%h")
    office.start("beat", *beat.split(), f"--schedule={office.home / 'beat-schedule'}")
    asked = time.monotonic()
    while not answers(f"{address}health/", instance=office.instance):
        office.check_parts()
        if time.monotonic() - asked > WEB_SECONDS:
            raise Refused(f"The web process does not answer; see {office.log_of('web')}.")
        office.pause(0.1)
    print(f"\nThe office is at {address}", end="")
    print(f" (ready after {time.monotonic() - began:.0f} s). Ctrl-C stops it.\n")
    print((office.home / "sign-ins.txt").read_text(), flush=True)


def prepare(home: Path) -> None:
    """Bring the database and the static files up to date, as the owner of the tables."""
    import django
    from django.core.management import call_command

    django.setup()
    call_command("migrate", verbosity=0, interactive=False)
    password = embedded.local_secret(home, f"{embedded.APPLICATION}-password")
    call_command("grant_app_role", role=embedded.APPLICATION, password=password, verbosity=0)
    stamp = home / "static-stamp"
    found = _static_files_mark()
    if not stamp.exists() or stamp.read_text() != found:
        call_command("collectstatic", verbosity=0, interactive=False, clear=True)
        stamp.write_text(found)


def _static_files_mark() -> str:
    from django.contrib.staticfiles.finders import get_finders

    mark = hashlib.sha256()
    for finder in get_finders():
        for path, storage in finder.list([]):
            facts = Path(storage.path(path)).stat()
            mark.update(f"{path} {facts.st_size} {facts.st_mtime_ns}\n".encode())
    return mark.hexdigest()


def load(home: Path) -> None:
    """Load the demo office as the role the office works with, and note its sign-ins.

    The owner of the cluster, which was made here for the try-out, gives it the times of its story.
    ME_DEMO_DATA=0 leaves the office empty.
    """
    if os.environ.get("ME_DEMO_DATA", "1") == "0":
        (home / "sign-ins.txt").write_text("")
        return
    import django
    from django.core.management import call_command, get_commands

    django.setup()
    sign_ins = StringIO()
    if "load_demo" in get_commands():
        call_command("load_demo", owner=embedded.database_url(home, embedded.OWNER))
        call_command("load_demo", "--sign-ins", stdout=sign_ins)
    (home / "sign-ins.txt").write_text(sign_ins.getvalue())


def around(home: Path, command: list[str]) -> int:
    """Run one command with the servers running, as the owner of the tables."""
    environment = {"ME_DATA_DIR": str(home), "ME_EMBEDDED_ROLE": embedded.OWNER}
    with lock(home) as free:
        office = Office(home)
        try:
            if free:
                office.start_servers()
            call = [sys.executable, *command]
            return subprocess.run(call, env={**os.environ, **environment}, check=False).returncode
        finally:
            if free:
                office.stop()


def _parser() -> ArgumentParser:
    """Return what reads the command line; what it does not know it refuses."""
    parser = ArgumentParser(prog="python -m me_office.run", description=DESCRIPTION)
    asked = parser.add_subparsers(dest="what", required=True, metavar="WHAT")
    asked.add_parser("demo", help="run the whole office with invented cases; PORT, ME_DATA_DIR")
    around_one = asked.add_parser("with", help="run one command with the servers running")
    around_one.add_argument("command", nargs=REMAINDER)
    health = asked.add_parser("health", help="end with 0 when the office at this address answers")
    health.add_argument("address")
    asked.add_parser("prepare", help="bring database and static files up to date, as their owner")
    asked.add_parser("load", help="load the invented office")
    return parser


def main() -> int:
    """Read the command line, run, and return the exit status."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "me_office.settings")
    asked = _parser().parse_args()
    home = Path(os.environ.get("ME_DATA_DIR", ROOT / ".local")).resolve()
    try:
        match asked.what:
            case "demo":
                demo(home)
            case "with":
                return around(home, asked.command)
            case "health":
                return 0 if answers(asked.address) else 1
            case "prepare":
                prepare(home)
            case _:
                load(home)
    except (Refused, embedded.NoServer) as error:
        print(error, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    raise SystemExit(main())

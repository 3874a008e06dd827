"""Fixtures that every kind of test may ask for."""

from __future__ import annotations

import gc
import logging
import os
import secrets
import sys
import threading
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from socketserver import StreamRequestHandler
from typing import TYPE_CHECKING, Any
from urllib.parse import quote, urlencode

import hypothesis
import psycopg
import pytest
from django.conf import settings
from django.contrib.auth import login
from django.contrib.auth.hashers import ScryptPasswordHasher
from django.core.management import call_command
from django.core.management.commands import flush as flush_command
from django.db import Error, OperationalError, connection, connections, transaction
from django.http import HttpRequest
from django.template.base import Template
from django.template.context import Context, RequestContext
from django.test import TransactionTestCase
from django.test.client import ClientMixin
from django.test.signals import template_rendered

from me_office import embedded
from me_office.accounts.roles import Role
from tests.kinds import PURE, kind_of
from tests.meeting import Meeting

if TYPE_CHECKING:
    from tests.apart import Apart

# The same examples on every machine; a wider search is a matter of a longer run by hand.
hypothesis.settings.register_profile("steady", derandomize=True, deadline=None)
hypothesis.settings.load_profile("steady")
ROOT = Path(__file__).resolve().parent.parent
LONGEST_WAIT = 30
OFFICE_WORK_FACTOR = ScryptPasswordHasher.work_factor
# Filled by migrating, changed by no test, so left as they are between tests.
MADE_BY_MIGRATING = {
    "auth_group", "auth_permission", "django_content_type", "evidence_officeidentity",
}  # fmt: skip


@dataclass(frozen=True)
class Outcome:
    """How one side of a race came out: `code` is "done" or the code of the named error."""

    code: str
    value: object = None
    error: Exception | None = None


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what asks for a database where no servers are started, as in `make mutants`."""
    if config.pluginmanager.has_plugin("tests.servers"):
        return
    config.hook.pytest_deselected(items=[item for item in items if kind_of(item) != PURE])
    items[:] = [item for item in items if kind_of(item) == PURE]


@pytest.fixture(scope="session", autouse=True)
def _as_the_whole_run_has_it(django_test_environment: None) -> Iterator[None]:
    """Set up once what all tests have: one fixture, which each test asks for, instead of three."""
    with (
        _emptying_passes_the_guards(),
        _passwords_cost_little(),
        _coming_in_costs_little(),
        _whole_pages_tell(),
        _no_file_waits_for_the_disk(),
        _no_answer_waits_for_the_line(),
        _a_connection_goes_on(),
    ):
        yield


@contextmanager
def _emptying_passes_the_guards() -> Iterator[None]:
    """Let the run empty tables that refuse it: only the owner of the cluster can do this.

    Rows are deleted where there are any, instead of every table being cut off and every trigger
    made again: that takes a tenth of the time, and waits for nobody who still reads.
    """
    operations = type(connection.ops)
    plain = operations.execute_sql_flush

    def statements(self: Any, style: object, tables: Sequence[str], **_: object) -> list[str]:
        quoted = {name: self.quote_name(name) for name in set(tables) - MADE_BY_MIGRATING}
        filled = " UNION ALL ".join(
            f"SELECT '{name}' WHERE EXISTS (SELECT FROM {table})" for name, table in quoted.items()
        )
        with self.connection.cursor() as cursor:
            cursor.execute(filled)
            return [f"DELETE FROM {quoted[name]}" for (name,) in cursor.fetchall()]

    def flush(self: Any, sql_list: list[str]) -> None:
        for again in (True, True, False):
            try:
                with transaction.atomic(using=self.connection.alias):
                    with self.connection.cursor() as cursor:
                        cursor.execute("SET LOCAL session_replication_role = replica")
                    plain(self, sql_list)
                return
            except OperationalError:
                # A page that is being closed may still write: the two lock rows in another
                # order, and the database ends one of them.
                if not again:
                    raise

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(operations, "sql_flush", statements)
        patch.setattr(operations, "execute_sql_flush", flush)
        patch.setattr(flush_command, "emit_post_migrate_signal", lambda *_, **__: None)
        yield


@pytest.fixture(autouse=True)
def _no_pause_of_the_broker_is_left_from_another_test() -> None:
    """Try the broker anew: whoever met an unreachable one makes the process wait for a while."""
    sending = sys.modules.get("me_office.jobs.sending")
    if sending is not None:
        sending.broker_pause.end()


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: Any) -> None:
    """Mark the run's store as the office's: tests put files and rows into it in any order."""
    from evidence import store

    with django_db_blocker.unblock():
        store.write_mark()


@contextmanager
def _passwords_cost_little() -> Iterator[None]:
    """Make and check the run's passwords by the office's own method, with less work in each.

    What a password costs outside is held by tests/accounts/test_password_cost.py.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ScryptPasswordHasher, "work_factor", 2**4)
        yield


@contextmanager
def _coming_in_costs_little() -> Iterator[None]:
    """Let `force_login` write a browser's first session once, with a key that nobody else has.

    Django's own way makes an empty session, reads it, looks whether the next key is free, makes
    that one, takes away the first, and writes the second again: twelve statements instead of two.
    A browser that has a session already comes in by Django's own way.
    """
    from django.contrib.sessions.backends.db import SessionStore

    class FirstSession(SessionStore):
        key_salt = SessionStore().key_salt

        def cycle_key(self) -> None:
            self._session_key = secrets.token_hex(16)

        def save(self, must_create: bool = False) -> None:
            self.create_model_instance(self._get_session()).save(force_insert=True)

    plain = ClientMixin._login

    def log_in(self: Any, user: Any, backend: str | None = None) -> None:
        if settings.SESSION_COOKIE_NAME in self.cookies:
            plain(self, user, backend)
            return
        request = HttpRequest()
        request.session = FirstSession()
        login(request, user, backend)
        request.session.save()
        self._set_login_cookies(request)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ClientMixin, "_login", log_in)
        yield


@contextmanager
def _no_file_waits_for_the_disk() -> Iterator[None]:
    """Let no file of a test wait until the disk has it: nobody cuts the power of a test.

    What is flushed, when and in which order is told by tests that listen to `os.fsync`.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "fsync", lambda _: None)
        yield


@contextmanager
def _a_connection_goes_on() -> Iterator[None]:
    """Let a test that commits have the connection of the one before it, as the others do.

    Django ends it after each, lest its settings be gone with what a test rolled back. The next
    one's process of PostgreSQL would read again what tables there are, and plan all anew.
    """

    def has_to_end(_: TransactionTestCase) -> bool:
        return not is_as_new()

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(TransactionTestCase, "_should_reload_connections", has_to_end)
        yield


def is_as_new() -> bool:
    """Let the connection forget what a test left in it, besides rows; return whether it can."""
    if connection.connection is None or connection.errors_occurred:
        return False
    if not connection.get_autocommit():
        return False
    try:
        with connection.cursor() as cursor:
            cursor.execute("UNLISTEN *; RESET ALL; SELECT pg_advisory_unlock_all()")
        connection.init_connection_state()
    except Error:
        return False
    return True


@contextmanager
def _no_answer_waits_for_the_line() -> Iterator[None]:
    """Let a test's own server send the rest of an answer at once, as the office's does.

    It writes each line of the head by itself. Unless told otherwise the system keeps a small piece
    back until the one before it is acknowledged, and that takes it 40 ms.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(StreamRequestHandler, "disable_nagle_algorithm", True)
        yield


@contextmanager
def _whole_pages_tell() -> Iterator[None]:
    """Note for the test client what a page was made of, and not each of its hundred small parts.

    Django notes, and copies, the context of every included template and every field.
    """

    def rendered(template: Template, context: Context) -> str:
        if isinstance(context, RequestContext) and context.template is template:
            template_rendered.send(sender=template, template=template, context=context)
        return str(template.nodelist.render(context))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Template, "_render", rendered)
        yield


class Caught(logging.Handler):
    """Keeps what is logged during a test."""

    def __init__(self) -> None:
        super().__init__()
        self.setFormatter(logging.Formatter("%(levelname)s %(name)s: %(message)s"))
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Keep a line as it is written, with its traceback."""
        self.lines.append(self.format(record))

    @property
    def text(self) -> str:
        """All that was logged."""
        return "\n".join(self.lines)


@pytest.fixture
def caplog() -> Iterator[Caught]:
    """Catch what is logged, for the few tests that ask.

    pytest's own plugin listens at every logger before and after each of three steps of every
    test, a millisecond in all. What a failed test logged stands in what it wrote to stderr.
    """
    caught = Caught()
    named = [one for one in logging.root.manager.loggerDict.values()
             if isinstance(one, logging.Logger) and not one.propagate]  # fmt: skip
    for each in (logging.root, *named):
        each.addHandler(caught)
    yield caught
    for each in (logging.root, *named):
        each.removeHandler(caught)


# Told by a plugin for every test; overridden, it asks for nothing and so sets nothing up.
@pytest.fixture
def _template_string_if_invalid_marker() -> None:
    """Do nothing: no test of the office lets a template name what is not there."""


@pytest.fixture
def at_once(
    transactional_db: None, monkeypatch: pytest.MonkeyPatch
) -> Callable[..., list[Outcome]]:
    """Call one action by several people at the same time, each on a connection of its own.

    `at_once(take_custody, by=[anna, ben], item_id=..., version=1)` returns an Outcome per
    person, in their order. `each=[{...}, {...}]` gives keywords that differ. `meet_after` names
    a function (`"evidence.custody.queries.item_for_update"`) after which all sides wait for each
    other, so that a missing guard is seen every time and not by luck; `meeting` is one that the
    test has put where it wants it.
    """

    def run(
        action: Callable[..., object],
        *,
        by: Sequence[object],
        each: Sequence[dict[str, Any]] | None = None,
        meet_after: str | None = None,
        meeting: Meeting | None = None,
        **shared: object,
    ) -> list[Outcome]:
        if meet_after:
            meeting = Meeting(len(by))
            meeting.put_after(monkeypatch, meet_after)
        start = threading.Barrier(len(by))
        own = each or [{} for _ in by]

        def side(actor: object, keywords: dict[str, Any]) -> Outcome:
            start.wait(LONGEST_WAIT)
            try:
                return Outcome("done", value=action(actor, **shared, **keywords))
            except Exception as error:
                return Outcome(getattr(error, "code", type(error).__name__), error=error)
            finally:
                connections.close_all()
                if meeting:
                    meeting.end()

        try:
            with ThreadPoolExecutor(len(by)) as sides:
                return list(sides.map(side, by, own))
        finally:
            if meeting:
                meeting.close()

    return run


@pytest.fixture(scope="module")
def made_once(
    django_db_setup: None, django_db_blocker: Any, _a_store_for_each_file: None
) -> Iterator[Callable[[Callable[[], Any]], Any]]:
    """Keep what a function writes for all tests of a file, each of which takes back its own.

    For a fixture of the scope "module" whose rows take long to make: `made_once(build)` returns
    what `build` does. None of the file's tests may commit (`transactional_db`).
    """
    from tests.builders import taken_back

    def make(build: Callable[[], Any]) -> Any:
        with django_db_blocker.unblock():
            made = build()
            # The transaction goes on: what comes next is not written by who acted here last.
            with connection.cursor() as cursor:
                cursor.execute("SELECT set_config('office.audit', '', true)")
            return made

    kept = taken_back()
    with django_db_blocker.unblock():
        kept.__enter__()
    yield make
    with django_db_blocker.unblock():
        kept.__exit__(None, None, None)


@pytest.fixture(scope="module")
def rows_counted_anew(django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    """Forget after a file how many rows ANALYZE counted in it, which outlives their taking back.

    For the tables of a small office each later statement would be planned by reading through them,
    and a plan that a connection keeps reads a log of two thousand so for each of its photographs.
    """
    yield
    with django_db_blocker.unblock(), connection.cursor() as cursor:
        cursor.execute(
            "UPDATE pg_class SET reltuples = -1, relpages = 0"
            " WHERE relnamespace = 'public'::regnamespace AND reltuples >= 0 AND relkind = 'r'"
        )


@pytest.fixture(scope="session")
def application_role_password(django_db_setup: None, django_db_blocker: Any) -> str:
    """Give the application's role its rights on the test database; return its password."""
    password = secrets.token_urlsafe(20)
    with django_db_blocker.unblock():
        call_command("grant_app_role", role=embedded.APPLICATION, password=password, verbosity=0)
    return password


@pytest.fixture
def application_role(application_role_password: str) -> Iterator[psycopg.Connection]:
    """Return a raw connection as the role that web and worker use: owner of nothing.

    It sees committed rows only: a test that writes asks for `transactional_db` as well.
    """
    settings = connection.get_connection_params()
    reach = {name: settings[name] for name in ("host", "port", "dbname") if settings.get(name)}
    with psycopg.connect(
        **reach,
        user=embedded.APPLICATION,
        password=application_role_password,
        autocommit=True,
    ) as raw:
        yield raw


def office_environment() -> dict[str, str]:
    """Return the environment in which another process of the office uses the test database."""
    settings = connection.settings_dict
    options = urlencode(settings["OPTIONS"], quote_via=quote)
    user = f"{settings['USER']}:{quote(settings['PASSWORD'])}"
    where = f"host={quote(settings['HOST'])}&port={settings['PORT'] or 5432}"
    address = f"postgresql://{user}@/{settings['NAME']}?{where}&{options}".rstrip("&")
    return {**os.environ, "DATABASE_URL": address}


class Worker:
    """A Celery worker in a process of its own, on the test's database and queue."""

    def __init__(self) -> None:
        self.process: Apart | None = None

    def start(self) -> None:
        """Start, and return once it answers."""
        from me_office.celery import app
        from tests.apart import Apart

        self.process = Apart(run_a_worker)
        for _ in range(LONGEST_WAIT * 2):
            if app.control.ping(timeout=0.5, limit=1):
                return
            assert self.process.poll() is None, "the worker ended before it was ready"
        pytest.fail("the worker did not answer")

    def kill(self) -> None:
        """End it as a power cut would."""
        assert self.process is not None
        self.process.kill()

    def stop(self) -> None:
        """End it in an orderly way."""
        if self.process is not None and self.process.poll() is None:
            self.process.stop()


def run_a_worker() -> None:
    """What a worker's process does, from its start to its end."""
    from me_office.celery import app

    quiet = ["--without-gossip", "--without-mingle", "--loglevel=warning"]
    app.worker_main(["--skip-checks", "worker", "--pool=solo", *quiet])


@pytest.fixture
def worker(transactional_db: None, processes: None) -> Iterator[Worker]:
    """Return a Celery worker that `start()` starts; it is stopped after the test."""
    from me_office.celery import app

    app.control.purge()
    celery_worker = Worker()
    yield celery_worker
    celery_worker.stop()
    app.control.purge()


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_collection() -> Generator[None, object, object]:
    """Read the tests without collecting garbage, and leave what stays out of every later round."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.set_threshold(100_000, 20, 50)
        gc.enable()


@pytest.fixture
def vasko(db: None) -> Any:
    """The pathologist of most tests."""
    return _person(Role.PATHOLOGIST, "Dr. I. Vasko")


@pytest.fixture
def renn(db: None) -> Any:
    """The evidence technician of most tests."""
    return _person(Role.EVIDENCE_TECHNICIAN, "D. Renn")


@pytest.fixture
def clerk(db: None) -> Any:
    """The records clerk of most tests."""
    return _person(Role.RECORDS_CLERK, "R. Ostrander")


@pytest.fixture
def signed_in(client: Any, vasko: Any) -> Any:
    """The pathologist's browser; a folder of tests may say that it is another person's."""
    client.force_login(vasko)
    return client


@pytest.fixture
def api(signed_in: Any) -> Any:
    """The same person's way into the API."""
    return signed_in


@pytest.fixture
def case(db: None) -> Any:
    """A case that is open, with nothing in it."""
    from tests.builders import make_case

    return make_case()


def _person(role: Role, name: str) -> Any:
    # Not before a test asks: the models are not loaded yet when this file is.
    from tests.builders import make_staff

    return make_staff(role, name=name)

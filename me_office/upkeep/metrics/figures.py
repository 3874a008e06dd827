"""How jobs, queues, store, database and conditions stand when the watch asks.

A scrape costs the same in an office of any size: counts stop at MOST or come from what the database
and the last check of the store counted already. What can't be read is left out, and said.
"""

from __future__ import annotations

import logging
import shutil
from collections.abc import Callable, Iterator
from typing import Any

import redis
from django.apps import apps
from django.conf import settings
from django.core.files.storage import FileSystemStorage, default_storage
from django.db import Error, OperationalError, connection, transaction
from prometheus_client.metrics_core import GaugeMetricFamily, Metric

from evidence.fixity.models import FixityProblem, FixityRun
from evidence.store.models import StoredFile
from me_office.jobs.models import JobRecord
from me_office.jobs.rules import UNDER_WAY, JobState
from me_office.upkeep.conditions import State
from me_office.upkeep.models import Backup, Heartbeat, Standing
from me_office.version import VERSION

log = logging.getLogger(__name__)
# Counted no further: whoever is told of a thousand knows enough.
MOST = 1000
LATELY_DAYS = 7
STATEMENT_MS = 3000
Group = Callable[[], Iterator[Metric]]
Values = dict[tuple[str, ...], float | None]


def everything() -> Iterator[Metric]:
    """Yield all figures, and of each group whether it could be read."""
    read = GaugeMetricFamily(
        "office_figures_read", "1 where a group of figures could be read", labels=["group"]
    )
    away = False
    for name, group, asks_database in GROUPS:
        try:
            if away and asks_database:
                raise OperationalError
            found = list(_in_time(group) if asks_database else group())
        except (Error, OSError, redis.RedisError) as error:
            # What did not answer once would be waited for again by each of the others.
            away = away or isinstance(error, OperationalError)
            log.warning("The figures of the %s could not be read", name, exc_info=True)
            read.add_metric([name], 0)
            continue
        read.add_metric([name], 1)
        yield from found
    yield read
    yield _gauge("office_info", "Which version runs", ["version"], {(VERSION,): 1})


def _in_time(group: Group) -> list[Metric]:
    with transaction.atomic():
        with connection.cursor() as cursor:
            cursor.execute("SELECT set_config('statement_timeout', %s, true)", [str(STATEMENT_MS)])
        return list(group())


def _gauge(name: str, words: str, labels: list[str], values: Values) -> GaugeMetricFamily:
    """Return a figure by its labels; what is None is not known and left out."""
    family = GaugeMetricFamily(name, words, labels=labels)
    for key, value in values.items():
        if value is not None:
            family.add_metric(list(key), float(value))
    return family


def _conditions() -> Iterator[Metric]:
    """As the last look found them: a scrape looks at nothing anew."""
    rows = list(Standing.objects.order_by("name"))
    stands: Values = {
        (one.name, str(state)): float(one.state == state) for one in rows for state in State
    }
    looked: Values = {(one.name,): one.looked_at.timestamp() for one in rows}
    since: Values = {(one.name,): one.since.timestamp() for one in rows}
    alive: Values = {
        (one.name,): one.beat_at.timestamp() for one in Heartbeat.objects.order_by("name")
    }
    name = ["condition"]
    yield _gauge("office_condition", "1 for the state it is in", [*name, "state"], stands)
    yield _gauge("office_condition_since_timestamp_seconds", "In it since", name, since)
    yield _gauge("office_condition_looked_at_timestamp_seconds", "Last look", name, looked)
    yield _gauge("office_alive_timestamp_seconds", "Last sign of life", ["part"], alive)


def job_kinds() -> list[type[JobRecord]]:
    """Return every kind of request that a worker makes."""
    return [one for one in apps.get_models() if issubclass(one, JobRecord)]


JOBS = """
SELECT count(*) FILTER (WHERE state = 'waiting'),
       count(*) FILTER (WHERE state = 'making'),
       count(*) FILTER (WHERE state = 'failed'),
       extract(epoch FROM now() - min(changed_at) FILTER (WHERE state = 'waiting')),
       extract(epoch FROM now() - min(changed_at) FILTER (WHERE state = 'making'))
  FROM (({waiting}) UNION ALL ({making}) UNION ALL ({failed})) AS jobs
"""
OF_ONE_STATE = """
SELECT state, changed_at FROM {table} WHERE state = '{state}' AND voided_at IS NULL {lately}
 ORDER BY changed_at LIMIT {most}
"""


def _jobs() -> Iterator[Metric]:
    counts: Values = {}
    oldest: Values = {}
    for model in job_kinds():
        kind = str(model._meta.verbose_name)
        with connection.cursor() as cursor:
            cursor.execute(_jobs_of(model))
            numbers = cursor.fetchone()
        states = (*UNDER_WAY, JobState.FAILED.value)
        counts |= {(kind, state): number for state, number in zip(states, numbers, strict=False)}
        oldest |= {(kind, state): age for state, age in zip(UNDER_WAY, numbers[3:], strict=True)}
    labels = ["kind", "state"]
    words = f"Requests to workers, up to {MOST}; failed: of the last {LATELY_DAYS} days"
    yield _gauge("office_jobs", words, labels, counts)
    yield _gauge("office_job_oldest_seconds", "Age of the oldest", labels, oldest)


def _jobs_of(model: type[JobRecord]) -> str:
    table = connection.ops.quote_name(model._meta.db_table)
    lately = f"AND changed_at > now() - interval '{LATELY_DAYS} days'"
    parts = {
        state: OF_ONE_STATE.format(table=table, state=state, most=MOST, lately=more)
        for state, more in (("waiting", ""), ("making", ""), ("failed", lately))
    }
    return JOBS.format(**parts)


def _queues() -> Iterator[Metric]:
    patience: dict[str, Any] = settings.REDIS_PATIENCE
    names = [queue.name for queue in settings.CELERY_TASK_QUEUES]
    with redis.Redis.from_url(settings.CELERY_BROKER_URL, **patience) as client:
        waiting: Values = {(name,): client.llen(name) for name in names}
        taken = client.hlen("unacked")
    yield _gauge("office_queue_messages", "Messages no worker has taken", ["queue"], waiting)
    yield _gauge("office_queue_taken", "Messages that workers are at", [], {(): taken})


def _store() -> Iterator[Metric]:
    """Files as the database's statistics estimate them; bytes as the last whole check read them."""
    with connection.cursor() as cursor:
        table = StoredFile._meta.db_table
        cursor.execute("SELECT reltuples FROM pg_class WHERE oid = %s::regclass", [table])
        files = float(cursor.fetchone()[0])
    last = FixityRun.objects.exclude(finished_at=None).order_by("-begun_at").first()
    open_ones = FixityProblem.objects.filter(resolved_at=None)[:MOST].count()
    yield _gauge(
        "office_store_files", "Originals, as estimated", [], {(): files if files >= 0 else None}
    )
    yield _gauge("office_store_problems", f"Files not whole, up to {MOST}", [], {(): open_ones})
    if last is not None and last.finished_at is not None:
        ended = last.finished_at.timestamp()
        words = "as the last whole check read them"
        yield _gauge("office_store_checked_timestamp_seconds", "Last check", [], {(): ended})
        yield _gauge("office_store_checked_files", f"Files, {words}", [], {(): last.files})
        yield _gauge("office_store_checked_bytes", f"Bytes, {words}", [], {(): last.size_bytes})


def _room() -> Iterator[Metric]:
    """Room where the office writes; a bucket says nothing of its own."""
    places = {"data": settings.DATA_DIR, "spool": settings.SPOOL_DIR}
    if isinstance(default_storage, FileSystemStorage):
        places["store"] = settings.FILE_STORE
    room = {name: shutil.disk_usage(place) for name, place in places.items() if place.exists()}
    free: Values = {(name,): one.free for name, one in room.items()}
    whole: Values = {(name,): one.total for name, one in room.items()}
    yield _gauge("office_disk_free_bytes", "Room left on its disk", ["place"], free)
    yield _gauge("office_disk_bytes", "Size of its disk", ["place"], whole)


def _backups() -> Iterator[Metric]:
    last = Backup.objects.order_by("-taken_at").first()
    tried = Backup.objects.exclude(checked_at=None).order_by("-checked_at").first()
    taken_at: Values = {(): last.taken_at.timestamp() if last else None}
    tried_at: Values = {
        (): tried.checked_at.timestamp() if tried and tried.checked_at is not None else None
    }
    yield _gauge("office_backup_timestamp_seconds", "What the last one shows", [], taken_at)
    yield _gauge("office_backup_tried_timestamp_seconds", "One was restored", [], tried_at)
    yield _gauge(
        "office_backup_bytes", "Size of the last", [], {(): last.size_bytes if last else None}
    )


# The role of the office sees its own sessions' times; others' are counted without.
SESSIONS = """
SELECT count(*), count(*) FILTER (WHERE state = 'active'),
       count(*) FILTER (WHERE state LIKE 'idle in%'),
       count(*) FILTER (WHERE wait_event_type = 'Lock'),
       extract(epoch FROM now() - min(xact_start) FILTER (WHERE pid <> pg_backend_pid()))
  FROM pg_stat_activity WHERE datname = current_database()
"""
SIZE = """
SELECT pg_database_size(oid), age(datfrozenxid), current_setting('max_connections')::int,
       (SELECT sum(n_dead_tup) FROM pg_stat_user_tables),
       (SELECT extract(epoch FROM max(greatest(last_vacuum, last_autovacuum)))
          FROM pg_stat_user_tables)
  FROM pg_database WHERE datname = current_database()
"""


def _database() -> Iterator[Metric]:
    with connection.cursor() as cursor:
        cursor.execute(SESSIONS)
        total, active, idle, waiting, oldest = cursor.fetchone()
        cursor.execute(SIZE)
        size, age, most, dead, vacuumed = cursor.fetchone()
    states: Values = {
        ("all",): total, ("active",): active, ("idle in transaction",): idle,
        ("waiting for a lock",): waiting,
    }  # fmt: skip
    yield _gauge("office_database_sessions", "Sessions", ["state"], states)
    yield _gauge("office_database_sessions_allowed", "Most sessions there may be", [], {(): most})
    yield _gauge(
        "office_database_oldest_transaction_seconds", "Age of the oldest", [], {(): oldest or 0}
    )
    yield _gauge("office_database_bytes", "Size of the database", [], {(): size})
    yield _gauge(
        "office_database_transaction_age", "Transactions since the last freeze", [], {(): age}
    )
    yield _gauge("office_database_dead_rows", "Rows that wait for a vacuum", [], {(): dead})
    yield _gauge(
        "office_database_vacuumed_timestamp_seconds", "Last vacuum of a table", [], {(): vacuumed}
    )


# What it is called, how it is read, whether it asks the database.
GROUPS: tuple[tuple[str, Group, bool], ...] = (
    ("conditions", _conditions, True),
    ("jobs", _jobs, True),
    ("store", _store, True),
    ("backups", _backups, True),
    ("database", _database, True),
    ("queues", _queues, False),
    ("room", _room, False),
)

"""The numbers of the office's watch: true, for it alone, and as cheap in a large office."""

from __future__ import annotations

import os
import runpy
import subprocess
import sys
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import redis
from django.conf import settings as office_settings
from django.db import OperationalError, connection
from django.http import HttpResponse
from django.test import Client, RequestFactory
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from prometheus_client.parser import text_string_to_metric_families

from cases.packets.models import Packet
from evidence.fixity.models import FixityRun
from me_office.upkeep.conditions import Condition, State
from me_office.upkeep.metrics import figures, requests
from me_office.upkeep.metrics.views import read
from me_office.upkeep.models import Backup, Standing
from me_office.upkeep.watching import keep
from tests.conftest import Caught
from tests.packets.builders import make_request

ROOT = Path(__file__).resolve().parents[2]
TOKEN = "a token of the inside, long enough"
FROM_INSIDE = {"Authorization": f"Bearer {TOKEN}"}
pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _read_anew(settings: Any) -> Iterator[None]:
    settings.INSIDE_TOKEN = TOKEN
    read.forget()
    yield
    read.forget()


def told(client: Client) -> dict[tuple[str, tuple[str, ...]], float]:
    """Return every sample by its name and the values of its labels, as the library reads them."""
    read.forget()
    answer = client.get("/metrics", headers=FROM_INSIDE)
    assert answer.status_code == 200
    # Prometheus: exposition formats, text format 0.0.4.
    assert answer["Content-Type"].startswith("text/plain; version=")
    return {
        (sample.name, tuple(sample.labels.values())): sample.value
        for family in text_string_to_metric_families(answer.content.decode())
        for sample in family.samples
    }


@pytest.mark.parametrize("brought", [None, "", "Bearer ", "Bearer another token of some length"])
def test_a_stranger_reads_no_number(client: Client, brought: str | None):
    headers = {} if brought is None else {"Authorization": brought}
    answer = client.get("/metrics", headers=headers)
    assert answer.status_code == 403
    assert b"office_" not in answer.content


def test_without_a_token_set_nobody_reads_them(client: Client, settings: Any):
    settings.INSIDE_TOKEN = ""
    assert client.get("/metrics", headers={"Authorization": "Bearer "}).status_code == 403


def test_requests_are_counted_by_page_and_outcome_and_never_by_path(client: Client, vasko: Any):
    client.force_login(vasko)
    before = told(client)
    for address in ("/search/?q=Hallstead", "/search/", "/Hallstead/", "/health/", "/metrics"):
        client.get(address)
    after = told(client)

    def more(*key: Any) -> float:
        return after.get(key, 0) - before.get(key, 0)

    assert more("office_requests_total", ("GET", "200", "cases:search")) == 2
    assert more("office_requests_total", ("GET", "404", "none")) == 1
    assert more("office_request_seconds_count", ("cases:search",)) == 2
    assert more("office_request_seconds_bucket", ("+Inf", "cases:search")) == 2
    assert not [key for key in after if "Hallstead" in str(key) or "upkeep:metrics" in str(key)]
    requests.note("cases:search", "HALLSTEAD", 200, 0.1)
    assert ("office_requests_total", ("other", "200", "cases:search")) in told(client)


def test_conditions_are_told_as_the_last_look_found_them(client: Client):
    keep([Condition("database", State.RIGHT, ""), Condition("beat", State.WRONG, "Silent.")])
    now = told(client)
    assert now[("office_condition", ("beat", "wrong"))] == 1
    assert now[("office_condition", ("beat", "right"))] == 0
    assert now[("office_condition", ("database", "right"))] == 1
    assert now[("office_condition_since_timestamp_seconds", ("beat",))] == pytest.approx(
        Standing.objects.get(pk="beat").since.timestamp()
    )


def test_database_store_and_disk_are_told(client: Client):
    FixityRun.objects.create(
        begun_at=timezone.now(), until=timezone.now(), finished_at=timezone.now(), files=12,
        size_bytes=3400,
    )  # fmt: skip
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_database_size(current_database())")
        [size] = cursor.fetchone()
    now = told(client)
    assert now[("office_store_checked_bytes", ())] == 3400
    assert now[("office_store_checked_files", ())] == 12
    assert now[("office_database_bytes", ())] == pytest.approx(size, rel=0.05)
    assert now[("office_database_sessions", ("all",))] >= 1
    assert now[("office_database_transaction_age", ())] > 0
    assert now[("office_disk_free_bytes", ("data",))] <= now[("office_disk_bytes", ("data",))]
    assert {value for (name, _), value in now.items() if name == "office_figures_read"} == {1}


def test_the_age_of_the_last_backup_and_of_the_last_try_is_told(client: Client):
    name = "office_backup_timestamp_seconds"
    assert (name, ()) not in told(client)
    now = timezone.now()
    for days, checked in ((9, 8), (1, None), (2, 5)):
        Backup.objects.create(
            name=f"{days}", folder="/srv/backup", taken_at=now - timedelta(days=days), files=1,
            size_bytes=days, not_whole=0,
            checked_at=None if checked is None else now - timedelta(days=checked),
        )  # fmt: skip
    said = told(client)
    assert said[(name, ())] == pytest.approx((now - timedelta(days=1)).timestamp(), abs=1)
    tried = said[("office_backup_tried_timestamp_seconds", ())]
    assert tried == pytest.approx((now - timedelta(days=5)).timestamp(), abs=1)
    assert said[("office_backup_bytes", ())] == 1


def test_queues_are_told_and_one_that_is_away_hides_nothing_else(client: Client, settings: Any):
    with redis.Redis.from_url(office_settings.CELERY_BROKER_URL) as broker:
        broker.delete("long")
        broker.rpush("long", "a message", "another")
        try:
            assert told(client)[("office_queue_messages", ("long",))] == 2
        finally:
            broker.delete("long")
    settings.CELERY_BROKER_URL = "redis://127.0.0.1:1/0"
    now = told(client)
    assert now[("office_figures_read", ("queues",))] == 0
    assert now[("office_figures_read", ("database",))] == 1
    assert not [name for name, _ in now if name.startswith("office_queue")]


def test_a_database_that_is_away_is_waited_for_once(monkeypatch: pytest.MonkeyPatch):
    asked = []

    def away() -> Iterator[Any]:
        asked.append(1)
        raise OperationalError("Hallstead")

    groups = [(name, away if database else group, database)
              for name, group, database in figures.GROUPS]  # fmt: skip
    monkeypatch.setattr(figures, "GROUPS", groups)
    found = {family.name: family for family in figures.everything()}
    assert len(asked) == 1
    said = {one.labels["group"]: one.value for one in found["office_figures_read"].samples}
    assert [said[name] for name in ("conditions", "jobs", "store", "backups", "database")] == [
        0
    ] * 5
    assert said["room"] == 1


def test_a_scrape_asks_as_much_of_a_large_office_and_reads_twice_at_once_but_once(client: Client):
    def statements(names: int) -> int:
        keep([Condition(f"part {n}", State.RIGHT, "") for n in range(names)])
        with CaptureQueriesContext(connection) as asked:
            told(client)
        return len(asked)

    assert statements(3) == statements(60)
    with CaptureQueriesContext(connection) as asked:
        client.get("/metrics", headers=FROM_INSIDE)
    assert len(asked) == 0


def test_every_kind_of_request_to_a_worker_is_told():
    assert {model.__name__ for model in figures.job_kinds()} == {
        "Packet", "CopyRequest", "RedactionRequest", "ExhibitPdf", "Statement", "Answer",
        "RedactedDocument",
    }  # fmt: skip


def test_jobs_are_told_by_kind_state_and_age(
    client: Client, case: Any, clerk: Any, monkeypatch: pytest.MonkeyPatch
):
    rows = (("waiting", 5), ("waiting", 50), ("making", 7), ("failed", 9), ("failed", 60 * 24 * 8))
    asked = make_request(case, clerk)
    who = {"created_by": clerk, "changed_by": clerk}
    for number, (state, minutes) in enumerate(rows, 1):
        made = Packet.objects.create(case=case, request=asked, number=number, **who)
        when = timezone.now() - timedelta(minutes=minutes)
        Packet.objects.filter(pk=made.pk).update(state=state, changed_at=when)
    now = told(client)
    for state, count in (("waiting", 2), ("making", 1), ("failed", 1)):
        assert now[("office_jobs", ("packet", state))] == count
        assert now[("office_jobs", ("copy request", state))] == 0
    assert now[("office_job_oldest_seconds", ("packet", "waiting"))] == pytest.approx(3000, abs=60)
    assert now[("office_job_oldest_seconds", ("packet", "making"))] == pytest.approx(420, abs=60)
    assert ("office_job_oldest_seconds", ("copy request", "waiting")) not in now
    monkeypatch.setattr(figures, "MOST", 1)
    assert told(client)[("office_jobs", ("packet", "waiting"))] == 1
    monkeypatch.setattr(figures, "MOST", 1000)
    Packet.objects.filter(number__in=(2, 4)).update(voided_at=timezone.now())
    now = told(client)
    assert [now["office_jobs", ("packet", one)] for one in ("waiting", "failed")] == [1, 0]


@pytest.mark.parametrize("model", figures.job_kinds(), ids=lambda model: model.__name__)
def test_jobs_are_read_by_the_index_of_their_states(model: Any):
    with connection.cursor() as cursor:
        cursor.execute("SET LOCAL enable_seqscan = off")
        cursor.execute("EXPLAIN " + figures._jobs_of(model))
        plan = "\n".join(line for (line,) in cursor.fetchall())
    assert plan.count("_by_state") == 3
    assert plan.count("Limit") == 3


def test_several_web_processes_are_told_as_one(tmp_path: Path, processes: None):
    script = (
        "import os; from prometheus_client import generate_latest\n"
        "from me_office.upkeep.metrics.requests import note, registry\n"
        "note('cases:search', 'GET', 200, 0.2)\n"
        "child = os.fork()\n"
        "if not child: note('cases:search', 'GET', 200, 0.2); os._exit(0)\n"
        "os.waitpid(child, 0); print(generate_latest(registry()).decode())\n"
    )
    environment = {**os.environ, "PROMETHEUS_MULTIPROC_DIR": str(tmp_path),
                   "DJANGO_SETTINGS_MODULE": "me_office.settings"}  # fmt: skip
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, env=environment, check=False,
                          capture_output=True, text=True)  # fmt: skip
    assert 'office_requests_total{method="GET",status="200",view="cases:search"} 2.0' in done.stdout


def test_gunicorn_gives_its_processes_a_folder_to_count_in_and_takes_it_away(
    monkeypatch: pytest.MonkeyPatch,
):
    # Set first, so that it is gone again after the test.
    monkeypatch.setenv("PROMETHEUS_MULTIPROC_DIR", "none")
    monkeypatch.delenv("PROMETHEUS_MULTIPROC_DIR")
    read_once = runpy.run_path(str(ROOT / "gunicorn.conf.py"))
    folder = Path(os.environ["PROMETHEUS_MULTIPROC_DIR"])
    runpy.run_path(str(ROOT / "gunicorn.conf.py"))
    assert os.environ["PROMETHEUS_MULTIPROC_DIR"] == str(folder)
    (folder / "gauge_livesum_12.db").touch()
    read_once["child_exit"](None, SimpleNamespace(pid=12))
    assert list(folder.iterdir()) == []
    read_once["on_exit"](SimpleNamespace(reexec_pid=13))
    assert folder.exists()
    read_once["on_exit"](SimpleNamespace(reexec_pid=0))
    assert not folder.exists()
    # Somebody who tidies up takes the counts away, and not the other numbers.
    assert requests.registry() is requests._own


@pytest.mark.parametrize("fault", [FileNotFoundError(2, "gone"), OSError(28, "full"), ValueError()])
def test_a_number_that_cannot_be_kept_fails_nobodys_page_and_is_said_once(
    fault: Exception, monkeypatch: pytest.MonkeyPatch, caplog: Caught
):
    def note(*_: object) -> None:
        raise fault

    monkeypatch.setattr(requests, "note", note)
    counted = requests.Counted(lambda _: HttpResponse("a page"))
    for _ in range(3):
        assert counted(RequestFactory().get("/cases/")).status_code == 200
    assert caplog.text.count("can't be counted") == 1

"""docker-compose.yml says what it is meant to say. No Docker engine runs it here."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml
from django.conf import settings

from me_office import serve
from me_office.environment import BY_NAME

ROOT = Path(__file__).resolve().parents[2]
OURS = ("migrate", "web", "worker", "worker-long", "beat", "watch")
LASTING = ("proxy", "web", "worker", "worker-long", "beat", "watch", "postgres", "redis")
SECRETS = (
    "ME_SECRET_KEY", "ME_APP_PASSWORD", "ME_OWNER_PASSWORD", "ME_SUPERUSER_PASSWORD",
    "REDIS_PASSWORD",
)  # fmt: skip


@pytest.fixture(scope="module")
def compose() -> dict[str, Any]:
    loaded: dict[str, Any] = yaml.safe_load((ROOT / "docker-compose.yml").read_text())
    return loaded


def test_the_services_are_the_known_ones(compose: dict[str, Any]) -> None:
    assert set(compose["services"]) == {*OURS, "backup", "proxy", "postgres", "redis"}


def test_every_queue_has_a_worker(compose: dict[str, Any]) -> None:
    served = {
        service["command"][service["command"].index("-Q") + 1]
        for name, service in compose["services"].items()
        if name.startswith("worker")
    }
    assert served == {queue.name for queue in settings.CELERY_TASK_QUEUES}


@pytest.mark.parametrize("name", LASTING)
def test_every_lasting_service_has_a_health_check(compose: dict[str, Any], name: str) -> None:
    assert compose["services"][name]["healthcheck"]["test"][0] in {"CMD", "CMD-SHELL"}


@pytest.mark.parametrize("name", ("web", "worker", "worker-long", "beat"))
def test_the_office_starts_after_the_migrations(compose: dict[str, Any], name: str) -> None:
    waits_for = compose["services"][name]["depends_on"]
    assert waits_for["migrate"]["condition"] == "service_completed_successfully"
    assert waits_for["postgres"]["condition"] == "service_healthy"
    assert waits_for["redis"]["condition"] == "service_healthy"


def test_the_watch_waits_for_nothing_whose_absence_it_is_to_tell(compose: dict[str, Any]) -> None:
    assert "depends_on" not in compose["services"]["watch"]


@pytest.mark.parametrize("name", ("web", "worker", "worker-long", "beat", "watch"))
def test_web_and_worker_do_not_connect_as_the_owner(compose: dict[str, Any], name: str) -> None:
    environment = compose["services"][name]["environment"]
    assert environment["DATABASE_URL"].startswith("postgresql://office_app:")
    assert "OWNER" not in str(environment)


def test_the_migrations_run_as_the_owner_and_grant(compose: dict[str, Any]) -> None:
    migrate = compose["services"]["migrate"]
    assert migrate["environment"]["DATABASE_URL"].startswith("postgresql://office_owner:")
    assert "manage.py migrate" in migrate["command"][-1]
    assert "manage.py grant_app_role" in migrate["command"][-1]


def test_no_secret_has_a_default() -> None:
    text = (ROOT / "docker-compose.yml").read_text()
    for name in SECRETS:
        uses = re.findall(rf"\$\{{{name}([^}}]*)\}}", text)
        assert uses, f"{name} is not asked for"
        assert all(use.startswith(":?") for use in uses), f"{name} may be left out"


def test_every_named_volume_exists(compose: dict[str, Any]) -> None:
    mounted = {
        mount.split(":")[0]
        for service in compose["services"].values()
        for mount in service.get("volumes", [])
        # A folder of the machine, for the backups.
        if not mount.startswith("$")
    }
    assert mounted == set(compose["volumes"])


def test_only_the_web_is_reached_from_outside_and_only_by_the_proxy(
    compose: dict[str, Any],
) -> None:
    published = {
        name: service["ports"]
        for name, service in compose["services"].items()
        if "ports" in service
    }
    assert published == {"proxy": ["443:8443"]}


def test_the_proxy_takes_requests_whole_and_says_whose_they_are(compose: dict[str, Any]) -> None:
    said = compose["configs"]["proxy"]["content"].replace("$$", "$")
    for line in (
        "proxy_request_buffering on;",
        "client_header_timeout 20s;",
        "client_body_timeout 30s;",
        # Not what the client says of itself: this replaces it.
        "proxy_set_header X-Forwarded-For $remote_addr;",
        "proxy_set_header X-Forwarded-Proto https;",
    ):
        assert line in said
    megabytes = int(re.findall(r"client_max_body_size (\d+)m;", said)[0])
    most = settings.PHOTOGRAPH_MAX_BYTES + serve.AROUND_A_FILE_BYTES
    assert most <= megabytes * 2**20 < most * 1.5


def test_the_web_believes_the_network_that_it_shares_with_the_proxy_alone(
    compose: dict[str, Any],
) -> None:
    subnet = compose["networks"]["front"]["ipam"]["config"][0]["subnet"]
    assert compose["services"]["web"]["environment"]["ME_TRUSTED_PROXIES"] == subnet
    in_it = {
        name
        for name, service in compose["services"].items()
        if "front" in service.get("networks", ["default"])
    }
    assert in_it == {"web", "proxy"}
    # So the proxy finds the web by an address of this network and no other.
    assert compose["services"]["proxy"]["networks"] == ["front"]


def test_every_setting_that_is_passed_is_read_by_the_service(compose: dict[str, Any]) -> None:
    passed = {name for service in OURS for name in compose["services"][service]["environment"]}
    assert passed - set(BY_NAME) == {"TMPDIR"}


def test_the_image_serves_as_an_ordinary_account() -> None:
    lines = (ROOT / "Dockerfile").read_text().splitlines()
    users = [line for line in lines if line.startswith("USER ")]
    assert users == ["USER 10001:10001"]
    assert lines.index("USER 10001:10001") < next(
        number for number, line in enumerate(lines) if line.startswith("CMD ")
    )
    assert any('"-k", "me_office.serve.BufferingWorker"' in line for line in lines)


def test_the_image_gets_every_folder_of_the_service() -> None:
    dockerfile = (ROOT / "Dockerfile").read_text()
    let_in = (ROOT / ".dockerignore").read_text()
    packages = {path.parent.name for path in ROOT.glob("*/__init__.py")} - {"tests"}
    for name in packages:
        assert f"COPY {name} {name}\n" in dockerfile
        assert f"!{name}\n" in let_in


def test_whatever_the_image_copies_is_let_into_its_making_and_is_there() -> None:
    let_in = (ROOT / ".dockerignore").read_text().splitlines()
    lines = re.findall(r"^COPY (?!--from)(.*)$", (ROOT / "Dockerfile").read_text(), re.MULTILINE)
    copied = {name for line in lines for name in line.split()[:-1]}
    assert {"manage.py", "gunicorn.conf.py", "requirements.txt", "me_office"} <= copied
    assert let_in[0] == "*"
    assert [name for name in sorted(copied) if f"!{name}" not in let_in] == []
    assert [name for name in sorted(copied) if not (ROOT / name).exists()] == []

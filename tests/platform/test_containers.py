"""Compose and Dockerfile as an expert reads them: schema, linter, roles, settings, bounds."""

from __future__ import annotations

import json
import re
import shlex
import subprocess
import sys
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import psycopg
import pytest
import yaml
from django.db import connection
from psycopg import sql

from me_office import serve
from me_office.environment import problems
from me_office.environment.table import OFFICE, SETTINGS

ROOT = Path(__file__).resolve().parents[2]
COMPOSE: dict[str, Any] = yaml.safe_load((ROOT / "docker-compose.yml").read_text())
SERVICES = COMPOSE["services"]
OURS = ("migrate", "web", "worker", "worker-long", "beat", "watch", "backup")
DOCKERFILE = (ROOT / "Dockerfile").read_text()


def test_compose_is_what_its_published_schema_says():
    """The schema of the Compose Specification (compose-spec.json, Apache License 2.0)."""
    kept = files("check_jsonschema") / "builtin_schemas" / "vendor" / "compose-spec.json"
    schema = json.loads(kept.read_text())
    jsonschema.validate(COMPOSE, schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**COMPOSE, "services": {"web": {"mem_limits": "3g"}}}, schema)


@pytest.mark.usefixtures("processes")
def test_the_linter_of_dockerfiles_has_nothing_to_say():
    linter = Path(sys.executable).with_name("hadolint")
    done = subprocess.run(
        [linter, ROOT / "Dockerfile"], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout) == (0, "")


@pytest.mark.parametrize("name", [one.name for one in SETTINGS if one.group == OFFICE])
def test_every_setting_is_passed_to_a_container_or_named_as_none_for_them(name: str):
    setting = next(one for one in SETTINGS if one.name == name)
    passed = {key for service in OURS for key in SERVICES[service]["environment"]}
    assert (name in passed) is not bool(setting.not_in_containers)


def seconds(said: str) -> int:
    parts = re.fullmatch(r"(\d+)(s|m)", said)
    assert parts is not None
    return int(parts[1]) * (60 if parts[2] == "m" else 1)


def test_every_service_has_its_bounds_and_time_to_end(settings):
    for name, service in SERVICES.items():
        options = service["logging"]["options"]
        assert options["max-size"] and int(options["max-file"]) > 1, name
        assert service["mem_limit"] and service["pids_limit"], name
        assert "no-new-privileges:true" in service.get("security_opt", []) or name in {
            "postgres", "redis",
        }  # fmt: skip
    most = {name: seconds(one["stop_grace_period"]) for name, one in SERVICES.items()
            if "stop_grace_period" in one}  # fmt: skip
    assert most["web"] > serve.GRACE_SECONDS + 30
    for worker in ("worker", "worker-long"):
        assert most[worker] > settings.CELERY_TASK_TIME_LIMIT
    assert set(SERVICES) - set(most) == {"migrate", "backup"}


@pytest.mark.parametrize("name", OURS)
def test_nothing_large_lies_in_memory(name: str):
    service = SERVICES[name]
    assert all("size=" in one for one in service["tmpfs"])
    mounted = {one.rpartition(":")[2] for one in service["volumes"]}
    assert {service["environment"][one] for one in ("TMPDIR", "ME_SPOOL_DIR")} <= mounted


def test_the_database_is_asked_over_tcp_whether_it_is_ready():
    """The image's first start runs a server on the socket alone, without listen_addresses.

    docker-library/postgres, docker-entrypoint.sh (docker_temp_server_start); from memory.
    """
    assert "--host=127.0.0.1" in SERVICES["postgres"]["healthcheck"]["test"][1]


def statements() -> list[str]:
    told = COMPOSE["configs"]["roles"]["content"]
    inner = told.split("<<'STATEMENTS'\n")[1].split("STATEMENTS")[0]
    return [line for line in inner.splitlines() if line and not line.startswith("\\getenv")]


@pytest.mark.django_db(transaction=True)
def test_the_roles_of_the_first_start_own_no_more_than_the_database():
    assert "$" not in COMPOSE["configs"]["roles"]["content"]
    names = {"office_owner": "first_owner", "office_app": "first_app", "office": "first_day"}
    own = {"owner_password": "one", "app_password": "two"}
    done = []
    for line in statements():
        line = re.sub(r"\boffice(_owner|_app)?\b", lambda m: names[m[0]], line)
        for name, value in own.items():
            line = line.replace(f":'{name}'", f"'{value}'")
        done.append(line)
    reach = {**connection.get_connection_params(), "dbname": "postgres"}
    reach = {
        key: reach[key] for key in ("host", "port", "user", "password", "dbname") if key in reach
    }
    with psycopg.connect(**reach, autocommit=True) as raw:
        try:
            for line in done:
                raw.execute(line.encode())
            found = raw.execute(
                "SELECT rolname, rolsuper OR rolcreaterole OR rolcreatedb OR rolbypassrls"
                " FROM pg_roles WHERE rolname LIKE 'first%' ORDER BY 1"
            ).fetchall()
            assert found == [("first_app", False), ("first_owner", False)]
            owner = {**reach, "user": "first_owner", "password": "one", "dbname": "first_day"}
            with psycopg.connect(**owner) as link:
                link.execute("CREATE TABLE cases (id int); CREATE EXTENSION pg_trgm")
            app = {**reach, "user": "first_app", "password": "two", "dbname": "first_day"}
            with (
                psycopg.connect(**app) as link,
                pytest.raises(psycopg.errors.InsufficientPrivilege),
            ):
                link.execute("CREATE TABLE others (id int)")
        finally:
            raw.execute("DROP DATABASE IF EXISTS first_day WITH (FORCE)")
            for role in ("first_owner", "first_app"):
                raw.execute(sql.SQL("DROP ROLE IF EXISTS {}").format(sql.Identifier(role)))


def test_the_throw_away_settings_of_the_image_are_taken(tmp_path: Path):
    run = DOCKERFILE.split("RUN mkdir -m 700")[1].split("python manage.py")[0].replace("\\\n", " ")
    words = [word for word in shlex.split(run.split("&&", 1)[1]) if "=" in word]
    given = dict(word.split("=", 1) for word in words)
    given["ME_SECRET_KEY"] = "mWvT0o4cKq1x7b2Zr9LpHs5dJf8gYn3aEu6iXtQwRyBkMzCl0SPh"
    assert problems(given) == []
    assert "secrets.token_urlsafe(60)" in run

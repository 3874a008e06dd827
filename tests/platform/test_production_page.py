"""What docs/production gives to copy is what the office runs with."""

from __future__ import annotations

import configparser
import re
import shlex
import subprocess
from pathlib import Path
from typing import Any

import pytest
import yaml

from me_office import serve
from me_office.environment import BY_NAME, problems
from me_office.environment.listing import BEGIN, END, listing
from me_office.environment.table import OFFICE, SETTINGS
from me_office.upkeep.parts.address import body_megabytes

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs" / "production"
PAGE = (DOCS / "README.md").read_text()
UNITS = {path.name: path for path in (DOCS / "units").iterdir()}
# A unit, and the service of compose that runs the same.
SAME = {
    "office-web.service": "web",
    "office-worker-quick.service": "worker",
    "office-worker-long.service": "worker-long",
    "office-beat.service": "beat",
    "office-watch.service": "watch",
}
BACKUP = ("office-backup.service", "office-backup.timer")
# What differs between a container and a machine: where it listens, names, files.
OF_THE_PLACE = ("--bind=", "--pidfile=", "--schedule=")


def unit(name: str) -> configparser.SectionProxy:
    # systemd.syntax(7): a backslash at the end of a line joins it with the next.
    text = re.sub(r"\\\n\s*", "", UNITS[name].read_text())
    read = configparser.ConfigParser(strict=False, interpolation=None, delimiters=("=",))
    read.optionxform = str  # type: ignore[assignment,method-assign]
    read.read_string(text)
    return read["Service"]


def given(path: Path) -> dict[str, str]:
    lines = [line for line in path.read_text().splitlines() if line and not line.startswith("#")]
    parts = [re.fullmatch(r"([A-Z][A-Z0-9_]*)='([^']*)'", line) for line in lines]
    assert None not in parts, "NAME='value' is read alike by systemd and by a shell"
    return {part[1]: part[2] for part in parts if part}


def in_compose() -> dict[str, list[str]]:
    services: dict[str, Any] = yaml.safe_load((ROOT / "docker-compose.yml").read_text())["services"]
    words = re.search(r"^CMD (\[.*?\])", (ROOT / "Dockerfile").read_text(), re.S | re.M)
    assert words is not None
    web = yaml.safe_load(words[1].replace("\\\n", " "))
    return {name: services[name].get("command", web) for name in SAME.values()}


def of_both(words: list[str]) -> list[str]:
    """Leave out what belongs to the place, and the name of a worker's node."""
    kept = [word for word in words if not word.startswith(OF_THE_PLACE)]
    if "-n" in kept:
        del kept[kept.index("-n") : kept.index("-n") + 2]
    return kept


@pytest.mark.parametrize(("name", "service"), SAME.items())
def test_a_unit_runs_the_command_of_compose(name: str, service: str):
    program, *words = shlex.split(unit(name)["ExecStart"])
    wanted, *others = in_compose()[service]
    assert program == f"/srv/office/service/.venv/bin/{wanted}"
    assert of_both(words) == of_both(others)


def test_every_service_has_its_unit_and_the_target_starts_all():
    assert set(UNITS) == {*SAME, *BACKUP, "office.target"}
    wants = re.search(r"^Wants=(.*)$", UNITS["office.target"].read_text(), re.M)
    assert wants and set(wants[1].split()) == set(SAME)


def test_a_timer_backs_up_every_night_as_the_owner_and_the_page_says_the_same_command():
    command = "office-manage --as-owner back_up"
    assert unit("office-backup.service")["ExecStart"] == f"/usr/local/sbin/{command}"
    assert unit("office-backup.service")["Type"] == "oneshot"
    assert f"    {command}\n" in PAGE and f"    {command}\n" in (DOCS / "backup.md").read_text()
    timer = UNITS["office-backup.timer"].read_text()
    assert "OnCalendar=*-*-* 02:15" in timer and "Persistent=true" in timer


def test_two_workers_of_one_machine_have_two_names():
    names = [shlex.split(unit(name)["ExecStart"])[-1] for name in SAME if "worker" in name]
    # "%" begins a specifier of systemd; doubled it is what celery replaces by the host's name.
    assert sorted(names) == ["long@%%h", "quick@%%h"]


HARDENED = {
    "User": "office", "NoNewPrivileges": "yes", "CapabilityBoundingSet": "",
    "ProtectSystem": "strict", "ProtectHome": "yes", "PrivateTmp": "yes", "PrivateDevices": "yes",
    "UMask": "0077", "SystemCallFilter": "@system-service", "Restart": "always",
    "EnvironmentFile": "/etc/office/environment", "WorkingDirectory": "/srv/office/service",
}  # fmt: skip


@pytest.mark.parametrize("name", SAME)
def test_a_unit_may_do_no_more_than_it_needs(name: str):
    read = unit(name)
    assert {key: read.get(key) for key in HARDENED} == HARDENED
    folders = given(DOCS / "environment")
    asked = {folders[one] for one in ("ME_DATA_DIR", "ME_FILE_STORE", "ME_SPOOL_DIR", "TMPDIR")}
    assert set(read["ReadWritePaths"].split()) == asked


def test_a_process_is_given_the_time_that_it_needs_to_end(settings):
    assert int(unit("office-web.service")["TimeoutStopSec"]) > serve.GRACE_SECONDS + 30
    quick = int(unit("office-worker-quick.service")["TimeoutStopSec"])
    assert quick > settings.CELERY_TASK_TIME_LIMIT


def test_the_sample_of_the_environment_is_right_once_it_is_filled_in(tmp_path: Path):
    sample = given(DOCS / "environment")
    folders = {name: str(tmp_path) for name in sample if sample[name].startswith("/srv/")}
    empty = {line.split()[0] for line in problems({**sample, **folders})}
    assert empty == {
        "ME_SECRET_KEY", "OFFICE_NAME", "OFFICE_ADDRESS", "OFFICE_AUTHORITY", "OFFICE_TIME_ZONE",
    }  # fmt: skip
    filled = {
        "ME_SECRET_KEY": "mWvT0o4cKq1x7b2Zr9LpHs5dJf8gYn3aEu6iXtQwRyBkMzCl0SPh",
        "OFFICE_NAME": "Alder County Medical Examiner", "OFFICE_ADDRESS": "1 Court Square",
        "OFFICE_AUTHORITY": "County code, chapter 4", "OFFICE_TIME_ZONE": "America/Chicago",
        "ME_MAIL_URL": "none",
    }  # fmt: skip
    assert problems({**sample, **folders, **filled}) == []
    required = {one.name for one in SETTINGS if one.required and one.group == OFFICE}
    assert required <= set(sample) and set(sample) - set(BY_NAME) == {"TMPDIR"}
    assert set(given(DOCS / "owner")) == {"DATABASE_URL"}


def test_the_table_of_settings_is_the_codes():
    between = PAGE.split(BEGIN)[1].split(END)[0]
    assert between == listing(), "run python -m me_office.environment"


NGINX = (DOCS / "nginx.conf").read_text()
PROXY = [
    "client_header_timeout 20s;", "client_body_timeout 30s;", "limit_conn addresses 200;",
    "proxy_request_buffering on;", "proxy_set_header Host $host;",
    # Not what the client says of itself: this replaces it.
    "proxy_set_header X-Forwarded-For $remote_addr;",
    "proxy_set_header X-Request-ID $request_id;",
    "proxy_max_temp_file_size 256m;", "proxy_read_timeout 120s;", "server_tokens off;",
    "ssl_protocols TLSv1.2 TLSv1.3;",
]  # fmt: skip


def away(sample: str) -> str:
    found = re.search(r"location @away \{(.*?)\n\s*\}", sample, re.S)
    assert found
    return " ".join(found[1].split())


def test_while_the_web_is_away_the_proxy_says_so_with_a_503_and_calm_words():
    compose = yaml.safe_load((ROOT / "docker-compose.yml").read_text())["configs"]["proxy"]
    said = away(NGINX)
    assert said == away(compose["content"])
    for sample in (NGINX, compose["content"]):
        assert "error_page 502 503 504 =503 @away;" in sample
        # What the office itself says of a store or a database that is away is not covered.
        assert "proxy_intercept_errors" not in sample
    assert "return 503 '<!doctype html>" in said and "Retry-After 30 always" in said
    office = (ROOT / "me_office/shell/templates/shell/server_error.html").read_text()
    for words in ("The office is unavailable for a moment", "still kept on this device"):
        assert words in said and words in office
    assert said.count("'") == 2 and "http" not in said


@pytest.mark.parametrize("line", PROXY)
def test_both_samples_of_the_proxy_say_the_same(line: str):
    compose = yaml.safe_load((ROOT / "docker-compose.yml").read_text())["configs"]["proxy"]
    assert line in NGINX and line in compose["content"].replace("$$", "$")


def test_the_proxy_lets_the_largest_photograph_through_and_logs_no_search_words():
    assert f"client_max_body_size {body_megabytes()}m;" in NGINX
    logged = re.search(r"log_format office (.*?);", NGINX, re.S)
    assert logged and not re.search(r"\$(request|args|query_string|request_uri)\b", logged[1])
    assert "proxy_set_header X-Forwarded-Proto $scheme;" in NGINX
    assert NGINX.count("{") == NGINX.count("}")
    assert "  sendfile on;" in NGINX and not re.search(r"^\s*proxy_cache ", NGINX, re.M)


# Whoever has an address below one of these is let in by it, without an account.
SECRET = ["/pick-up/", "/calendars/feed/"]


@pytest.mark.parametrize("below", SECRET)
def test_no_log_of_the_proxy_holds_an_address_that_lets_in(below: str):
    compose = yaml.safe_load((ROOT / "docker-compose.yml").read_text())["configs"]["proxy"]
    for sample in (NGINX, compose["content"].replace("$$", "$")):
        assert f"~^{below} {below}*;" in sample
        logged = re.search(r"log_format office (.*?);", sample, re.S)
        assert logged and "$told_uri" in logged[1]
        assert not re.search(r"\$(uri|request|args|request_uri|http_referer)\b", logged[1])
        assert re.search(r"^\s*access_log \S+ office;", sample, re.M)


def test_every_file_that_the_page_names_is_there_and_every_file_is_named():
    for path in DOCS.rglob("*"):
        if path.is_file() and path.suffix != ".md" and path.parent.name != "units":
            assert f"({path.name})" in PAGE
    for name in re.findall(r"\]\(([^)#]+)\)", PAGE):
        assert (DOCS / name).exists(), name
    for name in re.findall(r"office-manage (?:--as-owner )?([a-z_]+)", PAGE):
        assert name == "check" or name in commands(), name


def commands() -> set[str]:
    from django.core.management import get_commands

    return set(get_commands())


@pytest.mark.usefixtures("processes")
def test_the_command_for_administrators_is_plain_shell():
    done = subprocess.run(
        ["sh", "-n", str(DOCS / "office-manage")], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")


def test_the_command_of_the_page_takes_another_office_s_settings_and_hands_on_only_those(
    tmp_path: Path, processes: object
):
    """`id` says root, and `runuser` shows what it was given."""
    for name, does in (("id", "echo 0"), ("runuser", 'while [ "$1" != -- ]; do shift; done; env')):
        (tmp_path / name).write_text(f"#!/bin/sh\n{does}\n")
        (tmp_path / name).chmod(0o755)
    (tmp_path / "environment").write_text("DATABASE_URL='of the office'\nOFFICE_NAME='Tarn'\n")
    (tmp_path / "owner").write_text("DATABASE_URL='of the owner'\n")
    where = {"OFFICE_SETTINGS": str(tmp_path), "OFFICE_SERVICE": str(tmp_path)}
    for words, whose in (([], "office"), (["--as-owner"], "owner")):
        shown = subprocess.run(
            [DOCS / "office-manage", *words, "ready"], capture_output=True, text=True, check=True,
            env=where | {"PATH": f"{tmp_path}:/usr/bin:/bin"},
        ).stdout  # fmt: skip
        names = dict(line.split("=", 1) for line in shown.splitlines())
        assert names["DATABASE_URL"] == f"of the {whose}"
        assert names.keys() >= {"OFFICE_NAME"} and not names.keys() & where.keys()


def test_no_version_is_moved_once_its_programs_are_installed():
    """The first line of each program of a `.venv` names the folder in which it was made."""
    commands = [line.strip() for line in PAGE.splitlines() if line.startswith("    ")]
    assert not [line for line in commands if line.startswith("mv ")]
    assert "ln -s /srv/office/1.0.0 /srv/office/service" in commands
    assert "ln -sfn /srv/office/1.0.1 /srv/office/service" in commands

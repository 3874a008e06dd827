"""What was generated from the code is still what the code would generate."""

from __future__ import annotations

import os
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from drf_spectacular.drainage import GeneratorStats

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.django_db
def test_no_migration_is_missing() -> None:
    printed = StringIO()
    try:
        call_command("makemigrations", check=True, dry_run=True, stdout=printed)
    except SystemExit:
        pytest.fail(f"models and migrations differ:\n{printed.getvalue()}")


def test_the_kept_schema_is_the_one_the_api_has(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fresh = tmp_path / "schema.yml"
    # A warning names the file; for its line, every source would be read and taken apart first.
    monkeypatch.setattr(GeneratorStats, "enable_trace_lineno", lambda self: None)
    call_command("spectacular", validate=True, fail_on_warn=True, file=str(fresh))
    kept = ROOT / "me_office" / "schema.yml"
    assert kept.read_text() == fresh.read_text(), "the API changed: run `make schema`"


@pytest.mark.usefixtures("processes")
def test_migrations_are_written_without_a_server_and_without_a_complaint(tmp_path: Path) -> None:
    nowhere = {**os.environ, "DATABASE_URL": f"postgresql://nobody@/none?host={tmp_path}"}
    command = [sys.executable, "manage.py", "makemigrations", "--check", "--dry-run"]
    done = subprocess.run(command, cwd=ROOT, env=nowhere, capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, ""), done.stdout

"""What was generated from the code is still what the code would generate."""

from __future__ import annotations

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

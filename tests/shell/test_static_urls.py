"""Addresses of static files are worked out once, and one that is missing is never remembered."""

from __future__ import annotations

import pytest

from me_office.shell.static_urls import Collected, WhereTheyLie


def test_an_address_is_worked_out_once(monkeypatch, settings):
    storage = WhereTheyLie()
    assert storage.url("shell/css/tokens.css") == "/static/shell/css/tokens.css"
    assert storage.url("a b.css") == "/static/a%20b.css"
    settings.STATIC_URL = "/elsewhere/"
    assert storage.url("shell/css/tokens.css") == "/static/shell/css/tokens.css"


def test_a_file_that_was_not_collected_is_missed_each_time(tmp_path):
    storage = Collected(location=tmp_path, base_url="/static/")
    for _ in range(2):
        with pytest.raises(ValueError, match="Missing staticfiles manifest entry"):
            storage.url("shell/css/tokens.css")
    storage.hashed_files = {"shell/css/tokens.css": "shell/css/tokens.55.css"}
    assert storage.url("shell/css/tokens.css") == "/static/shell/css/tokens.55.css"
    assert storage.url("shell/css/tokens.css", True) == "/static/shell/css/tokens.55.css"

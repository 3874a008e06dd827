"""A session is read as Django reads it: what it kept stays, what ran out is gone."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.contrib.sessions.backends import db
from django.contrib.sessions.models import Session
from django.utils import timezone

from me_office.accounts.sessions import SessionStore

pytestmark = pytest.mark.django_db


def kept(store: type[db.SessionStore]) -> str:
    session = store()
    session["said"] = "50% of it"
    session.save()
    key: str = session.session_key
    return key


def test_either_reads_what_the_other_kept():
    own, plain = SessionStore, db.SessionStore
    for writes, reads in ((own, plain), (plain, own), (own, own)):
        session = reads(kept(writes))
        assert session["said"] == "50% of it"
        session["more"] = 1
        session.save()
        assert dict(writes(session.session_key).items()) == {"said": "50% of it", "more": 1}


def test_what_ran_out_or_never_was_is_an_empty_session_without_its_key():
    key = kept(SessionStore)
    Session.objects.filter(pk=key).update(expire_date=timezone.now() - timedelta(seconds=1))
    for missing in (key, "0" * 32, None):
        session = SessionStore(missing)
        assert session.get("said") is None
        assert session.session_key is None


def test_the_office_uses_it(settings):
    assert settings.SESSION_ENGINE == "me_office.accounts.sessions"

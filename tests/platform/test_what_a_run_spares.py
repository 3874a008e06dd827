"""What the run spares its tests leaves them what they would find without it."""

from __future__ import annotations

from django.contrib.sessions.models import Session
from django.test import Client


def test_who_comes_in_by_one_row_has_the_session_that_is_written_otherwise(
    vasko, django_assert_num_queries
):
    quick, usual = Client(), Client()
    with django_assert_num_queries(2):  # the session, and since when the person is in
        quick.force_login(vasko)
    vasko.refresh_from_db()
    assert vasko.last_login is not None
    # A browser that has a session already comes in by Django's own way.
    assert not usual.session.items()
    usual.force_login(vasko)
    assert dict(quick.session.items()) == dict(usual.session.items())
    first, second = (one.cookies["sessionid"] for one in (quick, usual))
    assert dict(first) == dict(second)
    assert len({first.value, second.value}) == Session.objects.count() == 2
    for one in (quick, usual):
        assert one.get("/").wsgi_request.user == vasko


def test_a_second_person_in_one_browser_takes_the_first_ones_place(vasko, renn):
    browser = Client()
    browser.force_login(vasko)
    browser.force_login(renn)
    assert browser.get("/").wsgi_request.user == renn
    assert Session.objects.count() == 1

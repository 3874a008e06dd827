"""Whatever changes a second factor is told with who did it, and never with its secret."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client

from me_office.accounts.models import Staff
from me_office.audit.models import AuditEvent
from tests.shell.test_way_in import (  # noqa: F401
    PASSWORD,
    _fresh_counters_and_a_quick_hash,
    clerk,
    set_up_second_factor,
    sign_in,
)

pytestmark = pytest.mark.django_db


def told() -> list[tuple[str, str, str, str]]:
    rows = AuditEvent.objects.filter(table="mfa_authenticator").order_by("id")
    return [(row.operation, row.act, row.actor_name, row.source) for row in rows]


def test_setting_up_using_a_recovery_code_and_taking_away_are_told(
    client: Client,
    clerk: Staff,  # noqa: F811
) -> None:
    sign_in(client)
    secret = set_up_second_factor(client)
    assert {act for _, act, _, _ in told()} == {"set_up_second_factor"}
    page = client.get("/account/2fa/recovery-codes/").content.decode()
    codes = re.findall(r'<li class="digest">([^<]+)</li>', page)
    assert told()[-1] == ("update", "see_recovery_codes", "R. Ostrander", "page")
    before = len(told())
    client.post("/sign-out/")
    sign_in(client)
    client.post("/account/2fa/authenticate/", {"code": codes[0]})
    assert told()[before:] == [("update", "sign_in", "R. Ostrander", "page")]
    client.post("/account/reauthenticate/", {"password": PASSWORD})
    client.post("/account/2fa/recovery-codes/generate/")
    assert {act for _, act, _, _ in told()[before + 1 :]} == {"make_recovery_codes"}
    before = len(told())
    client.post("/account/2fa/totp/deactivate/")
    assert {act for _, act, _, _ in told()[before:]} == {"take_own_second_factor_away"}
    assert all(name == "R. Ostrander" for _, _, name, _ in told())
    written: list[Any] = list(AuditEvent.objects.values_list("changes", flat=True))
    assert secret not in str(written)
    assert codes[0] not in str(written)

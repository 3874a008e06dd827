"""Fixtures of the tests of packets."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest

from cases.models import Case
from cases.packets import tasks
from cases.packets.models import Packet
from tests.packets.builders import make_clerk, packet_for, signed_case


@pytest.fixture
def signed_in(client: Any, clerk: Any) -> Any:
    """The records clerk's browser."""
    client.force_login(clerk)
    return client


@pytest.fixture(scope="module")
def _signed_once(made_once: Callable[..., Any]) -> Case:
    return made_once(signed_case)


@pytest.fixture
def signed(db: None, _signed_once: Case) -> Case:
    """A signed case, made once for the file: two findings, two photographs and a specimen."""
    return deepcopy(_signed_once)


@pytest.fixture(scope="module")
def _built_once(made_once: Callable[..., Any], _signed_once: Case) -> Packet:
    def build() -> Packet:
        packet = packet_for(_signed_once, make_clerk())
        assert tasks.build_packet(request_id=str(packet.pk)) == "made"
        return Packet.objects.select_related("case", "request").get(pk=packet.pk)

    return made_once(build)


@pytest.fixture
def packet(db: None, _built_once: Packet) -> Packet:
    """The packet of `signed` as the worker builds it, made once for the file."""
    return deepcopy(_built_once)
